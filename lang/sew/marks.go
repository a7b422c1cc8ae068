package sew

import (
	"cmp"
	"math"
	"slices"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/memo"
)

// A JoinLine is one sewn join and what marks it. Places along it are measured
// in hairs from its first end, with A's unit on the left.
type JoinLine struct {
	Join  *block.Join // for a partial seam its finish, with the whole seam
	A, B  []*Section  // of either unit, the sections that have an edge on it, in order along it
	Marks []Mark      // in order, the join's own ends first and last
	*JoinShape
}

// A JoinShape is how a join lies. It is made of an assembly and of the shapes along the join, and
// knows sections by number only.
type JoinShape struct {
	Alone  [2]bool      // whether the unit on that side is one section
	Line   []geom.Point // its ends, and the corners where it bends
	Length float64
	Bent   bool      // an inset join, or a wrong one
	Ends   []SeamEnd // seam ends that meet it from either side, between its ends, in order

	spans  []span
	steads []stead // of the section of each span
	facts  memo.Facts
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
	part     int32
	side     Side
	from, to float64
}

// A SeamEnd is where a seam of one side meets a join.
type SeamEnd struct {
	At      float64
	Point   geom.Point
	Side    Side
	Part    int  // the section, as the block counts them; -1 for the join of two sections of that side
	Matched bool // a seam end of the other side is at the same place
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
	for i, a := range j.Ends {
		for _, b := range j.Ends[i+1:] {
			if b.At-a.At >= limit {
				break
			}
			if a.Side == b.Side || a.Matched || b.Matched {
				continue
			}
			if a.Side == SideA {
				pairs = append(pairs, EndPair{a, b})
			} else {
				pairs = append(pairs, EndPair{b, a})
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

// shape is the shape of a join of the assembly.
func (b *Block) shape(seam *JoinSeam, _ int) *JoinShape {
	same := func(j *JoinShape) bool {
		for i, sp := range j.spans {
			if j.steads[i] != b.Sections[sp.part].stead() {
				return false
			}
		}
		return true
	}
	return remember(b, seam, 0, same, func() *JoinShape { return b.layOut(seam) })
}

// layOut lays a join out along its line and finds the seam ends on it.
func (b *Block) layOut(seam *JoinSeam) *JoinShape {
	d := b.whole().division
	j := &JoinShape{Alone: [2]bool{seam.Parts[0] == 1, seam.Parts[1] == 1}, Bent: !seam.Contact.OK()}
	legs := seam.Contact.Legs
	j.Line = append(make([]geom.Point, 0, len(legs)+1), legs[0].A)
	j.spans = make([]span, 0, len(seam.A)+len(seam.B))
	for _, l := range legs {
		j.Line = append(j.Line, l.B)
		j.Length += l.Len()
	}
	// The stretches of the sections; where two of one side meet, a seam ends.
	passed, from := 0.0, 0.0
	extend := func(side Side, part int32, start geom.Point, to float64) {
		for i := len(j.spans) - 1; i >= 0; i-- { // the last of this side is near the end
			if last := &j.spans[i]; last.side == side {
				if last.part == part {
					last.to = to
					return
				}
				j.Ends = append(j.Ends, SeamEnd{At: from, Point: start, Side: side, Part: -1})
				break
			}
		}
		j.spans = append(j.spans, span{part, side, from, to})
	}
	for _, h := range seam.halves {
		e := d.segment(h)
		to := passed + legs[0].Nearest(e.B)*legs[0].Len()
		extend(SideA, d.halves[h].part, e.A, to)
		extend(SideB, d.across(h), e.A, to)
		from = to
		if e.B == legs[0].B && len(legs) > 1 {
			passed += legs[0].Len()
			legs = legs[1:]
			from = passed
		}
	}
	j.steads = make([]stead, len(j.spans))
	for i, sp := range j.spans {
		j.steads[i] = b.Sections[sp.part].stead()
	}
	j.findEnds(b.Sections)
	return j
}

// findEnds adds the seam ends inside the sections to those between them.
func (j *JoinShape) findEnds(sections []*Section) {
	for _, sp := range j.spans {
		for _, p := range sections[sp.part].seamEnds() {
			at, off := j.nearest(p)
			if off <= geom.Hair && at >= sp.from-geom.Hair && at <= sp.to+geom.Hair && at > geom.Hair && at < j.Length-geom.Hair {
				j.Ends = append(j.Ends, SeamEnd{At: at, Point: p, Side: sp.side, Part: int(sp.part)})
			}
		}
	}
	// The join of two sections and the end of a seam in one of them, at the same
	// place, are one end.
	slices.SortStableFunc(j.Ends, func(p, q SeamEnd) int {
		return cmp.Or(cmp.Compare(p.Side, q.Side), cmp.Compare(p.At, q.At))
	})
	j.Ends = slices.CompactFunc(j.Ends, func(p, q SeamEnd) bool { return p.Side == q.Side && math.Abs(q.At-p.At) < geom.Hair })
	slices.SortStableFunc(j.Ends, func(p, q SeamEnd) int { return cmp.Compare(p.At, q.At) })
	for i := range j.Ends {
		for k := i + 1; k < len(j.Ends) && j.Ends[k].At-j.Ends[i].At <= geom.Hair; k++ {
			if j.Ends[k].Side != j.Ends[i].Side {
				j.Ends[i].Matched, j.Ends[k].Matched = true, true
			}
		}
	}
}

// nearest is the place along the join nearest to p, and how far off p is.
func (j *JoinShape) nearest(p geom.Point) (at, off float64) {
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

// marks puts a join's marks in order.
func (j *JoinShape) marks(notches []*NotchPlace) []Mark {
	if len(notches) > 0 {
		return j.markedBy(notches)
	}
	type bare struct{}
	return memo.Of(&j.facts, bare{}, func() []Mark { return j.markedBy(nil) })
}

func (j *JoinShape) markedBy(notches []*NotchPlace) []Mark {
	out := []Mark{
		{Kind: JoinEnd, At: 0, Point: j.Line[0]},
		{Kind: JoinEnd, At: j.Length, Point: j.Line[len(j.Line)-1]},
	}
	for _, e := range j.Ends {
		if e.Matched && e.Side == SideA {
			out = append(out, Mark{Kind: SeamMark, At: e.At, Point: e.Point})
		}
	}
	for _, n := range notches { // those on this join
		if n.Both || n.Side == SideA && len(n.Partners) > 0 {
			out = append(out, Mark{Kind: NotchMark, At: n.At, Point: n.Notch.Point, Name: n.Notch.Name})
		}
	}
	slices.SortStableFunc(out, func(a, b Mark) int { return cmp.Compare(a.At, b.At) })
	return out
}

// seamEnds are the places where a seam between two patches meets the section's
// border, placed.
func (s *Section) seamEnds() []geom.Point {
	s.endsOnce.Do(func() {
		d := s.Division()
		if d.Flawed() {
			return
		}
		for _, v := range d.borderEnds() {
			s.ends = append(s.ends, s.place.Apply(d.points[v]))
		}
	})
	return s.ends
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
