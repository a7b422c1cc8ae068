package geom

import (
	"math"
	"testing"

	sf "github.com/peterstace/simplefeatures/geom"
	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// clouds are points at random, some of them on one line or in one place, to
// an eighth of a hair: on points that differ in the last bits only, the
// reference's calipers never come to an end.
var clouds = rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Point {
	step, c := 0.125, rapid.IntRange(-16000, 16000)
	if rapid.Bool().Draw(t, "coarse") {
		step, c = Inch, rapid.IntRange(-4, 4)
	}
	return Point{float64(c.Draw(t, "x")) * step, float64(c.Draw(t, "y")) * step}
}), 1, 60)

func sfPoints(ps []Point) sf.Geometry {
	var all []sf.Point
	for _, p := range ps {
		all = append(all, sf.XY(p).AsPoint())
	}
	return sf.NewMultiPoint(all).AsGeometry()
}

func TestHullsAgreeWithTheReference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ps := clouds.Draw(t, "points")
		hull := ConvexHull(ps)
		want := sfPoints(ps).ConvexHull()
		if math.Abs(hull.Area()-want.Area()) > 1e-9*(1+want.Area()) {
			t.Fatalf("area %v, the reference says %v", hull.Area(), want.Area())
		}
		if len(hull) >= 3 && !hull.strictlyConvex() {
			t.Fatal("a hull is convex")
		}
		for _, p := range ps {
			if len(hull) >= 3 && hull.depth(p) < -noise {
				t.Fatalf("%v is outside", p)
			}
		}
	})
}

// The smallest-area rectangle has a side on an edge of the hull; for a triangle
// it is twice the area: McGill University, notes on minimum-area enclosing
// rectangles. The figures for unit sides are derived.
func TestMinAreaRectanglesWithAFigure(t *testing.T) {
	unitSide := func(n int) Polygon { return regular(n, 0.5/math.Sin(math.Pi/float64(n))) }
	for n, want := range map[int]float64{3: 0.8660, 4: 1, 5: 2.4899, 6: 3.4641, 8: 5.8284} {
		assert.InDelta(t, want, MinAreaRectangle(unitSide(n)).Area(), 0.00005, "%d sides", n)
	}
	rapid.Check(t, func(t *rapid.T) {
		tri := Polygon{points.Draw(t, "a"), points.Draw(t, "b"), points.Draw(t, "c")}
		want := 2 * math.Abs(tri.Area())
		if got := MinAreaRectangle(tri).Area(); math.Abs(got-want) > 1e-8*(1+want) {
			t.Fatalf("%v, twice the area is %v", got, want)
		}
	})
}

func TestMinAreaRectanglesAgreeWithTheReference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ps := clouds.Draw(t, "points")
		r := MinAreaRectangle(ps)
		want := sf.RotatedMinimumAreaBoundingRectangle(sfPoints(ps)).Area()
		if math.Abs(r.Area()-want) > 1e-8*(1+want) {
			t.Fatalf("area %v, the reference says %v", r.Area(), want)
		}
		for _, p := range ps {
			if r.Area() > 0 && r.Polygon().depth(p) < -1e-8 {
				t.Fatalf("%v is outside %v", p, r)
			}
		}
		hull := ConvexHull(ps)
		if len(hull) >= 3 {
			onEdge := false
			for i := range hull {
				onEdge = onEdge || math.Abs(hull.Edge(i).Dir().Cross(r.Dir)) < 1e-9
			}
			if !onEdge {
				t.Fatal("no side lies on an edge of the hull")
			}
		}
	})
}

func TestBoxAlong(t *testing.T) {
	tri := Polygon{{0, 0}, {300, 0}, {0, 300}}
	along := BoxAlong(tri, Point{-5, 5}) // up the long side
	assert.InDelta(t, 300*math.Sqrt2, along.Width, 1e-9)
	assert.InDelta(t, 150*math.Sqrt2, along.Height, 1e-9)
	assert.InDelta(t, 135, along.Angle(), 1e-9)
	assert.InDelta(t, 0, along.Corner.Dist(Point{300, 0}), 1e-9, "the corner is where width and height begin")
	assert.Equal(t, Rectangle{Point{0, 0}, Point{1, 0}, 300, 300}, BoxAlong(tri, Point{}))
	rapid.Check(t, func(t *rapid.T) {
		ps, d := clouds.Draw(t, "points"), points.Draw(t, "direction")
		r := BoxAlong(ps, d)
		for _, p := range ps {
			v := p.Sub(r.Corner)
			if x, y := r.Dir.Dot(v), r.Dir.Cross(v); x < -1e-9 || y < -1e-9 || x > r.Width+1e-9 || y > r.Height+1e-9 {
				t.Fatalf("%v is outside %v", p, r)
			}
		}
	})
}
