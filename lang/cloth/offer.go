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

// Center says where along its seam a piece goes.
type Center uint8

// The ways of Center.
const (
	// CenterAuto: a piece covers also when it is centered on the printed line, where that
	// takes no more than Options.Extra along the seam; otherwise it goes by its patch.
	CenterAuto  Center = iota
	CenterLine         // every piece is centered on its printed line
	CenterPatch        // every piece goes by its patch
)

// Slant is a piece that is cut at an angle, so that its print is upright once it lies: the
// size of the piece itself, its first side to the seam.
type Slant struct {
	Along, Across float64
	// Angle is that of the edge to the seam to the level of the print, in degrees, positive where
	// it rises to the right on the right side of the fabric, -90 < Angle ≤ 90.
	Angle float64
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
	// Slant is what is cut at an angle from the rectangle Along by Across; nil: the piece is
	// that rectangle.
	Slant *Slant
	// OnLine and OnPatch are the least lengths of the edge to the seam when it is centered on the
	// printed line and when it goes by the patch; 0 where they mean nothing.
	OnLine, OnPatch float64
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

// RectangleOffer is the rectangle along the seam, or that of a patch that has none (see
// firstOffer): the least size in whole steps that covers wherever it lands.
func (s *Shape) RectangleOffer(o Options) Offer {
	if !s.sewn {
		return s.firstOffer(o)
	}
	edge := s.seat(Rectangle, o)
	more := clearOf(o)
	past := s.past(edge.at, edge.size, o.Placement, more)
	across := geom.RoundUp(s.across(edge.at, edge.size, past, o.Placement, more), o.Step)
	out := s.offer(Rectangle, edge.size, across, s.rectangle(edge.size, across, past, edge.at), o.Placement)
	out.LeastAlong, out.LeastAcross = s.leastNominal(Rectangle, o)
	out.OnLine, out.OnPatch = edge.onLine, edge.onPatch
	return out
}

// tiltSaves is what part of the straight rectangle a tilted one has to save.
const tiltSaves = 0.25

// firstOffer is the rectangle of a patch without a seam. It is laid by eye, so it is square to
// the block, its long side the way the patch is long, and a square where that is not seen; along the patch's longest edge, and said
// to be so, only where that saves more than tiltSaves.
func (s *Shape) firstOffer(o Options) Offer {
	u := s.straight()
	straight := s.eyeOffer(u, o)
	if side := max(straight.Along, straight.Across); s.nearlySquare(u, o) && side > min(straight.Along, straight.Across) {
		square := s.offer(Rectangle, side, side, s.boxed(u, side, side, s.middleAlong(u)), o.Placement)
		square.LeastAlong, square.LeastAcross = straight.LeastAlong, straight.LeastAcross
		square.Laid.Lie = s.lie(square, o)
		straight = square
	}
	straight.Angle = angleOf(s.Back(u).Sub(s.origin))
	if !level(u) {
		tilted := s.eyeOffer(geom.Point{X: 1}, o)
		tilted.Laid.Lie = AlongLongest
		if tilted.Cloth() < (1-tiltSaves)*straight.Cloth()-eps && s.coversAlongLongest(tilted, o) {
			return tilted
		}
	}
	return straight
}

// lie says how an offer that is laid square to the block lies: where it matters, that it does.
func (s *Shape) lie(of Offer, o Options) Lie {
	if s.coversAlongLongest(of, o) {
		return AnyLie
	}
	return SquareToBlock
}

// coversAlongLongest says whether a piece that is laid by eye covers along the patch's longest
// edge too, and along any other that is easily taken for it.
func (s *Shape) coversAlongLongest(of Offer, o Options) bool {
	const nearly = 0.9
	longest := LongestEdge(s.Corners).Len()
	laid := of.Laid.Outline.Edge(0).Dir()
	for i := range s.Corners {
		e := s.Corners.Edge(i)
		u := e.Dir()
		if turn := math.Abs(u.Cross(laid)); e.Len() < nearly*longest || turn < parallel || turn > 1-parallel {
			continue
		}
		along, across := of.Along, of.Across
		if of.Laid.Lie != AlongLongest { // no words name the edge: its long side goes the way the patch is long
			u, along, across = s.longWay(u), max(along, across), min(along, across)
		}
		if s.Margin(s.boxed(u, along, across, s.middleAlong(u)), o.Placement).Least < -eps {
			return false
		}
		if of.Laid.Lie != AlongLongest && s.nearlySquare(u, o) && s.Margin(s.boxed(u, across, along, s.middleAlong(u)), o.Placement).Least < -eps {
			return false
		}
	}
	return true
}

// nearlySquare says whether nobody sees which way the patch is longer, along u or square to it: by
// less than a step.
func (s *Shape) nearlySquare(u geom.Point, o Options) bool {
	w, h, _ := s.grownAlong(u)
	return math.Abs(w-h) < o.Step
}

// straight is the side of the block that runs the way the patch is long, in the frame.
func (s *Shape) straight() geom.Point { return s.longWay(s.turn(geom.Point{X: 1})) }

// longWay is u or the direction square to it, whichever way the patch is longer.
func (s *Shape) longWay(u geom.Point) geom.Point {
	if w, h, _ := s.grownAlong(u); h > w+eps {
		return geom.Point{X: -u.Y, Y: u.X}
	}
	return u
}

// TriangleOffer is the half- or quarter-square triangle with its long side to
// the seam, the square's side in whole steps.
func (s *Shape) TriangleOffer(form Form, o Options) Offer {
	var out Offer
	if s.sewn {
		edge := s.seat(form, o)
		long := edge.size * edgeOf(form)
		past := s.past(edge.at, long, o.Placement, clearOf(o))
		out = s.offer(form, edge.size, edge.size, s.triangle(long, past, edge.at), o.Placement)
		out.OnLine, out.OnPatch = edge.onLine, edge.onPatch
	} else {
		long := s.leastEyeTriangle(s.eyeSlip(geom.Point{X: 1}, o.Placement), clearOf(o))
		side := geom.RoundUp(long/edgeOf(form), o.Step)
		out = s.offer(form, side, side, s.eyeTriangle(side*edgeOf(form)), o.Placement)
	}
	out.LeastAlong, out.LeastAcross = s.leastNominal(form, o)
	return out
}

// seat is how long the edge to the seam is, and where it goes.
type seat struct {
	size            float64 // of the piece: see leastSize
	at              place
	onLine, onPatch float64 // lengths of the edge
}

// seat finds the least size and its place along the seam, as Center has it.
func (s *Shape) seat(form Form, o Options) seat {
	root := edgeOf(form)
	line, exact := s.onLine(0), s.exactly(0)
	if math.Abs(line.x-exact.x) < eps {
		size := s.leastSize(form, s.onLine, o)
		return seat{size, line, size * root, size * root}
	}
	onLine := s.leastSize(form, s.onLine, o)
	onPatch := s.leastSize(form, s.onPatch, o)
	extra := o.Extra
	switch o.Center {
	case CenterLine:
		extra = math.Inf(1)
	case CenterPatch:
		extra = 0
	}
	if onLine*root <= onPatch*root+extra+eps {
		size := onLine
		if o.Center != CenterLine {
			size = max(onLine, onPatch)
		}
		return seat{size, line, onLine * root, onPatch * root}
	}
	return seat{onPatch, s.onPatch(onPatch * root), onLine * root, onPatch * root}
}

// leastNominal is the least size of a form that covers without any error: of a rectangle
// along the seam and across, of a triangle the side of its square.
func (s *Shape) leastNominal(form Form, o Options) (along, across float64) {
	triangle := form == HalfSquare || form == QuarterSquare
	switch {
	case !s.sewn && triangle:
		side := s.leastEyeTriangle(slip{}, 0) / edgeOf(form)
		return side, side
	case !s.sewn:
		first := s.firstOffer(o)
		return first.LeastAlong, first.LeastAcross
	}
	on := s.exactly
	if o.Center == CenterLine {
		on = s.onLine
	}
	at := on(0)
	past := s.past(at, 0, Placement{}, 0)
	edge := 2 * s.half(form, at, 0, past, Placement{}, 0)
	if triangle {
		return edge / edgeOf(form), edge / edgeOf(form)
	}
	return edge, s.across(at, 0, past, Placement{}, 0)
}

// AlongOffer is the rectangle with its width in a direction of the block, in
// whole steps. Where a side of it is parallel to the seam, it is laid by that
// side; elsewhere its middle lies on the patch's middle.
func (s *Shape) AlongOffer(direction geom.Point, o Options) Offer {
	u := s.turn(direction)
	u = u.Scale(1 / u.Len())
	var out Offer
	switch {
	case !s.sewn || !level(u) && !upright(u):
		out = s.eyeOffer(u, o)
	case upright(u):
		out = s.RectangleOffer(o)
		out.Along, out.Across = out.Across, out.Along
		out.LeastAlong, out.LeastAcross = out.LeastAcross, out.LeastAlong
	default:
		out = s.RectangleOffer(o)
	}
	out.Angle = angleOf(direction)
	return out
}

// level and upright say whether a direction of length 1 runs along the seam or square to it.
func level(u geom.Point) bool   { return math.Abs(u.Y) < parallel }
func upright(u geom.Point) bool { return math.Abs(u.X) < parallel }

const parallel = 1e-6

// eyeOffer is the rectangle with its width along u, laid by eye.
func (s *Shape) eyeOffer(u geom.Point, o Options) Offer {
	width, height := s.leastAlong(u, s.eyeSlip(u, o.Placement), clearOf(o))
	width, height = geom.RoundUp(width, o.Step), geom.RoundUp(height, o.Step)
	out := s.offer(Rectangle, width, height, s.boxed(u, width, height, s.middleAlong(u)), o.Placement)
	out.LeastAlong, out.LeastAcross, _ = s.grownAlong(u)
	if !s.sewn {
		out.Laid.Lie = s.lie(out, o)
	}
	return out
}

// slanted is the rectangle along the seam as it is cut with its width along u, so that a print
// is upright once it lies: at an angle, from a rectangle that goes round it.
func (s *Shape) slanted(of Offer, u geom.Point, step float64) Offer {
	if !level(u) && !upright(u) {
		// u is the level of the print in the frame, so the frame's x lies at minus its angle.
		angle := -math.Atan2(u.Y, u.X) * 180 / math.Pi
		if s.Frame.mirrored() {
			angle = -angle
		}
		of.Slant = &Slant{Along: of.Along, Across: of.Across, Angle: halfTurn(angle)}
		cos, sin := math.Abs(u.X), math.Abs(u.Y)
		of.Along, of.Across = geom.RoundUp(of.Slant.Along*cos+of.Slant.Across*sin, step), geom.RoundUp(of.Slant.Along*sin+of.Slant.Across*cos, step)
	} else if upright(u) {
		of.Along, of.Across = of.Across, of.Along
		of.LeastAlong, of.LeastAcross = of.LeastAcross, of.LeastAlong
	}
	of.Angle = angleOf(s.Back(u).Sub(s.origin))
	return of
}

// halfTurn brings the angle of a line to -90 < angle ≤ 90.
func halfTurn(angle float64) float64 {
	angle = math.Mod(angle, 180)
	switch {
	case angle > 90:
		return angle - 180
	case angle <= -90:
		return angle + 180
	}
	return angle
}

// UprightOffer is the piece of a fabric that keeps upright, with the level of its print along
// a direction of the block. On a slanted seam it is either laid upright and folded under,
// or cut at the seam's angle: whichever takes less cloth.
func (s *Shape) UprightOffer(direction geom.Point, o Options) Offer {
	out := s.AlongOffer(direction, o)
	if out.Laid.Way == Folded {
		u := s.turn(direction)
		if at := s.slanted(s.RectangleOffer(o), u.Scale(1/u.Len()), o.Step); at.Cloth() < out.Cloth()-eps {
			out = at
		}
	}
	out.Keeps = true
	return out
}

// SmallestOffer is the rectangle that takes least cloth, without error, in
// whole steps that allow for it. One of its sides is parallel to an edge of the
// convex hull: between two such directions the widths of the grown patch are
// concave in the angle, so their product is least at an end.
func (s *Shape) SmallestOffer(o Options) Offer {
	hull := geom.ConvexHull(s.Corners)
	along, across := s.leastNominal(Rectangle, o)
	best, least := geom.Point{X: 1}, along*across
	if !s.sewn {
		best = s.firstOffer(o).Laid.Outline.Edge(0).Dir()
	}
	if len(hull) >= 3 {
		for i := range hull {
			u := hull.Edge(i).Dir()
			if w, h, _ := s.grownAlong(u); w*h < least*(1-1e-9) {
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
