package sew

import (
	"math"
	"slices"

	"sewable/lang/geom"
)

// ContactKind says how a part meets the work.
type ContactKind uint8

// The kinds of contact. Only OneSeam can be sewn.
const (
	OneSeam   ContactKind = iota // along one unbroken straight segment
	NoContact                    // not at all
	Corner                       // only in corners
	Apart                        // along two or more stretches that do not line up
	Broken                       // along one straight line, but with a gap in it
	Bent                         // along one stretch that is not straight
	PointHeld                    // along one straight segment, but at a corner inside it the work is open: it would hang by a point
)

// String is the kind in a word or two.
func (k ContactKind) String() string {
	return [...]string{"one seam", "no contact", "corner", "apart", "broken", "bent", "point-held"}[k]
}

// A Contact is how a part, or several, meet the work: the legs along which
// they touch and what that makes them.
type Contact struct {
	Kind ContactKind
	Seam geom.Segment // for OneSeam and PointHeld, from end to end with the part on the left
	Legs []Leg        // the straight stretches, in order along the part's edge; one for OneSeam

	// Angle is, for Bent, the angle in degrees between the first two legs at
	// the corner where they meet; for Apart, the angle between their lines.
	Angle float64
	// At is the corner meant: for Bent where the first two legs meet, for
	// Corner where the part touches, for PointHeld where the work is open, for
	// Broken the middle of the gap.
	At geom.Point
}

// A Leg is one straight stretch of a contact.
type Leg struct {
	geom.Segment       // with the part on the left
	On           []int // the parts of the work along it, in order
}

// OK says that the contact can be sewn.
func (c *Contact) OK() bool { return c.Kind == OneSeam }

// Contact is how part k meets the parts for which work is true. The work must
// not have k itself; it has one entry for every part.
func (d *Division) Contact(k int, work []bool) Contact {
	var halves []int32
	for h := d.first[k]; h < d.first[k+1]; h++ {
		if q := d.across(h); q != none && work[q] {
			halves = append(halves, h)
		}
	}
	in := func(p int32) bool { return p == int32(k) || work[p] }
	c := d.contact(halves, in)
	if c.Kind == NoContact {
		for h := d.first[k]; h < d.first[k+1]; h++ {
			v := d.halves[h].from
			for _, g := range d.leaving(v) {
				if work[d.halves[g].part] {
					c.Kind, c.At = Corner, d.points[v]
					return c
				}
			}
		}
	}
	return c
}

// OneChain says whether some parts meet the work along one stretch of edges, straight or bent.
func (d *Division) OneChain(parts []int, work []bool) bool {
	var halves []int32
	member := make([]bool, d.Parts())
	for _, k := range parts {
		member[k] = true
		for h := d.first[k]; h < d.first[k+1]; h++ {
			if q := d.across(h); q != none && work[q] {
				halves = append(halves, h)
			}
		}
	}
	c := d.contact(halves, func(p int32) bool { return member[p] || work[p] })
	return c.OK() || c.Kind == Bent
}

// leaving gives the halves that leave corner v.
func (d *Division) leaving(v int32) []int32 { return d.out[d.outAt[v]:d.outAt[v+1]] }

// inner says whether corner v is an inner point of the union of the parts in a
// set: they are all around it.
func (d *Division) inner(v int32, in func(int32) bool) bool {
	for _, h := range d.leaving(v) {
		if d.halves[h].twin == none || !in(d.halves[h].part) {
			return false
		}
	}
	return true
}

// contact judges the halves along which one side meets the other; in says which
// parts are on either.
func (d *Division) contact(halves []int32, in func(int32) bool) Contact {
	if len(halves) == 0 {
		return Contact{Kind: NoContact}
	}
	var c Contact
	chains := d.chains(halves)
	for _, chain := range chains {
		c.Legs = d.legs(c.Legs, chain)
	}
	one := len(chains) == 1 && len(c.Legs) == 1
	switch {
	case one:
		c.Seam = c.Legs[0].Segment
		for _, h := range chains[0][1:] {
			if v := d.halves[h].from; !d.inner(v, in) {
				c.Kind, c.At = PointHeld, d.points[v]
				break
			}
		}
	case len(chains) == 1:
		c.Kind = Bent
		a, b := c.Legs[0].Segment, c.Legs[1].Segment
		c.At = a.B
		c.Angle = angle(a.A.Sub(a.B), b.B.Sub(b.A))
	default:
		a, b := c.Legs[0].Segment, c.Legs[1].Segment
		c.Kind = Apart
		if from, to, ok := oneLine(c.Legs); ok {
			c.Kind, c.At = Broken, geom.Segment{A: from, B: to}.Mid()
		} else if c.Angle = angle(a.B.Sub(a.A), b.B.Sub(b.A)); c.Angle > 90 {
			c.Angle = 180 - c.Angle
		}
	}
	return c
}

// chains puts halves in order, end to start, in as few chains as there are; the
// order of the first half of each is kept.
func (d *Division) chains(halves []int32) [][]int32 {
	if d.isChain(halves) {
		return [][]int32{halves}
	}
	starts := make(map[int32]int32, len(halves)) // by corner
	ends := make(map[int32]bool, len(halves))
	for _, h := range halves {
		if _, ok := starts[d.halves[h].from]; !ok {
			starts[d.halves[h].from] = h
		}
		ends[d.to(h)] = true
	}
	var chains [][]int32
	used := make(map[int32]bool, len(halves))
	follow := func(h int32) {
		var chain []int32
		for !used[h] {
			used[h] = true
			chain = append(chain, h)
			next, ok := starts[d.to(h)]
			if !ok {
				break
			}
			h = next
		}
		if len(chain) > 0 {
			chains = append(chains, chain)
		}
	}
	for _, h := range halves {
		if !ends[d.halves[h].from] {
			follow(h)
		}
	}
	for _, h := range halves { // what is left runs in a ring: begin at a turn
		if d.turn[h] {
			follow(h)
		}
	}
	for _, h := range halves {
		follow(h)
	}
	return chains
}

// isChain says whether a few halves, as most seams are, lie end to start in their order,
// and pass no corner twice.
func (d *Division) isChain(halves []int32) bool {
	const few = 8
	if len(halves) == 0 || len(halves) > few {
		return false
	}
	for i, h := range halves {
		if i > 0 && d.to(halves[i-1]) != d.halves[h].from {
			return false
		}
		for _, g := range halves[i:] {
			if d.to(g) == d.halves[h].from {
				return false
			}
		}
	}
	return true
}

// straight says whether a chain of halves is straight: every corner within a
// hair of the line through its ends, none of them passing an end.
func (d *Division) straight(chain []int32) bool {
	s := geom.Segment{A: d.from(chain[0]), B: d.points[d.to(chain[len(chain)-1])]}
	if s.A == s.B {
		return false
	}
	for _, h := range chain[1:] {
		if s.Dist(d.from(h)) > geom.Hair {
			return false
		}
	}
	return true
}

// legs cuts a chain into straight legs, at the corners that are furthest from
// straight (Douglas and Peucker, Cartographica 10(2), 1973), and adds them to others.
func (d *Division) legs(legs []Leg, chain []int32) []Leg {
	s := geom.Segment{A: d.from(chain[0]), B: d.points[d.to(chain[len(chain)-1])]}
	worst, far := 0, geom.Hair
	for i, h := range chain[1:] {
		if dist := s.Dist(d.from(h)); dist > far {
			worst, far = i+1, dist
		}
	}
	if worst > 0 {
		return d.legs(d.legs(legs, chain[:worst]), chain[worst:])
	}
	leg := Leg{Segment: s}
	for _, h := range chain {
		if q := int(d.across(h)); !slices.Contains(leg.On, q) {
			leg.On = append(leg.On, q)
		}
	}
	return append(legs, leg)
}

// angle is the angle between two directions in degrees, 0 to 180.
func angle(u, v geom.Point) float64 {
	return math.Abs(math.Atan2(u.Cross(v), u.Dot(v))) * 180 / math.Pi
}

// oneLine says whether all legs lie on one line, and gives the first gap.
func oneLine(legs []Leg) (from, to geom.Point, ok bool) {
	line := legs[0].Segment
	for _, l := range legs[1:] { // the longest base there is
		for _, p := range [2]geom.Point{l.A, l.B} {
			if q := line.Nearest(p); q <= 0 && p.Dist(line.B) > line.Len() {
				line.A = p
			} else if q >= 1 && p.Dist(line.A) > line.Len() {
				line.B = p
			}
		}
	}
	for _, l := range legs {
		if line.Dist(l.A) > geom.Hair || line.Dist(l.B) > geom.Hair {
			return from, to, false
		}
	}
	sorted := slices.Clone(legs)
	slices.SortFunc(sorted, func(a, b Leg) int {
		if line.Nearest(a.A) < line.Nearest(b.A) {
			return -1
		}
		return 1
	})
	return sorted[0].B, sorted[1].A, true
}
