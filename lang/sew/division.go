package sew

import (
	"math"
	"slices"

	"sewable/lang/geom"
)

// A Division is a region cut into parts: a section into its patches, or a
// block into its sections. It is built once, by the tolerances of cloth, and
// from then on everything is decided by which edges the parts share:
//
//   - corners nearer than a hair are one corner, at the place of the first
//     typed (the outline's corners first, then the parts' in order);
//   - an edge with a corner on it, within a hair, is cut there, and equal edges
//     are cut equally;
//   - what is left are edges that two parts share, and edges of the border.
//
// Parts are counted from 0 in the order given, which for a section is the
// written sewing order. A Division does not change once built and may be read
// by many goroutines at once.
type Division struct {
	points []geom.Point // the corners, by number
	halves []half       // the sides of the edges, part after part
	first  []int32      // part p has the halves first[p] to first[p+1]
	out    []int32      // the halves that leave a corner, corner after corner
	outAt  []int32      // corner v has out[outAt[v]] to out[outAt[v+1]]
	turn   []bool       // half h leaves a corner where its part turns for certain

	typed   []int32 // the corner each typed corner became; -1 for one without a place
	typedAt []int32 // polygon g has typed[typedAt[g]:typedAt[g+1]]; 0 is the outline, part p is p+1

	hasOutline bool
	flaws      []Flaw
	tangled    bool
}

// A half is one side of an edge, with its part on the left. It runs from the
// corner from to the corner its next one runs from.
type half struct {
	from, next, prev int32
	twin             int32 // the other side of the edge, or none
	part             int32
}

const none = -1

// far is the distance in hairs, some 200 km, past which a corner has no place.
const far = 1e9

// Divide builds the division of a region into parts. A nil outline is the
// union of the parts. Polygons may run either way round. Whatever does not
// fill the outline exactly once is a flaw of the division, see Flaws.
func Divide(outline geom.Polygon, parts []geom.Polygon) *Division {
	b := builder{Division: &Division{hasOutline: outline != nil}}
	if outline == nil && len(parts) == 0 {
		b.first = []int32{0}
		return b.Division // nothing, and nothing wrong with it
	}
	b.weld(outline, parts)
	b.lookup = newIndex(b.points)
	b.trace(len(parts))
	b.fan()
	b.pair()
	b.judge()
	return b.Division
}

// Parts is the number of parts.
func (d *Division) Parts() int { return len(d.first) - 1 }

// Corners is the number of different corners.
func (d *Division) Corners() int { return len(d.points) }

// Corner is the place of corner v.
func (d *Division) Corner(v int) geom.Point { return d.points[v] }

// Flawed says whether the parts fail to fill the outline exactly once. Nothing
// can be said of orders and joins then.
func (d *Division) Flawed() bool { return len(d.flaws) > 0 }

// Part is part p as it came to be: its corners welded, with those of its
// neighbours that lie on its edges, anticlockwise.
func (d *Division) Part(p int) geom.Polygon {
	var poly geom.Polygon
	for h := d.first[p]; h < d.first[p+1]; h++ {
		poly = append(poly, d.points[d.halves[h].from])
	}
	return poly
}

// Border is the edge of the region, loop by loop, each with the region on its
// left; one loop unless the region has holes or falls apart.
func (d *Division) Border() []geom.Polygon {
	var loops []geom.Polygon
	for _, loop := range d.borders() {
		poly := make(geom.Polygon, len(loop))
		for i, h := range loop {
			poly[i] = d.points[d.halves[h].from]
		}
		loops = append(loops, poly)
	}
	return loops
}

// Neighbours gives the parts that share an edge with part p, in increasing
// order.
func (d *Division) Neighbours(p int) []int {
	var ps []int
	for h := d.first[p]; h < d.first[p+1]; h++ {
		if t := d.halves[h].twin; t != none {
			ps = append(ps, int(d.halves[t].part))
		}
	}
	slices.Sort(ps)
	return slices.Compact(ps)
}

func (d *Division) from(h int32) geom.Point { return d.points[d.halves[h].from] }
func (d *Division) to(h int32) int32        { return d.halves[d.halves[h].next].from }

// segment is the edge of half h, with its part on the left.
func (d *Division) segment(h int32) geom.Segment {
	return geom.Segment{A: d.from(h), B: d.points[d.to(h)]}
}

// across is the part on the other side of half h, or none.
func (d *Division) across(h int32) int32 {
	if t := d.halves[h].twin; t != none {
		return d.halves[t].part
	}
	return none
}

// borders gives the halves without another side, loop by loop. At a corner
// where the region touches itself a loop stays with the parts it came along.
func (d *Division) borders() [][]int32 {
	var loops [][]int32
	seen := make([]bool, len(d.halves))
	for h := range d.halves {
		if d.halves[h].twin != none || seen[h] {
			continue
		}
		var loop []int32
		for g := int32(h); !seen[g]; {
			seen[g] = true
			loop = append(loop, g)
			g = d.halves[g].next
			for d.halves[g].twin != none {
				g = d.halves[d.halves[g].twin].next
			}
		}
		loops = append(loops, loop)
	}
	return loops
}

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

// weld gives every typed corner its number.
func (b *builder) weld(outline geom.Polygon, parts []geom.Polygon) {
	n := len(outline)
	for _, p := range parts {
		n += len(p)
	}
	b.typed = make([]int32, 0, n)
	b.typedAt = make([]int32, 1, len(parts)+2)
	var w geom.Welder
	add := func(poly geom.Polygon) {
		for _, p := range poly {
			v := int32(none)
			if math.Abs(p.X) < far && math.Abs(p.Y) < far { // false for what is not a number
				i, _ := w.Add(p)
				v = int32(i)
			}
			b.typed = append(b.typed, v)
		}
		b.typedAt = append(b.typedAt, int32(len(b.typed)))
	}
	add(outline)
	for _, p := range parts {
		add(p)
	}
	b.points = w.Points()
}

// trace cuts every polygon's edges and lays down its halves.
func (b *builder) trace(parts int) {
	b.first = make([]int32, 1, parts+1)
	b.halves = make([]half, 0, len(b.typed)*3/2)
	stamp := make([]int32, len(b.points)) // the last polygon that came through a corner
	var chain []int32
	for g := 0; g <= parts; g++ {
		chain = b.chain(chain[:0], b.typed[b.typedAt[g]:b.typedAt[g+1]])
		simple := true // comes through no corner twice
		for _, v := range chain {
			if stamp[v] == int32(g+1) {
				simple = false
				break
			}
			stamp[v] = int32(g + 1)
		}
		loops := [][]int32{chain}
		if !simple {
			var touches int32
			if loops, touches = untangle(chain); touches != none {
				b.flaws = append(b.flaws, Flaw{Kind: Crossed, Parts: owner(g), At: b.points[touches]})
				loops = nil
			}
		}
		area := 0.0
		for _, loop := range loops {
			area += b.area(loop)
		}
		if len(loops) > 1 && !b.ringed(loops, area) {
			b.flaws = append(b.flaws, Flaw{Kind: Crossed, Parts: owner(g), At: b.points[loops[1][0]]})
		}
		switch {
		case g == 0 && !b.hasOutline || b.known(Crossed, owner(g)):
			loops = nil
		case slices.Contains(b.typed[b.typedAt[g]:b.typedAt[g+1]], none):
			b.flaws = append(b.flaws, Flaw{Kind: Boundless, Parts: owner(g)})
			loops = nil
		case !(math.Abs(area) > 0):
			b.flaws = append(b.flaws, b.nothing(g, chain, loops))
			loops = nil
		}
		for _, loop := range loops {
			if area < 0 {
				slices.Reverse(loop)
			}
			if g == 0 {
				b.rings = append(b.rings, slices.Clone(loop))
			} else {
				b.lay(loop, int32(g-1))
			}
		}
		if g > 0 {
			b.first = append(b.first, int32(len(b.halves)))
		}
	}
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
			if _, ok := cross(e, edges[i]); ok {
				return false
			}
		}
	}
	return true
}

// nothing is the flaw of a polygon without area: that it crosses itself, or that
// it has none.
func (b *builder) nothing(g int, chain []int32, loops [][]int32) Flaw {
	f := Flaw{Kind: NoArea, Parts: owner(g)}
	if len(chain) > 0 {
		f.At = b.points[chain[0]]
	} else if b.typedAt[g] < b.typedAt[g+1] {
		f.At = b.points[b.typed[b.typedAt[g]]]
	}
	for _, loop := range loops {
		if at, ok := crossing(b.polygon(loop)); ok {
			f.Kind, f.At = Crossed, at
		}
	}
	return f
}

func (b *builder) polygon(loop []int32) geom.Polygon {
	poly := make(geom.Polygon, len(loop))
	for i, v := range loop {
		poly[i] = b.points[v]
	}
	return poly
}

// owner is the Parts of a flaw of one polygon: none for the outline.
func owner(g int) []int {
	if g == 0 {
		return nil
	}
	return []int{g - 1}
}

// lay adds a loop of halves.
func (b *builder) lay(loop []int32, part int32) {
	at := int32(len(b.halves))
	n := int32(len(loop))
	for i, v := range loop {
		b.halves = append(b.halves, half{from: v, next: at + int32(i) + 1, prev: at + int32(i) - 1, twin: none, part: part})
	}
	b.halves[at].prev = at + n - 1
	b.halves[at+n-1].next = at
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

// noise is the distance in hairs that arithmetic alone can make.
const noise = 1e-6

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

// fan lists the halves that leave each corner.
func (b *builder) fan() {
	b.outAt = make([]int32, len(b.points)+1)
	for _, h := range b.halves {
		b.outAt[h.from+1]++
	}
	for v := 1; v < len(b.outAt); v++ {
		b.outAt[v] += b.outAt[v-1]
	}
	b.out = make([]int32, len(b.halves))
	fill := slices.Clone(b.outAt)
	for i, h := range b.halves {
		b.out[fill[h.from]] = int32(i)
		fill[h.from]++
	}
	b.turn = make([]bool, len(b.halves))
	for i, h := range b.halves {
		s := geom.Segment{A: b.from(h.prev), B: b.points[b.to(int32(i))]}
		b.turn[i] = s.Dist(b.points[h.from]) > 2*geom.Hair
	}
}

// A side is a half, or an edge of the outline, for sorting by edge.
type side struct {
	lo, hi int32
	h      int32 // the half, or none for the outline
	up     bool  // runs from lo to hi
}

// pair finds the other side of every half. An edge should have two halves that
// run opposite ways, or one that runs with the outline.
func (b *builder) pair() {
	n := len(b.halves)
	for _, r := range b.rings {
		n += len(r)
	}
	sides := make([]side, 0, n)
	add := func(u, v, h int32) {
		sides = append(sides, side{min(u, v), max(u, v), h, u < v})
	}
	for h := range b.halves {
		add(b.halves[h].from, b.to(int32(h)), int32(h))
	}
	for _, r := range b.rings {
		for i, u := range r {
			add(u, r[(i+1)%len(r)], none)
		}
	}
	// By counting, first on one end and then on the other.
	count := make([]int32, len(b.points)+1)
	sorted := make([]side, n)
	for pass := range 2 {
		key := func(s *side) int32 {
			if pass == 0 {
				return s.hi
			}
			return s.lo
		}
		clear(count)
		for i := range sides {
			count[key(&sides[i])+1]++
		}
		for i := 1; i < len(count); i++ {
			count[i] += count[i-1]
		}
		for i := range sides {
			k := key(&sides[i])
			sorted[count[k]] = sides[i]
			count[k]++
		}
		sides, sorted = sorted, sides
	}
	for i := 0; i < n; {
		j := i + 1
		for j < n && sides[j].lo == sides[i].lo && sides[j].hi == sides[i].hi {
			j++
		}
		switch s := sides[i:j]; {
		case len(s) == 2 && s[0].h != none && s[1].h != none && s[0].up != s[1].up:
			b.halves[s[0].h].twin = s[1].h
			b.halves[s[1].h].twin = s[0].h
		case len(s) == 2 && (s[0].h == none) != (s[1].h == none) && s[0].up == s[1].up:
		case len(s) == 1 && !b.hasOutline:
		default:
			b.suspect = true
		}
		i = j
	}
}
