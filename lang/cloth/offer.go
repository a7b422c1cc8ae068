package cloth

import (
	"math"

	"sewable/lang/geom"
	"sewable/lang/syntax"
)

// Form is what a piece is cut as.
type Form uint8

// The forms of a piece.
const (
	Rectangle     Form = iota
	Strip              // a rectangle given by its width alone
	HalfSquare         // a square cut once corner to corner, the long side to the seam
	QuarterSquare      // a square cut twice corner to corner, the long side to the seam
)

// String is the form in a word or two.
func (f Form) String() string {
	return [...]string{"rectangle", "strip", "half-square triangle", "quarter-square triangle"}[f]
}

// PerSquare is how many pieces come from one cut rectangle or square.
func (f Form) PerSquare() int { return [...]int{1, 1, 2, 4}[f] }

var formOf = map[syntax.CutForm]Form{
	syntax.CutRectangle: Rectangle, syntax.CutStrip: Strip,
	syntax.CutHalved: HalfSquare, syntax.CutQuartered: QuarterSquare,
}

// Offer is one way to cut the piece for a patch.
type Offer struct {
	Form          Form
	Along, Across float64 // the size to cut; of a square both are its side
	// LeastAlong and LeastAcross are the least size that covers when the piece
	// is laid without error, not rounded.
	LeastAlong, LeastAcross float64
	// Angle is the direction of Along, in degrees anticlockwise from the block's x, 0 ≤ Angle < 180.
	Angle float64
	Laid  Laid // the offered size as it is laid
	// Nominal is the offered size's margin without error, Worst with the
	// configured one.
	Nominal, Worst Margin
	// Keeps: the piece keeps its direction on the cloth. Along runs across the
	// cloth and Across up its length, as the print does.
	Keeps bool
}

// Cloth is the area of cloth that the piece takes: of a triangle its part of the
// square it comes from.
func (o Offer) Cloth() float64 { return o.Along * o.Across / float64(o.Form.PerSquare()) }

// offer lays a size and says its margins.
func (s *Shape) offer(form Form, along, across float64, piece Laid, p Placement) Offer {
	return Offer{
		Form: form, Along: along, Across: across, Laid: piece, Angle: angleOf(s.along),
		Nominal: s.Margin(piece, Placement{}), Worst: s.Margin(piece, p),
	}
}

// RectangleOffer is the rectangle on the seam side: the least size in whole
// steps that covers wherever it lands.
func (s *Shape) RectangleOffer(o Options) Offer {
	along, across := s.least(syntax.CutRectangle, o.Placement)
	along, across = geom.RoundUp(along, o.Step), geom.RoundUp(across, o.Step)
	out := s.offer(Rectangle, along, across, s.rectangle(along, across, s.low(o.Placement)), o.Placement)
	out.LeastAlong, out.LeastAcross = s.least(syntax.CutRectangle, Placement{})
	return out
}

// TriangleOffer is the half- or quarter-square triangle with its long side to
// the seam, the square's side in whole steps.
func (s *Shape) TriangleOffer(form Form, o Options) Offer {
	cut, root := syntax.CutHalved, math.Sqrt2
	if form == QuarterSquare {
		cut, root = syntax.CutQuartered, 1
	}
	side, _ := s.least(cut, o.Placement)
	side = geom.RoundUp(side, o.Step)
	out := s.offer(form, side, side, s.triangle(side*root, s.low(o.Placement)), o.Placement)
	out.LeastAlong, _ = s.least(cut, Placement{})
	out.LeastAcross = out.LeastAlong
	return out
}

// AlongOffer is the rectangle with its width in a direction of the block, in
// whole steps. Where a side of it is parallel to the seam, it is laid by that
// side; elsewhere its middle lies on the patch's middle, and it is trimmed at the
// seam.
func (s *Shape) AlongOffer(direction geom.Point, o Options) Offer {
	u := s.turn(direction)
	u = u.Scale(1 / u.Len())
	const parallel = 1e-6
	var out Offer
	switch {
	case math.Abs(u.Y) < parallel:
		return s.RectangleOffer(o)
	case math.Abs(u.X) < parallel:
		out = s.RectangleOffer(o)
		out.Along, out.Across = out.Across, out.Along
		out.LeastAlong, out.LeastAcross = out.LeastAcross, out.LeastAlong
	default:
		width, height := s.leastAlong(u, o.Placement)
		width, height = geom.RoundUp(width, o.Step), geom.RoundUp(height, o.Step)
		out = s.offer(Rectangle, width, height, s.boxed(u, width, height), o.Placement)
		out.LeastAlong, out.LeastAcross = s.leastAlong(u, Placement{})
	}
	out.Angle = angleOf(direction)
	return out
}

// leastAlong is the least rectangle about the patch's middle with its width along u.
func (s *Shape) leastAlong(u geom.Point, p Placement) (width, height float64) {
	box := geom.BoxAlong(s.Corners, u)
	v := geom.Point{X: -u.Y, Y: u.X}
	least := func(n geom.Point, size float64) float64 {
		middle := n.Dot(box.Corner) + size/2
		return 2 * max(middle-s.limit(n, anyhow, p), -s.limit(n.Scale(-1), anyhow, p)-middle)
	}
	return least(u, box.Width), least(v, box.Height)
}

// SmallestOffer is the rectangle that takes least cloth, without error, in
// whole steps that allow for it. One of its sides is parallel to an edge of the
// convex hull: between two such directions the widths of the grown patch are
// concave in the angle, so their product is least at an end.
func (s *Shape) SmallestOffer(o Options) Offer {
	hull := geom.ConvexHull(s.Corners)
	along, across := s.least(syntax.CutRectangle, Placement{})
	best, least := geom.Point{X: 1}, along*across
	if len(hull) >= 3 {
		for i := range hull {
			u := hull.Edge(i).Dir()
			if w, h := s.leastAlong(u, Placement{}); w*h < least*(1-1e-9) {
				best, least = u, w*h
			}
		}
	}
	return s.AlongOffer(s.Back(best).Sub(s.origin), o)
}

// Grown is the patch with the allowance all round and mitred corners, in the
// block: the shaped piece that the rotary cutter's constants describe. It is nil
// when the patch has no area.
func (s *Shape) Grown() geom.Polygon {
	by := make([]float64, len(s.Corners))
	for i := range by {
		by[i], _ = s.needPast(i, false)
	}
	grown, ok := geom.GrowEdges(s.Corners, by)
	if !ok {
		return nil
	}
	for i, c := range grown {
		grown[i] = s.Back(c)
	}
	return grown.CCW()
}

// angleOf is a line's direction in degrees, from 0 up to 180.
func angleOf(d geom.Point) float64 {
	a := math.Mod(math.Atan2(d.Y, d.X)*180/math.Pi+360, 180)
	if a > 180-1e-9 {
		return 0
	}
	return a
}
