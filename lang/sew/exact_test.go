package sew_test

import (
	"fmt"
	"math/big"
	"math/rand/v2"

	"sewable/lang/geom"
)

// This file is a second, tiny reading of what sewable means, straight from the
// definition and in exact rational arithmetic (math/big): no welding, no
// half-edges, no tolerance. The tests hold the package against it, by
// exhaustive search.

// rpoint is an exact point.
type rpoint struct{ x, y *big.Rat }

func rp(x, y int64) rpoint { return rpoint{big.NewRat(x, 1), big.NewRat(y, 1)} }

func (p rpoint) sub(q rpoint) rpoint {
	return rpoint{new(big.Rat).Sub(p.x, q.x), new(big.Rat).Sub(p.y, q.y)}
}

func (p rpoint) plus(t *big.Rat, v rpoint) rpoint {
	return rpoint{
		new(big.Rat).Add(p.x, new(big.Rat).Mul(t, v.x)),
		new(big.Rat).Add(p.y, new(big.Rat).Mul(t, v.y)),
	}
}

func (p rpoint) eq(q rpoint) bool { return p.x.Cmp(q.x) == 0 && p.y.Cmp(q.y) == 0 }

func rcross(u, v rpoint) *big.Rat {
	return new(big.Rat).Sub(new(big.Rat).Mul(u.x, v.y), new(big.Rat).Mul(u.y, v.x))
}

func rdot(u, v rpoint) *big.Rat {
	return new(big.Rat).Add(new(big.Rat).Mul(u.x, v.x), new(big.Rat).Mul(u.y, v.y))
}

// orient is the side of the line from a to b that c is on.
func orient(a, b, c rpoint) int { return rcross(b.sub(a), c.sub(a)).Sign() }

// rpoly is an anticlockwise polygon.
type rpoly []rpoint

func (p rpoly) at(i int) rpoint { return p[(i+len(p))%len(p)] }

func (p rpoly) area2() *big.Rat {
	sum := new(big.Rat)
	for i := range p {
		sum.Add(sum, rcross(p.at(i), p.at(i+1)))
	}
	return sum
}

// float gives the polygon in hairs, so many to the unit.
func (p rpoly) float(scale float64) geom.Polygon {
	out := make(geom.Polygon, len(p))
	for i, c := range p {
		x, _ := c.x.Float64()
		y, _ := c.y.Float64()
		out[i] = geom.Point{X: x * scale, Y: y * scale}
	}
	return out
}

// within says that c lies on the segment from a to b, ends included.
func within(a, b, c rpoint) bool {
	if orient(a, b, c) != 0 {
		return false
	}
	return rdot(c.sub(a), c.sub(b)).Sign() <= 0
}

// stretch is a common piece of two outlines, along the first.
type stretch struct{ a, b rpoint }

// common gives the pieces that an edge of p shares with edges of q that run the
// other way.
func common(p, q rpoly) []stretch {
	var found []stretch
	for i := range p {
		a, b := p.at(i), p.at(i+1)
		d := b.sub(a)
		dd := rdot(d, d)
		for j := range q {
			c, e := q.at(j), q.at(j+1)
			if orient(a, b, c) != 0 || orient(a, b, e) != 0 || rdot(d, e.sub(c)).Sign() >= 0 {
				continue
			}
			// As parts of the way from a to b: q's edge runs from hi to lo.
			hi := new(big.Rat).Quo(rdot(c.sub(a), d), dd)
			lo := new(big.Rat).Quo(rdot(e.sub(a), d), dd)
			if lo.Sign() < 0 {
				lo = new(big.Rat)
			}
			if one := big.NewRat(1, 1); hi.Cmp(one) > 0 {
				hi = one
			}
			if lo.Cmp(hi) < 0 {
				found = append(found, stretch{a.plus(lo, d), a.plus(hi, d)})
			}
		}
	}
	return found
}

// wedge is the angle of a polygon at a place on its outline, anticlockwise from
// from to to.
type wedge struct{ from, to rpoint }

func wedges(p rpoly, at rpoint) []wedge {
	var found []wedge
	for i := range p {
		a, b := p.at(i), p.at(i+1)
		switch {
		case a.eq(at):
			found = append(found, wedge{b.sub(at), p.at(i - 1).sub(at)})
		case !b.eq(at) && within(a, b, at):
			found = append(found, wedge{b.sub(at), a.sub(at)})
		}
	}
	return found
}

func sameWay(u, v rpoint) bool { return rcross(u, v).Sign() == 0 && rdot(u, v).Sign() > 0 }

// a tiling is a division in exact coordinates.
type tiling struct {
	outline rpoly
	patches []rpoly
	known   *facts
}

func (t *tiling) String() string {
	s := fmt.Sprintln("outline", t.outline.float(1))
	for i, p := range t.patches {
		s += fmt.Sprintln(i, p.float(1))
	}
	return s
}

// facts are what seams needs of a tiling, worked out once: its corners, the
// pieces of outline that patches have in common, cut at every corner, and the
// angles around the corners.
type facts struct {
	corners []rpoint
	common  [][][][2]int // [p][q]: pieces from corner to corner, p on the left
	wedges  [][]ray2     // [corner]: every patch's angle there
	orient  map[[3]int]int
}

// ray2 is a patch's angle at a corner; from and to number the ways there.
type ray2 struct{ patch, from, to int }

func (t *tiling) work() *facts {
	if t.known != nil {
		return t.known
	}
	f := &facts{orient: map[[3]int]int{}}
	t.known = f
	no := func(p rpoint) int {
		for i, c := range f.corners {
			if c.eq(p) {
				return i
			}
		}
		f.corners = append(f.corners, p)
		return len(f.corners) - 1
	}
	for _, p := range t.patches {
		for _, c := range p {
			no(c)
		}
	}
	for i, p := range t.patches {
		f.common = append(f.common, make([][][2]int, len(t.patches)))
		for j, q := range t.patches[:i] {
			for _, s := range common(p, q) {
				a, b := no(s.a), no(s.b)
				f.common[i][j] = append(f.common[i][j], [2]int{a, b})
				f.common[j][i] = append(f.common[j][i], [2]int{b, a})
			}
		}
	}
	for _, at := range f.corners {
		var ways []rpoint
		way := func(v rpoint) int {
			for i, w := range ways {
				if sameWay(v, w) {
					return i
				}
			}
			ways = append(ways, v)
			return len(ways) - 1
		}
		var ws []ray2
		for i, p := range t.patches {
			for _, w := range wedges(p, at) {
				ws = append(ws, ray2{i, way(w.from), way(w.to)})
			}
		}
		f.wedges = append(f.wedges, ws)
	}
	return f
}

// side is the side of the line from corner a to b that c is on.
func (f *facts) side(a, b, c int) int {
	s, ok := f.orient[[3]int{a, b, c}]
	if !ok {
		s = orient(f.corners[a], f.corners[b], f.corners[c])
		f.orient[[3]int{a, b, c}] = s
	}
	return s
}

// seams is the definition: patch set k meets patch set u along exactly one
// unbroken straight segment of positive length, whose inner points are inner
// points of both together. Sets are bits.
func (t *tiling) seams(k, u uint) bool {
	f := t.work()
	var pieces [][2]int
	for i := range t.patches {
		for j := range t.patches {
			if k>>i&1 == 1 && u>>j&1 == 1 {
				pieces = append(pieces, f.common[i][j]...)
			}
		}
	}
	if len(pieces) == 0 {
		return false
	}
	// All on one line, end to end.
	a, b := pieces[0][0], pieces[0][1]
	var inner []int // where two pieces meet
	for rest := pieces[1:]; len(rest) > 0; {
		var later [][2]int
		for _, s := range rest {
			switch {
			case f.side(a, b, s[0]) != 0 || f.side(a, b, s[1]) != 0:
				return false
			case s[0] == b:
				inner, b = append(inner, b), s[1]
			case s[1] == a:
				inner, a = append(inner, a), s[0]
			default:
				later = append(later, s)
			}
		}
		if len(later) == len(rest) {
			return false // a gap
		}
		rest = later
	}
	if rdot(f.corners[pieces[0][1]].sub(f.corners[pieces[0][0]]), f.corners[b].sub(f.corners[a])).Sign() < 0 {
		return false
	}
	// A corner of a patch may also lie inside a piece, touching it only there.
	for c := range f.corners {
		for _, s := range pieces {
			if c != s[0] && c != s[1] && f.side(s[0], s[1], c) == 0 && within(f.corners[s[0]], f.corners[s[1]], f.corners[c]) {
				inner = append(inner, c)
			}
		}
	}
	for _, c := range inner {
		if !f.closed(c, k|u) {
			return false
		}
	}
	return true
}

// closed says whether a set of patches closes around a corner: where one's
// angle ends, another's begins.
func (f *facts) closed(c int, set uint) bool {
	for _, w := range f.wedges[c] {
		if set>>w.patch&1 == 0 {
			continue
		}
		next := false
		for _, v := range f.wedges[c] {
			next = next || set>>v.patch&1 == 1 && v.from == w.to
		}
		if !next {
			return false
		}
	}
	return true
}

// sewing is an exhaustive search over the sets of patches sewn so far, as bits.
type sewing struct {
	t     *tiling
	n     int
	steps []int8 // by set and patch: 1 can be sewn onto the set, -1 cannot, 0 not asked
	ways  []int  // by set: in how many ways all others can be sewn onto it, plus one; 0 not asked
}

func (t *tiling) search() *sewing {
	n := len(t.patches)
	return &sewing{t: t, n: n, steps: make([]int8, n<<n), ways: make([]int, 1<<n)}
}

// step says whether patch k can be sewn onto the set u.
func (s *sewing) step(u, k int) bool {
	at := &s.steps[u*s.n+k]
	if *at == 0 {
		*at = -1
		if s.t.seams(1<<k, uint(u)) {
			*at = 1
		}
	}
	return *at == 1
}

// count is in how many ways all others can be sewn onto the set u.
func (s *sewing) count(u int) int {
	if s.ways[u] == 0 {
		s.ways[u] = 1
		if u == 1<<s.n-1 {
			s.ways[u] = 2
		}
		for k := range s.n {
			if u>>k&1 == 0 && s.step(u, k) {
				s.ways[u] += s.count(u | 1<<k)
			}
		}
	}
	return s.ways[u] - 1
}

func (s *sewing) to(u int) bool { return s.count(u) > 0 }

func (s *sewing) sewable() bool {
	for k := range s.n {
		if s.to(1 << k) {
			return true
		}
	}
	return false
}

func (s *sewing) check(order []int) (bad int) {
	u := 1 << order[0]
	for _, k := range order[1:] {
		if !s.step(u, k) {
			return k
		}
		u |= 1 << k
	}
	return -1
}

// before says for every pair whether i comes before j in every sewable order
// that begins with first.
func (s *sewing) before(first int) [][]bool {
	must := make([][]bool, s.n)
	for i := range must {
		must[i] = make([]bool, s.n)
		for j := range must[i] {
			must[i][j] = i != j
		}
	}
	reach := make([]bool, 1<<s.n)
	reach[1<<first] = true
	for j := range s.n {
		must[j][first] = false
	}
	for u := range reach {
		if !reach[u] {
			continue
		}
		for k := range s.n {
			if v := u | 1<<k; u>>k&1 == 0 && s.step(u, k) && s.to(v) {
				reach[v] = true
				for i := range s.n {
					if u>>i&1 == 0 {
						must[i][k] = false
					}
				}
			}
		}
	}
	return must
}

// The generator. Coordinates are small whole numbers or parts of an edge, so
// that lines often line up and corners often coincide.

var outlines = []rpoly{
	{rp(0, 0), rp(8, 0), rp(8, 8), rp(0, 8)},
	{rp(0, 0), rp(8, 0), rp(8, 4), rp(4, 4), rp(4, 8), rp(0, 8)}, // the one of the counterexample
	{rp(0, 0), rp(8, 0), rp(8, 8), rp(6, 8), rp(6, 2), rp(2, 2), rp(2, 8), rp(0, 8)},
	{rp(0, 0), rp(4, 2), rp(8, 0), rp(6, 4), rp(8, 8), rp(4, 6), rp(0, 8), rp(2, 4)},
	{rp(0, 0), rp(8, 0), rp(4, 3)},
	{rp(0, 0), rp(8, 0), rp(8, 4), rp(4, 8), rp(4, 4), rp(0, 8)},
	{rp(2, 0), rp(6, 0), rp(8, 4), rp(6, 8), rp(2, 8), rp(0, 4)},
	{rp(0, 2), rp(2, 2), rp(2, 0), rp(6, 0), rp(6, 2), rp(8, 2), rp(8, 6), rp(6, 6), rp(6, 8), rp(2, 8), rp(2, 6), rp(0, 6)},
}

// randomTiling cuts an outline by chords into about n patches, sets pinwheels
// into it and joins neighbours again, so that patches need not be convex.
func randomTiling(r *rand.Rand, n int) *tiling {
	t := &tiling{outline: outlines[r.IntN(len(outlines))]}
	t.patches = []rpoly{t.outline}
	extra := 0
	if r.IntN(2) == 0 {
		extra = r.IntN(4) // to be joined again
	}
	for tries := 0; len(t.patches) < n+extra && tries < 200; tries++ {
		i := r.IntN(len(t.patches))
		if r.IntN(6) == 0 && len(t.patches)+4 <= n+extra {
			if pieces := pinwheel(r, t.patches[i]); pieces != nil {
				t.patches = append(append(t.patches[:i:i], t.patches[i+1:]...), pieces...)
			}
			continue
		}
		if a, b, ok := chord(r, t.patches[i]); ok {
			t.patches[i] = a
			t.patches = append(t.patches, b)
		}
	}
	for tries := 0; extra > 0 && tries < 60 && len(t.patches) > 2; tries++ {
		i, j := r.IntN(len(t.patches)), r.IntN(len(t.patches))
		if i == j {
			continue
		}
		if m, ok := merge(t.patches[i], t.patches[j]); ok {
			t.patches[i] = m
			t.patches = append(t.patches[:j], t.patches[j+1:]...)
			extra--
		}
	}
	for len(t.patches) > n {
		return randomTiling(r, n)
	}
	r.Shuffle(len(t.patches), func(i, j int) { t.patches[i], t.patches[j] = t.patches[j], t.patches[i] })
	return t
}

// chord cuts a polygon from one place on its outline to another.
func chord(r *rand.Rand, p rpoly) (a, b rpoly, ok bool) {
	p = refine(r, refine(r, p))
	i, j := r.IntN(len(p)), r.IntN(len(p))
	if i > j {
		i, j = j, i
	}
	if !sees(p, i, j) {
		return nil, nil, false
	}
	a = append(rpoly{}, p[i:j+1]...)
	b = append(append(rpoly{}, p[j:]...), p[:i+1]...)
	return tidy(a), tidy(b), true
}

// refine adds a corner on one edge: the middle, a third or a quarter.
func refine(r *rand.Rand, p rpoly) rpoly {
	if r.IntN(3) == 0 {
		return p
	}
	i := r.IntN(len(p))
	f := [][2]int64{{1, 2}, {1, 2}, {1, 4}, {3, 4}, {1, 3}}[r.IntN(5)]
	q := p.at(i).plus(big.NewRat(f[0], f[1]), p.at(i+1).sub(p.at(i)))
	return append(append(append(rpoly{}, p[:i+1]...), q), p[i+1:]...)
}

// sees says whether the inside of the segment between corners i and j lies
// inside the polygon.
func sees(p rpoly, i, j int) bool {
	a, b := p[i], p[j]
	if i == j || a.eq(b) {
		return false
	}
	for k := range p {
		c, d := p.at(k), p.at(k+1)
		if !c.eq(a) && !c.eq(b) && within(a, b, c) {
			return false
		}
		if orient(a, b, c)*orient(a, b, d) < 0 && orient(c, d, a)*orient(c, d, b) < 0 {
			return false
		}
	}
	// It leaves corner i into the polygon's angle there.
	prev, next := p.at(i-1).sub(a), p.at(i+1).sub(a)
	v := b.sub(a)
	if rcross(next, prev).Sign() > 0 || rcross(next, prev).Sign() == 0 && rdot(next, prev).Sign() > 0 {
		return rcross(next, v).Sign() > 0 && rcross(v, prev).Sign() > 0
	}
	return rcross(next, v).Sign() > 0 || rcross(v, prev).Sign() > 0
}

// tidy drops corners where the outline goes straight on, as a designer would.
func tidy(p rpoly) rpoly {
	var out rpoly
	for i := range p {
		if orient(p.at(i-1), p.at(i), p.at(i+1)) != 0 {
			out = append(out, p[i])
		}
	}
	return out
}

func (p rpoly) convex() bool {
	for i := range p {
		if orient(p.at(i-1), p.at(i), p.at(i+1)) <= 0 {
			return false
		}
	}
	return true
}

// pinwheel sets a pinwheel into a convex polygon: a core of three or four
// corners whose edges run on, each one way, to the polygon's edge.
func pinwheel(r *rand.Rand, p rpoly) []rpoly {
	if len(p) < 3 || !p.convex() {
		return nil
	}
	// The core is the polygon's first corners, drawn in to its middle.
	m := min(len(p), 3+r.IntN(2))
	mid := rpoint{new(big.Rat), new(big.Rat)}
	for _, c := range p {
		mid = mid.plus(big.NewRat(1, int64(len(p))), c)
	}
	core := rpoly{}
	f := big.NewRat(int64(1+r.IntN(2)), 3)
	off := r.IntN(len(p))
	for i := range m {
		core = append(core, mid.plus(f, p.at(off+i).sub(mid)))
	}
	if !core.convex() {
		return nil
	}
	// Where the edge from core i through core i+1 meets the polygon's edge.
	type hit struct {
		at   rpoint
		edge int
	}
	hits := make([]hit, m)
	for i := range core {
		a, d := core.at(i+1), core.at(i+1).sub(core.at(i))
		found := false
		for k := range p {
			c, e := p.at(k), p.at(k+1).sub(p.at(k))
			det := rcross(d, e)
			if det.Sign() == 0 {
				continue
			}
			t := new(big.Rat).Quo(rcross(c.sub(a), e), det)
			u := new(big.Rat).Quo(rcross(c.sub(a), d), det)
			if t.Sign() > 0 && u.Sign() >= 0 && u.Cmp(big.NewRat(1, 1)) < 0 {
				hits[i], found = hit{a.plus(t, d), k}, true
			}
		}
		if !found {
			return nil
		}
	}
	pieces := []rpoly{core}
	for i := range core {
		h, g := hits[i], hits[(i+1)%m]
		piece := rpoly{h.at}
		for k := h.edge; k != g.edge || len(piece) == 0; k = (k + 1) % len(p) {
			piece = append(piece, p.at(k+1))
		}
		piece = append(piece, g.at, core.at(i+1))
		var clean rpoly
		for _, c := range piece {
			if len(clean) == 0 || !clean[len(clean)-1].eq(c) {
				clean = append(clean, c)
			}
		}
		if clean = tidy(clean); len(clean) < 3 || clean.area2().Sign() <= 0 {
			return nil
		}
		pieces = append(pieces, clean)
	}
	return pieces
}

// merge joins two polygons that share one unbroken stretch of outline.
func merge(p, q rpoly) (rpoly, bool) {
	// Give both the other's corners, then cancel what runs both ways.
	p, q = with(p, q), with(q, p)
	type edge struct{ a, b rpoint }
	var edges []edge
	shared := 0
	for _, pq := range [][2]rpoly{{p, q}, {q, p}} {
		for i := range pq[0] {
			e := edge{pq[0].at(i), pq[0].at(i + 1)}
			twin := false
			for j := range pq[1] {
				twin = twin || pq[1].at(j).eq(e.b) && pq[1].at(j+1).eq(e.a)
			}
			if twin {
				shared++
			} else {
				edges = append(edges, e)
			}
		}
	}
	if shared == 0 || len(edges) == 0 {
		return nil, false
	}
	out := rpoly{edges[0].a}
	for at := edges[0].b; !at.eq(out[0]); {
		out = append(out, at)
		found := 0
		var next rpoint
		for _, e := range edges {
			if e.a.eq(at) {
				next = e.b
				found++
			}
		}
		if found != 1 {
			return nil, false
		}
		at = next
	}
	if len(out) != len(edges) {
		return nil, false
	}
	return tidy(out), true
}

// with is p with those corners of q that lie on its edges.
func with(p, q rpoly) rpoly {
	var out rpoly
	for i := range p {
		a, b := p.at(i), p.at(i+1)
		on := []rpoint{a}
		for _, c := range q {
			if !c.eq(a) && !c.eq(b) && within(a, b, c) {
				at := len(on)
				for at > 1 && rdot(on[at-1].sub(a), b.sub(a)).Cmp(rdot(c.sub(a), b.sub(a))) > 0 {
					at--
				}
				on = append(on[:at], append([]rpoint{c}, on[at:]...)...)
			}
		}
		out = append(out, on...)
	}
	return out
}
