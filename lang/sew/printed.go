package sew

import (
	"cmp"
	"math"
	"slices"

	"sewable/lang/geom"
)

// PrintedLine is the line that somebody sees who looks for a seam on the printed
// foundation: the seam and whatever goes straight on from its ends, edges between
// patches that are sewn before or after it and edges of the outline alike. It runs the
// way the seam does.
func (s *Section) PrintedLine(seam geom.Segment) geom.Segment {
	along, long := seam.Dir(), seam.Len()
	if long <= geom.Hair {
		return seam
	}
	type span struct{ from, to float64 }
	var straight []span
	for _, p := range s.Of.Patches {
		for i := range p.Corners {
			e := p.Corners.Edge(i)
			a, b := e.A.Sub(seam.A), e.B.Sub(seam.A)
			if math.Abs(along.Cross(a)) > geom.Hair || math.Abs(along.Cross(b)) > geom.Hair {
				continue
			}
			x, y := along.Dot(a), along.Dot(b)
			straight = append(straight, span{min(x, y), max(x, y)})
		}
	}
	slices.SortFunc(straight, func(a, b span) int { return cmp.Compare(a.from, b.from) })
	line := span{0, long}
	for _, e := range straight {
		if e.from <= line.to+geom.Hair {
			line.to = max(line.to, e.to)
		}
	}
	slices.SortFunc(straight, func(a, b span) int { return cmp.Compare(b.to, a.to) })
	for _, e := range straight {
		if e.to >= line.from-geom.Hair {
			line.from = min(line.from, e.from)
		}
	}
	at := func(x float64) geom.Point { return seam.A.Add(along.Scale(x)) }
	out := seam
	if line.from < -geom.Hair {
		out.A = at(line.from)
	}
	if line.to > long+geom.Hair {
		out.B = at(line.to)
	}
	return out
}
