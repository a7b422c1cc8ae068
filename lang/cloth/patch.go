package cloth

import (
	"fmt"
	"math"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/sew"
)

// Patch is what is known of the cloth for one patch.
type Patch struct {
	*block.Patch
	Label         string       // C4
	Seam          geom.Segment // what it is sewn on; of patch 1 its longest edge
	Area          float64      // finished
	Width, Height float64      // finished, along the seam and across it

	Pick Offer // how the cut list cuts it

	Own           *Offer // the designer's own cut
	Upright       *Offer // directional cloth, or grain along the block's sides
	Rectangle     Offer  // on the seam side
	Smallest      Offer  // the rectangle that takes least cloth
	HalfSquare    *Offer // nil unless it takes less cloth than Rectangle
	QuarterSquare *Offer
	Trade         []Offer // of a right isosceles triangle on its long side: what the constants give

	Grown geom.Polygon // in the block: with the allowance all round, mitred; nil when there is none

	shape *Shape
	place Placement
}

// EdgeMargin is what a piece has to spare past one edge of its patch, from
// corner Edge to the next: laid without error, and at worst.
type EdgeMargin struct {
	Edge           int
	Need           float64 // what has to be reached past the edge
	Nominal, Worst float64
}

// Margins are an offer's margins past every edge that it has to reach past.
func (p *Patch) Margins(of Offer) []EdgeMargin {
	nominal, worst := p.shape.Margins(of.Laid, Placement{}), p.shape.Margins(of.Laid, p.place)
	out := make([]EdgeMargin, len(nominal))
	for i, m := range nominal {
		out[i] = EdgeMargin{m.Edge, m.Need, m.Least, worst[i].Least}
	}
	return out
}

// Outline is where an offer lies when it is laid without error, in the block.
func (p *Patch) Outline(of Offer) geom.Polygon {
	out := make(geom.Polygon, len(of.Laid.Outline))
	for i, c := range of.Laid.Outline {
		out[i] = p.shape.Back(c)
	}
	return out.CCW()
}

// Extra is how much more cloth the pick takes than the rectangle on the seam side
// would, in square hairs: what keeping a print upright costs. It is negative when the
// pick saves cloth.
func (p *Patch) Extra() float64 { return p.Pick.Cloth() - p.Rectangle.Cloth() }

// Seams are what the patches of a block are sewn on. A first patch, and one of
// a section that cannot be sewn, is laid by its longest edge.
func Seams(b *sew.Block) map[*block.Patch]geom.Segment {
	seams := make(map[*block.Patch]geom.Segment)
	for _, s := range b.Sections {
		for _, p := range s.Of.Patches {
			seams[p] = LongestEdge(p.Corners)
		}
		for _, seam := range s.Seams() {
			if seam.Len() > geom.Hair {
				seams[seam.Patch] = seam.Segment
			}
		}
	}
	return seams
}

// ForPatch works out the cloth for a patch on its seam. There is none for a patch
// without corners or a block without an allowance.
func ForPatch(p *block.Patch, seam geom.Segment, o Options) (Patch, bool) {
	s, ok := shapeOf(p, seam)
	if !ok {
		return Patch{}, false
	}
	out := Patch{
		Patch: p, Label: LabelOf(p), Seam: seam,
		Area: math.Abs(p.Corners.Area()), Width: s.Width(), Height: s.Height(),
		Rectangle: s.RectangleOffer(o), Smallest: s.SmallestOffer(o), Grown: s.Grown(),
		Pick: s.pick(p, p.Fabric, 0, o), shape: s, place: o.Placement,
	}
	if p.Cut != nil {
		own := s.own(p.Cut, o)
		out.Own = &own
	}
	if upright, ok := s.upright(p, p.Fabric, 0, o); ok {
		out.Upright = &upright
	}
	for _, form := range [2]Form{HalfSquare, QuarterSquare} {
		offer := s.TriangleOffer(form, o)
		if offer.Cloth() >= out.Rectangle.Cloth()-eps {
			continue
		}
		if form == HalfSquare {
			out.HalfSquare = &offer
		} else {
			out.QuarterSquare = &offer
		}
	}
	out.Trade = s.tradeOffers(o)
	return out, true
}

// LabelOf is how a quilter calls a patch: section and number.
func LabelOf(p *block.Patch) string {
	if p.Section == nil {
		return ""
	}
	return fmt.Sprintf("%s%d", p.Section.Name, p.Number)
}

// shapeOf is a patch on its seam, when enough is known of it.
func shapeOf(p *block.Patch, seam geom.Segment) (*Shape, bool) {
	if p.Section == nil || len(p.Corners) < 3 || math.Abs(p.Corners.Area()) < geom.Hair || !allowed(p.Section.Block) {
		return nil, false
	}
	return NewShape(p.Corners, seam, p.Section.Block.Allowance.Size.Float64(), Needs(p)), true
}

// allowed says whether a block's allowances are known.
func allowed(b *block.Block) bool {
	return b.Allowance != nil && !b.Allowance.Broken && b.OuterAllowance != nil && !b.OuterAllowance.Broken
}

// pick is how the cut list cuts a patch: as the designer says; upright where
// that is asked for; a triangle where that is asked for and saves cloth; else the
// rectangle on the seam side. up is the direction of the quilt's up in the
// block, in degrees anticlockwise from its y.
func (s *Shape) pick(p *block.Patch, fabric *block.Fabric, up float64, o Options) Offer {
	keeps := fabric != nil && fabric.Directional
	if p.Cut != nil {
		own := s.own(p.Cut, o)
		if keeps {
			own.keep(up)
		}
		return own
	}
	if offer, ok := s.upright(p, fabric, up, o); ok {
		return offer
	}
	best := s.RectangleOffer(o)
	if o.Triangles {
		for _, form := range [2]Form{HalfSquare, QuarterSquare} {
			if offer := s.TriangleOffer(form, o); offer.Cloth() < best.Cloth()-eps {
				best = offer
			}
		}
	}
	return best
}

// upright is the rectangle along the print's own axes for directional cloth, and
// along the block's sides for a patch whose grain is asked for.
func (s *Shape) upright(p *block.Patch, fabric *block.Fabric, up float64, o Options) (Offer, bool) {
	keeps := fabric != nil && fabric.Directional
	if !keeps && !(o.Outer && HasOuterEdge(p)) {
		return Offer{}, false
	}
	if !keeps {
		up = 0
	}
	offer := s.AlongOffer(geom.TurnAbout(geom.Point{}, up).Apply(geom.Point{X: 1}), o)
	offer.Keeps = keeps
	return offer, true
}

// keep marks a designer's cut as one of directional cloth: the sizes go by the seam,
// so they change places when the seam runs up the print.
func (o *Offer) keep(up float64) {
	o.Keeps = true
	if off := math.Mod(math.Abs(o.Angle-up), 180); off > 45 && off < 135 {
		o.Along, o.Across = o.Across, o.Along
		o.LeastAlong, o.LeastAcross = o.LeastAcross, o.LeastAlong
		o.Angle = math.Mod(o.Angle+90, 180)
	}
}

// own is the designer's cut. A strip is cut to the length that the patch needs.
func (s *Shape) own(cut *block.Cut, o Options) Offer {
	along, across := cut.Along.Float64(), cut.Across.Float64()
	form := formOf[cut.Form]
	switch form {
	case Strip:
		length, _ := s.least(cut.Form, o.Placement)
		along, across = geom.RoundUp(length, o.Step), along
	case HalfSquare, QuarterSquare:
		across = along
	}
	out := s.offer(form, along, across, s.cutPiece(cut), o.Placement)
	out.LeastAlong, out.LeastAcross = s.least(cut.Form, Placement{})
	return out
}

// tradeOffers are the half- and quarter-square triangle that the trade's constants
// give for a right isosceles triangle on its long side with an allowance of 1/4 in
// all round.
func (s *Shape) tradeOffers(o Options) []Offer {
	if len(s.Corners) != 3 || math.Abs(s.allowance-tradeAllowance) > eps ||
		math.Abs(s.Height()-s.Width()/2) > geom.Hair {
		return nil
	}
	apex := false
	for i, c := range s.Corners {
		if math.Abs(s.need[i]-tradeAllowance) > eps {
			return nil
		}
		apex = apex || math.Abs(c.Y-s.Height()) < geom.Hair && math.Abs(c.X-s.middle().X) < geom.Hair
	}
	if !apex {
		return nil
	}
	var out []Offer
	long := s.Width()
	for _, t := range []struct {
		form       Form
		side, long float64
	}{
		{HalfSquare, long/math.Sqrt2 + HalfSquareConstant, long + HalfSquareConstant*math.Sqrt2},
		{QuarterSquare, long + QuarterSquareConstant, long + QuarterSquareConstant},
	} {
		offer := s.offer(t.form, t.side, t.side, s.Triangle(t.long), o.Placement)
		exact := s.TriangleOffer(t.form, Options{})
		offer.LeastAlong, offer.LeastAcross = exact.LeastAlong, exact.LeastAcross
		out = append(out, offer)
	}
	return out
}
