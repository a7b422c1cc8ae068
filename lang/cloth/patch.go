package cloth

import (
	"math"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/sew"
)

// PlacedPiece is the piece of fabric for one patch in one place of the quilt where it is
// sewn, and how it is laid there. The cut list, labels, foundations, guide, hover and rules
// read this value; nothing else works out a piece.
type PlacedPiece struct {
	*block.Patch
	At     Placed        // where it is sewn; the zero Placed is the block alone
	Fabric *block.Fabric // in the colourway of the place; nil when unknown
	Label  string        // C4
	Seam   Seam

	Area          float64 // finished
	Width, Height float64 // finished, along the seam and across it

	Pick Offer  // how it is cut and laid
	Own  *Offer // the designer's own cut, as typed: its first size lies along the seam

	shape   *Shape
	options Options
}

// Place works out the piece for a patch on its seam, in a place of the quilt. There is none
// for a patch without corners or a block without an allowance.
func Place(p *block.Patch, on Seam, at Placed, o Options) (*PlacedPiece, bool) {
	if o.Mark == 0 && o.Step > 0 && p.Section != nil {
		o.Mark = markOf(p.Section.Block)
	}
	s, ok := shapeOf(p, on, o.Mark)
	if !ok {
		return nil, false
	}
	out := &PlacedPiece{
		Patch: p, At: at, Fabric: at.Fabric(p.Fabric), Label: p.Label(), Seam: on,
		Area: math.Abs(p.Corners.Area()), Width: s.Width(), Height: s.Height(),
		shape: s, options: o,
	}
	if p.Cut != nil {
		own := s.own(p.Cut, o)
		out.Own = &own
	}
	out.Pick = out.pick()
	return out, true
}

// Pieces are the pieces of a block's patches in a place of the quilt, section by section in
// written order.
func Pieces(b *sew.Block, at Placed, o Options) []*PlacedPiece {
	var out []*PlacedPiece
	seams := Seams(b)
	for _, s := range b.Of.Sections {
		for _, p := range s.Patches {
			if piece, ok := Place(p, seams[p], at, o); ok {
				out = append(out, piece)
			}
		}
	}
	return out
}

// markOf is what distances that somebody measures while laying a piece are whole numbers of: an
// eighth of an inch, a millimetre.
func markOf(b *block.Block) float64 {
	if b.File != nil && b.File.Unit != geom.Inches {
		return geom.Millimetre
	}
	return geom.Inch / 8
}

// Ways are other ways to cut the piece, to choose from.
type Ways struct {
	Rectangle     Offer  // along the seam
	Smallest      Offer  // the rectangle that takes least cloth
	HalfSquare    *Offer // nil unless it takes less cloth than Rectangle
	QuarterSquare *Offer
	Trade         []Offer      // of a right isosceles triangle on its long side: what the constants give
	Grown         geom.Polygon // in the block: with the allowance all round, mitred; nil when there is none
}

// Ways are the other ways to cut the piece.
func (p *PlacedPiece) Ways() Ways {
	out := Ways{Rectangle: p.shape.RectangleOffer(p.options), Smallest: p.shape.SmallestOffer(p.options), Grown: p.shape.Grown()}
	for _, form := range [2]Form{HalfSquare, QuarterSquare} {
		offer := p.shape.TriangleOffer(form, p.options)
		if offer.Cloth() >= out.Rectangle.Cloth()-eps {
			continue
		}
		if form == HalfSquare {
			out.HalfSquare = &offer
		} else {
			out.QuarterSquare = &offer
		}
	}
	out.Trade = p.shape.tradeOffers(p.options)
	return out
}

// Covering is the least size of the form of the designer's cut, in whole steps, that covers
// wherever the piece lands. Its first size lies along the seam.
func (p *PlacedPiece) Covering() Offer {
	if f := p.Own.Form; f == HalfSquare || f == QuarterSquare {
		return p.shape.TriangleOffer(f, p.options)
	}
	return p.shape.RectangleOffer(p.options)
}

// EdgeMargin is what a piece has to spare past one edge of its patch, from
// corner Edge to the next: laid without error, and at worst.
type EdgeMargin struct {
	Edge           int
	Need           float64 // what has to be reached past the edge
	Nominal, Worst float64
}

// Margins are an offer's margins past every edge that it has to reach past.
func (p *PlacedPiece) Margins(of Offer) []EdgeMargin {
	nominal, worst := p.shape.Margins(of.Laid, Placement{}), p.shape.Margins(of.Laid, p.options.Placement)
	out := make([]EdgeMargin, len(nominal))
	for i, m := range nominal {
		out[i] = EdgeMargin{m.Edge, m.Need, m.Least, worst[i].Least}
	}
	return out
}

// Outline is where an offer lies when it is laid without error and open, in the block.
func (p *PlacedPiece) Outline(of Offer) geom.Polygon {
	out := make(geom.Polygon, len(of.Laid.Outline))
	for i, c := range of.Laid.Outline {
		out[i] = p.shape.Back(c)
	}
	return out.CCW()
}

// Before is where it lies before it is flipped open: mirrored over the line of its seam. A piece
// that is laid by eye lies there as it stays.
func (p *PlacedPiece) Before(of Offer) geom.Polygon {
	if of.Laid.Way == ByEye {
		return p.Outline(of)
	}
	out := make(geom.Polygon, len(of.Laid.Outline))
	for i, c := range of.Laid.Outline {
		out[i] = p.shape.Back(geom.Point{X: c.X, Y: -c.Y})
	}
	return out.CCW()
}

// Marks are where the ends of the edge to the seam and its middle come on the line of the
// seam, in the block, the end at Seam.Line.A first. ok is false for a piece that no edge guides.
func (p *PlacedPiece) Marks(of Offer) (a, middle, b geom.Point, ok bool) {
	if of.Laid.Way != ByEdge {
		return a, middle, b, false
	}
	x, half := of.Laid.Middle.X, of.Laid.Edge()/2
	at := func(x float64) geom.Point { return p.shape.Back(geom.Point{X: x}) }
	return at(x - half), at(x), at(x + half), true
}

// Extra is how much more cloth the pick takes than the rectangle on the seam side
// would, in square hairs: what keeping a print upright costs. It is negative when the
// pick saves cloth.
func (p *PlacedPiece) Extra() float64 {
	return p.Pick.Cloth() - p.shape.RectangleOffer(p.options).Cloth()
}

// shapeOf is a patch on its seam, when enough is known of it.
func shapeOf(p *block.Patch, on Seam, mark float64) (*Shape, bool) {
	if p.Section == nil || len(p.Corners) < 3 || math.Abs(p.Corners.Area()) < geom.Hair || !allowed(p.Section.Block) {
		return nil, false
	}
	s := NewShape(p.Corners, on, p.Section.Block.Allowance.Size.Float64(), Needs(p))
	s.mark = mark
	return s, true
}

// allowed says whether a block's allowances are known.
func allowed(b *block.Block) bool {
	return b.Allowance != nil && !b.Allowance.Broken && b.OuterAllowance != nil && !b.OuterAllowance.Broken
}

// pick is how the piece is cut: as the designer says; upright where that is asked for; a
// triangle where that is asked for and saves cloth; else the rectangle on the seam side.
func (p *PlacedPiece) pick() Offer {
	s, o := p.shape, p.options
	keeps := p.Fabric != nil && p.Fabric.Directional
	// The level of the print, or of the block where only the grain is asked for.
	direction := geom.Point{X: 1}
	if keeps {
		direction = geom.TurnAbout(geom.Point{}, p.At.Up).Apply(direction)
	}
	switch {
	case p.Own != nil && keeps && p.Own.Form.PerSquare() == 1:
		out := *p.Own
		u := s.turn(direction)
		if s.sewn {
			out = s.slanted(out, u, o.Step)
		} else {
			out = s.ownUpright(out, u, o)
		}
		out.Keeps = true
		return p.asSeen(out)
	case p.Own != nil: // in triangles from a square the print runs two or four ways
		return *p.Own
	case keeps:
		return p.asSeen(s.UprightOffer(direction, o))
	case o.Outer && HasOuterEdge(p.Patch):
		return s.AlongOffer(direction, o)
	}
	if shapes, free := p.Shapes(); free {
		return cheapest(shapes, 1)
	}
	return s.RectangleOffer(o)
}

// Shapes are the rectangle, the half- and the quarter-square triangle that the piece may be cut as, where
// triangles are allowed and nothing else says how it is cut.
func (p *PlacedPiece) Shapes() (shapes []Offer, free bool) {
	s, o := p.shape, p.options
	if !o.Triangles || p.Own != nil || p.Fabric != nil && p.Fabric.Directional || o.Outer && HasOuterEdge(p.Patch) {
		return nil, false
	}
	return []Offer{s.RectangleOffer(o), s.TriangleOffer(HalfSquare, o), s.TriangleOffer(QuarterSquare, o)}, true
}

// asSeen is an offer of a print as it is on the right side of the fabric: in a mirrored block
// what rises to the right in the block falls.
func (p *PlacedPiece) asSeen(o Offer) Offer {
	if o.Slant != nil && p.At.Mirrored {
		slant := *o.Slant
		slant.Angle = halfTurn(-slant.Angle)
		o.Slant = &slant
	}
	return o
}

// own is the designer's cut. A strip is cut to the length that the patch needs. It is laid
// where it covers at worst; where it covers nowhere, where it covers best.
func (s *Shape) own(cut *block.Cut, o Options) Offer {
	along, across := cut.Along.Float64(), cut.Across.Float64()
	form := formOf[cut.Form]
	switch form {
	case Strip:
		across = along
		along = s.RectangleOffer(o).Along
	case HalfSquare, QuarterSquare:
		across = along
	}
	var best Offer
	for i, piece := range s.ownLaid(form, along, across, o) {
		offer := s.offer(form, along, across, piece, o.Placement)
		if i == 0 || offer.Nominal.Least > best.Nominal.Least+eps {
			best = offer
		}
		if offer.Worst.Least >= -eps {
			best = offer
			break
		}
	}
	best.LeastAlong, best.LeastAcross = s.leastNominal(form, o)
	if !s.sewn {
		best.Angle = angleOf(s.Back(best.Laid.Outline.Edge(0).Dir()).Sub(s.origin))
		if best.Laid.Lie == AnyLie {
			best.Laid.Lie = s.lie(best, o)
		}
	}
	if s.sewn {
		seat := s.seat(form, o)
		best.OnLine, best.OnPatch = seat.onLine, seat.onPatch
	}
	return best
}

// ownUpright is the designer's rectangle for a first patch, the print of its fabric upright with
// its level along u: the way round in which it covers better.
func (s *Shape) ownUpright(own Offer, u geom.Point, o Options) Offer {
	var best Offer
	for i, size := range [2][2]float64{{own.Along, own.Across}, {own.Across, own.Along}} {
		offer := s.offer(own.Form, size[0], size[1], s.boxed(u, size[0], size[1], s.middleAlong(u)), o.Placement)
		if i == 0 || offer.Worst.Least > best.Worst.Least+eps {
			best = offer
		}
	}
	best.LeastAlong, best.LeastAcross, _ = s.grownAlong(u)
	best.Angle = angleOf(s.Back(u).Sub(s.origin))
	return best
}

// ownLaid are the ways in which a designer's cut may be laid, the plainest first.
func (s *Shape) ownLaid(form Form, along, across float64, o Options) (out []Laid) {
	triangle := form == HalfSquare || form == QuarterSquare
	edge := along * edgeOf(form)
	if !s.sewn {
		if triangle {
			return []Laid{s.eyeTriangle(edge)}
		}
		u := s.straight()
		for _, u := range [2]geom.Point{u, {X: -u.Y, Y: u.X}} {
			_, _, grown := s.grownAlong(u)
			out = append(out, s.boxed(u, along, across, s.middleAlong(u)), s.boxed(u, along, across, grown))
		}
		tilted := s.boxed(geom.Point{X: 1}, along, across, s.middleAlong(geom.Point{X: 1}))
		tilted.Lie = AlongLongest
		return append(out, tilted)
	}
	// At last to the half mark: nobody measures closer.
	finer := func(edge float64) place { return s.toMark(edge, s.mark/2) }
	places := []func(float64) place{s.onLine, s.onPatch, finer}
	switch o.Center {
	case CenterLine:
		places = places[:1]
	case CenterPatch:
		places = places[1:]
	}
	for _, on := range places {
		at := on(edge)
		for _, p := range [2]Placement{o.Placement, {}} {
			past := s.past(at, edge, p, 0)
			if triangle {
				out = append(out, s.triangle(edge, past, at))
			} else {
				out = append(out, s.rectangle(along, across, past, at))
			}
		}
	}
	return out
}

// tradeOffers are the half- and quarter-square triangle that the trade's constants
// give for a right isosceles triangle on its long side with an allowance of 1/4 in
// all round.
func (s *Shape) tradeOffers(o Options) []Offer {
	if !s.sewn || len(s.Corners) != 3 || math.Abs(s.allowance-tradeAllowance) > eps ||
		math.Abs(s.Height()-s.Width()/2) > geom.Hair {
		return nil
	}
	apex := false
	for i, c := range s.Corners {
		if math.Abs(s.need[i]-tradeAllowance) > eps {
			return nil
		}
		apex = apex || math.Abs(c.Y-s.Height()) < geom.Hair && math.Abs(c.X-s.box.Centre().X) < geom.Hair
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
		offer := s.offer(t.form, t.side, t.side, s.triangle(t.long, s.allowance, s.exactly(0)), o.Placement)
		exact := s.TriangleOffer(t.form, Options{})
		offer.LeastAlong, offer.LeastAcross = exact.LeastAlong, exact.LeastAcross
		out = append(out, offer)
	}
	return out
}
