package sew

import (
	"math"
	"slices"
	"strconv"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/memo"
)

// A Mistakable is a join that could as well be sewn on another edge of one of
// its sections, by length and marks, and would give another picture then.
type Mistakable struct {
	Join        *JoinLine
	Section     *Section
	Edge, Other geom.Segment // the section's edge that is meant, and the one like it
}

// Mistakables are the joins of the block that can be confused. Right sides
// together an edge fits one way only, so the other edge is taken in the same
// direction. Only sections that are not yet joined to others are looked at, and
// only straight joins along a whole edge; each section of a join is told once.
func (b *Block) Mistakables() []Mistakable {
	var out []Mistakable
	for i, c := range b.confusions() {
		j := b.JoinLines()[i]
		for side, c := range c {
			s := j.side(Side(side))
			for _, other := range c.others {
				if !s[0].looksAlike(other, c.edge) {
					out = append(out, Mistakable{j, s[0], c.edge, other})
					break
				}
			}
		}
	}
	return out
}

// A confusion is, for either side of a join, the section's edge and others that
// have its length and its marks, whatever the picture.
type confusion [2]struct {
	edge   geom.Segment
	others []geom.Segment
}

// confusions are those of all joins.
func (b *Block) confusions() []*confusion {
	type all struct{}
	return memo.Of(b.JoinFacts(), all{}, func() (out []*confusion) {
		ofBlock := notchText(b.Of.Notches)
		for _, j := range b.JoinLines() {
			out = append(out, b.confusion(j, ofBlock))
		}
		return out
	})
}

// confusion is that of a join. Beside the shapes along it, it is made of the notches on them.
func (b *Block) confusion(j *JoinLine, ofBlock string) *confusion {
	type with struct {
		notches [2]string
		ofBlock string
	}
	var key with
	for _, side := range []Side{SideA, SideB} {
		if j.Alone[side] {
			key.notches[side], key.ofBlock = notchText(j.side(side)[0].Of.Notches), ofBlock
		}
	}
	return memo.Of(&j.facts, key, func() *confusion {
		c := new(confusion)
		for _, side := range []Side{SideA, SideB} {
			if !j.Bent && j.Alone[side] {
				c[side].edge, c[side].others = j.alikeEdges(side, j.side(side)[0])
			}
		}
		return c
	})
}

// side are the sections of one side of the join.
func (j *JoinLine) side(side Side) []*Section {
	if side == SideB {
		return j.B
	}
	return j.A
}

// notchText is all that makes notches, as a text.
func notchText(notches []*block.Notch) string {
	if len(notches) == 0 {
		return ""
	}
	var text []byte
	for _, n := range notches {
		text = append(text, n.Name...)
		for _, x := range []float64{n.Point.X, n.Point.Y} {
			text = strconv.AppendFloat(append(text, ' '), x, 'g', -1, 64)
		}
		text = append(text, '\n')
	}
	return string(text)
}

// alikeEdges are a section's edge on the join and its edges that are like it.
func (j *JoinLine) alikeEdges(side Side, s *Section) (edge geom.Segment, others []geom.Segment) {
	outline := s.Outline().Weld().Straighten().CCW()
	edge = geom.Segment{A: j.Line[0], B: j.Line[len(j.Line)-1]}
	if side == SideB { // with the section on its left, as the outline has it
		edge = edge.Reverse()
	}
	meant := -1
	for i := range outline {
		if e := outline.Edge(i); e.A.Dist(edge.A) <= geom.Hair && e.B.Dist(edge.B) <= geom.Hair {
			meant = i
		}
	}
	if meant < 0 {
		return edge, nil
	}
	// What the other side shows along this edge, from its start.
	var theirs []float64
	for _, e := range j.Ends {
		if e.Side != side {
			at := e.At
			if side == SideB {
				at = j.Length - at
			}
			theirs = append(theirs, at)
		}
	}
	want := s.marksAlong(edge, theirs)
	for i := range outline {
		other := outline.Edge(i)
		if i != meant && math.Abs(other.Len()-edge.Len()) <= geom.Hair && slices.EqualFunc(want, s.marksAlong(other, theirs), nearMark) {
			others = append(others, other)
		}
	}
	return edge, others
}

// edgeMark is what a sewist sees on an edge: a notch, or a seam end (without a
// name) that meets one of the other side.
type edgeMark struct {
	at   float64
	name string
}

func nearMark(a, b edgeMark) bool { return a.name == b.name && math.Abs(a.at-b.at) <= geom.Hair }

// marksAlong gives the marks of a section's edge, were it sewn to an edge that
// has seam ends at the places given.
func (s *Section) marksAlong(edge geom.Segment, theirs []float64) []edgeMark {
	var out []edgeMark
	for _, n := range slices.Concat(s.Of.Notches, s.Block.Of.Notches) { // one of the block marks both sides
		if edge.Dist(n.Point) <= geom.Hair {
			out = append(out, edgeMark{edge.A.Dist(n.Point), n.Name})
		}
	}
	for _, p := range s.seamEnds() {
		at := edge.A.Dist(p)
		meets := slices.ContainsFunc(theirs, func(t float64) bool { return math.Abs(t-at) <= geom.Hair })
		if meets && edge.Dist(p) <= geom.Hair && at > geom.Hair && at < edge.Len()-geom.Hair {
			out = append(out, edgeMark{at: at})
		}
	}
	slices.SortFunc(out, func(a, b edgeMark) int {
		switch {
		case a.at < b.at:
			return -1
		case a.at > b.at:
			return 1
		}
		return 0
	})
	return out
}

// looksAlike says whether turning the section so that one edge comes to lie on
// another gives the same picture: every patch falls on one of the same fabric.
func (s *Section) looksAlike(from, onto geom.Segment) bool {
	turn := turning(from, onto)
	for _, p := range s.Of.Patches {
		moved := p.Corners
		alike := slices.ContainsFunc(s.Of.Patches, func(q *block.Patch) bool {
			return q.Fabric == p.Fabric && len(q.Corners) == len(moved) && covers(turn, moved, q.Corners)
		})
		if !alike {
			return false
		}
	}
	return true
}

func covers(turn func(geom.Point) geom.Point, from, onto geom.Polygon) bool {
	for _, c := range from {
		at := turn(c)
		if !slices.ContainsFunc(onto, func(o geom.Point) bool { return o.Dist(at) <= 2*geom.Hair }) {
			return false
		}
	}
	return true
}

// turning is the turn, without mirroring, that brings one segment onto another
// of the same length.
func turning(from, onto geom.Segment) func(geom.Point) geom.Point {
	u, v := from.Dir(), onto.Dir()
	cos, sin := u.Dot(v), u.Cross(v)
	return func(p geom.Point) geom.Point {
		p = p.Sub(from.A)
		return onto.A.Add(geom.Point{X: cos*p.X - sin*p.Y, Y: sin*p.X + cos*p.Y})
	}
}
