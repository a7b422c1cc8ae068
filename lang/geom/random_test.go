package geom

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	sf "github.com/peterstace/simplefeatures/geom"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The reference library for areas, unions, hulls and the rest is
// github.com/peterstace/simplefeatures v0.50.0; only tests use it.

// sfPolygon is a polygon in the reference library.
func sfPolygon(poly Polygon) sf.Geometry {
	coords := make([]float64, 0, 2*len(poly)+2)
	for i := range len(poly) + 1 {
		p := poly[i%len(poly)]
		coords = append(coords, p.X, p.Y)
	}
	ring := sf.NewLineString(sf.NewSequence(coords, sf.DimXY))
	return sf.NewPolygon([]sf.LineString{ring}).AsGeometry()
}

func sfLine(p, q Point) sf.Geometry {
	return sf.NewLineString(sf.NewSequence([]float64{p.X, p.Y, q.X, q.Y}, sf.DimXY)).AsGeometry()
}

// stars are simple polygons of 5 to 40 corners, mostly not convex: corners
// around a centre at any distance. They run either way round.
var stars = rapid.Custom(func(t *rapid.T) Polygon {
	n := rapid.IntRange(5, 40).Draw(t, "corners")
	poly := make(Polygon, n)
	for i := range poly {
		r := rapid.Float64Range(60, 700).Draw(t, "radius")
		a := (float64(i) + rapid.Float64Range(0, 0.9).Draw(t, "angle")) * 2 * math.Pi / float64(n)
		poly[i] = Point{762 + r*math.Cos(a), 762 + r*math.Sin(a)}
	}
	if rapid.Bool().Draw(t, "clockwise") {
		poly = poly.Reverse()
	}
	return poly.Weld()
})

// stairs are simple polygons on a grid of half inches: level, upright and
// diagonal edges, right angles, straight corners, lines that meet many corners.
var stairs = rapid.Custom(func(t *rapid.T) Polygon {
	const step = Inch / 2
	n := rapid.IntRange(2, 12).Draw(t, "columns")
	heights := rapid.IntRange(1, 12)
	var bottom, top Polygon // both from left to right
	for i := range n {
		h, l := float64(heights.Draw(t, "top")), -float64(heights.Draw(t, "bottom"))
		x0, x1 := float64(i)*step, float64(i+1)*step
		if rapid.Bool().Draw(t, "peak") {
			top = append(top, Point{(x0 + x1) / 2, h * step})
		} else {
			top = append(top, Point{x0, h * step}, Point{x1, h * step})
		}
		bottom = append(bottom, Point{x0, l * step}, Point{x1, l * step})
	}
	slices.Reverse(top)
	return append(bottom, top...).Weld()
})

var polygons = rapid.OneOf(stars, stairs)

// regular is the regular polygon of n corners.
func regular(n int, radius float64) Polygon {
	poly := make(Polygon, n)
	for i := range poly {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		poly[i] = Point{radius * cos, radius * sin}
	}
	return poly
}

// division cuts an outline into parts by random chords, largest part first, as
// a designer does: the parts fill it once, with T-junctions everywhere.
func division(t testing.TB, rng *rand.Rand, outline Polygon, parts int) []Polygon {
	division := []Polygon{outline}
	for tries := 0; len(division) < parts && tries < 20*parts; tries++ {
		largest := 0
		for i, p := range division {
			if math.Abs(p.Area()) > math.Abs(division[largest].Area()) {
				largest = i
			}
		}
		poly := division[largest]
		b := poly.Bounds()
		at := func() Point {
			return Point{b.Min.X + rng.Float64()*b.Width(), b.Min.Y + rng.Float64()*b.Height()}
		}
		p, q := at(), at()
		if rng.IntN(3) == 0 {
			p = poly[rng.IntN(len(poly))]
		}
		chords := Chords(poly, p, q)
		if len(chords) == 0 {
			continue
		}
		left, right := Split(poly, chords[rng.IntN(len(chords))])
		require.Greater(t, math.Abs(left.Area()), 0.0)
		division[largest] = left
		division = append(division, right)
	}
	return division
}
