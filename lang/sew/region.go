package sew

import (
	"math"
	"math/bits"
	"slices"

	"sewable/lang/geom"
)

// A Set is a set of parts of a division, a bit each.
type Set []uint64

// NewSet is a set of some of n parts.
func NewSet(n int, parts ...int) Set {
	s := make(Set, (n+63)/64)
	for _, k := range parts {
		s.Add(k)
	}
	return s
}

// Add puts part k into the set.
func (s Set) Add(k int) { s[k>>6] |= 1 << (k & 63) }

// Has says whether part k is in the set.
func (s Set) Has(k int) bool { return s[k>>6]>>(k&63)&1 == 1 }

// Len is how many members it has.
func (s Set) Len() int {
	n := 0
	for _, w := range s {
		n += bits.OnesCount64(w)
	}
	return n
}

// Parts are the members, in increasing order.
func (s Set) Parts() []int {
	var out []int
	for k := range len(s) * 64 {
		if s.Has(k) {
			out = append(out, k)
		}
	}
	return out
}

// Meets says whether two sets have a member in common.
func (s Set) Meets(t Set) bool {
	for i := range s {
		if s[i]&t[i] != 0 {
			return true
		}
	}
	return false
}

// Within says whether every member is in t.
func (s Set) Within(t Set) bool {
	for i := range s {
		if s[i]&^t[i] != 0 {
			return false
		}
	}
	return true
}

// A RegionChord is a full chord of a region: a straight chain of edges from its
// border to its border, with inner points of the region between.
type RegionChord struct {
	geom.Segment
	Left, Right Set // the parts on either side

	// OnLeft and OnRight are the parts along its first edge: the only ones along it on
	// that side where no seam of that side ends.
	OnLeft, OnRight int

	// EndsLeft and EndsRight count the corners inside the chord where a seam of
	// that side ends; Matches those where seams of both sides do.
	EndsLeft, EndsRight, Matches int
	// Crossed says that at some corner inside it a seam may go straight on
	// across it.
	Crossed bool

	chain []int32
}

// Corners are the numbers of its corners, from end to end.
func (r *Regions) Corners(c *RegionChord) []int {
	var out []int
	for _, h := range c.chain {
		out = append(out, int(r.d.halves[h].from))
	}
	return append(out, int(r.d.to(c.chain[len(c.chain)-1])))
}

// Regions asks for regions of a division: unions of some of its parts. It keeps
// what it needs to work in, so it serves one goroutine.
type Regions struct {
	d     *Division
	in    []bool // the parts of the region asked for
	known []byte // of corners: whether they are inner points of it
	wait  []bool
	todo  []int32
	flood []int32
	shut  []bool // halves along a chord
}

// Regions starts asking. The division must have no flaws.
func (d *Division) Regions() *Regions {
	return &Regions{
		d: d, in: make([]bool, d.Parts()), known: make([]byte, len(d.points)),
		wait: make([]bool, d.Parts()), shut: make([]bool, len(d.halves)),
	}
}

// All is the set of all parts.
func (r *Regions) All() Set {
	s := NewSet(len(r.in))
	for k := range r.in {
		s.Add(k)
	}
	return s
}

func (r *Regions) enter(region Set) {
	for k := range r.in {
		r.in[k] = region.Has(k)
	}
}

// Core is what is left of a region when every part is taken off that can be (see
// FindOrder), of the parts that loose allows; a nil loose allows all. One part is
// left of a region that can be sewn.
func (r *Regions) Core(region, loose Set) Set {
	d := r.d
	r.enter(region)
	left := 0
	r.todo = r.todo[:0]
	for k := len(r.in) - 1; k >= 0; k-- {
		r.wait[k] = false
		if !r.in[k] {
			continue
		}
		left++
		if loose == nil || loose.Has(k) {
			r.todo = append(r.todo, int32(k))
			r.wait[k] = true
		}
	}
	core := slices.Clone(region)
	for left > 1 && len(r.todo) > 0 {
		k := int(r.todo[len(r.todo)-1])
		r.todo = r.todo[:len(r.todo)-1]
		r.wait[k] = false
		r.in[k] = false // sewsOn asks for the others
		if !d.sewsOn(k, r.in) {
			r.in[k] = true
			continue
		}
		left--
		core[k>>6] &^= 1 << (k & 63)
		for h := d.first[k]; h < d.first[k+1]; h++ {
			if q := d.across(h); q != none && r.in[q] && !r.wait[q] && (loose == nil || loose.Has(int(q))) {
				r.wait[q] = true
				r.todo = append(r.todo, q)
			}
		}
	}
	return core
}

// Chords gives every full chord of a region, once each. Chords that leave the
// region in one piece are left out.
func (r *Regions) Chords(region Set) []RegionChord {
	d := r.d
	r.enter(region)
	clear(r.known)
	var found []RegionChord
	for k := range r.in {
		if !r.in[k] {
			continue
		}
		for h := d.first[k]; h < d.first[k+1]; h++ {
			if q := d.across(h); q == none || !r.in[q] || r.inner(d.halves[h].from) {
				continue
			}
			chain := d.chordFrom(h, r.in, r.inner)
			// Of the chain and its other side keep the one that starts first.
			if chain == nil || h > d.halves[chain[len(chain)-1]].twin || !d.straight(chain) {
				continue
			}
			c := RegionChord{Segment: d.chainSegment(chain), chain: chain}
			if r.sides(&c, region) {
				r.ends(&c)
				found = append(found, c)
			}
		}
	}
	return found
}

// inner says whether a corner is an inner point of the region.
func (r *Regions) inner(v int32) bool {
	const yes, no = 1, 2
	if r.known[v] == 0 {
		r.known[v] = no
		if r.d.inner(v, func(p int32) bool { return r.in[p] }) {
			r.known[v] = yes
		}
	}
	return r.known[v] == yes
}

// sides finds the parts on either side of a chord.
func (r *Regions) sides(c *RegionChord, region Set) bool {
	d := r.d
	for _, h := range c.chain {
		r.shut[h], r.shut[d.halves[h].twin] = true, true
	}
	start := d.halves[c.chain[0]].part
	c.Left = make(Set, len(region))
	c.Left.Add(int(start))
	c.OnLeft, c.OnRight = int(start), int(d.across(c.chain[0]))
	r.flood = append(r.flood[:0], start)
	for len(r.flood) > 0 {
		k := r.flood[len(r.flood)-1]
		r.flood = r.flood[:len(r.flood)-1]
		for h := d.first[k]; h < d.first[k+1]; h++ {
			if q := d.across(h); q != none && r.in[q] && !r.shut[h] && !c.Left.Has(int(q)) {
				c.Left.Add(int(q))
				r.flood = append(r.flood, q)
			}
		}
	}
	for _, h := range c.chain {
		r.shut[h], r.shut[d.halves[h].twin] = false, false
	}
	c.Right = make(Set, len(region))
	some := false
	for i := range region {
		c.Right[i] = region[i] &^ c.Left[i]
		some = some || c.Right[i] != 0
	}
	return some && !c.Left.Has(c.OnRight)
}

// ends counts the seams that end on a chord from either side.
func (r *Regions) ends(c *RegionChord) {
	d := r.d
	u := c.B.Sub(c.A)
	for i, h := range c.chain[1:] {
		v, back := d.halves[h].from, d.halves[c.chain[i]].twin
		var left, right []geom.Point
		for _, g := range d.leaving(v) {
			if g == h || g == back {
				continue
			}
			if way := d.points[d.to(g)].Sub(d.points[v]); u.Cross(way) > 0 {
				left = append(left, way)
			} else {
				right = append(right, way)
			}
		}
		if len(left) > 0 {
			c.EndsLeft++
		}
		if len(right) > 0 {
			c.EndsRight++
		}
		if len(left) > 0 && len(right) > 0 {
			c.Matches++
		}
		for _, a := range left {
			for _, b := range right {
				c.Crossed = c.Crossed || onOneLine(a, b)
			}
		}
	}
}

// AlmostMatched counts the places on a chord where a seam of either side ends, a hair
// or more but less than a limit apart; each end counts once.
func (r *Regions) AlmostMatched(c *RegionChord, limit float64) int {
	if limit <= geom.Hair || c.EndsLeft == 0 || c.EndsRight == 0 {
		return 0
	}
	d := r.d
	u := c.B.Sub(c.A)
	type end struct {
		at          float64
		left, right bool
	}
	var ends []end
	for i, h := range c.chain[1:] {
		v, back := d.halves[h].from, d.halves[c.chain[i]].twin
		e := end{at: c.A.Dist(d.points[v])}
		for _, g := range d.leaving(v) {
			if g != h && g != back {
				left := u.Cross(d.way(g)) > 0
				e.left, e.right = e.left || left, e.right || !left
			}
		}
		ends = append(ends, e)
	}
	n := 0
	for i := 0; i+1 < len(ends); i++ {
		a, b := ends[i], ends[i+1]
		if a.left != a.right && b.left != b.right && a.left != b.left && b.at-a.at < limit {
			n++
			i++
		}
	}
	return n
}

// onOneLine says whether two ways that leave a corner may belong to one chord. The ends of
// both lie within a hair of the line of a chord then, so that of the longer strays from it by no
// more than three hairs as far beyond the corner as the shorter goes, and the end of the
// shorter lies within four hairs of the longer.
func onOneLine(a, b geom.Point) bool {
	return a.Dot(b) < 0 && math.Abs(a.Cross(b)) <= 4.01*geom.Hair*max(a.Len(), b.Len())
}

// Lines is how many seam lines leave a corner.
func (d *Division) Lines(v int) int {
	n := 0
	for _, h := range d.leaving(int32(v)) {
		if d.halves[h].twin != none {
			n++
		}
	}
	return n
}

// Enclosed is how much of a part's edge other parts lie along, and how long it is.
func (d *Division) Enclosed(k int) (inside, around float64) {
	for h := d.first[k]; h < d.first[k+1]; h++ {
		l := d.segment(h).Len()
		around += l
		if d.halves[h].twin != none {
			inside += l
		}
	}
	return inside, around
}
