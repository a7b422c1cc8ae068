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
	pivot := m.shape.middle()
	for a := -m.angles; a <= m.angles; a++ {
		turn := geom.TurnAbout(pivot, m.place.Turn*float64(a)/float64(max(m.angles, 1)))
		whole := turn.ApplyTo(m.piece.Outline)
		open := whole
		if m.piece.BySeam { // what is below the seam there is allowance: no side at all
			open = turn.ApplyTo(withoutFloor(m.piece.Outline))
		}
		for sx := -m.shifts; sx <= m.shifts; sx++ {
			for sy := -m.shifts; sy <= m.shifts; sy++ {
				by := geom.MoveBy(geom.Point{
					X: m.place.Shift * float64(sx) / float64(max(m.shifts, 1)),
					Y: m.place.Shift * float64(sy) / float64(max(m.shifts, 1)),
				})
				if m.uncovered(by.ApplyTo(whole), by.ApplyTo(open), more) {
					return true
				}
			}
		}
	}
	return false
}

func (m simulation) uncovered(whole, open geom.Polygon, more float64) bool {
	n := len(m.shape.Corners)
	for i := range m.shape.Corners {
		need := m.shape.need[i]
		if m.shape.seamEdge[i] {
			if m.piece.BySeam {
				continue
			}
			need = m.shape.allowance
		}
		edge := m.shape.Corners.Edge(i)
		for k := 0; k <= 4; k++ {
			at, piece := edge.At(float64(k)/4), open
			if k == 0 && m.shape.under[i] || k == 4 && m.shape.under[(i+1)%n] {
				piece = whole
			}
			if !m.covers(piece, at, need+more) {
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
		return NewShape(poly, seam, in/4, need)
	}
}

// Every kind of offer, laid askew, against the simulation: it covers just so far
// as the exact margin says, and no further.
func TestMarginsAgainstSimulation(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 2026))
	dipping := 0
	for trial := range 40 {
		s := randomShape(r)
		o := Options{Step: in / 4, Placement: Placement{Shift: in / 8 * r.Float64(), Turn: 6 * r.Float64()}}
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
	o := Options{Step: in / 4, Placement: Placement{Shift: in / 8, Turn: 3}}
	for range 300 {
		s := randomShape(r)
		offer, past := s.RectangleOffer(o), s.low(o.Placement)
		assert.Negative(t, s.Margin(s.rectangle(offer.Along-o.Step, offer.Across, past), o.Placement).Least)
		assert.Negative(t, s.Margin(s.rectangle(offer.Along, offer.Across-o.Step, past), o.Placement).Least)
		half := s.TriangleOffer(HalfSquare, o)
		assert.Negative(t, s.Margin(s.triangle((half.Along-o.Step)*math.Sqrt2, past), o.Placement).Least)
	}
}

// The worst placement in closed form against a fine grid of angles, for wide
// turns too, where more than one quadrant and the trough of a wave take part.
func TestWorstPlacementAgainstGrid(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 9))
	for range 400 {
		angle := r.Float64() * 2 * math.Pi
		n := geom.Point{X: math.Cos(angle), Y: math.Sin(angle)}
		p := geom.Point{X: r.NormFloat64(), Y: r.NormFloat64()}
		o := geom.Point{X: r.NormFloat64(), Y: r.NormFloat64()}
		pl := Placement{Shift: r.Float64(), Turn: 180 * r.Float64() * r.Float64()}
		least := math.Inf(1)
		const steps = 4000
		for k := -steps; k <= steps; k++ {
			m := geom.TurnAbout(geom.Point{}, pl.Turn*float64(k)/steps).Apply(n)
			for _, d := range [4]geom.Point{{X: 1, Y: 1}, {X: 1, Y: -1}, {X: -1, Y: 1}, {X: -1, Y: -1}} {
				least = min(least, m.Dot(p.Sub(o).Sub(d.Scale(pl.Shift)))+n.Dot(o))
			}
		}
		exact := pl.worst(n, p, o)
		assert.LessOrEqual(t, exact, least+1e-9)
		assert.InDelta(t, least, exact, 1e-4)
	}
}
