package sew

import (
	"cmp"
	"math"
	"slices"

	"sewable/lang/geom"
)

// This file lays the edges of a division that is known to be wrong over each other:
// every edge is cut wherever it crosses another, the plane falls into faces,
// and each face is labelled with the polygons that cover it by walking from
// face to face. Only flawed divisions pay for it.

// maxCrossings bounds the work on files whose edges cross everywhere.
const maxCrossings = 20_000

// An overlayEdge runs between corners lo < hi and belongs to some polygons (0
// is the outline, p+1 part p): whoever steps over it enters or leaves those.
type overlayEdge struct {
	lo, hi int32
	of     []int32
}

type overlay struct {
	b      *builder
	points []geom.Point
	edges  []overlayEdge

	// Dart 2e runs along edge e from lo to hi, dart 2e+1 back.
	next  []int32   // the dart that follows on the face to the left
	face  []int32   // the cycle to the left of a dart
	start []int32   // a dart of cycle c
	area  []float64 // of cycle c, negative when it runs round the outside of something
	holds []int32   // the set that covers cycle c, by number
	into  []int32   // cycle that an outside cycle lies in, or none for the plane; itself for others

	sets  [][]int32
	setNo map[string]int32
}

// cross cuts all edges where they cross. It is false when there is too much.
func (o *overlay) cross() bool {
	b := o.b
	// Edges of polygon g, those that are the same edge together.
	type run struct{ u, v, g int32 }
	var runs []run
	sort := func() {
		slices.SortFunc(runs, func(p, q run) int {
			return cmp.Or(cmp.Compare(min(p.u, p.v), min(q.u, q.v)), cmp.Compare(max(p.u, p.v), max(q.u, q.v)), cmp.Compare(p.g, q.g))
		})
	}
	for h := range b.halves {
		runs = append(runs, run{b.halves[h].from, b.to(int32(h)), b.halves[h].part + 1})
	}
	for _, r := range b.rings {
		for i, u := range r {
			runs = append(runs, run{u, r[(i+1)%len(r)], 0})
		}
	}
	sort()
	var w geom.Welder
	for _, p := range b.points {
		w.Add(p)
	}
	total := 0
	for range 6 {
		o.points = w.Points()
		var edges []run
		var segments []geom.Segment
		for _, r := range runs {
			u, v := min(r.u, r.v), max(r.u, r.v)
			if n := len(edges); n == 0 || edges[n-1].u != u || edges[n-1].v != v {
				edges = append(edges, run{u, v, r.g})
				segments = append(segments, geom.Segment{A: o.points[u], B: o.points[v]})
			}
		}
		grid := geom.NewSegmentGrid(segments)
		added := false
		var near []int
		for i, r := range edges {
			near = grid.AppendNear(near[:0], segments[i], 0)
			for _, j := range near {
				q := edges[j]
				if j <= i || q.u == r.u || q.u == r.v || q.v == r.u || q.v == r.v {
					continue
				}
				at, ok := geom.CrossSegments(segments[i], segments[j])
				if !ok {
					continue
				}
				if total++; total > maxCrossings {
					ps := []int{}
					for _, g := range [2]int32{r.g, q.g} {
						if g > 0 {
							ps = append(ps, int(g-1))
						}
					}
					slices.Sort(ps)
					b.tangled = true
					b.flaws = append(b.flaws, Flaw{Kind: Overlap, Parts: slices.Compact(ps), At: at})
					return false
				}
				_, isNew := w.Add(at)
				added = added || isNew
			}
		}
		if !added {
			break
		}
		b.points = w.Points()
		b.lookup = newIndex(b.points)
		var cut []run
		var chain []int32
		for _, r := range runs {
			chain = b.between(chain[:0], min(r.u, r.v), max(r.u, r.v))
			if r.u > r.v {
				slices.Reverse(chain)
			}
			u := r.u
			for _, v := range append(chain, r.v) {
				cut = append(cut, run{u, v, r.g})
				u = v
			}
		}
		runs = cut
		sort()
	}
	o.points = w.Points()
	b.points = o.points[:len(b.outAt)-1] // the division keeps its own corners

	for _, r := range runs {
		lo, hi := min(r.u, r.v), max(r.u, r.v)
		if n := len(o.edges); n == 0 || o.edges[n-1].lo != lo || o.edges[n-1].hi != hi {
			o.edges = append(o.edges, overlayEdge{lo: lo, hi: hi})
		}
		e := &o.edges[len(o.edges)-1]
		if n := len(e.of); n > 0 && e.of[n-1] == r.g { // there and back again
			e.of = e.of[:n-1]
		} else {
			e.of = append(e.of, r.g)
		}
	}
	o.edges = slices.DeleteFunc(o.edges, func(e overlayEdge) bool { return len(e.of) == 0 })
	return true
}

func (o *overlay) origin(dart int32) int32 {
	e := &o.edges[dart/2]
	if dart%2 == 0 {
		return e.lo
	}
	return e.hi
}

func (o *overlay) direction(dart int32) geom.Point {
	return o.points[o.origin(dart^1)].Sub(o.points[o.origin(dart)])
}

// trace finds the cycles of darts around the faces.
func (o *overlay) trace() {
	n := int32(2 * len(o.edges))
	darts := make([]int32, n)
	angle := make([]float64, n)
	for i := range darts {
		darts[i] = int32(i)
		v := o.direction(int32(i))
		angle[i] = math.Atan2(v.Y, v.X)
	}
	slices.SortFunc(darts, func(p, q int32) int {
		return cmp.Or(cmp.Compare(o.origin(p), o.origin(q)), cmp.Compare(angle[p], angle[q]), cmp.Compare(p, q))
	})
	// The dart after one that arrives at a corner is the first clockwise from
	// the way back.
	o.next = make([]int32, n)
	for i := 0; i < len(darts); {
		j := i
		for j < len(darts) && o.origin(darts[j]) == o.origin(darts[i]) {
			j++
		}
		for k := i; k < j; k++ {
			before := k - 1
			if k == i {
				before = j - 1
			}
			o.next[darts[k]^1] = darts[before]
		}
		i = j
	}
	o.face = make([]int32, n)
	for i := range o.face {
		o.face[i] = none
	}
	for d := range n {
		if o.face[d] != none {
			continue
		}
		c := int32(len(o.start))
		sum := 0.0
		base := o.points[o.origin(d)]
		for g := d; o.face[g] == none; g = o.next[g] {
			o.face[g] = c
			sum += o.points[o.origin(g)].Sub(base).Cross(o.points[o.origin(g^1)].Sub(base))
		}
		o.start = append(o.start, d)
		o.area = append(o.area, sum/2)
	}
}

func (o *overlay) set(of []int32) int32 {
	key := make([]byte, 0, 4*len(of))
	for _, g := range of {
		key = append(key, byte(g), byte(g>>8), byte(g>>16), byte(g>>24))
	}
	no, ok := o.setNo[string(key)]
	if !ok {
		no = int32(len(o.sets))
		o.sets = append(o.sets, of)
		o.setNo[string(key)] = no
	}
	return no
}

// step is the set on the other side of an edge: what is in one of the two, but
// not in both.
func (o *overlay) step(set int32, e int32) int32 {
	a, b := o.sets[set], o.edges[e].of
	var of []int32
	for len(a) > 0 || len(b) > 0 {
		switch {
		case len(b) == 0 || len(a) > 0 && a[0] < b[0]:
			of, a = append(of, a[0]), a[1:]
		case len(a) == 0 || b[0] < a[0]:
			of, b = append(of, b[0]), b[1:]
		default:
			a, b = a[1:], b[1:]
		}
	}
	return o.set(of)
}

// cover labels every cycle with the polygons that cover its face.
func (o *overlay) cover() {
	o.holds = make([]int32, len(o.start))
	o.into = make([]int32, len(o.start))
	for c := range o.holds {
		o.holds[c] = none
		o.into[c] = int32(c)
	}
	empty := o.set(nil)

	// Connected edges, each group from its leftmost corner on, so that what lies
	// left of a group is labelled before it.
	order := make([]int32, 0, len(o.points))
	leaves := make([]int32, len(o.points)) // a dart that leaves a corner
	for v := range leaves {
		leaves[v] = none
	}
	for d := range int32(len(o.next)) {
		if v := o.origin(d); leaves[v] == none {
			leaves[v] = d
			order = append(order, v)
		}
	}
	slices.SortFunc(order, func(u, v int32) int {
		p, q := o.points[u], o.points[v]
		return cmp.Or(cmp.Compare(p.X, q.X), cmp.Compare(p.Y, q.Y))
	})
	for _, v := range order {
		if o.holds[o.face[leaves[v]]] != none {
			continue
		}
		// The cycle round the outside of this group passes its leftmost corner:
		// of the cycles there it is the one with negative area.
		outer := o.face[leaves[v]]
		for d := leaves[v]; ; {
			if c := o.face[d]; o.area[c] < o.area[outer] {
				outer = c
			}
			if d = o.next[d^1]; d == leaves[v] {
				break
			}
		}
		around := o.leftOf(v)
		o.into[outer], o.holds[outer] = around, empty
		if around != none {
			o.holds[outer] = o.holds[around]
		}
		todo := []int32{outer}
		for len(todo) > 0 {
			c := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			for d := o.start[c]; ; {
				if other := o.face[d^1]; o.holds[other] == none {
					o.holds[other] = o.step(o.holds[c], d/2)
					todo = append(todo, other)
				}
				if d = o.next[d]; d == o.start[c] {
					break
				}
			}
		}
	}
}

// leftOf is the face that lies straight left of a corner, just above its
// height, among the faces labelled so far; none for the open plane.
func (o *overlay) leftOf(v int32) int32 {
	p := o.points[v]
	best, bestX, bestSlope := int32(none), math.Inf(-1), 0.0
	for e := range o.edges {
		a, b := o.points[o.edges[e].lo], o.points[o.edges[e].hi]
		dart := int32(2 * e)
		if a.Y > b.Y {
			a, b = b, a
			dart ^= 1
		}
		if !(a.Y <= p.Y && p.Y < b.Y) || o.holds[o.face[dart]] == none {
			continue
		}
		slope := (b.X - a.X) / (b.Y - a.Y)
		x := a.X + slope*(p.Y-a.Y)
		if x < p.X && (x > bestX || x == bestX && slope > bestSlope) {
			best, bestX, bestSlope = o.face[dart^1], x, slope
		}
	}
	if best != none {
		best = o.into[best] // an outside cycle: the face it lies in
	}
	return best
}
