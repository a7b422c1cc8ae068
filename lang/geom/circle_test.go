package geom

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestInscribedCirclesWithAFormula(t *testing.T) {
	for name, c := range map[string]struct {
		poly Polygon
		r    float64
	}{
		// r = area / half the perimeter: 3, 4, 5 has 1.
		"triangle 3, 4, 5":          {Polygon{{0, 0}, {300, 0}, {0, 400}}, 100},
		"square":                    {Box{Max: Point{254, 254}}.Polygon(), 127},
		"rectangle":                 {Box{Max: Point{254, 1000}}.Polygon(), 127},
		"strip":                     {Box{Max: Point{12700, 63.5}}.Polygon(), 31.75},
		"parallelogram":             {Polygon{{0, 0}, {500, 0}, {600, 100}, {100, 100}}, 50},
		"kite":                      {Polygon{{-300, 0}, {0, -400}, {300, 0}, {0, 400}}, 240}, // a rhombus: product of diagonals / 4 sides
		"with straight corner":      {Polygon{{0, 0}, {100, 0}, {254, 0}, {254, 254}, {0, 254}}, 127},
		"L: r√2 = (200 - r)·√2 + r": {ell, 200 * math.Sqrt2 / (1 + math.Sqrt2)},
		// A channel of even width, where every point along it is as good.
		"corridor round a corner": {Polygon{{0, 0}, {5000, 0}, {5000, 100}, {100, 100}, {100, 5000}, {0, 5000}}, 100 * math.Sqrt2 / (1 + math.Sqrt2)},
		"plus":                    {Polygon{{100, 0}, {200, 0}, {200, 100}, {300, 100}, {300, 200}, {200, 200}, {200, 300}, {100, 300}, {100, 200}, {0, 200}, {0, 100}, {100, 100}}, 50 * math.Sqrt2},
		"U of even width":         {Polygon{{0, 0}, {1000, 0}, {1000, 1000}, {900, 1000}, {900, 100}, {100, 100}, {100, 1000}, {0, 1000}}, 100 * math.Sqrt2 / (1 + math.Sqrt2)},
	} {
		tol := 1e-9
		if !c.poly.IsConvex() {
			tol = fine
		}
		for _, poly := range []Polygon{c.poly, c.poly.Reverse(), TurnAbout(Point{77, -5}, 17).ApplyTo(c.poly)} {
			got := InscribedCircle(poly)
			assert.InDelta(t, c.r, got.R, tol, name)
			assert.InDelta(t, got.R, poly.depth(got.Centre), 1e-9, name)
		}
	}
	for n := 3; n <= 100; n++ {
		got := InscribedCircle(regular(n, 1000))
		assert.InDelta(t, 1000*math.Cos(math.Pi/float64(n)), got.R, 1e-9, "regular polygon of %d corners", n)
		assert.InDelta(t, 0, got.Centre.Len(), 1e-6)
	}
}

func TestInscribedCircleOfTriangles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tri := Polygon{points.Draw(t, "a"), points.Draw(t, "b"), points.Draw(t, "c")}
		got := InscribedCircle(tri)
		if want := 2 * math.Abs(tri.Area()) / tri.Perimeter(); math.Abs(got.R-want) > 1e-9*(1+want) {
			t.Fatalf("radius %v, area over half the perimeter %v", got.R, want)
		}
		// The general way gives the same.
		if c, ok := inConvex(tri); got.R > 0.1 && (!ok || math.Abs(c.R-got.R) > 1e-7 || c.Centre.Dist(got.Centre) > 1e-3) {
			t.Fatalf("%v in general, %v by the formula", c, got)
		}
	})
}

// convexes are convex polygons: what is left of a square after some cuts, so
// parallel edges and right angles abound.
var convexes = rapid.Custom(func(t *rapid.T) Polygon {
	poly := Box{Max: Point{762, 762}}.Polygon()
	c := rapid.IntRange(0, 48)
	place := func(name string) Point {
		return Point{float64(c.Draw(t, name+".x")) * Inch / 8, float64(c.Draw(t, name+".y")) * Inch / 8}
	}
	for range rapid.IntRange(0, 9).Draw(t, "cuts") {
		if chords := Chords(poly, place("p"), place("q")); len(chords) == 1 {
			a, b := Split(poly, chords[0])
			if b.Area() > a.Area() {
				a = b
			}
			poly = a
		}
	}
	return poly
})

// In a convex polygon the best circle touches three edges (or fits between two
// and touches a third): trying every three is slow and sure.
func TestInscribedCircleOfConvexPolygonsIsTheBestOfAllThrees(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		poly := convexes.Draw(t, "polygon")
		var edges []halfPlane
		for i := range poly {
			n := left(poly.Edge(i).Dir()).Scale(-1)
			edges = append(edges, halfPlane{n, n.Dot(poly[i])})
		}
		want := math.Inf(1)
		for i := range edges {
			for j := range i {
				for k := range j {
					if c, ok := touching(edges[i], edges[j], edges[k]); ok {
						want = min(want, c.R)
					}
				}
			}
		}
		got := InscribedCircle(poly)
		if math.Abs(got.R-want) > 1e-8 || math.Abs(poly.depth(got.Centre)-got.R) > 1e-8 {
			t.Fatalf("%v, the best of all threes is %v", got, want)
		}
		if c := deepest(poly); math.Abs(c.R-got.R) > fine {
			t.Fatalf("halving squares finds %v, not %v", c, got)
		}
	})
}

// No point that a search of many steps finds is deeper than the centre by more
// than a hundredth of a hair.
func TestInscribedCircleIsTheDeepest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		poly := polygons.Draw(t, "polygon")
		got := InscribedCircle(poly)
		if math.Abs(poly.depth(got.Centre)-got.R) > 1e-9 || got.R <= 0 {
			t.Fatalf("%v has depth %v", got, poly.depth(got.Centre))
		}
		if poly.Contains(poly.InteriorPoint()) == Outside {
			t.Fatal("the interior point is outside")
		}
		rng := rand.New(rand.NewPCG(1, 2))
		b := poly.Bounds()
		for range 40 {
			p := Point{b.Min.X + rng.Float64()*b.Width(), b.Min.Y + rng.Float64()*b.Height()}
			d := poly.depth(p)
			for step := 50.0; step > 1e-3; {
				a := rng.Float64() * 2 * math.Pi
				q := p.Add(Point{step * math.Cos(a), step * math.Sin(a)})
				if e := poly.depth(q); e > d {
					p, d = q, e
				} else {
					step *= 0.9
				}
			}
			if d > got.R+fine {
				t.Fatalf("%v has depth %v, more than %v", p, d, got)
			}
		}
	})
}

func TestInscribedCircleOfNothing(t *testing.T) {
	assert.Zero(t, InscribedCircle(Polygon{{0, 0}, {100, 0}, {200, 0}}).R)
	assert.Zero(t, InscribedCircle(Polygon{{0, 0}, {100, 0}, {200, 0}, {100, 0}}).R)
	assert.Equal(t, Circle{Centre: Point{5, 5}}, InscribedCircle(Polygon{{5, 5}, {5, 5}, {5, 5}, {5, 5}}))
}

func BenchmarkInscribedCircle(b *testing.B) {
	for _, c := range []struct {
		name string
		poly Polygon
	}{
		{"triangle", Polygon{{0, 0}, {300, 0}, {0, 400}}},
		{"square", Box{Max: Point{254, 254}}.Polygon()},
		{"trapezium", Polygon{{0, 0}, {500, 0}, {430, 170}, {60, 150}}},
		{"hexagon", regular(6, 400)},
		{"convex-100", regular(100, 4000)},
		{"L", ell},
		{"bay-20", bay(20)},
		{"bay-1000", bay(1000)},
	} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				InscribedCircle(c.poly)
			}
		})
	}
}
