package cloth

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/syntax"
)

const in = geom.Inch

// cutOf lays a cut on a patch, all in inches, with an allowance of 1/4 in all round.
func cutOf(corners geom.Polygon, seam geom.Segment, form syntax.CutForm, along, across geom.Num) Offer {
	cut := &block.Cut{Form: form, Along: along.Mul(geom.Int(in)), Across: across.Mul(geom.Int(in))}
	on := Sewn(geom.Segment{A: seam.A.Scale(in), B: seam.B.Scale(in)})
	return NewShape(inches(corners, 1), on, in/4, quarter(len(corners))).own(cut, Options{})
}

var (
	square   = geom.Polygon{{X: 0, Y: 0}, {X: 3, Y: 0}, {X: 3, Y: 3}, {X: 0, Y: 3}}
	triangle = geom.Polygon{{X: 0, Y: 0}, {X: 3, Y: 0}, {X: 0, Y: 3}} // right isosceles, leg 3
	legs     = geom.Segment{A: geom.Point{X: 3}, B: geom.Point{Y: 3}} // its long side
)

// The Quilter's Bible (handbook), cutting chapter: a square or rectangle is
// cut 1/2 in larger than it finishes.
func TestRectangleConstant(t *testing.T) {
	base := square.Edge(0)
	c := cutOf(square, base, syntax.CutRectangle, geom.Frac(7, 2), geom.Frac(7, 2))
	assert.InDelta(t, 0, c.Nominal.Least, 1e-9)
	assert.InDelta(t, 3.5*in, c.LeastAlong, 1e-9)
	assert.InDelta(t, 3.5*in, c.LeastAcross, 1e-9)
	short := cutOf(square, base, syntax.CutRectangle, geom.Frac(13, 4), geom.Frac(7, 2))
	assert.InDelta(t, -in/8, short.Nominal.Least, 1e-9, "a quarter too short lacks an eighth on either side")
	assert.InDelta(t, 0, cutOf(square, base, syntax.CutStrip, geom.Frac(7, 2), geom.Num{}).Nominal.Least, 1e-9)
	assert.Less(t, cutOf(square, base, syntax.CutStrip, geom.Frac(3, 1), geom.Num{}).Nominal.Least, 0.0)
}

// North Hampshire Quilters (guild), block instructions, and The Quilter's
// Bible: a half-square triangle is cut from a square 7/8 in larger than its
// finished leg (3 → 3 7/8); North Hampshire Quilters: a quarter-square triangle
// from one 1 1/4 in larger than its finished long side (3 → 4 1/4). Both cover, with
// next to nothing to spare, and an eighth less does not.
func TestTriangleConstants(t *testing.T) {
	half := cutOf(triangle, legs, syntax.CutHalved, geom.Frac(31, 8), geom.Num{})
	assert.Positive(t, half.Nominal.Least)
	assert.Less(t, half.Nominal.Least, in/64)
	assert.Negative(t, cutOf(triangle, legs, syntax.CutHalved, geom.Frac(30, 8), geom.Num{}).Nominal.Least)
	// The exact constant is s(2+√2), 0.8536 in for s = 1/4.
	assert.InDelta(t, (3+0.8536)*in, half.LeastAlong, 0.01)

	wide := geom.Polygon{{X: 0, Y: 0}, {X: 3, Y: 0}, {X: 1.5, Y: 1.5}} // long side 3
	quartered := cutOf(wide, wide.Edge(0), syntax.CutQuartered, geom.Frac(17, 4), geom.Num{})
	assert.Positive(t, quartered.Nominal.Least)
	assert.Less(t, quartered.Nominal.Least, in/32)
	assert.Negative(t, cutOf(wide, wide.Edge(0), syntax.CutQuartered, geom.Frac(33, 8), geom.Num{}).Nominal.Least)
	// The exact constant is s(2+2√2), 1.2071 in.
	assert.InDelta(t, (3+1.2071)*in, quartered.LeastAlong, 0.01)
}

// A beam sewn on its short end reaches far to one side: the piece lies on the middle of
// its extent, not on the middle of the seam.
func TestPieceLiesOnThePatchNotOnTheSeam(t *testing.T) {
	beam := geom.Polygon{{X: 0, Y: 0}, {X: 1, Y: 0}, {X: 6, Y: 2}, {X: 5, Y: 2}}
	c := cutOf(beam, beam.Edge(0), syntax.CutRectangle, geom.Frac(13, 2), geom.Frac(5, 2))
	assert.InDelta(t, 0, c.Nominal.Least, 1e-9)
}

// The seam may run either way and the patch lie on either side of it.
func TestFrame(t *testing.T) {
	for _, seam := range []geom.Segment{square.Edge(2), square.Edge(2).Reverse()} {
		s := NewShape(square, Sewn(seam), 0, make([]float64, 4))
		assert.InDelta(t, 0, s.box.Min.Y, 1e-9)
		assert.InDelta(t, 3, s.box.Max.Y, 1e-9)
		for i, c := range square {
			assert.InDelta(t, 0, s.Back(s.Corners[i]).Dist(c), 1e-9)
		}
	}
}
