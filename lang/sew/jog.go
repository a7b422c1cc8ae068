package sew

import (
	"math"
	"slices"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/memo"
)

// A Jog is a small step in a section's outline: a short edge between two longer
// ones that go on in about the same direction. It is easily cut straight across.
type Jog struct {
	Step          geom.Segment // the short edge
	Before, After geom.Segment // the edges that it parts, in the direction of the outline
	Size          float64      // how far the line of After is from that of Before, at the step
	Join          *block.Join  // the join that runs along the step; nil for none
	Outer         bool         // the step is on the block's outline
}

// Straight is the line that would do without the jog: from the far end of one edge to
// the far end of the other.
func (j Jog) Straight() geom.Segment { return geom.Segment{A: j.Before.A, B: j.After.B} }

// jogMost is how large a step may be to be one that is cut across, in allowances of the
// block: 1 in at 1/4 in.
const jogMost = 4

// jogTurn is the cosine of how far the edges beside a step may turn: 30°.
var jogTurn = math.Cos(30 * math.Pi / 180)

// Jogs are the small steps in a section's outline, in its order.
func (s *Section) Jogs() []Jog {
	b := s.Of.Block
	if b.Allowance == nil || b.Allowance.Broken {
		return nil
	}
	type upTo float64
	most := jogMost * b.Allowance.Size.Float64()
	out := slices.Clone(memo.Of(s.Facts(), upTo(most), func() []Jog { return jogs(s.original.Outline().Straighten(), most) }))
	for i := range out {
		j := &out[i]
		for _, edge := range []*geom.Segment{&j.Step, &j.Before, &j.After} {
			edge.A, edge.B = s.place.Apply(edge.A), s.place.Apply(edge.B)
		}
		j.Outer = b.Outline.HasAlong(j.Step)
	}
	if len(out) > 0 {
		s.joinsAlong(out)
	}
	return out
}

// jogs are the steps of an outline up to a size.
func jogs(outline geom.Polygon, most float64) (out []Jog) {
	for i := range outline {
		n := len(outline)
		step, before, after := outline.Edge(i), outline.Edge((i+n-1)%n), outline.Edge((i+1)%n)
		u, v, w := before.Dir(), step.Dir(), after.Dir()
		long := step.Len()
		if long > most || long >= before.Len() || long >= after.Len() || u.Dot(w) < jogTurn || u.Cross(v)*v.Cross(w) >= 0 {
			continue
		}
		out = append(out, Jog{Step: step, Before: before, After: after, Size: math.Abs(u.Cross(step.B.Sub(step.A)))})
	}
	return out
}

// joinsAlong finds the joins that run along jogs.
func (s *Section) joinsAlong(jogs []Jog) {
	for _, line := range s.Block.JoinLines() {
		for i := range jogs {
			for k := 1; k < len(line.Line); k++ {
				if (geom.Segment{A: line.Line[k-1], B: line.Line[k]}).Holds(jogs[i].Step) {
					jogs[i].Join = line.Join
				}
			}
		}
	}
}
