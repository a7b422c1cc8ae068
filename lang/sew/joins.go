package sew

import (
	"slices"

	"sewable/lang/geom"
)

// JoinKind tells joins apart.
type JoinKind uint8

// The kinds of join, in the order block.JoinKind has them.
const (
	Straight JoinKind = iota
	Inset             // may be bent: it is meant
	Partial           // stitches part of the edge, and leaves the rest open
	Finish            // sews the rest of a partial seam
)

// A JoinStep sews the unit that holds part A to the unit that holds part B.
type JoinStep struct {
	A, B int
	Kind JoinKind
}

// JoinFlawKind says what is wrong with a join.
type JoinFlawKind uint8

// The kinds of join flaw.
const (
	NotStraight JoinFlawKind = iota // the common edge is not one unbroken straight segment
	NoEdge                          // the two units have no edge in common
	OneTooMany                      // both parts are in one unit already
	LeftOver                        // a unit that no join reaches
	NoPartial                       // a finish without its partial seam
	Unfinished                      // a partial seam that is never finished
)

// String is the kind in a word or two.
func (k JoinFlawKind) String() string {
	return [...]string{"not straight", "no edge", "one too many", "left over", "no partial", "unfinished"}[k]
}

// A JoinFlaw is something wrong with a list of joins.
type JoinFlaw struct {
	Kind    JoinFlawKind
	Step    int     // the join, or -1 for LeftOver
	Contact Contact // for NotStraight and NoEdge: how the units meet, A's on the left
	Unit    []int   // for LeftOver: the parts of that unit, in increasing order
}

// A JoinSeam is what one join sews.
type JoinSeam struct {
	Step    int
	A, B    []int   // the parts that have an edge on it, of A's unit and of B's, in order along it
	Parts   [2]int  // how many parts the two units have when it is sewn
	Contact Contact // with A's unit on the left; for Finish, the whole seam
	halves  []int32 // the edges sewn, A's unit on the left, in order if it is one chain
}

// CheckJoins sews joins in their order and gives what is wrong. A join that is
// wrong counts as sewn, so that one mistake is told once. It is silent on a
// flawed division.
//
// While a partial seam is open, edges on its line that have one of its two
// units (as they were when it was sewn) on the proper side are left out of all
// joins. Finishing it sews them; with the part stitched before they must be one
// unbroken straight segment.
func (d *Division) CheckJoins(steps []JoinStep) []JoinFlaw {
	if d.Flawed() {
		return nil
	}
	return d.Sew(steps).Flaws
}

// Sewn is the outcome of sewing joins in their order.
type Sewn struct {
	Seams []JoinSeam // of the joins that sew something: all but OneTooMany and NoPartial
	Flaws []JoinFlaw
	Units [][]int // at the end, the largest first
}

// Sew follows joins in their order, see CheckJoins. The division must have no
// flaws.
func (d *Division) Sew(steps []JoinStep) *Sewn {
	s := newUnits(d)
	out := &Sewn{}
	for i, step := range steps {
		a, b := s.unit[step.A], s.unit[step.B]
		flaw := JoinFlaw{Step: i}
		if step.Kind == Finish {
			seam, ok := s.finish(step)
			if !ok {
				flaw.Kind = NoPartial
				out.Flaws = append(out.Flaws, flaw)
				continue
			}
			seam.Step = i
			out.Seams = append(out.Seams, seam)
			if !seam.Contact.OK() {
				flaw.Kind, flaw.Contact = NotStraight, seam.Contact
				out.Flaws = append(out.Flaws, flaw)
			}
			continue
		}
		if a == b {
			flaw.Kind = OneTooMany
			out.Flaws = append(out.Flaws, flaw)
			continue
		}
		seam := s.seam(a, b)
		seam.Step = i
		out.Seams = append(out.Seams, seam)
		switch c := seam.Contact; {
		case c.Kind == NoContact || c.Kind == Corner:
			flaw.Kind, flaw.Contact = NoEdge, c
			out.Flaws = append(out.Flaws, flaw)
		case !fits(step.Kind, &c):
			flaw.Kind, flaw.Contact = NotStraight, c
			out.Flaws = append(out.Flaws, flaw)
		}
		if step.Kind == Partial {
			s.open = append(s.open, s.leave(i, step, &seam))
		}
		s.join(a, b)
	}
	for _, o := range s.open {
		out.Flaws = append(out.Flaws, JoinFlaw{Kind: Unfinished, Step: o.step})
	}
	for _, m := range s.members {
		if len(m) > 0 {
			m = slices.Clone(m)
			slices.Sort(m)
			out.Units = append(out.Units, m)
		}
	}
	slices.SortStableFunc(out.Units, func(a, b []int) int {
		if len(a) != len(b) {
			return len(b) - len(a)
		}
		return a[0] - b[0]
	})
	for i, m := range out.Units {
		if i > 0 {
			out.Flaws = append(out.Flaws, JoinFlaw{Kind: LeftOver, Step: -1, Unit: m})
		}
	}
	return out
}

// fits says whether a contact will do for a kind of join. An inset join may
// bend, but its edge is still one.
func fits(kind JoinKind, c *Contact) bool {
	return c.OK() || kind == Inset && c.Kind == Bent
}

// units is the state of the sewing table.
type units struct {
	d       *Division
	unit    []int   // of every part
	members [][]int // of every unit; none when it is sewn into another
	open    []openSeam
}

// openSeam is a partial seam not yet finished.
type openSeam struct {
	step   int
	a, b   int // the parts named
	line   geom.Segment
	pa, pb []bool // the parts on the left and on the right of the line
}

func newUnits(d *Division) *units {
	s := &units{d: d, unit: make([]int, d.Parts()), members: make([][]int, d.Parts())}
	for k := range s.unit {
		s.unit[k] = k
		s.members[k] = []int{k}
	}
	return s
}

func (s *units) join(a, b int) {
	if len(s.members[a]) < len(s.members[b]) {
		a, b = b, a
	}
	for _, k := range s.members[b] {
		s.unit[k] = a
	}
	s.members[a] = append(s.members[a], s.members[b]...)
	s.members[b] = nil
}

// edges gives the halves along which unit a meets unit b, a on the left, without
// those that an open seam leaves out.
func (s *units) edges(a, b int) []int32 {
	d := s.d
	from, to, flip := a, b, false
	if len(s.members[a]) > len(s.members[b]) {
		from, to, flip = b, a, true
	}
	var halves []int32
	for _, k := range s.members[from] {
		for h := d.first[k]; h < d.first[k+1]; h++ {
			if q := d.across(h); q != none && s.unit[q] == to {
				g := h
				if flip {
					g = d.halves[h].twin
				}
				if !s.leftOut(g) {
					halves = append(halves, g)
				}
			}
		}
	}
	slices.Sort(halves) // in a's own order, whichever unit was walked
	return halves
}

// seam is what joining unit a to unit b would sew.
func (s *units) seam(a, b int) JoinSeam {
	halves := s.edges(a, b)
	c := s.d.contact(halves, func(p int32) bool { u := s.unit[p]; return u == a || u == b })
	if c.Kind == NoContact {
		s.touch(a, b, &c)
	}
	seam := JoinSeam{Parts: [2]int{len(s.members[a]), len(s.members[b])}, Contact: c}
	s.d.follow(&seam, halves)
	return seam
}

// follow puts the halves of a seam in order and notes the parts along it.
func (d *Division) follow(seam *JoinSeam, halves []int32) {
	for _, chain := range d.chains(halves) {
		seam.halves = append(seam.halves, chain...)
	}
	note := func(parts []int, p int32) []int {
		if n := len(parts); n > 0 && parts[n-1] == int(p) {
			return parts
		}
		return append(parts, int(p))
	}
	for _, h := range seam.halves {
		seam.A = note(seam.A, d.halves[h].part)
		seam.B = note(seam.B, d.across(h))
	}
}

// touch looks for a corner that two units share.
func (s *units) touch(a, b int, c *Contact) {
	d := s.d
	for _, k := range s.members[a] {
		for h := d.first[k]; h < d.first[k+1]; h++ {
			v := d.halves[h].from
			for _, g := range d.leaving(v) {
				if s.unit[d.halves[g].part] == b {
					c.Kind, c.At = Corner, d.points[v]
					return
				}
			}
		}
	}
}

// leave opens a partial seam.
func (s *units) leave(i int, step JoinStep, seam *JoinSeam) openSeam {
	o := openSeam{step: i, a: step.A, b: step.B, pa: make([]bool, s.d.Parts()), pb: make([]bool, s.d.Parts())}
	if len(seam.Contact.Legs) > 0 {
		o.line = seam.Contact.Legs[0].Segment
	}
	for k, u := range s.unit {
		o.pa[k] = u == s.unit[step.A]
		o.pb[k] = u == s.unit[step.B]
	}
	return o
}

// has says whether half h lies on an open seam's line, with the one unit on its
// left or the other on its right.
func (o *openSeam) has(d *Division, h int32) bool {
	e := d.segment(h)
	u := o.line.B.Sub(o.line.A)
	length := u.Len()
	if length == 0 || e.B.Sub(e.A).Dot(u) <= 0 {
		return false
	}
	off := func(p geom.Point) float64 { x := u.Cross(p.Sub(o.line.A)) / length; return max(x, -x) }
	if off(e.A) > geom.Hair || off(e.B) > geom.Hair {
		return false
	}
	q := d.across(h)
	return q != none && (o.pa[d.halves[h].part] || o.pb[q])
}

func (s *units) leftOut(h int32) bool {
	for i := range s.open {
		if s.open[i].has(s.d, h) || s.open[i].has(s.d, s.d.halves[h].twin) {
			return true
		}
	}
	return false
}

// finish closes a partial seam.
func (s *units) finish(step JoinStep) (JoinSeam, bool) {
	i := slices.IndexFunc(s.open, func(o openSeam) bool {
		return o.a == step.A && o.b == step.B || o.a == step.B && o.b == step.A
	})
	if i < 0 {
		return JoinSeam{}, false
	}
	o := s.open[i]
	s.open = slices.Delete(slices.Clone(s.open), i, i+1)
	d := s.d
	u := s.unit[step.A]
	var halves []int32
	seam := JoinSeam{Parts: [2]int{len(s.members[u]), len(s.members[u])}}
	for _, k := range s.members[u] {
		for h := d.first[k]; h < d.first[k+1]; h++ {
			if q := d.across(h); q != none && s.unit[q] == u && o.has(d, h) {
				halves = append(halves, h)
			}
		}
	}
	slices.Sort(halves)
	seam.Contact = d.contact(halves, func(p int32) bool { return s.unit[p] == u })
	d.follow(&seam, halves)
	return seam, true
}
