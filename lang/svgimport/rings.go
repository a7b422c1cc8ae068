package svgimport

import (
	"cmp"
	"math"
	"slices"

	"sewable/lang/english"
	"sewable/lang/faces"
	"sewable/lang/geom"
)

const (
	maxRounds = 4
	maxLines  = 60    // that are tried for a hole
	maxHoles  = 2_000 // in one face
	stub      = geom.Inch / 4
)

// cuts are seams that divide the faces that go around others: a patch has no hole. Each is a straight line across
// the face, along an edge of what it goes around where that is as good.
func (t *tracer) cuts(s *faces.Subdivision, stacks []*stack) (out []geom.Segment) {
	for i, f := range s.Faces {
		if len(f.Holes) == 0 {
			continue
		}
		r := ring{outer: edgesOf(s.Polygon(f.Ring))}
		for k, h := range f.Holes[:min(len(f.Holes), maxHoles)] {
			for _, e := range edgesOf(s.Polygon(h)) {
				r.holes = append(r.holes, holeEdge{e, k})
			}
		}
		joined := make([]bool, len(f.Holes))
		n := 0
		for k := range joined {
			if !joined[k] {
				chords, met := r.cut(k)
				for _, m := range met {
					joined[m] = true
				}
				out = append(out, chords...)
				r.added = append(r.added, chords...)
				n += len(chords)
			}
		}
		if n == 0 {
			continue
		}
		what := "an area that nothing paints"
		var of *element
		if top := stacks[i].top(); top != nil {
			what, of = top.of.String(), top.of
		}
		from := out[len(out)-n]
		t.note(of, "%s goes around %s, and a patch has no hole: %s, the first from %s to %s", what,
			english.Count(len(f.Holes), "other part", "other parts"), english.Count(n, "seam is added", "seams are added"),
			geom.FormatPlace(from.A, t.unit), geom.FormatPlace(from.B, t.unit))
	}
	return out
}

// A ring is a face with holes: its own edges, those of its holes, and seams that are added.
type ring struct {
	outer []geom.Segment
	added []geom.Segment
	holes []holeEdge
}

type holeEdge struct {
	geom.Segment
	hole int
}

func edgesOf(p geom.Polygon) []geom.Segment {
	out := make([]geom.Segment, len(p))
	for i := range p {
		out[i] = p.Edge(i)
	}
	return out
}

// cut divides a ring by the best line through a hole, and says which holes are on it.
func (r *ring) cut(hole int) (best []geom.Segment, met []int) {
	var own []geom.Segment
	for _, e := range r.holes {
		if e.hole == hole {
			own = append(own, e.Segment)
		}
	}
	slices.SortStableFunc(own, func(a, b geom.Segment) int { return cmp.Compare(b.Len(), a.Len()) })
	var lines []geom.Segment
	lines = append(lines, own...)
	plain := len(lines)
	for _, e := range own {
		lines = append(lines, geom.Segment{A: e.A, B: e.A.Add(geom.Point{X: 1})}, geom.Segment{A: e.A, B: e.A.Add(geom.Point{Y: 1})})
	}
	if len(lines) > maxLines {
		plain = min(plain, maxLines/2)
		lines = append(lines[:plain:plain], lines[len(own):len(own)+maxLines-plain]...)
	}
	type cost struct {
		stubs, kind int
		length      float64
		passed      int
	}
	var least cost
	for k, line := range lines {
		chords, holes, ok := r.across(line, hole)
		if !ok {
			continue
		}
		c := cost{passed: -len(holes)}
		if k >= plain {
			c.kind = 1
		}
		for _, s := range chords {
			c.length += s.Len()
			if s.Len() < stub {
				c.stubs++
			}
		}
		if best == nil || cmp.Or(cmp.Compare(c.stubs, least.stubs), cmp.Compare(c.passed, least.passed), cmp.Compare(c.kind, least.kind), cmp.Compare(c.length, least.length)) < 0 {
			best, met, least = chords, holes, c
		}
	}
	return best, met
}

// across are the parts of a line in the ring, from a hole to the nearest walls on both sides.
func (r *ring) across(line geom.Segment, hole int) (chords []geom.Segment, met []int, ok bool) {
	d := line.Dir()
	place := func(p geom.Point) float64 { return p.Sub(line.A).Dot(d) }
	const wall = -1
	type crossing struct {
		at float64
		of int // a hole, or a wall
		on geom.Point
	}
	var all []crossing
	far := geom.Segment{A: line.A, B: line.A.Add(d)}
	look := func(e geom.Segment, of int) {
		a, b := far.LineDist(e.A), far.LineDist(e.B)
		near := false
		for _, end := range [2]struct {
			off float64
			p   geom.Point
		}{{a, e.A}, {b, e.B}} {
			if math.Abs(end.off) < geom.Hair {
				near = true
				all = append(all, crossing{place(end.p), of, end.p})
			}
		}
		if !near && a*b < 0 {
			p := e.At(a / (a - b))
			all = append(all, crossing{place(p), of, p})
		}
	}
	for _, e := range r.outer {
		look(e, wall)
	}
	for _, e := range r.added {
		look(e, wall)
	}
	for _, e := range r.holes {
		look(e.Segment, e.hole)
	}
	slices.SortFunc(all, func(a, b crossing) int { return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.of, b.of)) })
	first := slices.IndexFunc(all, func(c crossing) bool { return c.of == hole })
	last := len(all) - 1
	for last >= 0 && all[last].of != hole {
		last--
	}
	if first < 0 {
		return nil, nil, false
	}
	met = []int{hole}
	for _, way := range [2]struct{ from, step int }{{first, -1}, {last, 1}} {
		i := way.from
		for {
			next := i + way.step
			if next < 0 || next >= len(all) {
				return nil, nil, false
			}
			a, b := all[i], all[next]
			if s := (geom.Segment{A: a.on, B: b.on}); s.Len() > geom.Hair && r.inside(s.Mid()) {
				chords = append(chords, s)
			} else if b.of == wall && s.Len() > geom.Hair && a.of == hole {
				return nil, nil, false
			}
			if b.of == wall {
				break
			}
			if !slices.Contains(met, b.of) {
				met = append(met, b.of)
			}
			i = next
		}
	}
	return chords, met, len(chords) >= 1
}

// inside says whether a place is in the ring, not on its edges.
func (r *ring) inside(p geom.Point) bool {
	in, on := false, false
	look := func(e geom.Segment) {
		on = on || e.Dist(p) < geom.Hair/2
		if (e.A.Y > p.Y) != (e.B.Y > p.Y) && p.X < (e.B.X-e.A.X)*(p.Y-e.A.Y)/(e.B.Y-e.A.Y)+e.A.X {
			in = !in
		}
	}
	for _, e := range r.outer {
		look(e)
	}
	for _, e := range r.holes {
		look(e.Segment)
	}
	for _, e := range r.added {
		on = on || e.Dist(p) < geom.Hair/2
	}
	return in && !on
}
