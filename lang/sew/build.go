package sew

import (
	"math"
	"slices"
	"sync"

	"sewable/lang/geom"
)

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

// weld gives every typed corner its number.
func (b *builder) weld(outline geom.Polygon, parts []geom.Polygon) {
	n := len(outline)
	for _, p := range parts {
		n += len(p)
	}
	b.typed = make([]int32, 0, n)
	b.typedAt = make([]int32, 1, len(parts)+2)
	var w geom.Welder
	w.Expect(n / 2)
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

// sideBuffers are lent to pair: small blocks need many, one after another.
type sideBuffers struct{ sides, sorted []side }

var pairing = sync.Pool{New: func() any { return new(sideBuffers) }}

// pair finds the other side of every half. An edge should have two halves that
// run opposite ways, or one that runs with the outline.
func (b *builder) pair() {
	n := len(b.halves)
	for _, r := range b.rings {
		n += len(r)
	}
	buf := pairing.Get().(*sideBuffers)
	sides := slices.Grow(buf.sides[:0], n)
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
	sorted := slices.Grow(buf.sorted[:0], n)[:n]
	buf.sides, buf.sorted = sides, sorted
	defer pairing.Put(buf)
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
