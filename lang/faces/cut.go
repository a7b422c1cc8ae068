package faces

import (
	"cmp"
	"slices"

	"sewable/lang/geom"
)

// rounds bounds how often the drawing is gone over. Two or three rounds do.
const rounds = 24

// cut cuts every edge where it crosses another and where a corner lies on it.
// A cut moves an edge by up to a hair, so that it may now meet others: only what
// was cut is looked at again. A corner lies on an edge when it is within a hair of it and of
// the line that the edge is a piece of: without that, an edge would be drawn along a
// row of corners step by step, ever further from where it was.
func (g *graph) cut() error {
	var w geom.Welder
	for _, p := range g.at {
		w.Add(p)
	}
	g.tidy()
	fresh := make([]bool, len(g.edges)) // edges that are still to be looked at
	g.lines = make([]geom.Segment, len(g.edges))
	for i, e := range g.edges {
		fresh[i] = true
		g.edges[i].of, g.lines[i] = int32(i), g.segment(e)
	}
	for range rounds {
		segments := make([]geom.Segment, len(g.edges))
		for i, e := range g.edges {
			segments[i] = g.segment(e)
		}
		lines := newTree(segments)

		old, pieces := len(g.at), len(g.edges)
		var marks []mark
		var near []int32
		for i, e := range g.edges {
			if !fresh[i] {
				continue
			}
			near = near[:0]
			lines.near(segments[i], 0, func(j int32) {
				if !(fresh[j] && int(j) <= i) {
					near = append(near, j)
				}
			})
			slices.Sort(near) // so that the first crossing to be found fixes its place
			for _, j := range near {
				f := g.edges[j]
				if f.a == e.a || f.a == e.b || f.b == e.a || f.b == e.b {
					continue
				}
				if p, ok := geom.CrossSegments(segments[i], segments[j]); ok {
					v, _ := w.Add(p)
					at := w.Points()[v]
					marks = g.markAt(marks, int32(i), int32(v), at, segments[i])
					marks = g.markAt(marks, j, int32(v), at, segments[j])
					if pieces += 2; pieces > MaxEdges {
						return ErrTangled
					}
				}
			}
		}
		g.at = w.Points()

		marks = g.onEdges(marks, segments, lines, fresh, old)
		if len(marks) == 0 {
			return nil
		}
		if len(marks)+len(g.edges) > MaxEdges {
			return ErrTangled
		}
		fresh = g.divide(marks)
	}
	return nil
}

// A mark is a corner that lies on an edge, a part t of the way along.
type mark struct {
	edge int32
	node int32
	t    float64
}

// markAt marks the corner of a crossing, unless the edge ends there.
func (g *graph) markAt(marks []mark, i, v int32, at geom.Point, s geom.Segment) []mark {
	if e := g.edges[i]; v == e.a || v == e.b {
		return marks
	}
	return append(marks, mark{i, v, s.Nearest(at)})
}

// onEdges adds the corners that lie on an edge, for edges that are fresh and
// for corners from the number old on.
func (g *graph) onEdges(marks []mark, segments []geom.Segment, lines *tree, fresh []bool, old int) []mark {
	note := func(i, v int32) {
		e, s := g.edges[i], segments[i]
		if v == e.a || v == e.b || g.lines[e.of].Dist(g.at[v]) >= geom.Hair {
			return
		}
		// The pieces are shorter than the edge: where three corners lie in so narrow a
		// place that each is near the edge between the others, that ends.
		p := g.at[v]
		if t := s.Nearest(p); 0 < t && t < 1 && s.At(t).Dist(p) < geom.Hair && s.A.Sub(p).Dot(s.B.Sub(p)) < 0 {
			marks = append(marks, mark{i, v, t})
		}
	}
	points := newPointTree(g.at)
	for i := range segments {
		if fresh[i] {
			points.near(segments[i], geom.Hair, func(v int32) { note(int32(i), v) })
		}
	}
	for v := old; v < len(g.at); v++ {
		p := g.at[v]
		lines.near(geom.Segment{A: p, B: p}, geom.Hair, func(i int32) {
			if !fresh[i] {
				note(i, int32(v))
			}
		})
	}
	slices.SortFunc(marks, func(a, b mark) int {
		return cmp.Or(cmp.Compare(a.edge, b.edge), cmp.Compare(a.t, b.t), cmp.Compare(a.node, b.node))
	})
	return slices.CompactFunc(marks, func(a, b mark) bool { return a.edge == b.edge && a.node == b.node })
}

// divide cuts the edges at their marks and says which edges are new.
func (g *graph) divide(marks []mark) (fresh []bool) {
	var pieces []edge
	kept := make([]edge, 0, len(g.edges)+len(marks))
	for i, e := range g.edges {
		if len(marks) == 0 || int(marks[0].edge) != i {
			kept = append(kept, e)
			continue
		}
		from := e.a
		for len(marks) > 0 && int(marks[0].edge) == i {
			pieces = append(pieces, edge{from, marks[0].node, e.border, e.of})
			from = marks[0].node
			marks = marks[1:]
		}
		pieces = append(pieces, edge{from, e.b, e.border, e.of})
	}
	type pair struct{ a, b int32 }
	isNew := make(map[pair]bool, len(pieces))
	for _, e := range pieces {
		isNew[pair{min(e.a, e.b), max(e.a, e.b)}] = true
	}
	for _, e := range kept { // seen already
		delete(isNew, pair{min(e.a, e.b), max(e.a, e.b)})
	}
	g.edges = append(kept, pieces...)
	g.tidy()
	fresh = make([]bool, len(g.edges))
	for i, e := range g.edges {
		fresh[i] = isNew[pair{e.a, e.b}]
	}
	return fresh
}
