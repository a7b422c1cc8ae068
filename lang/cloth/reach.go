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
	Even Breadth = iota // not plainly wider or narrower than at the other end
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

// Called is the one word for that end: "wide" or "narrow", which both sides of the paper show however it
// is turned, else "upper", "lower", "left" or "right".
func (r Reach) Called() string {
	if r.Breadth != Even {
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

// breadth says whether the patch is plainly wide at one end of its seam and narrow at the other: an
// eighth of its length from the end it is at least half as wide as the patch is high, and half as wide again as
// at the other end.
func (s *Shape) breadth(atB bool) Breadth {
	w := s.box.Width() / 8
	a, b := s.widthAt(s.box.Min.X+w), s.widthAt(s.box.Max.X-w)
	if max(a, b) < s.box.Height()/2 || max(a, b) < 1.5*min(a, b) {
		return Even
	}
	if (b > a) == atB {
		return Wide
	}
	return Narrow
}

// widthAt is how wide the patch is, square to its seam, at a place along it.
func (s *Shape) widthAt(x float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for i := range s.Corners {
		e := s.Corners.Edge(i)
		if (e.A.X-x)*(e.B.X-x) < 0 {
			y := e.At((x - e.A.X) / (e.B.X - e.A.X)).Y
			low, high = min(low, y), max(high, y)
		}
	}
	return max(high-low, 0)
}
