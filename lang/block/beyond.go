package block

import "sewable/lang/geom"

// shapesOfPatches works out the corners of every patch of a section.
func (f *founder) shapesOfPatches() {
	bySeam := false // the outline has to give the corners of a patch
	for _, s := range f.Shapes {
		n := f.node(s)
		f.turnTo(s)
		switch s.Given {
		case ByCorners:
			if s.Corners = (maker{f}).corners(n.Corners); s.Corners == nil {
				f.lose(s)
			} else if s.Number == 1 && !s.Lost {
				f.first = firstPatch{known: true, corners: s.Corners}
			}
			continue
		case ByBeyond:
			l, ok := maker{f}.line(*n.Beyond)
			s.Line = l.segment()
			switch {
			case !ok:
				f.lose(s)
			case s.Line.Len() < geom.Hair:
				f.unclear(s, OnePoint)
			case s.Number == 1:
				f.fail(shapeSpan(n), Problem{Kind: PatchNumber, Cause: NotBeyond, Number: 1})
				f.lose(s)
			}
		case ByAround:
			at, ok := maker{f}.point(n.Around)
			switch {
			case !ok:
				f.lose(s)
			case s.Number == 1 && !s.Lost:
				f.first = firstPatch{known: true, around: at.Point()}
			case s.Number != 1:
				f.fail(shapeSpan(n), Problem{Kind: PatchNumber, Cause: NotAround, Number: s.Number})
				f.lose(s)
			}
		}
		bySeam = true
	}
	f.patch = 0
	if f.Lines != nil && f.outlineAt >= 0 {
		f.broken = true
		f.record(whole(f.outlineAt), Problem{Kind: UnclearSection, Cause: OutlineAndLines})
	}
	if f.Hangs = f.Lines != nil || bySeam && f.outlineAt < 0; f.Hangs || !bySeam || f.Outline == nil {
		return
	}
	if _, _, at, crosses := geom.Crossing(f.Outline); crosses {
		if !f.broken {
			f.record(whole(f.outlineAt), Problem{Kind: CrossedOutline, Point: at})
		}
		f.broken = true
		return
	}
	f.cutBack()
}

// firstPatch is where patch 1 of a section is, however it is given: the part that holds it is its section's.
type firstPatch struct {
	known   bool
	around  geom.Point
	corners geom.Polygon // nil: given by the point
}

func (p firstPatch) in(part geom.Polygon) bool {
	if p.corners != nil {
		return holds(part, p.corners)
	}
	return part.Contains(p.around) == geom.Inside
}

func (p firstPatch) placed(t geom.Transform) firstPatch {
	p.around = t.Apply(p.around)
	if p.corners != nil {
		p.corners = t.ApplyTo(p.corners)
	}
	return p
}

// turnTo makes a patch the one that is worked out.
func (f *founder) turnTo(s *Shape) { f.statement, f.patch = s.statement, s.Number }

// lose leaves a patch out of what is known of the section.
func (f *founder) lose(s *Shape) { f.broken, s.Lost = true, true }

// unclear records that a patch's seam cannot be placed.
func (f *founder) unclear(s *Shape, cause Cause) {
	f.lose(s)
	f.turnTo(s)
	f.fail(shapeSpan(f.node(s)), Problem{Kind: UnclearSeam, Cause: cause})
}

// cutBack finds the shapes of patches given by their seams, as the language
// defines it: from the last patch to the second, each takes its part of what
// is left of the outline, and what remains is patch 1. (A first patch with
// corners keeps them; the division shows whether they are what remains.) A patch that cannot be placed takes
// nothing. The first of these is the problem, unless the section has another.
func (f *founder) cutBack() {
	if f.outlineLost || !f.first.known {
		return
	}
	cannot := func(s *Shape, cause Cause) {
		if f.broken {
			f.lose(s)
		} else {
			f.unclear(s, cause)
		}
	}
	first := f.Shapes[0]
	rest := f.Outline.Weld()
	if first.Given == ByAround && !f.first.in(rest) {
		cannot(first, AroundOutside)
		return
	}
	for k := len(f.Shapes) - 1; k > 0; k-- {
		p := f.Shapes[k]
		if p.Lost {
			continue
		}
		if p.Given == ByCorners {
			left, ok := takeOff(rest, p.Corners)
			switch {
			case !ok:
				cannot(p, NotInRest)
			case len(left) != 1:
				cannot(p, LeavesTwo)
			default:
				rest = left[0]
			}
			continue
		}
		chord, cause := chosen(geom.Chords(rest, p.Line.A, p.Line.B), p.Line)
		if cause != 0 {
			cannot(p, cause)
			continue
		}
		keep, take := geom.Split(rest, chord)
		if f.first.in(take) {
			keep, take = take, keep
		}
		if !f.first.in(keep) { // the line runs through it
			cannot(p, CutsFirst)
			continue
		}
		p.Corners, rest = take, keep
	}
	if first.Given == ByAround {
		first.Corners = rest
	}
}

// takeOff takes a patch with corners off the rest. Nearly always one edge of it cuts the rest
// in two and the others lie on the outline; then it is a matter of one chord.
func takeOff(rest, patch geom.Polygon) ([]geom.Polygon, bool) {
	inside := -1
	for i := range patch {
		if rest.Contains(patch.Edge(i).Mid()) == geom.OnEdge {
			continue
		}
		if inside >= 0 {
			return geom.Subtract(rest, patch)
		}
		inside = i
	}
	if inside < 0 {
		return geom.Subtract(rest, patch)
	}
	edge := patch.Edge(inside)
	for _, chord := range geom.Chords(rest, edge.A, edge.B) {
		if chord.A.Dist(edge.A) > geom.Hair || chord.B.Dist(edge.B) > geom.Hair {
			continue
		}
		keep, take := geom.Split(rest, chord)
		if !within(patch, take) || !within(take, patch) {
			keep, take = take, keep
		}
		if within(patch, take) && within(take, patch) {
			return []geom.Polygon{keep}, true
		}
	}
	return geom.Subtract(rest, patch)
}

// within reports whether no corner of a polygon lies outside another.
func within(poly, other geom.Polygon) bool {
	for _, c := range poly {
		if other.Contains(c) == geom.Outside {
			return false
		}
	}
	return true
}

// holds reports whether the patch lies wholly in the part, edges included.
func holds(part, patch geom.Polygon) bool {
	return within(patch, part) && part.Contains(patch.InteriorPoint()) == geom.Inside
}

// chosen is the chord that a line given by two points means: the one that
// shares a piece with the segment between them, else the only one there is.
func chosen(chords []geom.Chord, given geom.Segment) (geom.Chord, Cause) {
	var shared []geom.Chord
	for _, ch := range chords {
		if ch.Overlap(given.A, given.B) > geom.Hair {
			shared = append(shared, ch)
		}
	}
	if len(shared) > 0 {
		chords = shared
	}
	switch len(chords) {
	case 0:
		return geom.Chord{}, Misses
	case 1:
		return chords[0], 0
	}
	return geom.Chord{}, TwoChords
}
