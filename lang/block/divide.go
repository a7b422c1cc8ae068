package block

import (
	"math"
	"slices"

	"sewable/lang/geom"
	"sewable/lang/memo"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// A division finds the outlines of the sections of a block that are given by lines, and of the one that
// is what the others leave. Sections are taken in reverse order of the file, as the patches of a section are, and each
// from the piece of what is left that holds its first patch.
type division struct {
	*blockBuild
	rest    []geom.Polygon            // what is left, in pieces
	taken   map[*Section]geom.Polygon // outlines, of those that are known
	turned  map[*Section]bool         // sections whose turn has come
	remains *Section                  // what the others leave
	lost    bool                      // a section whose outline is unknown was taken, so what is left is unknown
}

// divide gives the sections that hang their outlines. It does nothing in a block without any.
func (c *blockBuild) divide() {
	hangs := func(s *Section) bool { return s.Foundation.Hangs }
	lines := func(m *copies) bool { return len(m.node.Beyond) > 0 }
	if !slices.ContainsFunc(c.own, hangs) && !slices.ContainsFunc(c.moves, lines) {
		return
	}
	d := &division{blockBuild: c, rest: []geom.Polygon{c.blk.Outline.Weld()}, taken: map[*Section]geom.Polygon{}, turned: map[*Section]bool{}}
	if _, _, at, crosses := geom.Crossing(c.blk.Outline); crosses {
		c.problem(Problem{Kind: CrossedOutline, At: c.blk.OutlineAt.Span, Point: at}, c.where)
		c.blk.Broken, c.shapeless = true, true
	}
	d.lost = c.shapeless
	of := map[*syntax.Item][]*Section{}
	for _, s := range c.blk.Sections {
		of[s.Item] = append(of[s.Item], s)
	}
	for _, it := range slices.Backward(c.blk.Item.Body) {
		if it.Node == nil && (it.Kind == syntax.Unreadable || it.Kind == syntax.Opens) && it.Word == "section" {
			d.lost = true
		}
		for _, s := range slices.Backward(of[it]) {
			d.take(s)
		}
	}
	d.leave()
	for _, s := range c.own {
		if f := s.Foundation; f.Hangs {
			outline, known := d.taken[s]
			if !known {
				lost := *f
				lost.broken, s.Foundation = true, &lost
				lost.measure()
				continue
			}
			s.Foundation = c.outlined(f, outline)
		}
	}
	for _, m := range c.moves {
		d.compare(m)
	}
}

// outlined is a foundation within an outline, from memory where it can.
func (c *blockBuild) outlined(f *Foundation, outline geom.Polygon) *Foundation {
	g := &Geometry{Outline: outline}
	return memo.In[inOutline, *Foundation](c.file.Memo).Get(inOutline{f, g.key()}, func(made *Foundation) bool {
		return slices.Equal(made.Outline, outline)
	}, func() *Foundation {
		made := f.within(outline)
		return c.shared(made)
	})
}

// inOutline is a section in an outline that follows from the rest of the block.
type inOutline struct {
	of      *Foundation
	outline geometryKey
}

// take takes a section from what is left.
func (d *division) take(s *Section) {
	m, f := d.byOf[s], s.Foundation
	d.turned[s] = true
	switch {
	case m != nil && len(m.node.Beyond) > 0:
		if first, ok := d.firstOf(s); ok && m.lines != nil {
			d.byLines(s, m.lines, first)
			return
		}
		d.lost = true
	case m != nil:
		d.copied(s, m)
	case f.Lines != nil:
		if f.first.known && !f.linesBroken {
			d.byLines(s, f.Lines, f.first)
			return
		}
		d.lost = true
	case f.Hangs:
		if later := d.remains; later != nil {
			d.unclear(later, later.At.Span, TwoWithout, geom.Point{}, s.At)
		}
		d.remains = s
	default:
		d.subtract(s, s.At.Span, d.typed(f))
	}
}

// typed is the outline of a section that is given by itself: none of one that has no patches, or patches that cannot
// be one section.
func (d *division) typed(f *Foundation) geom.Polygon {
	if f.Outline != nil {
		return f.Outline
	}
	if f.broken {
		return nil
	}
	corners := make([]geom.Polygon, len(f.Shapes))
	for i, s := range f.Shapes {
		corners[i] = s.Corners
	}
	if outlines, ok := geom.UnionOutline(corners); ok && len(outlines) == 1 {
		return outlines[0]
	}
	return nil
}

// firstOf is where the first patch of a section is.
func (d *division) firstOf(s *Section) (first firstPatch, ok bool) {
	s, place, ok := d.root(s)
	if !ok || s.Foundation == nil {
		return firstPatch{}, false
	}
	return s.Foundation.first.placed(place), s.Foundation.first.known
}

// root follows a copy to the section that it is a copy of in the end.
func (d *division) root(s *Section) (root *Section, place geom.Transform, ok bool) {
	for range d.blk.Sections {
		m := d.byOf[s]
		if m == nil {
			return s, place, true
		}
		of := m.of[slices.Index(m.made, s)]
		if !m.ok || of == nil {
			return nil, place, false
		}
		s, place = of, m.place.Then(place)
	}
	return nil, place, false // a round
}

// copied takes a copy without lines: its outline is its original's.
func (d *division) copied(s *Section, m *copies) {
	root, place, ok := d.root(s)
	if !ok {
		d.lost = true
		return
	}
	outline := d.typed(root.Foundation)
	if root.Foundation.Hangs && root.Block == d.blk {
		outline, place = nil, geom.Transform{}
		for of := s; outline == nil; { // the first original that is taken already
			m := d.byOf[of]
			if m == nil {
				break
			}
			of, place = m.of[slices.Index(m.made, of)], m.place.Then(place)
			outline = d.taken[of]
		}
		if outline == nil {
			if !d.turned[root] || root.Foundation.Lines == nil {
				d.problem(Problem{Kind: CopyCycle, Cause: NeedsLines, At: s.At.Span, Name: s.Name, What: root.Name, Related: []Place{root.At}}, d.in(s, 0))
			}
			d.lost, m.ok = true, false
			return
		}
	}
	if outline != nil {
		outline = place.ApplyTo(outline)
	}
	d.subtract(s, s.At.Span, outline)
}

// byLines takes a section by its lines.
func (d *division) byLines(s *Section, lines []geom.Segment, first firstPatch) {
	s.Lines = lines
	if d.lost {
		return
	}
	in := slices.IndexFunc(d.rest, first.in)
	if in < 0 {
		d.unclear(s, s.At.Span, FirstOutside, first.place())
		return
	}
	piece, takes := d.rest[in], []geom.Polygon(nil)
	for i, line := range lines {
		chord, cause := chosen(geom.Chords(piece, line.A, line.B), line)
		if cause == Misses && alongEdge(piece, line) {
			continue
		}
		if cause != 0 {
			d.unclear(s, s.lineAt(i), cause, line.Mid())
			return
		}
		keep, take := geom.Split(piece, chord)
		if first.in(take) {
			keep, take = take, keep
		}
		if !first.in(keep) {
			d.unclear(s, s.lineAt(i), CutsFirst, first.place())
			return
		}
		piece, takes = keep, append(takes, take)
	}
	if len(takes) > 1 {
		left, ok := geom.Subtract(d.rest[in], piece)
		if !ok {
			d.unclear(s, s.linesAt(), LeavesHole, first.place())
			return
		}
		takes = left
	}
	d.rest = slices.Concat(d.rest[:in], takes, d.rest[in+1:])
	d.taken[s] = straight(piece)
}

// alongEdge reports whether the endless line runs along an edge.
func alongEdge(piece geom.Polygon, line geom.Segment) bool {
	dir := line.Dir()
	off := func(p geom.Point) bool { return math.Abs(dir.Cross(p.Sub(line.A))) > geom.Hair }
	for i := range piece {
		if e := piece.Edge(i); !off(e.A) && !off(e.B) && e.Len() > geom.Hair {
			return true
		}
	}
	return false
}

// straight is an outline without the corners where another section ended.
func straight(piece geom.Polygon) geom.Polygon {
	if s := piece.Straighten(); s != nil {
		return s
	}
	return piece
}

// subtract takes a section that has an outline of its own.
func (d *division) subtract(s *Section, at source.Span, outline geom.Polygon) {
	if outline == nil {
		d.lost = true
		return
	}
	d.taken[s] = outline
	if d.lost {
		return
	}
	outline = outline.Weld()
	for i, piece := range d.rest {
		if !within(outline, piece) {
			continue
		}
		if left, ok := takeOff(piece, outline); ok {
			d.rest = slices.Concat(d.rest[:i], left, d.rest[i+1:])
			return
		}
		if !slices.ContainsFunc(outline, func(c geom.Point) bool { return piece.Contains(c) == geom.OnEdge }) {
			d.unclear(s, at, LeavesHole, outline[0])
			return
		}
	}
	outside := slices.IndexFunc(outline, func(c geom.Point) bool {
		return !slices.ContainsFunc(d.rest, func(piece geom.Polygon) bool { return piece.Contains(c) != geom.Outside })
	})
	if _, _, _, crosses := geom.Crossing(outline); !crosses { // else that is reported
		d.unclear(s, at, NotInRest, outline[max(0, outside)])
	}
	d.lost = true
}

// leave gives what is left to the section that is what the others leave; what none takes is reported.
func (d *division) leave() {
	if d.lost {
		return
	}
	if s := d.remains; s != nil {
		first := s.Foundation.first
		if !first.known {
			return
		}
		in := slices.IndexFunc(d.rest, first.in)
		if in < 0 {
			d.unclear(s, s.At.Span, FirstOutside, first.place())
			return
		}
		d.taken[s] = straight(d.rest[in])
		d.rest = slices.Delete(slices.Clone(d.rest), in, in+1)
	}
	for _, piece := range d.rest {
		at := piece.InteriorPoint()
		near := d.nearest(at)
		d.problem(Problem{Kind: UnclearSection, Cause: Untaken, At: near.At.Span, Point: at, Name: near.Name}, d.in(near, 0))
		d.blk.Broken = true
	}
}

// nearest is the section that is nearest to a place.
func (d *division) nearest(at geom.Point) (near *Section) {
	best := 0.0
	for _, s := range d.blk.Sections {
		outline, known := d.taken[s]
		if !known {
			continue
		}
		for i := range outline {
			if away := outline.Edge(i).Dist(at); near == nil || away < best {
				near, best = s, away
			}
		}
	}
	return near
}

// compare holds the lines of a copy to the outline of its original.
func (d *division) compare(m *copies) {
	if len(m.node.Beyond) == 0 || m.of[0] == nil || m.of[0].Broken {
		return
	}
	s := m.made[0]
	outline, known := d.taken[s]
	of := d.taken[m.of[0]]
	if m.from != nil {
		of = d.typed(m.of[0].Foundation)
	}
	if !known || of == nil {
		m.ok = false
		return
	}
	of = m.place.ApplyTo(of)
	for _, pair := range [][2]geom.Polygon{{of, outline}, {outline, of}} {
		for _, corner := range pair[0] {
			if pair[1].Contains(corner) != geom.OnEdge {
				d.problem(Problem{Kind: UnclearSection, Cause: Unequal, At: s.linesAt(), Point: corner, Name: s.Name, What: m.of[0].Name}, d.in(s, 0))
				m.ok = false
				return
			}
		}
	}
}

func (d *division) unclear(s *Section, at source.Span, cause Cause, where geom.Point, related ...Place) {
	d.problem(Problem{Kind: UnclearSection, Cause: cause, At: at, Point: where, Name: s.Name, Related: related}, d.in(s, 0))
	d.lost, d.blk.Broken = true, true
}

// place is a point inside.
func (p firstPatch) place() geom.Point {
	if p.corners != nil {
		return p.corners.InteriorPoint()
	}
	return p.around
}

// beyond are the lines of the statement that opens a section or makes a copy.
func (s *Section) beyond() []syntax.Line {
	switch n := s.Item.Node.(type) {
	case *syntax.Section:
		return n.Beyond
	case *syntax.Copy:
		return n.Beyond
	}
	return nil
}

// lineAt is where one of the lines of a section is typed.
func (s *Section) lineAt(i int) source.Span { return s.Item.Abs(s.beyond()[i].Span) }

// linesAt is where the lines of a section are typed; its name where it has none.
func (s *Section) linesAt() source.Span {
	lines := s.beyond()
	if len(lines) == 0 {
		return s.At.Span
	}
	return s.Item.Abs(lines[0].Span.Cover(lines[len(lines)-1].Span))
}
