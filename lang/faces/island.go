package faces

import (
	"cmp"
	"math"
	"slices"

	"sewable/lang/geom"
)

// place finds what hangs together, and the face that each such part lies in.
func (c *cycles) place() {
	c.part = make([]int32, len(c.start))
	c.into = make([]int32, len(c.start))
	for i := range c.part {
		c.part[i], c.into[i] = none, none
	}
	// Cycles that share an edge hang together, and so do those that share a corner.
	group := make([]int32, len(c.g.at))
	for v := range group {
		group[v] = int32(v)
	}
	find := func(v int32) int32 {
		for group[v] != v {
			group[v] = group[group[v]]
			v = group[v]
		}
		return v
	}
	for _, e := range c.g.edges {
		a, b := find(e.a), find(e.b)
		group[max(a, b)] = min(a, b)
	}
	number := make(map[int32]int32)
	for i, d := range c.start {
		v := find(c.origin(d))
		if _, ok := number[v]; !ok {
			number[v] = int32(len(number))
		}
		c.part[i] = number[v]
	}
	c.parts = len(number)
	if c.parts < 2 {
		return
	}

	// Of each part the leftmost corner, and the cycle round its outside.
	first := make([]int32, c.parts)
	outer := make([]int32, c.parts)
	for i := range first {
		first[i], outer[i] = none, none
	}
	far, wide := math.Inf(1), math.Inf(-1)
	for d := range c.of {
		p := c.part[c.of[d]]
		v := c.origin(int32(d))
		far, wide = min(far, c.g.at[v].X), max(wide, c.g.at[v].X)
		if first[p] == none || before(c.g.at[v], c.g.at[first[p]]) {
			first[p] = v
		}
	}
	for i, p := range c.part {
		if outer[p] == none || c.area[i] < c.area[outer[p]] {
			outer[p] = int32(i)
		}
	}
	order := make([]int32, c.parts)
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortFunc(order, func(p, q int32) int {
		u, v := c.g.at[first[p]], c.g.at[first[q]]
		return cmp.Or(cmp.Compare(u.X, v.X), cmp.Compare(u.Y, v.Y))
	})
	segments := make([]geom.Segment, len(c.g.edges))
	for i, e := range c.g.edges {
		segments[i] = c.g.segment(e)
	}
	lines := newTree(segments)
	for _, p := range order {
		e, ok := lines.firstLeft(segments, c.g.at[first[p]], max(geom.Hair, (wide-far)/float64(len(segments))), far-1)
		if !ok {
			continue
		}
		d := 2 * e // the dart that runs down has the right side on its left
		if segments[e].A.Y < segments[e].B.Y {
			d++
		}
		if around := c.of[d]; around == outer[c.part[around]] {
			c.into[outer[p]] = c.into[around] // beside that part, in the same face
		} else {
			c.into[outer[p]] = around
		}
	}
}

func before(p, q geom.Point) bool { return p.X < q.X || p.X == q.X && p.Y < q.Y }

// inside says of every cycle whether its face lies within the outline: each border that one
// steps over changes it.
func (c *cycles) inside(outlined bool) []bool {
	in := make([]bool, len(c.start))
	if !outlined {
		for i := range in {
			in[i] = true
		}
		return in
	}
	known := make([]bool, len(c.start))
	holds := make([][]int32, len(c.start)) // outside cycles by the face they lie in
	var todo []int32
	for i, around := range c.into {
		switch {
		case c.area[i] > 0:
		case around == none:
			todo = append(todo, int32(i))
			known[i] = true
		default:
			holds[around] = append(holds[around], int32(i))
		}
	}
	for len(todo) > 0 {
		i := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		step := func(j int32, is bool) {
			if !known[j] {
				known[j], in[j] = true, is
				todo = append(todo, j)
			}
		}
		for d := c.start[i]; ; {
			step(c.of[d^1], in[i] != c.g.edges[d>>1].border)
			if d = c.next[d]; d == c.start[i] {
				break
			}
		}
		for _, j := range holds[i] {
			step(j, in[i])
		}
	}
	return in
}

// rings is a face's way round, without the islands that touch it in one
// corner, and those islands.
func (c *cycles) rings(i int32) (ring []int, holes [][]int) {
	for _, loop := range c.loops(i) {
		if area(c.g.at, loop) > 0 && ring == nil {
			ring = loop
		} else {
			holes = append(holes, loop)
		}
	}
	return lowestFirst(c.g.at, ring), holes
}

// loops is a way round, in loops that pass no corner twice.
func (c *cycles) loops(i int32) [][]int {
	var out [][]int
	var chain []int
	at := make(map[int]int) // where in the chain a corner is
	for d := c.start[i]; ; {
		v := int(c.origin(d))
		if k, ok := at[v]; ok {
			loop := slices.Clone(chain[k:])
			for _, u := range loop {
				delete(at, u)
			}
			chain = chain[:k]
			out = append(out, loop)
		}
		at[v] = len(chain)
		chain = append(chain, v)
		if d = c.next[d]; d == c.start[i] {
			break
		}
	}
	return append(out, chain)
}

func area(at []geom.Point, ring []int) float64 {
	sum := 0.0
	o := at[ring[0]]
	for i, v := range ring {
		sum += at[v].Sub(o).Cross(at[ring[(i+1)%len(ring)]].Sub(o))
	}
	return sum / 2
}

func lowestFirst(at []geom.Point, ring []int) []int {
	first := 0
	for i, v := range ring {
		p, q := at[v], at[ring[first]]
		if p.Y < q.Y || p.Y == q.Y && p.X < q.X {
			first = i
		}
	}
	return slices.Concat(ring[first:], ring[:first])
}
