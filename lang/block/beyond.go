package block

import (
	"sewable/lang/geom"
	"sewable/lang/syntax"
)

// shape works out the corners of every patch of a section.
func (c *blockBuild) shape(sec *Section) {
	var around geom.Point
	var bySeam *Patch // the first patch whose corners the outline has to give
	for _, p := range sec.Patches {
		n := p.Item.Node.(*syntax.Patch)
		w := c.in(sec, p.Number)
		switch p.Given {
		case ByCorners:
			if p.Corners = c.corners(c.scope, p.Item, n.Corners, w); p.Corners == nil {
				sec.Broken = true
			}
			continue
		case ByBeyond:
			l, ok := c.line(c.scope, p.Item, *n.Beyond, w)
			p.Line = l.segment()
			switch {
			case !ok:
				sec.Broken = true
			case p.Line.Len() < geom.Hair:
				c.unclear(sec, p, OnePoint)
			case p.Number == 1:
				c.problem(Problem{Kind: PatchNumber, At: p.ShapeAt().Span, Cause: NotBeyond, Number: 1}, w)
				sec.Broken = true
			}
		case ByAround:
			at, ok := c.point(c.scope, p.Item, n.Around, w)
			around = at.Point()
			switch {
			case !ok:
				sec.Broken = true
			case p.Number != 1:
				c.problem(Problem{Kind: PatchNumber, At: p.ShapeAt().Span, Cause: NotAround, Number: p.Number}, w)
				sec.Broken = true
			}
		}
		if bySeam == nil {
			bySeam = p
		}
	}
	if bySeam == nil || sec.Broken {
		return
	}
	if sec.Outline == nil {
		c.unclear(sec, bySeam, NoOutline)
		return
	}
	if _, _, at, crosses := geom.Crossing(sec.Outline); crosses {
		c.problem(Problem{Kind: CrossedOutline, At: sec.OutlineAt.Span, Point: at}, c.in(sec, 0))
		sec.Broken = true
		return
	}
	c.cutBack(sec, around)
}

// unclear records that a patch's seam cannot be placed; the section's shapes
// are then unknown.
func (c *blockBuild) unclear(sec *Section, p *Patch, cause Cause) {
	sec.Broken = true
	c.problem(Problem{Kind: UnclearSeam, At: p.ShapeAt().Span, Cause: cause}, c.in(sec, p.Number))
}

// cutBack finds the shapes of patches given by their seams, as the language
// defines it: from the last patch to the second, each takes its part of what
// is left of the outline, and what remains is patch 1. (A first patch with
// corners keeps them; the division shows whether they are what remains.)
func (c *blockBuild) cutBack(sec *Section, around geom.Point) {
	first := sec.Patches[0]
	rest := sec.Outline.Weld()
	if first.Given == ByAround && rest.Contains(around) != geom.Inside {
		c.unclear(sec, first, AroundOutside)
		return
	}
	for k := len(sec.Patches) - 1; k > 0; k-- {
		p := sec.Patches[k]
		if p.Given == ByCorners {
			left, ok := takeOff(rest, p.Corners)
			switch {
			case !ok:
				c.unclear(sec, p, NotInRest)
				return
			case len(left) != 1:
				c.unclear(sec, p, LeavesTwo)
				return
			}
			rest = left[0]
			continue
		}
		chord, cause := chosen(geom.Chords(rest, p.Line.A, p.Line.B), p.Line)
		if cause != 0 {
			c.unclear(sec, p, cause)
			return
		}
		keep, take := geom.Split(rest, chord)
		if first.Given == ByAround {
			if take.Contains(around) == geom.Inside {
				keep, take = take, keep
			}
			if keep.Contains(around) != geom.Inside { // it lies on the line itself
				c.unclear(sec, p, CutsFirst)
				return
			}
		} else {
			if holds(take, first.Corners) {
				keep, take = take, keep
			}
			if !holds(keep, first.Corners) {
				c.unclear(sec, p, CutsFirst)
				return
			}
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
