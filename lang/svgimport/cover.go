package svgimport

import (
	"cmp"
	"math"
	"slices"

	"sewable/lang/english"
	"sewable/lang/faces"
	"sewable/lang/geom"
)

// cover finds the shape that paints each face. A face has one patch: a shape over another is
// refused, and so is a hole.
func (t *tracer) cover(p *plan, s *faces.Subdivision, weld float64) error {
	circles := make([]geom.Circle, len(s.Faces))
	centres := make([]geom.Point, len(s.Faces))
	for i, f := range s.Faces {
		if circles[i] = geom.InscribedCircle(f.Outline); len(f.Holes) > 0 {
			circles[i] = besideEdge(s.Polygon(f.Ring))
		}
		centres[i] = circles[i].Centre
	}
	grid := geom.NewPointGrid(centres)
	over := make([][]*shape, len(s.Faces))
	winding := make([]int, len(s.Faces))
	for _, sh := range t.shapes {
		var touched []int
		for _, loop := range sh.loops {
			b := loop.Bounds()
			y := b.Centre().Y
			mid := geom.Segment{A: geom.Point{X: b.Min.X, Y: y}, B: geom.Point{X: b.Max.X, Y: y}}
			for i := range grid.Near(mid, b.Height()/2+geom.Hair) {
				if holds(loop, centres[i]) {
					touched = append(touched, i)
					winding[i]++
				}
			}
		}
		for _, i := range touched {
			if winding[i] > 1 {
				return t.fail(sh.of, "has one part of its path inside another at %s. A patch cannot have a hole: divide it with a seam through the hole", t.spot(centres[i]))
			}
		}
		for _, i := range touched {
			winding[i] = 0
			over[i] = append(over[i], sh)
		}
	}
	for i, shapes := range over {
		if len(shapes) > 1 {
			return t.overlap(shapes[0], shapes[1], circles[i])
		}
	}
	var first geom.Point
	bare := 0
	for i, f := range s.Faces {
		switch {
		case len(f.Holes) > 0:
			return t.hole(s, f, over[i])
		case len(over[i]) > 0:
			p.patches = append(p.patches, patch{corners: slices.Clone(f.Outline), of: over[i][0]})
			continue
		case len(t.shapes) > 0 && 2*circles[i].R < narrowest(weld):
			return t.fail(t.nearest(centres[i]).of, "leaves a gap beside it, %s wide at %s. Close it, or use a larger --snap",
				geom.Format(2*circles[i].R, t.unit), t.spot(centres[i]))
		}
		if bare++; bare == 1 {
			first = centres[i]
		}
		p.patches = append(p.patches, patch{corners: slices.Clone(f.Outline)})
	}
	if bare > 0 && len(t.shapes) > 0 {
		t.note(nil, "%s not covered by any shape and gets the fabric plain%s at %s", english.Count(bare, "part of the block is", "parts of the block are"),
			map[bool]string{true: ",", false: ", the first"}[bare == 1], t.spot(first))
	}
	order := make(map[*shape]int, len(t.shapes))
	for i, sh := range t.shapes {
		order[sh] = i + 1
	}
	last := len(t.shapes) + 1 // what nothing paints comes last
	at := func(sh *shape) int { return cmp.Or(order[sh], last) }
	slices.SortStableFunc(p.patches, func(a, b patch) int { return cmp.Compare(at(a.of), at(b.of)) })
	return nil
}

// besideEdge is a place just inside the longest edge of an anticlockwise outline.
func besideEdge(poly geom.Polygon) geom.Circle {
	best := poly.Edge(0)
	for i := range poly {
		if e := poly.Edge(i); e.Len() > best.Len() {
			best = e
		}
	}
	d := best.Dir()
	return geom.Circle{Centre: best.Mid().Add(geom.Point{X: -d.Y, Y: d.X}.Scale(geom.Hair / 4)), R: geom.Hair / 4}
}

// holds says whether a place lies inside a polygon.
func holds(poly geom.Polygon, p geom.Point) bool {
	inside := false
	for i := range poly {
		e := poly.Edge(i)
		if (e.A.Y > p.Y) != (e.B.Y > p.Y) && p.X < (e.B.X-e.A.X)*(p.Y-e.A.Y)/(e.B.Y-e.A.Y)+e.A.X {
			inside = !inside
		}
	}
	return inside
}

// overlap refuses a shape that is painted over another.
func (t *tracer) overlap(under, upper *shape, c geom.Circle) error {
	wholly := true
	for _, l := range upper.loops {
		for _, q := range l {
			wholly = wholly && slices.ContainsFunc(under.loops, func(m geom.Polygon) bool { return m.Contains(q) == geom.Inside })
		}
	}
	other := under.of.String() + " of line " + itoa(under.of.line)
	if wholly {
		return t.fail(upper.of, "is inside %s, at %s. A patch cannot have a hole: divide the area around it with seams", other, t.spot(c.Centre))
	}
	return t.fail(upper.of, "overlaps %s by %s at %s. Shapes cannot overlap: end one where the other begins", other,
		geom.Format(2*c.R, t.unit), t.spot(c.Centre))
}

// hole refuses a face that goes round another.
func (t *tracer) hole(s *faces.Subdivision, f faces.Face, over []*shape) error {
	at := s.Points[f.Holes[0][0]]
	e := t.nearest(at).of
	if len(over) > 0 {
		return t.fail(over[0].of, "surrounds %s, at %s. A patch cannot have a hole: divide it with a seam", e, t.spot(at))
	}
	return t.fail(e, "is separate from all other lines at %s, so the area around it would be a patch with a hole. Draw a line from it to the edge", t.spot(at))
}

// nearest is the shape or line nearest to a place.
func (t *tracer) nearest(p geom.Point) line {
	var best line
	least := math.Inf(1)
	look := func(e *element, s geom.Segment) {
		if d := s.Dist(p); d < least {
			best, least = line{e, s}, d
		}
	}
	for _, s := range t.shapes {
		for _, l := range s.loops {
			for i := range l {
				look(s.of, l.Edge(i))
			}
		}
	}
	for _, l := range t.lines {
		look(l.of, l.Segment)
	}
	return best
}
