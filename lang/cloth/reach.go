package cloth

import (
	"math"

	"sewable/lang/geom"
)

// End names an end of a line as somebody sees it who looks at the front of the block, or at the
// blank side of its foundation: the way it is drawn, and mirrored where the finished block is.
type End uint8

// The ends of a line.
const (
	Upper End = iota
	Lower
	LeftEnd
	RightEnd
)

// String is the end in a word: "upper".
func (e End) String() string { return [...]string{"upper", "lower", "left", "right"}[e] }

// Opposite is the other end.
func (e End) Opposite() End { return e ^ 1 }

// Breadth compares the two ends of a patch along its seam.
type Breadth uint8

// The ways of Breadth.
const (
	Even Breadth = iota // about as wide as at the other end
	Wide
	Narrow
)

// String is the breadth in a word: "wide".
func (b Breadth) String() string { return [...]string{"even", "wide", "narrow"}[b] }

// Reach says where along its printed line the edge of a piece goes that is not simply
// centered on it: so far past one end.
type Reach struct {
	End     End
	Breadth Breadth    // of the patch at that end
	At      geom.Point // the end of the printed line, in the block
	By      float64    // how far the edge reaches past it; negative where it stops before it
}

// Called is the one word for that end: "upper", "lower"; of a level line, whose left and right are
// swapped on the printed side, "wide" or "narrow" where the patch is, else "left" or "right".
func (r Reach) Called() string {
	if (r.End == LeftEnd || r.End == RightEnd) && r.Breadth != Even {
		return r.Breadth.String()
	}
	return r.End.String()
}

// Reach is where along its line an offer goes. ok is false where it is simply centered on the
// line, and where no edge guides it.
func (p *PlacedPiece) Reach(of Offer) (r Reach, ok bool) {
	if of.Laid.Way != ByEdge || of.Laid.Centered {
		return Reach{}, false
	}
	at, other := p.Seam.Line.A, p.Seam.Line.B
	if of.Laid.AtB {
		at, other = other, at
	}
	return Reach{p.At.end(at.Sub(other)), p.shape.breadth(of.Laid.AtB), at, of.Laid.Reach}, true
}

// end names the end of a line that lies in a direction of the block.
func (p Placed) end(d geom.Point) End {
	if p.Mirrored {
		d.X = -d.X
	}
	return EndToward(d)
}

// EndToward names the end of a line that lies in a direction as somebody sees it, y upward. A line is
// called by its upper and lower end as long as it rises at all: those stay when a block is mirrored.
func EndToward(d geom.Point) End {
	switch flat := math.Abs(d.Y) < math.Abs(d.X)/8; {
	case !flat && d.Y > 0:
		return Upper
	case !flat:
		return Lower
	case d.X > 0:
		return RightEnd
	default:
		return LeftEnd
	}
}

// breadth compares the halves of the patch on either side of its middle along the seam.
func (s *Shape) breadth(atB bool) Breadth {
	x := s.box.Centre().X
	var a, b float64 // area before x and after it
	for i := range s.Corners {
		e := s.Corners.Edge(i)
		whole := trapezoid(e.A, e.B)
		if (e.A.X-x)*(e.B.X-x) < 0 {
			m := e.At((x - e.A.X) / (e.B.X - e.A.X))
			first, second := trapezoid(e.A, m), trapezoid(m, e.B)
			if e.A.X < x {
				a, b = a+first, b+second
			} else {
				a, b = a+second, b+first
			}
		} else if e.A.X+e.B.X < 2*x {
			a += whole
		} else {
			b += whole
		}
	}
	a, b = math.Abs(a), math.Abs(b)
	const much = 1.25
	switch {
	case max(a, b) < much*min(a, b):
		return Even
	case (b > a) == atB:
		return Wide
	default:
		return Narrow
	}
}

// trapezoid is the area between an edge and the x axis, with its sign.
func trapezoid(a, b geom.Point) float64 { return (b.X - a.X) * (a.Y + b.Y) / 2 }
