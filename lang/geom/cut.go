package geom

import (
	"cmp"
	"math"
	"slices"
)

// Chord is an unbroken piece of a straight line whose inner points are inner
// points of a polygon and whose ends lie on its outline.
type Chord struct {
	Segment      // from A to B in the direction the line was given
	From, To End // where A and B lie
}

// End is a place on a polygon's outline: corner Edge when Corner is true, else
// inside the edge from corner Edge to the next.
type End struct {
	Edge   int
	Corner bool
}

// Overlap is the length that the chord shares with the segment from p to q,
// which lies on the same line.
func (c Chord) Overlap(p, q Point) float64 {
	u := c.Dir()
	tp, tq := u.Dot(p.Sub(c.A)), u.Dot(q.Sub(c.A))
	return max(0, min(c.Len(), max(tp, tq))-max(0, min(tp, tq)))
}

// Chords are the chords in which the endless line through p and q crosses the
// inside of a simple polygon, in order from p towards q. There is none when p
// and q are nearer than a hair.
//
// A corner within a hair of the line is on it: a chord ends there, a reflex
// corner that the line only touches included, and the chord's end is the
// corner itself. Where the line runs along edges, within a hair, there is no
// chord; nor is there one shorter than a hair or one that cuts off a sliver.
//
// The corners are sorted once into left, right and on, and everything follows
// from that. Just left of the line the inside begins and ends wherever the
// outline goes from left to not left, just right of it likewise; a chord lies
// where both are inside.
func Chords(poly Polygon, p, q Point) []Chord {
	n := len(poly)
	length := p.Dist(q)
	if n < 3 || !(length >= Hair) || !finite(length) {
		return nil
	}
	l := line{p, q, q.Sub(p).Scale(1 / length)}

	var room [3][16]contact
	onLeft, onRight, corners := room[0][:0], room[1][:0], room[2][:0]
	before := l.side(poly[n-1])
	sideBefore := sideOf(before)
	for i, c := range poly {
		s := l.side(c)
		side := sideOf(s)
		if side == 0 {
			corners = append(corners, contact{l.along(c), c, End{i, true}})
		}
		if side != sideBefore {
			var at contact
			switch {
			case side == 0:
				at = corners[len(corners)-1]
			case sideBefore == 0:
				j := (i + n - 1) % n
				at = contact{l.along(poly[j]), poly[j], End{j, true}}
			default:
				j := (i + n - 1) % n
				x := l.crossing(Segment{poly[j], c}, before/(before-s))
				at = contact{l.along(x), x, End{j, false}}
			}
			if (side > 0) != (sideBefore > 0) {
				onLeft = append(onLeft, at)
			}
			if (side < 0) != (sideBefore < 0) {
				onRight = append(onRight, at)
			}
		}
		before, sideBefore = s, side
	}
	if len(onLeft) == 0 || len(onRight) == 0 {
		return nil
	}
	inOrder(onLeft)
	inOrder(onRight)
	inOrder(corners)

	var chords []Chord
	for i, j := 0, 0; i < len(onLeft) && j < len(onRight); {
		from := later(onLeft[i], onRight[j])
		to := earlier(onLeft[i+1], onRight[j+1])
		for _, c := range corners { // touched on the way
			if from.t < c.t && c.t < to.t {
				chords = appendChord(chords, poly, from, c)
				from = c
			}
		}
		chords = appendChord(chords, poly, from, to)
		if onLeft[i+1].t < onRight[j+1].t {
			i += 2
		} else {
			j += 2
		}
	}
	return chords
}

// contact is a place where the outline meets the line, t along it.
type contact struct {
	t   float64
	at  Point
	end End
}

func inOrder(cs []contact) {
	if len(cs) < 2 || len(cs) == 2 && cs[0].t <= cs[1].t {
		return
	}
	slices.SortFunc(cs, func(a, b contact) int {
		return cmp.Or(cmp.Compare(a.t, b.t), cmp.Compare(a.end.Edge, b.end.Edge))
	})
}

func later(a, b contact) contact {
	if b.t > a.t {
		return b
	}
	return a
}

func earlier(a, b contact) contact {
	if b.t < a.t {
		return b
	}
	return a
}

// appendChord adds the chord between two contacts, unless it is shorter than a
// hair or cuts nothing off.
func appendChord(chords []Chord, poly Polygon, from, to contact) []Chord {
	if to.t-from.t < Hair {
		return chords
	}
	c := Chord{Segment{from.at, to.at}, from.end, to.end}
	if !cutsOff(poly, c.Segment, c.To, c.From) || !cutsOff(poly, c.Reverse(), c.From, c.To) {
		return chords
	}
	return append(chords, c)
}

// cutsOff says whether the part between the chord s and the outline from one
// end to the other is more than a sliver. Ends move to the corners they are
// near, so the line between them is not quite the one that sorted the corners;
// and the tip of a sharp corner may be too narrow for cloth.
func cutsOff(poly Polygon, s Segment, from, to End) bool {
	// A corner that makes a triangle with the chord over two hairs high on its
	// longest side will do: no line is within a hair of all three.
	v := s.B.Sub(s.A)
	wide := false
	eachBetween(len(poly), from, to, func(i int) bool {
		a, b := poly[i].Sub(s.A), poly[i].Sub(s.B)
		twice := v.Cross(a)
		wide = twice*twice > 4*Hair*Hair*max(v.Dot(v), a.Dot(a), b.Dot(b))
		return !wide
	})
	return wide || !isSliver(part(poly, s, from, to))
}

// Split cuts a polygon along one of its chords into the part on the left and
// the part on the right of the chord's direction. Both run the same way round
// as the polygon, both begin with the chord, and both have its very end
// points.
func Split(poly Polygon, c Chord) (left, right Polygon) {
	left = part(poly, c.Segment, c.To, c.From)
	right = part(poly, c.Reverse(), c.From, c.To)
	if poly.Area() < 0 {
		left, right = right, left
	}
	return left, right
}

// part is the chord followed by the outline from its second end to its first.
func part(poly Polygon, s Segment, from, to End) Polygon {
	n := len(poly)
	out := make(Polygon, 0, (to.Edge-from.Edge+n-1)%n+4)
	out = append(out, s.A, s.B)
	eachBetween(n, from, to, func(i int) bool {
		out = append(out, poly[i])
		return true
	})
	return out
}

// eachBetween visits the corners strictly between two places on the outline of
// n corners, until visit says stop. Both places inside one edge have every
// corner between them, or none when the second follows the first; as the ends
// of a chord never share an edge, that case means all.
func eachBetween(n int, from, to End, visit func(int) bool) {
	last := to.Edge
	if to.Corner {
		last = (last + n - 1) % n
	}
	if from.Corner && to.Corner && (from.Edge+1)%n == to.Edge {
		return // neighbours
	}
	if !from.Corner && to.Corner && (from.Edge+1)%n == to.Edge ||
		from.Corner && !to.Corner && from.Edge == to.Edge {
		return
	}
	for i := (from.Edge + 1) % n; ; i = (i + 1) % n {
		if !visit(i) || i == last {
			return
		}
	}
}

// line is a line through two points, with its unit direction.
type line struct{ p, q, u Point }

func (l line) side(c Point) float64  { return l.u.Cross(c.Sub(l.p)) }
func (l line) along(c Point) float64 { return l.u.Dot(c.Sub(l.p)) }

// sideOf is 1 on the left, -1 on the right, 0 within a hair of the line.
func sideOf(s float64) int {
	switch {
	case s > Hair:
		return 1
	case s < -Hair:
		return -1
	}
	return 0
}

// crossing is the point a part t of the way along an edge, in the given
// coordinates wherever there are any: those of p and q where they mark the
// place, and the one that an upright or level line keeps.
func (l line) crossing(e Segment, t float64) Point {
	x := e.At(t)
	for _, given := range [2]Point{l.p, l.q} {
		if math.Abs(given.X-x.X) < noise && math.Abs(given.Y-x.Y) < noise {
			return given
		}
	}
	if l.u.X == 0 {
		x.X = l.p.X
	}
	if l.u.Y == 0 {
		x.Y = l.p.Y
	}
	return x
}
