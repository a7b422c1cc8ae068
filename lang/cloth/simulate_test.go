package cloth

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/geom"
)

// simulation lays a piece again and again, turned and shifted over a fine grid,
// and looks with a plain point-in-polygon test whether it reaches so far past
// the edges of its patch. It shares no formula with the package: no
// half-planes, no closed form.
type simulation struct {
	shape  *Shape
	piece  Laid
	place  Placement
	angles int // on either side of straight
	shifts int // on either side of the middle
}

// fails gives the first laying that leaves an edge without its need and
// so much more.
func (m simulation) fails(more float64) bool {
	turn, budget, arm := m.place.Turn*math.Pi/180, math.Inf(1), 0.0
	side := m.piece.Outline.Edge(0).Dir() // what it is shifted along and across
	if m.piece.Way == ByEdge {            // the stitches catch half the allowance at least, all along the edge
		budget, arm = m.shape.allowance/2, m.piece.Outline[0].Dist(m.piece.Outline[1])/2
		turn = min(turn, math.Asin(min(1, budget/arm)))
	} else { // the ends of the box of the patch with its allowance swing so far at most
		u := m.piece.Outline.Edge(0).Dir()
		lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
		for i := range m.shape.Corners {
			edge, need := m.shape.Corners.Edge(i), m.shape.need[i]
			if m.shape.seamEdge[i] {
				need = m.shape.allowance
			}
			out := geom.Point{X: edge.Dir().Y, Y: -edge.Dir().X}
			if m.shape.Corners.Area() < 0 {
				out = out.Scale(-1)
			}
			for _, c := range [2]geom.Point{edge.A, edge.B} {
				for _, q := range [2]struct {
					at   geom.Point
					more float64
				}{{c.Add(out.Scale(need)), 0}, {c, m.leastAround(c)}} {
					for k, x := range [2]float64{u.Dot(q.at), u.Cross(q.at)} {
						lo[k], hi[k] = min(lo[k], x-q.more), max(hi[k], x+q.more)
					}
				}
			}
		}
		long := max(hi[0]-lo[0], hi[1]-lo[1]) / 2
		turn = min(turn, math.Asin(min(1, m.place.Swing/long)))
	}
	for a := -m.angles; a <= m.angles; a++ {
		angle := turn * float64(a) / float64(max(m.angles, 1))
		turned := geom.TurnAbout(m.piece.Middle, angle*180/math.Pi)
		whole := turned.ApplyTo(m.piece.Outline)
		open := whole
		if m.piece.Way == ByEdge { // what is below the seam there is allowance: no side at all
			open = turned.ApplyTo(withoutFloor(m.piece.Outline))
		}
		across := min(m.place.Shift, budget-arm*math.Abs(math.Sin(angle)))
		for sx := -m.shifts; sx <= m.shifts; sx++ {
			for sy := -m.shifts; sy <= m.shifts; sy++ {
				by := geom.MoveBy(side.Scale(m.place.Shift * float64(sx) / float64(max(m.shifts, 1))).
					Add(geom.Point{X: -side.Y, Y: side.X}.Scale(across * float64(sy) / float64(max(m.shifts, 1)))))
				if m.uncovered(by.ApplyTo(whole), by.ApplyTo(open), more) {
					return true
				}
			}
		}
	}
	return false
}

// leastAround is what has to be reached past an end of an edge in every direction, by a
// piece that is laid by eye: what the lesser of its two edges needs.
func (m simulation) leastAround(at geom.Point) float64 {
	least := math.Inf(1)
	for i := range m.shape.Corners {
		if e := m.shape.Corners.Edge(i); e.A == at || e.B == at {
			need := m.shape.need[i]
			if m.shape.seamEdge[i] {
				need = m.shape.allowance
			}
			least = min(least, need)
		}
	}
	return least
}

func (m simulation) uncovered(whole, open geom.Polygon, more float64) bool {
	n := len(m.shape.Corners)
	for i := range m.shape.Corners {
		need := m.shape.need[i]
		if m.shape.seamEdge[i] {
			if m.piece.Way == ByEdge {
				continue
			}
			need = m.shape.allowance
		}
		edge := m.shape.Corners.Edge(i)
		out := geom.Point{X: edge.Dir().Y, Y: -edge.Dir().X}
		if m.shape.Corners.Area() < 0 {
			out = out.Scale(-1)
		}
		for k := 0; k <= 4; k++ {
			at, piece, around := edge.At(float64(k)/4), open, need
			if k == 0 && m.shape.under[i] || k == 4 && m.shape.under[(i+1)%n] {
				piece = whole
			}
			// All round a place that is what the lesser of the edges there needs; past the edge
			// itself, all that it needs.
			for _, other := range [2]int{(i + n - 1) % n, (i + 1) % n} {
				if m.shape.seamEdge[other] && m.piece.Way == ByEdge || other == (i+1)%n && k == 0 || other != (i+1)%n && k == 4 {
					continue
				}
				least := m.shape.need[other]
				if m.shape.seamEdge[other] {
					least = m.shape.allowance
				}
				around = min(around, least)
			}
			if !m.covers(piece, at, around+more) || !m.covers(piece, at.Add(out.Scale(need)), max(more, 0)) {
				return true
			}
		}
	}
	return false
}

// covers looks in all directions, those square to the sides among them.
func (m simulation) covers(piece geom.Polygon, at geom.Point, reach float64) bool {
	look := func(d geom.Point) bool { return piece.Contains(at.Add(d.Scale(reach))) != geom.Outside }
	for k := range 16 {
		sin, cos := math.Sincos(float64(k) * math.Pi / 8)
		if !look(geom.Point{X: cos, Y: sin}) {
			return false
		}
	}
	for i := range piece {
		d := piece.Edge(i).Dir()
		if !look(geom.Point{X: d.Y, Y: -d.X}) {
			return false
		}
	}
	return piece.Contains(at) != geom.Outside
}

// withoutFloor is a piece whose seam side is far away.
func withoutFloor(p geom.Polygon) geom.Polygon {
	const far = 400 * in
	n := len(p)
	out := append(geom.Polygon(nil), p...)
	left, right := p.Edge(n-1), p.Edge(1) // down to p[0], up from p[1]
	out[0] = p[0].Add(left.Dir().Scale(far))
	out[1] = p[1].Sub(right.Dir().Scale(far))
	return out
}

// randomShape is a patch on its seam: convex, or with a corner pushed in,
// or reaching below the line of its seam.
func randomShape(r *rand.Rand) *Shape {
	for {
		n := 3 + r.IntN(4)
		var pts []geom.Point
		for range n {
			pts = append(pts, geom.Point{X: r.Float64() * 6 * in, Y: r.Float64() * 4 * in})
		}
		poly := geom.ConvexHull(pts)
		if len(poly) < 3 || poly.Area() < in*in/2 {
			continue
		}
		edge := r.IntN(len(poly))
		seam := poly.Edge(edge)
		if seam.Len() < in/2 {
			continue
		}
		switch c := poly.Centroid(); r.IntN(4) {
		case 0: // push a corner in
			i := (edge + 2) % len(poly)
			poly[i] = geom.Segment{A: poly[i], B: c}.At(r.Float64() * 0.6)
		case 1: // a foot that reaches below the seam's line, beyond its end
			d := seam.Dir()
			below := geom.Point{X: d.Y, Y: -d.X}.Scale(in * r.Float64())
			foot := []geom.Point{seam.B.Add(below), seam.B.Add(d.Scale(in)).Add(below), seam.B.Add(d.Scale(in))}
			rest := append(append(geom.Polygon{}, poly[edge:]...), poly[:edge]...) // from the seam's start
			rest[1] = seam.B
			poly = append(append(append(geom.Polygon{}, rest[:2]...), foot...), rest[2:]...)
		}
		if !poly.IsSimple() || poly.Area() <= 0 {
			continue
		}
		need := make([]float64, len(poly))
		for i := range need {
			need[i] = in / 4
			if r.IntN(3) == 0 {
				need[i] = in / 2
			}
		}
		if r.IntN(4) == 0 { // a first piece
			return NewShape(poly, Unsewn(poly), in/4, need)
		}
		on := Sewn(seam)
		if r.IntN(2) == 0 { // its line goes on past the seam
			on.Line.B = on.Line.B.Add(seam.Dir().Scale(in * r.Float64()))
		}
		s := NewShape(poly, on, in/4, need)
		s.mark = in / 8
		return s
	}
}

// Every kind of offer, laid askew, against the simulation: it covers just so far
// as the exact margin says, and no further.
func TestMarginsAgainstSimulation(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 2026))
	dipping := 0
	for trial := range 40 {
		s := randomShape(r)
		o := Options{Step: in / 4, Placement: Placement{Shift: in / 8 * r.Float64(), Turn: 6 * r.Float64(), Swing: in / 2 * r.Float64()}, Extra: in / 4, Center: Center(r.IntN(3))}
		for _, c := range s.under {
			if c {
				dipping++
				break
			}
		}
		for _, offer := range []Offer{
			s.RectangleOffer(o), s.SmallestOffer(o),
			s.TriangleOffer(HalfSquare, o), s.TriangleOffer(QuarterSquare, o),
			s.AlongOffer(geom.Point{X: 1, Y: r.Float64()}, o),
		} {
			require.GreaterOrEqual(t, offer.Worst.Least, -eps, "trial %d: %v", trial, offer)
			require.GreaterOrEqual(t, offer.Nominal.Least, offer.Worst.Least-eps)
			m := simulation{s, offer.Laid, o.Placement, 8, 1}
			assert.False(t, m.fails(offer.Worst.Least-1.5), "trial %d: %v does not reach so far", trial, offer)
			m.angles = 60
			assert.True(t, m.fails(offer.Worst.Least+1.5), "trial %d: %v reaches further", trial, offer)

			straight := simulation{s, offer.Laid, Placement{}, 0, 0}
			assert.False(t, straight.fails(offer.Nominal.Least-1.5))
			assert.True(t, straight.fails(offer.Nominal.Least+1.5))
		}
	}
	assert.Greater(t, dipping, 5, "patches that reach below their seam's line were among them")
}

// The offered size is the smallest: one step less, either way, does not cover.
func TestOfferIsSmallest(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	o := usual
	o.Center = CenterLine // one place along the seam, whatever the size
	for range 300 {
		s := randomShape(r)
		offer := s.RectangleOffer(o)
		along, across := offer.Along-o.Step, offer.Across-o.Step
		if !s.sewn {
			u := offer.Laid.Outline.Edge(0).Dir()
			if offer.Along == offer.Across { // nobody sees which way round it goes: a smaller square does not cover
				assert.Less(t, s.Margin(s.boxed(u, along, across, s.middleAlong(u)), o.Placement).Least, clear)
				continue
			}
			assert.Less(t, s.Margin(s.boxed(u, along, offer.Across, s.middleAlong(u)), o.Placement).Least, clear)
			assert.Less(t, s.Margin(s.boxed(u, offer.Along, across, s.middleAlong(u)), o.Placement).Least, clear)
			continue
		}
		at, past := s.onLine(0), offer.Laid.Past
		assert.Less(t, s.Margin(s.rectangle(along, offer.Across, past, at), o.Placement).Least, clear)
		assert.Less(t, s.Margin(s.rectangle(offer.Along, across, past, at), o.Placement).Least, clear)
		half := s.TriangleOffer(HalfSquare, o)
		assert.Less(t, s.Margin(s.triangle((half.Along-o.Step)*math.Sqrt2, half.Laid.Past, at), o.Placement).Least, clear)
	}
}

// The worst placement in closed form against a fine grid of turns and shifts: within a budget that
// shift and turn share and without, for wide turns too, where more than one quadrant and the trough
// of a wave take part.
func TestWorstPlacementAgainstGrid(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 9))
	bound := 0
	for range 1500 {
		angle := r.Float64() * 2 * math.Pi
		if r.IntN(2) == 0 {
			angle = float64(r.IntN(8)) * math.Pi / 4
		}
		n := geom.Point{X: math.Cos(angle), Y: math.Sin(angle)}
		p := geom.Point{X: r.NormFloat64(), Y: r.NormFloat64()}
		o := geom.Point{X: r.NormFloat64(), Y: r.NormFloat64()}
		pl := Placement{Shift: r.Float64(), Turn: 180 * r.Float64() * r.Float64(), Swing: r.Float64()}
		e, budget, arm := pl.byEye(r.Float64(), geom.Point{}), math.Inf(1), 0.0
		if r.IntN(2) == 0 {
			budget, arm = r.Float64(), 3*r.Float64()
			e = pl.byEdge(2*arm, 2*budget)
		}
		least := math.Inf(1)
		const steps = 3000
		for k := -steps; k <= steps; k++ {
			turn := e.turn * float64(k) / steps
			across := min(pl.Shift, budget-arm*math.Abs(math.Sin(turn)))
			if turn < 90 && across < -1e-12 {
				continue
			}
			if across < pl.Shift {
				bound++
			}
			m := geom.TurnAbout(geom.Point{}, turn*180/math.Pi).Apply(n)
			for _, d := range [4]geom.Point{{X: 1, Y: 1}, {X: 1, Y: -1}, {X: -1, Y: 1}, {X: -1, Y: -1}} {
				least = min(least, m.Dot(p.Sub(o).Sub(geom.Point{X: d.X * pl.Shift, Y: d.Y * across}))+n.Dot(o))
			}
		}
		exact := e.worst(n, p, o)
		require.LessOrEqual(t, exact, least+1e-9)
		require.InDelta(t, least, exact, 2e-4)
	}
	assert.Positive(t, bound)
}
