package draw_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"sewable/lang/draw"
	"sewable/lang/geom"
)

// Whatever the patch, what stands in it stays in it.
func TestFitStaysInside(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 9).Draw(t, "corners")
		poly := make(geom.Polygon, n)
		for i := range poly { // a star round a middle, in general not convex
			r := rapid.Float64Range(10, 200).Draw(t, "r")
			sin, cos := math.Sincos(2 * math.Pi * (float64(i) + rapid.Float64Range(0.05, 0.95).Draw(t, "at")) / float64(n))
			poly[i] = geom.Point{X: 300 + r*cos, Y: 300 + r*sin}
		}
		if !poly.IsSimple() {
			t.Skip("a triangle whose corners lie on one side may fold over")
		}
		width := rapid.Float64Range(0.3, 8).Draw(t, "width")
		var taken []geom.Box
		if rapid.Bool().Draw(t, "taken") {
			at := poly.Centroid()
			taken = []geom.Box{{Min: at.Sub(geom.Point{X: 3, Y: 20}), Max: at.Add(geom.Point{X: 3, Y: 20})}}
		}
		middle, size := draw.Fit(poly, width, 0.72, 26, taken)
		if 0.72*size < 2*geom.Hair || width*size < 2*geom.Hair {
			return // no letter: inside and outside are one there
		}
		half := geom.Point{X: width * size / 2, Y: 0.72 * size / 2}
		assert.True(t, draw.Within(geom.Box{Min: middle.Sub(half), Max: middle.Add(half)}, poly))
		assert.LessOrEqual(t, size, 26.0)
	})
}

// In a square of 10 a box as wide as it is high is as large as the square in
// the circle.
func TestFitInASquare(t *testing.T) {
	square := geom.Box{Max: geom.Point{X: 10, Y: 10}}.Polygon()
	middle, size := draw.Fit(square, 1, 1, 100, nil)
	assert.InDelta(t, 5, middle.X, 1e-9)
	assert.InDelta(t, 5, middle.Y, 1e-9)
	assert.InDelta(t, 10/math.Sqrt2/1.24, size, 1e-9, "with air of 0.12 all round")
	_, none := draw.Fit(geom.Polygon{{}, {X: 1}, {X: 2}}, 1, 1, 100, nil)
	assert.Zero(t, none)
}
