package faces

import (
	"cmp"
	"slices"

	"sewable/lang/geom"
)

// close moves corners that nearly meet onto each other, the nearest first, and
// then corners that nearly meet an edge onto the edge. Of two corners the later
// one moves. No edge loses its length by it.
func (g *graph) close(reach float64) ([]Closing, error) {
	g.tidy()
	closed, err := g.closeCorners(reach)
	if err != nil {
		return nil, err
	}
	closed = append(closed, g.closeOntoEdges(reach)...)
	slices.SortStableFunc(closed, func(a, b closing) int { return cmp.Compare(a.node, b.node) })
	g.weld()
	var out []Closing
	for _, c := range closed {
		out = append(out, c.Closing)
	}
	return out, nil
}

// A closing says which corner was moved, for the order they are told in.
type closing struct {
	Closing
	node int32
}

// closeCorners makes one corner of those that are within reach of it.
func (g *graph) closeCorners(reach float64) (closed []closing, err error) {
	type pair struct {
		dist float64
		u, v int32
	}
	var pairs []pair
	points := newPointTree(g.at)
	for u, p := range g.at {
		points.near(geom.Segment{A: p, B: p}, reach, func(v int32) {
			if d := p.Dist(g.at[v]); int(v) > u && d < reach && d < max(g.off(int32(u), reach), g.off(v, reach)) {
				pairs = append(pairs, pair{d, int32(u), v})
			}
		})
		if len(pairs) > MaxPairs {
			return nil, ErrCrowded
		}
	}
	if len(pairs) == 0 {
		return nil, nil
	}
	slices.SortFunc(pairs, func(a, b pair) int {
		return cmp.Or(cmp.Compare(a.dist, b.dist), cmp.Compare(a.u, b.u), cmp.Compare(a.v, b.v))
	})
	neighbours := make([][]int32, len(g.at))
	for _, e := range g.edges {
		neighbours[e.a] = append(neighbours[e.a], e.b)
		neighbours[e.b] = append(neighbours[e.b], e.a)
	}
	into := make([]int32, len(g.at)) // the corner that stands for a corner: the first of its group
	groups := make([][]int32, len(g.at))
	for v := range into {
		into[v] = int32(v)
		groups[v] = []int32{int32(v)}
	}
	for _, p := range pairs {
		u, v := into[p.u], into[p.v]
		if a, b := g.off(u, reach), g.off(v, reach); b < a || a == b && u > v {
			u, v = v, u
		}
		if u == v || int(v) < g.pins {
			continue
		}
		apart := slices.ContainsFunc(groups[v], func(w int32) bool {
			return g.at[w].Dist(g.at[u]) >= reach ||
				slices.ContainsFunc(neighbours[w], func(x int32) bool { return into[x] == u })
		})
		if apart {
			continue
		}
		for _, w := range groups[v] {
			into[w] = u
		}
		groups[u] = append(groups[u], groups[v]...)
		groups[v] = nil
	}
	for v, u := range into {
		if int(u) != v {
			closed = append(closed, closing{Closing{g.at[v], g.at[u], g.at[v].Dist(g.at[u])}, int32(v)})
		}
	}
	for i, e := range g.edges {
		g.edges[i].a, g.edges[i].b = into[e.a], into[e.b]
	}
	g.tidy()
	return closed, nil
}

// off is how far corner v may be off its place.
func (g *graph) off(v int32, reach float64) float64 {
	if g.loose == nil {
		return reach
	}
	return g.loose[v]
}

// slack takes over what is known of the ends of lines.
func (g *graph) slack(ends []end, reach float64) {
	if len(ends) == 0 {
		return
	}
	var w geom.Welder
	for _, p := range g.at {
		w.Add(p)
	}
	g.loose = make([]float64, len(g.at))
	for v := range g.loose[g.pins:] {
		g.loose[g.pins+v] = reach
	}
	for _, x := range ends {
		if v := w.Find(x.at); v >= 0 {
			g.loose[v] = min(g.loose[v], x.slack)
		}
	}
}

// closeOntoEdges moves corners that end short of an edge, or beyond it, onto the
// edge. A loose end goes on, or back, in its own direction where it can. An edge that passes a
// corner of the outline is led through that.
func (g *graph) closeOntoEdges(reach float64) (closed []closing) {
	segments := make([]geom.Segment, len(g.edges))
	degree := make([]int32, len(g.at))
	last := make([]int32, len(g.at)) // an edge at the corner
	for i, e := range g.edges {
		segments[i] = g.segment(e)
		degree[e.a]++
		degree[e.b]++
		last[e.a], last[e.b] = int32(i), int32(i)
	}
	lines := newTree(segments)
	moved := make(map[int32]geom.Point)
	var marks []mark
	for v, p := range g.at {
		if degree[v] == 0 {
			continue
		}
		best, least := int32(-1), reach
		lines.near(geom.Segment{A: p, B: p}, reach, func(i int32) {
			if e := g.edges[i]; int(e.a) == v || int(e.b) == v {
				return
			}
			t := segments[i].Nearest(p)
			d := segments[i].At(t).Dist(p)
			if d < least && 0 < t && t < 1 || d == least && best > i {
				best, least = i, d
			}
		})
		if best < 0 || least <= geom.Hair {
			continue
		}
		s := segments[best]
		t := s.Nearest(p)
		to := s.At(t)
		if v < g.pins {
			marks = append(marks, mark{best, int32(v), t})
			closed = append(closed, closing{Closing{to, p, least}, int32(v)})
			continue
		}
		if degree[v] == 1 {
			if at, ok := geom.MeetLines(segments[last[v]], s); ok && at.Dist(p) < reach && s.Dist(at) < geom.Hair/2 {
				to = at
			}
		}
		if to.Dist(p) > 0 && g.keepsLength(last, int32(v), degree[v], to) {
			moved[int32(v)] = to
			closed = append(closed, closing{Closing{p, to, to.Dist(p)}, int32(v)})
		}
	}
	for v, p := range moved {
		g.at[v] = p
	}
	if len(marks) > 0 {
		slices.SortFunc(marks, func(a, b mark) int {
			return cmp.Or(cmp.Compare(a.edge, b.edge), cmp.Compare(a.t, b.t), cmp.Compare(a.node, b.node))
		})
		g.divide(marks)
	}
	return closed
}

// keepsLength says whether a loose end that is moved leaves its edge longer than
// a hair.
func (g *graph) keepsLength(last []int32, v, degree int32, to geom.Point) bool {
	if degree != 1 {
		return true
	}
	e := g.edges[last[v]]
	return g.at[e.a+e.b-v].Dist(to) > geom.Hair
}

// weld makes one corner again of those that moving has brought within a hair.
func (g *graph) weld() {
	var w geom.Welder
	number := make([]int32, len(g.at))
	pins := 0
	for v, p := range g.at {
		i, _ := w.Add(p)
		number[v] = int32(i)
		if v < g.pins {
			pins = len(w.Points())
		}
	}
	for i, e := range g.edges {
		g.edges[i].a, g.edges[i].b = number[e.a], number[e.b]
	}
	g.at, g.pins = w.Points(), pins
	g.tidy()
}
