package sew

import (
	"cmp"
	"math"
	"slices"

	"sewable/lang/block"
	"sewable/lang/geom"
)

// A JoinLine is one sewn join and what marks it. Places along it are measured
// in hairs from its first end, with A's unit on the left.
type JoinLine struct {
	Join   *block.Join // for a partial seam its finish, with the whole seam
	A, B   []*Section  // the two units
	Line   []geom.Point
	Length float64
	Bent   bool // an inset join, or a wrong one

	Ends  []SeamEnd // seam ends that meet it from either side, between its ends, in order
	Marks []Mark    // in order, the join's own ends first and last

	spans []span
}

// Side is a side of a join.
type Side uint8

// The sides: A's unit and B's.
const (
	SideA Side = iota
	SideB
)

// A span is the stretch of a join that belongs to one section on one side.
type span struct {
	section  *Section
	side     Side
	from, to float64
}

// A SeamEnd is where a seam of one side meets a join.
type SeamEnd struct {
	At      float64
	Point   geom.Point
	Side    Side
	Section *Section // nil for the join of two sections of that side
	Matched bool     // a seam end of the other side is at the same place
}

// MarkKind tells marks apart.
type MarkKind uint8

// The kinds of mark.
const (
	JoinEnd  MarkKind = iota // an end of the join itself
	SeamMark                 // a seam end from each side at the same place
	NotchMark
)

// A Mark is a place on a join where both sides can be matched.
type Mark struct {
	Kind  MarkKind
	At    float64
	Point geom.Point
	Name  string // the notch's
}

// Unmarked is a stretch of a join between neighbouring marks.
type Unmarked struct{ From, To Mark }

// Len is its length.
func (u Unmarked) Len() float64 { return u.To.At - u.From.At }

// LongestUnmarked is the longest stretch of the join without a mark inside.
func (j *JoinLine) LongestUnmarked() Unmarked {
	var longest Unmarked
	for i := 1; i < len(j.Marks); i++ {
		if u := (Unmarked{j.Marks[i-1], j.Marks[i]}); i == 1 || u.Len() > longest.Len() {
			longest = u
		}
	}
	return longest
}

// EndPair is a seam end of each side.
type EndPair struct{ A, B SeamEnd }

// Dist is how far apart they are along the join.
func (p EndPair) Dist() float64 { return math.Abs(p.A.At - p.B.At) }

// AlmostMatched gives the seam ends of both sides that lie a hair or more, but
// less than limit, apart, each end at most once, where neither is matched.
func (j *JoinLine) AlmostMatched(limit float64) []EndPair {
	var pairs []EndPair
	for _, a := range j.Ends {
		for _, b := range j.Ends {
			if a.Side == SideA && b.Side == SideB && !a.Matched && !b.Matched {
				if p := (EndPair{a, b}); p.Dist() < limit {
					pairs = append(pairs, p)
				}
			}
		}
	}
	slices.SortStableFunc(pairs, func(p, q EndPair) int { return cmp.Compare(p.Dist(), q.Dist()) })
	var out []EndPair
	for _, p := range pairs {
		taken := slices.ContainsFunc(out, func(q EndPair) bool { return q.A == p.A || q.B == p.B })
		if !taken {
			out = append(out, p)
		}
	}
	return out
}

// NotchWhere says where a notch is.
type NotchWhere uint8

// The places of a notch.
const (
	OnJoin     NotchWhere = iota // inside one join
	AtJoinEnd                    // at an end of a join, where corners match by themselves
	OnOuter                      // on the block's outer edge: a mark for the setting
	OffEdge                      // on no edge
	OnUnjoined                   // on an edge whose join is missing or cannot be followed
)

// A NotchPlace is a notch and where it is.
type NotchPlace struct {
	Notch   *block.Notch
	Section *Section // nil for a notch of the block
	Where   NotchWhere
	Join    *JoinLine // for OnJoin and AtJoinEnd
	At      float64   // along the join
	Side    Side      // of the join; a notch of the block is on both
	Both    bool
	Off     float64 // for OffEdge: how far the nearest edge is

	// Partners are the notches of the same name across the join.
	Partners []*NotchPlace
}

// Apart is how far along the join a partner is.
func (n *NotchPlace) Apart(partner *NotchPlace) float64 { return math.Abs(n.At - partner.At) }

// marks are the marks of a block.
type marks struct {
	joins   []*JoinLine
	notches []*NotchPlace
}

// JoinLines are the joins of the block as sewn, with their marks. There are none
// when the sections do not fill the block.
func (b *Block) JoinLines() []*JoinLine { return b.mark().joins }

// Notches are all notches of unbroken sections and of the block, with their
// places. There are none when the sections do not fill the block.
func (b *Block) Notches() []*NotchPlace { return b.mark().notches }

func (b *Block) mark() *marks {
	b.marksOnce.Do(func() {
		m := &marks{}
		b.marks = m
		a := b.assemble()
		if a.sewn == nil {
			return
		}
		for i := range a.sewn.Seams {
			seam := &a.sewn.Seams[i]
			if a.steps[seam.Step].Kind == Partial || len(seam.halves) == 0 || seam.Contact.Kind == Apart || seam.Contact.Kind == Broken {
				continue
			}
			m.joins = append(m.joins, b.joinLine(seam))
		}
		for _, s := range b.Sections {
			for _, n := range s.Of.Notches {
				m.notches = append(m.notches, b.placeNotch(m, n, s))
			}
		}
		for _, n := range b.Of.Notches {
			m.notches = append(m.notches, b.placeNotch(m, n, nil))
		}
		for _, n := range m.notches {
			for _, p := range m.notches {
				across := p.Side != n.Side || p.Both
				if n.Where == OnJoin && !n.Both && p != n && p.Where == OnJoin && p.Join == n.Join && across && p.Notch.Name == n.Notch.Name {
					n.Partners = append(n.Partners, p)
				}
			}
		}
		for _, j := range m.joins {
			j.collect(m.notches)
		}
	})
	return b.marks
}

// joinLine lays a join out along its line and finds the seam ends on it.
func (b *Block) joinLine(seam *JoinSeam) *JoinLine {
	a := b.assemble()
	d := a.division
	j := &JoinLine{
		Join: b.Of.Joins[seam.Step],
		A:    b.Together(seam.A), B: b.Together(seam.B),
		Bent: !seam.Contact.OK(),
	}
	j.Line = append(j.Line, d.from(seam.halves[0]))
	extend := func(part int32, side Side, from, to float64) {
		s := b.Sections[part]
		for i := len(j.spans) - 1; i >= 0; i-- { // the last span of this side
			if last := &j.spans[i]; last.side == side {
				if last.section == s && last.to == from {
					last.to = to
					return
				}
				// Two sections of this side meet here.
				j.Ends = append(j.Ends, SeamEnd{At: from, Point: j.Line[len(j.Line)-2], Side: side})
				break
			}
		}
		j.spans = append(j.spans, span{s, side, from, to})
	}
	for _, h := range seam.halves {
		e := d.segment(h)
		from := j.Length
		j.Length += e.Len()
		j.Line = append(j.Line, e.B)
		extend(d.halves[h].part, SideA, from, j.Length)
		extend(d.across(h), SideB, from, j.Length)
	}
	for _, sp := range j.spans {
		for _, p := range sp.section.seamEnds() {
			at, off := j.nearest(p)
			if off > geom.Hair || at < sp.from-geom.Hair || at > sp.to+geom.Hair {
				continue
			}
			// The join of two sections and the end of a seam in one of them, at the
			// same place, are one end.
			same := func(e SeamEnd) bool { return e.Side == sp.side && math.Abs(e.At-at) < geom.Hair }
			if at > geom.Hair && at < j.Length-geom.Hair && !slices.ContainsFunc(j.Ends, same) {
				j.Ends = append(j.Ends, SeamEnd{At: at, Point: p, Side: sp.side, Section: sp.section})
			}
		}
	}
	slices.SortStableFunc(j.Ends, func(p, q SeamEnd) int {
		return cmp.Or(cmp.Compare(p.At, q.At), cmp.Compare(p.Side, q.Side))
	})
	for i := range j.Ends {
		for k := range j.Ends {
			if p, q := &j.Ends[i], &j.Ends[k]; p.Side != q.Side && p.Point.Dist(q.Point) <= geom.Hair {
				p.Matched = true
			}
		}
	}
	return j
}

// nearest is the place along the join nearest to p, and how far off p is.
func (j *JoinLine) nearest(p geom.Point) (at, off float64) {
	off = math.Inf(1)
	passed := 0.0
	for i := 1; i < len(j.Line); i++ {
		s := geom.Segment{A: j.Line[i-1], B: j.Line[i]}
		if dist := s.Dist(p); dist < off {
			at, off = passed+s.Nearest(p)*s.Len(), dist
		}
		passed += s.Len()
	}
	return at, off
}

// collect puts a join's marks in order.
func (j *JoinLine) collect(notches []*NotchPlace) {
	j.Marks = append(j.Marks,
		Mark{Kind: JoinEnd, At: 0, Point: j.Line[0]},
		Mark{Kind: JoinEnd, At: j.Length, Point: j.Line[len(j.Line)-1]})
	for _, e := range j.Ends {
		if e.Matched && e.Side == SideA {
			j.Marks = append(j.Marks, Mark{Kind: SeamMark, At: e.At, Point: e.Point})
		}
	}
	for _, n := range notches {
		if n.Join == j && n.Where == OnJoin && (n.Both || n.Side == SideA && len(n.Partners) > 0) {
			j.Marks = append(j.Marks, Mark{Kind: NotchMark, At: n.At, Point: n.Notch.Point, Name: n.Notch.Name})
		}
	}
	slices.SortStableFunc(j.Marks, func(a, b Mark) int { return cmp.Compare(a.At, b.At) })
}

// seamEnds are the places where a seam between two patches meets the section's
// border, placed.
func (s *Section) seamEnds() []geom.Point {
	d := s.Division()
	if d.Flawed() {
		return nil
	}
	var out []geom.Point
	for _, v := range d.borderEnds() {
		out = append(out, s.place.Apply(d.points[v]))
	}
	return out
}

// borderEnds are the corners of the border where an inner edge ends.
func (d *Division) borderEnds() []int32 {
	var out []int32
	for h, e := range d.halves {
		if e.twin == none && d.halves[e.prev].twin != none {
			out = append(out, d.halves[h].from)
		}
	}
	return out
}

// placeNotch finds the edge a notch is on.
func (b *Block) placeNotch(m *marks, n *block.Notch, s *Section) *NotchPlace {
	p := &NotchPlace{Notch: n, Section: s, Where: OffEdge, Both: s == nil}
	found := func(j *JoinLine, side Side, at float64) {
		where := OnJoin
		if at < geom.Hair || at > j.Length-geom.Hair {
			where = AtJoinEnd
		}
		if p.Where == OffEdge || where == OnJoin {
			p.Where, p.Join, p.Side, p.At = where, j, side, at
		}
	}
	for _, j := range m.joins {
		at, off := j.nearest(n.Point)
		if off > geom.Hair {
			continue
		}
		if s == nil {
			found(j, SideA, at)
			continue
		}
		for _, sp := range j.spans {
			if sp.section == s && at >= sp.from-geom.Hair && at <= sp.to+geom.Hair {
				found(j, sp.side, at)
			}
		}
	}
	if p.Where != OffEdge {
		return p
	}
	// On no join: the block's outer edge, an edge not joined, or none.
	d := b.assemble().division
	p.Off = math.Inf(1)
	for h := range d.halves {
		e := d.halves[h]
		if s != nil && b.Sections[e.part] != s {
			continue
		}
		off := d.segment(int32(h)).Dist(n.Point)
		p.Off = min(p.Off, off)
		switch {
		case off > geom.Hair:
		case e.twin == none:
			p.Where = OnOuter
		case p.Where == OffEdge:
			p.Where = OnUnjoined
		}
	}
	if p.Where != OffEdge {
		p.Off = 0
	}
	return p
}
