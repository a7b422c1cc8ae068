package sew

import (
	"math"

	"sewable/lang/block"
	"sewable/lang/geom"
)

// placeNotches finds the edges and the partners of all notches.
func (b *Block) placeNotches(joins []*JoinLine) []*NotchPlace {
	var out []*NotchPlace
	find := newNotchFinder(b, joins)
	for i, s := range b.Sections {
		for _, n := range s.Of.Notches {
			out = append(out, find.place(n, s, i))
		}
	}
	for _, n := range b.Of.Notches {
		out = append(out, find.place(n, nil, -1))
	}
	type onJoin struct {
		join *JoinLine
		name string
	}
	named := map[onJoin][]*NotchPlace{}
	for _, n := range out {
		if n.Where == OnJoin {
			key := onJoin{n.Join, n.Notch.Name}
			named[key] = append(named[key], n)
		}
	}
	for _, n := range out {
		if n.Where != OnJoin || n.Both {
			continue
		}
		for _, p := range named[onJoin{n.Join, n.Notch.Name}] {
			if p.Both || p.Side != n.Side {
				n.Partners = append(n.Partners, p)
			}
		}
	}
	return out
}

// A notchFinder finds the edges that notches are on.
type notchFinder struct {
	b     *Block
	joins []*JoinLine
	of    []int // the join of every leg
	legs  *geom.SegmentGrid
	edges *geom.SegmentGrid // of the block's division, half by half
}

func newNotchFinder(b *Block, joins []*JoinLine) *notchFinder {
	f := &notchFinder{b: b, joins: joins}
	var legs []geom.Segment
	for i, j := range joins {
		for k := 1; k < len(j.Line); k++ {
			legs = append(legs, geom.Segment{A: j.Line[k-1], B: j.Line[k]})
			f.of = append(f.of, i)
		}
	}
	f.legs = geom.NewSegmentGrid(legs)
	f.edges = b.Division().edges()
	return f
}

// place finds where a notch of a section, its part of the block, or of the block when
// s is nil, is.
func (f *notchFinder) place(n *block.Notch, s *Section, part int) *NotchPlace {
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
	spot := geom.Segment{A: n.Point, B: n.Point}
	last := -1
	for _, leg := range f.legs.AppendNear(nil, spot, geom.Hair) {
		if f.of[leg] == last {
			continue
		}
		last = f.of[leg]
		j := f.joins[last]
		at, off := j.nearest(n.Point)
		if off > geom.Hair {
			continue
		}
		if s == nil {
			found(j, SideA, at)
			continue
		}
		for _, sp := range j.spans {
			if int(sp.part) == part && at >= sp.from-geom.Hair && at <= sp.to+geom.Hair {
				found(j, sp.side, at)
			}
		}
	}
	if p.Where != OffEdge {
		return p
	}
	// On no join: the block's outer edge, an edge not joined, or none.
	d := f.b.Division()
	for _, h := range f.edges.AppendNear(nil, spot, geom.Hair) {
		e := d.halves[h]
		switch {
		case s != nil && f.b.Sections[e.part] != s, d.segment(int32(h)).Dist(n.Point) > geom.Hair:
		case e.twin == none:
			p.Where = OnOuter
		case p.Where == OffEdge:
			p.Where = OnUnjoined
		}
	}
	if p.Where == OffEdge {
		p.Off = f.off(n.Point, s)
	}
	return p
}

// off is how far a place is from the edges of a section, or of all.
func (f *notchFinder) off(at geom.Point, s *Section) float64 {
	d := f.b.Division()
	least := math.Inf(1)
	for part, sec := range f.b.Sections {
		if s == nil || sec == s {
			for h := d.first[part]; h < d.first[part+1]; h++ {
				least = min(least, d.segment(h).Dist(at))
			}
		}
	}
	return least
}
