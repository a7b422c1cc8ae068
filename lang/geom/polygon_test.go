package geom

import (
	"math"
	"math/big"
	"testing"

	sf "github.com/peterstace/simplefeatures/geom"
	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestAreasAndCentroidsAgreeWithTheReference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		poly := polygons.Draw(t, "polygon")
		exact, _ := new(big.Rat).Quo(exactArea(poly), big.NewRat(2, 1)).Float64()
		want := sfPolygon(poly)
		if got := poly.Area(); math.Abs(got-exact) > 1e-9*math.Abs(exact) || math.Abs(math.Abs(got)-want.Area()) > 1e-9*want.Area() {
			t.Fatalf("area %v, exactly %v, the reference says %v", got, exact, want.Area())
		}
		c, _ := want.Centroid().XY()
		if got := poly.Centroid(); got.Dist(Point(c)) > 1e-9*poly.Perimeter() {
			t.Fatalf("centroid %v, the reference says %v", got, c)
		}
		b := poly.Bounds()
		low, high, _ := want.Envelope().MinMaxXYs()
		if b != (Box{Point(low), Point(high)}) {
			t.Fatalf("bounds %v", b)
		}
		if !poly.IsSimple() {
			t.Fatal("it is simple")
		}
		if ccw := poly.CCW(); ccw.Area() <= 0 || poly.Reverse().Area() != -poly.Area() && math.Abs(poly.Reverse().Area()+poly.Area()) > 1e-9*math.Abs(exact) || ccw[0] != poly[0] {
			t.Fatal("reversing changes the sign only")
		}
	})
}

func TestAreaKeepsItsDigitsFarOut(t *testing.T) {
	tiny := Polygon{{0, 0}, {3, 0}, {0, 3}}
	var far Polygon
	for _, p := range tiny {
		far = append(far, p.Add(Point{1e6, 1e6}))
	}
	assert.Equal(t, 4.5, far.Area())
}

func TestContainsAgreesWithTheReference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		poly := polygons.Draw(t, "polygon")
		ref := sfPolygon(poly)
		b := poly.Bounds().Grow(50)
		part := rapid.Float64Range(0, 1)
		p := Point{b.Min.X + part.Draw(t, "x")*b.Width(), b.Min.Y + part.Draw(t, "y")*b.Height()}
		point := sf.XY(p).AsPoint().AsGeometry()
		away, _ := sf.Distance(ref.Boundary(), point)
		want := Outside
		if sf.Intersects(ref, point) {
			want = Inside
		}
		if away <= Hair {
			want = OnEdge
		}
		if math.Abs(away-Hair) < noise {
			t.Skip()
		}
		if got := poly.Contains(p); got != want {
			t.Fatalf("%d, want %d, %v from the outline", got, want, away)
		}
	})
}

func TestContainsOnAndBesideTheOutline(t *testing.T) {
	for _, c := range []struct {
		p    Point
		want Where
	}{
		{Point{100, 100}, Inside},
		{Point{300, 300}, Outside},
		{Point{200, 200}, OnEdge},
		{Point{199.5, 300}, OnEdge},
		{Point{200.5, 300}, OnEdge},
		{Point{198.5, 300}, Inside},
		{Point{201.5, 300}, Outside},
		{Point{-1, -1}, Outside}, // √2 from the corner
		{Point{-0.5, -0.5}, OnEdge},
		{Point{500, 200}, Outside}, // level with an edge
		{Point{-100, 200}, Outside},
	} {
		assert.Equal(t, c.want, ell.Contains(c.p), "%v", c.p)
		assert.Equal(t, c.want, ell.Reverse().Contains(c.p), "%v", c.p)
	}
	assert.Equal(t, Outside, Polygon(nil).Contains(Point{}))
}

func TestConvex(t *testing.T) {
	bent := Polygon{{0, 0}, {200, 0.9}, {400, 0}, {400, 400}, {0, 400}}
	for name, c := range map[string]struct {
		poly Polygon
		want bool
	}{
		"triangle":                       {Polygon{{0, 0}, {400, 0}, {0, 400}}, true},
		"clockwise square":               {regular(4, 300).Reverse(), true},
		"with a straight corner":         {Polygon{{0, 0}, {200, 0}, {400, 0}, {400, 400}, {0, 400}}, true},
		"bent in by less than a hair":    {bent, true},
		"bent in by more":                {append(Polygon{{0, 0}, {200, 1.1}}, bent[2:]...), false},
		"an L":                           {ell, false},
		"an L, clockwise":                {ell.Reverse(), false},
		"a bow":                          {Polygon{{0, 0}, {400, 400}, {400, 0}, {0, 400}}, false},
		"a pentagram: all turns one way": {Polygon{regular(5, 300)[0], regular(5, 300)[2], regular(5, 300)[4], regular(5, 300)[1], regular(5, 300)[3]}, false},
		"twice round":                    {append(regular(4, 300), regular(4, 300)...), false},
		"many small dents make a bay":    {bay(200), false},
		"no area":                        {Polygon{{0, 0}, {400, 0}, {200, 0}}, false},
		"nothing":                        {nil, false},
		"a thousand corners":             {regular(1000, 5000), true},
	} {
		assert.Equal(t, c.want, c.poly.IsConvex(), name)
	}
}

// bay is a square with a round bay in its top, of n corners.
func bay(n int) Polygon {
	poly := Polygon{{0, 0}, {600, 0}, {600, 600}}
	for i := range n {
		sin, cos := math.Sincos(math.Pi * (float64(i) + 0.5) / float64(n))
		poly = append(poly, Point{300 + 250*cos, 600 - 250*sin})
	}
	return append(poly, Point{0, 600})
}

func TestWeld(t *testing.T) {
	assert.Equal(t, Polygon{{0, 0}, {100, 0}, {0, 100}},
		Polygon{{0, 0}, {0.4, 0.4}, {100, 0}, {100, 0.9}, {0, 100}, {0, 0.5}}.Weld(), "the first of each stays where it is")
	assert.Equal(t, ell, ell.Weld())
	assert.Nil(t, Polygon{{0, 0}, {100, 0}, {100, 0.5}, {0, 0.5}}.Weld())
	assert.Nil(t, Polygon(nil).Weld())
	creep := Polygon{{0, 0}, {0.8, 0}, {1.6, 0}, {2.4, 0}, {100, 0}, {0, 100}}
	assert.Equal(t, Polygon{{0, 0}, {1.6, 0}, {100, 0}, {0, 100}}, creep.Weld(), "and welding does not creep")
}

func TestFromLowerLeft(t *testing.T) {
	want := Polygon{{0, 0.5}, {100, 0}, {100, 100}, {0, 100}} // half a hair up is as low
	for i := range want {
		turned := append(want[i:len(want):len(want)], want[:i]...)
		assert.Equal(t, want, turned.FromLowerLeft())
		assert.Equal(t, want, turned.Reverse().FromLowerLeft())
		assert.True(t, turned.Matches(want))
		assert.False(t, turned.Matches(want.Reverse()), "the other way round")
		assert.False(t, turned.Matches(want[:3]))
	}
	moved := func(by float64) Polygon { return MoveBy(Point{by, 0}).ApplyTo(want) }
	assert.True(t, want.Matches(moved(0.9)))
	assert.False(t, want.Matches(moved(1.1)))
	assert.True(t, Polygon{}.Matches(nil))
}

func TestStraighten(t *testing.T) {
	assert.Equal(t, Polygon{{400, 0}, {400, 400}, {0, 400}, {0, 0}},
		Polygon{{100, 0}, {250, 0.7}, {400, 0}, {400, 399}, {400, 400}, {300, 400.5}, {200, 400}, {0, 400}, {0, 0}}.Straighten())
	assert.Equal(t, Polygon{{0, 0}, {400, 0}, {400, 400}, {200, 401.1}, {0, 400}},
		Polygon{{0, 0}, {400, 0}, {400, 400}, {200, 401.1}, {0, 400}}.Straighten(), "more than a hair is a corner")
	assert.Nil(t, Polygon{{0, 0}, {200, 0.5}, {400, 0}, {200, -0.5}}.Straighten(), "a sliver is no polygon")
	spike := Polygon{{0, 0}, {400, 0}, {700, 0}, {400, 0}, {400, 400}}
	assert.Len(t, spike.Straighten(), 4, "a spike is not straight on: its tip stays")
	// Slight turns add up.
	assert.Greater(t, len(regular(1000, 5000).Straighten()), 100)
}

func TestStraightenStaysWithinAHair(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		poly := polygons.Draw(t, "polygon")
		// Extra corners, up to half a hair off the edges.
		var fine, exact Polygon
		off := rapid.Float64Range(-0.5, 0.5)
		for i := range poly {
			e := poly.Edge(i)
			fine, exact = append(fine, e.A), append(exact, e.A)
			for k := range rapid.IntRange(0, 3).Draw(t, "extra") {
				at := e.At(float64(k+1) / 4)
				exact = append(exact, at)
				fine = append(fine, at.Add(left(e.Dir()).Scale(off.Draw(t, "off"))))
			}
		}
		if got := exact.Straighten(); len(got) > len(poly) {
			t.Fatalf("%d corners became %d", len(poly), len(got))
		}
		got := fine.Straighten()
		for _, p := range fine {
			if d := got.depth(p); math.Abs(d) > Hair+noise {
				t.Fatalf("corner %v is %v from the outline", p, d)
			}
		}
	})
}

func TestCrossingNamesTheEdges(t *testing.T) {
	for _, c := range []struct {
		name string
		poly Polygon
		i, j int
		at   Point
	}{
		{"a bow", Polygon{{0, 0}, {400, 400}, {400, 0}, {0, 400}}, 0, 2, Point{200, 200}},
		{"a spike, out and back", Polygon{{0, 0}, {400, 0}, {700, 0}, {400, 0}, {400, 400}}, 0, 2, Point{400, 0}},
		{"a corner on a far edge", Polygon{{0, 0}, {400, 0}, {400, 400}, {200, 0}, {0, 400}}, 0, 2, Point{200, 0}},
		{"a corner on a far corner", Polygon{{0, 0}, {200, 200}, {400, 0}, {400, 400}, {200, 200}, {0, 400}}, 0, 3, Point{200, 200}},
		{"an edge along an edge", Polygon{{0, 0}, {400, 0}, {400, 200}, {300, 0}, {100, 0}, {0, 200}}, 0, 2, Point{300, 0}},
		{"the last edge back along the first", Polygon{{0, 0}, {400, 0}, {400, 200}, {200, 0}}, 0, 2, Point{200, 0}},
		{"the first of two", Polygon{{0, 0}, {100, 100}, {200, 0}, {300, 100}, {300, 0}, {200, 100}, {100, 0}, {0, 100}}, 0, 6, Point{50, 50}},
	} {
		i, j, at, ok := Crossing(c.poly)
		assert.True(t, ok, c.name)
		assert.Equal(t, [2]int{c.i, c.j}, [2]int{i, j}, c.name)
		assert.InDelta(t, 0, at.Dist(c.at), 1e-9, c.name)
	}
	for name, poly := range map[string]Polygon{
		"a triangle": {{0, 0}, {400, 0}, {0, 400}}, "an L": ell, "straight corners": {{0, 0}, {200, 0}, {400, 0}, {0, 400}}, "a bay": bay(500), "nothing": nil,
	} {
		assert.True(t, poly.IsSimple(), name)
	}
}

// The reference library's own test of rings, on corners shuffled at random.
func TestCrossingAgreesWithTheReference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		poly := make(Polygon, rapid.IntRange(3, 12).Draw(t, "corners"))
		c := rapid.IntRange(0, 12)
		for i := range poly {
			poly[i] = Point{float64(20 * c.Draw(t, "x")), float64(20 * c.Draw(t, "y"))}
			if i > 0 && poly[i] == poly[i-1] || i == len(poly)-1 && poly[i] == poly[0] {
				t.Skip() // the reference lets corners repeat
			}
		}
		want := sfPolygon(poly).MustAsPolygon().ExteriorRing().IsSimple()
		i, j, at, ok := Crossing(poly)
		if ok == want {
			t.Fatalf("crossing %v, the reference says simple is %v", ok, want)
		}
		if ok && (poly.Edge(i).Dist(at) > noise || poly.Edge(j).Dist(at) > noise) {
			t.Fatalf("%v is not on edges %d and %d", at, i, j)
		}
		// Least edges first, by looking at every pair.
		edges := make([]Segment, len(poly))
		for i := range poly {
			edges[i] = poly.Edge(i)
		}
		for a := range edges {
			for b := a + 1; b < len(edges); b++ {
				if _, meet := meetAgain(edges, a, b); meet && (!ok || a < i || a == i && b < j) {
					t.Fatalf("edges %d and %d meet, found %d and %d", a, b, i, j)
				}
			}
		}
	})
}

func TestPolygonsWithoutCorners(t *testing.T) {
	for _, poly := range []Polygon{nil, {{5, 5}}, {{5, 5}, {9, 9}}, {{5, 5}, {5, 5}, {5, 5}}, {{math.NaN(), 0}, {1, 1}, {2, 0}}, {{math.Inf(1), 0}, {1, 1}, {2, 0}, {2, -5}}} {
		assert.NotPanics(t, func() {
			poly.Area()
			poly.Centroid()
			poly.Bounds()
			poly.CCW()
			poly.Weld()
			poly.Straighten()
			poly.IsConvex()
			poly.IsSimple()
			poly.InteriorPoint()
			poly.Contains(Point{1, 2})
			Grow(poly, 30)
			ConvexHull(poly)
			MinAreaRectangle(poly)
			BoxAlong(poly, Point{1, 2})
			Chords(poly, Point{0, 0}, Point{5, 5})
			UnionOutline([]Polygon{poly, ell})
			Subtract(ell, poly)
		})
	}
}
