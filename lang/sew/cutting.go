package sew

import (
	"slices"

	"sewable/lang/geom"
)

// A builder holds what is needed only while a division is built.
type builder struct {
	*Division
	lookup  *index
	rings   [][]int32 // the loops of the outline after cutting, anticlockwise
	suspect bool      // some edge has not exactly the sides it should have
	buf     []int32
	passed  []int32 // the last edge cut at a corner, by number
	edge    int32
}

// chain appends the corners of a closed polygon, with those on its edges.
func (b *builder) chain(dst, corners []int32) []int32 {
	for i, u := range corners {
		v := corners[(i+1)%len(corners)]
		if u == v || u == none || v == none {
			continue
		}
		dst = append(dst, u)
		at := len(dst)
		if u < v {
			dst = b.between(dst, u, v)
		} else {
			dst = b.between(dst, v, u)
			slices.Reverse(dst[at:])
		}
	}
	return dst
}

// between appends the corners that lie on the edge from u to v. Asked for
// u < v only, it answers alike for every polygon that has the edge. The pieces
// of an edge bent by up to a hair are looked at again, so that they too are cut
// as any other edge between their ends; no corner cuts an edge twice, so this
// ends.
func (b *builder) between(dst []int32, u, v int32) []int32 {
	if len(b.passed) < len(b.points) {
		b.passed = make([]int32, len(b.points))
		b.edge = 0
	}
	b.edge++
	b.passed[u], b.passed[v] = b.edge, b.edge
	return b.cut(dst, u, v)
}

func (b *builder) cut(dst []int32, u, v int32) []int32 {
	s := geom.Segment{A: b.points[u], B: b.points[v]}
	d := s.B.Sub(s.A)
	dd := d.Dot(d)
	b.buf = b.lookup.near(b.buf[:0], s, geom.Hair)
	on := b.buf[:0]
	bent := false
	for _, w := range b.buf {
		if b.passed[w] == b.edge {
			continue
		}
		a, c := b.points[w].Sub(s.A), b.points[w].Sub(s.B)
		if t := a.Dot(d); t > 0 && t < dd && a.Dot(a) < dd && c.Dot(c) < dd {
			on = append(on, w)
			b.passed[w] = b.edge
			cross := a.Cross(d)
			bent = bent || cross*cross > dd*noise*noise
		}
	}
	if len(on) == 0 {
		return dst
	}
	slices.SortFunc(on, func(p, q int32) int {
		tp, tq := b.points[p].Sub(s.A).Dot(d), b.points[q].Sub(s.A).Dot(d)
		switch {
		case tp < tq:
			return -1
		case tp > tq:
			return 1
		}
		return int(p - q)
	})
	if !bent {
		return append(dst, on...)
	}
	on = append(slices.Clone(on), v)
	for _, w := range on {
		at := len(dst)
		if u < w {
			dst = b.cut(dst, u, w)
		} else {
			dst = b.cut(dst, w, u)
			slices.Reverse(dst[at:])
		}
		if w != v {
			dst = append(dst, w)
		}
		u = w
	}
	return dst
}

// untangle takes the edges out of a closed chain that it runs along both ways
// (a spike, the slit of a ring) and gives the loops that are left. touches is
// a corner that the chain still comes through more than once, or none.
func untangle(chain []int32) (loops [][]int32, touches int32) {
	type edge struct{ a, b int32 }
	count := map[edge]int{}
	n := len(chain)
	for i, u := range chain {
		v := chain[(i+1)%n]
		if e := (edge{v, u}); count[e] > 0 {
			count[e]--
		} else {
			count[edge{u, v}]++
		}
	}
	touches = none
	next := map[int32][]int32{}
	for i, u := range chain { // in the chain's order, so that the answer never varies
		e := edge{u, chain[(i+1)%n]}
		for ; count[e] > 0; count[e]-- {
			next[u] = append(next[u], e.b)
			if len(next[u]) > 1 && touches == none {
				touches = u
			}
		}
	}
	for _, u := range chain {
		for len(next[u]) > 0 {
			var loop []int32
			for v := u; len(next[v]) > 0; {
				loop = append(loop, v)
				w := next[v][0]
				next[v] = next[v][1:]
				v = w
			}
			loops = append(loops, loop)
		}
	}
	return loops, touches
}

// ringed says whether the loops of a polygon are one with holes in it.
func (b *builder) ringed(loops [][]int32, area float64) bool {
	var outer geom.Polygon
	for _, loop := range loops {
		if b.area(loop)*area > 0 {
			if outer != nil {
				return false
			}
			outer = b.polygon(loop)
		}
	}
	var edges []geom.Segment
	for _, loop := range loops {
		poly := b.polygon(loop)
		if b.area(loop)*area <= 0 && outer.Contains(poly[0]) != geom.Inside {
			return false
		}
		for i := range poly {
			edges = append(edges, poly.Edge(i))
		}
	}
	grid := geom.NewSegmentGrid(edges)
	var near []int
	for _, e := range edges {
		near = grid.AppendNear(near[:0], e, 0)
		for _, i := range near {
			if _, ok := geom.CrossSegments(e, edges[i]); ok {
				return false
			}
		}
	}
	return true
}

func (b *builder) polygon(loop []int32) geom.Polygon {
	poly := make(geom.Polygon, len(loop))
	for i, v := range loop {
		poly[i] = b.points[v]
	}
	return poly
}

func (b *builder) area(loop []int32) float64 {
	if len(loop) < 3 {
		return 0
	}
	sum := 0.0
	o := b.points[loop[0]]
	for i := 2; i < len(loop); i++ {
		sum += b.points[loop[i-1]].Sub(o).Cross(b.points[loop[i]].Sub(o))
	}
	return sum / 2
}
