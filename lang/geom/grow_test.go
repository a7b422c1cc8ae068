package geom

import (
	"math"
	"slices"
	"testing"

	sf "github.com/peterstace/simplefeatures/geom"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The rotary-cutting constants, allowance s = 1/4 in: finished size + constant
// = cut size. Trade figures from The Quilter's Bible (handbook, cutting chapter)
// and North Hampshire Quilters (guild, block instructions); the exact values
// are derived from mitred growth.
func TestGrowthGivesTheCuttingConstants(t *testing.T) {
	const s = Inch / 4
	grow := func(poly Polygon) Rectangle {
		grown, ok := Grow(poly, s)
		require.True(t, ok)
		return BoxAlong(grown, Point{1, 0})
	}
	leg := 3 * Inch
	half := grow(Polygon{{0, 0}, {leg, 0}, {0, leg}})
	assert.InDelta(t, leg+s*(2+math.Sqrt2), half.Width, 1e-9, "half-square triangle: leg + s(2+√2)")
	assert.InDelta(t, 0.8536, (half.Width-leg)/Inch, 0.00005)
	assert.Equal(t, "3 7/8 in", FormatExact(RoundUp(half.Width, Inch/8), Inches), "a 3 in half-square is cut 3 7/8 in")

	long := 3 * Inch
	quarter := grow(Polygon{{0, 0}, {long, 0}, {long / 2, long / 2}})
	assert.InDelta(t, long+s*(2+2*math.Sqrt2), quarter.Width, 1e-9, "quarter-square triangle: long side + s(2+2√2)")
	assert.InDelta(t, 1.2071, (quarter.Width-long)/Inch, 0.00005)
	assert.Equal(t, "4 1/4 in", FormatExact(RoundUp(quarter.Width, Inch/8), Inches), "a 3 in quarter-square is cut 4 1/4 in")

	square := grow(Box{Max: Point{leg, leg}}.Polygon())
	assert.InDelta(t, leg+2*s, square.Width, 1e-9)

	rectangle := grow(Polygon{{0, 0}, {2 * Inch, 0}, {0, Inch}}) // 1:2
	assert.InDelta(t, 0.6545, (rectangle.Height-Inch)/Inch, 0.00005, "half-rectangle triangle, short side")
	assert.InDelta(t, 1.3090, (rectangle.Width-2*Inch)/Inch, 0.00005, "and long side")

	height := leg * math.Sqrt(3) / 2
	equilateral := grow(Polygon{{0, 0}, {leg, 0}, {leg / 2, height}})
	assert.InDelta(t, height+3*s, equilateral.Height, 1e-9, "equilateral triangle, strip: height + 3/4 in")

	for _, angle := range []float64{60, 45} {
		sin, cos := math.Sincos(angle * math.Pi / 180)
		across := Point{leg * cos, leg * sin}
		diamond := grow(Polygon{{0, 0}, {leg, 0}, across.Add(Point{leg, 0}), across})
		assert.InDelta(t, across.Y+2*s, diamond.Height, 1e-9, "%v° diamond, strip: height + 1/2 in", angle)
	}
	hexagon := regular(6, leg)
	assert.InDelta(t, hexagon.Bounds().Height()+2*s, grow(hexagon).Height, 1e-9, "hexagon, strip: height + 1/2 in")
	octagon := TurnAbout(Point{}, 22.5).ApplyTo(regular(8, leg))
	assert.InDelta(t, octagon.Bounds().Width()+2*s, grow(octagon).Width, 1e-9, "octagon, square: width + 1/2 in")
}

func TestGrowAnL(t *testing.T) {
	want := Polygon{{-10, -10}, {410, -10}, {410, 210}, {210, 210}, {210, 410}, {-10, 410}}
	got, ok := Grow(ell, 10)
	assert.True(t, ok)
	assert.Equal(t, want, got)
	got, ok = Grow(ell.Reverse(), 10)
	assert.True(t, ok)
	assert.Equal(t, want, got, "either way round, the result is anticlockwise")
	got, _ = Grow(ell, 0)
	assert.Equal(t, ell, got)
}

func TestEdgesGrowByTheirOwn(t *testing.T) {
	square := Polygon{{0, 0}, {200, 0}, {400, 0}, {400, 400}, {0, 400}}
	got, ok := GrowEdges(square, []float64{10, 20, 30, 40, 50})
	assert.True(t, ok)
	assert.Equal(t, Polygon{{-50, -10}, {200, -10}, {200, -20}, {430, -20}, {430, 440}, {-50, 440}}, got, "with a step where a straight chain changes")

	got, ok = GrowEdges(square.Reverse(), []float64{50, 40, 30, 20, 10})
	assert.True(t, ok)
	assert.ElementsMatch(t, Polygon{{-50, -10}, {200, -10}, {200, -20}, {430, -20}, {430, 440}, {-50, 440}}, got)

	// Where the corner is gentle too, the wider edge keeps its width to its end.
	roof := Polygon{{0, 0}, {400, 0}, {400, 300}, {220, 340}, {180, 340}, {0, 300}}
	got, ok = GrowEdges(roof, []float64{0, 0, 0, 100, 0, 0})
	assert.True(t, ok)
	assert.Equal(t, Polygon{{0, 0}, {400, 0}, {400, 300}, {220, 340}, {220, 440}, {180, 440}, {180, 340}, {0, 300}}, got)
}

func TestMitresEndAtTheLimit(t *testing.T) {
	needle := Polygon{{0, 0}, {2000, -20}, {2000, 20}} // 1.1°
	got, ok := Grow(needle, 30)
	assert.True(t, ok)
	assert.Len(t, got, 4)
	assert.InDelta(t, -30*MitreLimit, got.Bounds().Min.X, 1e-6)
	assert.True(t, got.IsConvex())
	for _, p := range needle {
		assert.GreaterOrEqual(t, got.depth(p), 30-1e-9)
	}
}

func TestGrownMouthsClose(t *testing.T) {
	// A U whose slot is 50 wide: grown by 30 it is a block, by 20 it is a U.
	u := Polygon{{0, 0}, {450, 0}, {450, 400}, {250, 400}, {250, 100}, {200, 100}, {200, 400}, {0, 400}}
	got, ok := Grow(u, 20)
	assert.True(t, ok)
	assert.Len(t, got, 8)
	got, ok = Grow(u, 30)
	assert.True(t, ok)
	assert.ElementsMatch(t, Polygon{{-30, -30}, {480, -30}, {480, 430}, {-30, 430}}, got)

	// A dovetail: narrow mouth, wide slot. The mouth closes, and what it shuts
	// in is filled.
	dovetail := Polygon{{0, 0}, {600, 0}, {600, 400}, {320, 400}, {450, 100}, {150, 100}, {280, 400}, {0, 400}}
	got, ok = Grow(dovetail, 30)
	assert.True(t, ok)
	assert.True(t, got.IsSimple())
	for _, p := range dovetail {
		assert.GreaterOrEqual(t, got.depth(p), 30-1e-6)
	}
	assert.Equal(t, Inside, got.Contains(Point{300, 200}))
}

func TestGrowingNothing(t *testing.T) {
	_, ok := Grow(Polygon{{0, 0}, {400, 0}, {800, 0}}, 30)
	assert.False(t, ok, "no area")
	_, ok = Grow(ell, -1)
	assert.False(t, ok, "growing is outwards")
	_, ok = Grow(ell, math.NaN())
	assert.False(t, ok)
	_, ok = GrowEdges(ell, []float64{1, 2, 3})
	assert.False(t, ok, "a distance for each edge")
}

// A convex polygon grown alike is what lies within the distance of every
// edge's line.
func TestGrownConvexPolygonsAreExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		poly := convexes.Draw(t, "polygon")
		by := rapid.SampledFrom([]float64{0, 12.7, 31.75, 63.5}).Draw(t, "by")
		got, ok := Grow(poly, by)
		if !ok || !got.IsConvex() {
			t.Fatalf("grew to %v", got)
		}
		// Clip a large square by every moved line.
		want := Box{Point{-9000, -9000}, Point{9000, 9000}}.Polygon()
		n := len(poly)
		for i := range poly {
			e, before := poly.Edge(i), poly.Edge((i+n-1)%n)
			out := left(e.Dir()).Scale(-1)
			want = clip(want, halfPlane{out, out.Dot(e.A) + by})
			if e.Dir().Dot(before.Dir()) < -0.99 {
				t.Skip() // so sharp that the mitre is limited
			}
		}
		if math.Abs(got.Area()-want.Area()) > 1e-9*want.Area() {
			t.Fatalf("area %v, clipped half planes have %v", got.Area(), want.Area())
		}
	})
}

// clip is the part of a convex polygon in a half plane.
func clip(poly Polygon, h halfPlane) (out Polygon) {
	for i := range poly {
		e := poly.Edge(i)
		a, b := h.n.Dot(e.A)-h.b, h.n.Dot(e.B)-h.b
		if a <= 0 {
			out = append(out, e.A)
		}
		if a < 0 && b > 0 || a > 0 && b < 0 {
			out = append(out, e.At(a/(a-b)))
		}
	}
	return out
}

// Grown polygons reach the distance past every point, are simple, and reach no
// further than the mitre allows, whether the edges grow alike or not. The
// reference's union of the polygon, a band along each edge and the mitred tips
// is the same but for filled holes.
func TestGrownPolygonsCover(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		poly := polygons.Draw(t, "polygon")
		widths := rapid.SampledFrom([]float64{5, 31.75, 63.5})
		d := make([]float64, len(poly))
		alike := rapid.Bool().Draw(t, "alike")
		for i := range d {
			if d[i] = d[0]; i == 0 || !alike {
				d[i] = widths.Draw(t, "by")
			}
		}
		got, ok := GrowEdges(poly, d)
		if !ok || got.Area() <= math.Abs(poly.Area()) {
			t.Fatalf("grew to %v", got)
		}
		if i, j, at, crosses := Crossing(got); crosses {
			t.Fatalf("edges %d and %d meet at %v", i, j, at)
		}
		for i := range poly {
			for _, part := range []float64{0, 0.2, 0.5} {
				if past := got.depth(poly.Edge(i).At(part)); past < slices.Min(d)*(1-1e-6) {
					t.Fatalf("only %v past edge %d", past, i)
				}
			}
		}
		for _, p := range got {
			if away := -poly.depth(p); away > slices.Max(d)*MitreLimit*1.1 {
				t.Fatalf("%v is %v away", p, away)
			}
		}
		if poly.Area() < 0 {
			poly = poly.Reverse() // edge i is now the old n-1-i
			slices.Reverse(d)
		}
		union := sfPolygon(poly)
		moved := make([]movedEdge, len(poly))
		for i := range poly {
			e := poly.Edge(i)
			moved[i] = movedEdge{e, e.Dir(), left(e.Dir()).Scale(-1), d[i]}
		}
		for i, e := range moved {
			before := moved[(i+len(moved)-1)%len(moved)]
			out := e.n.Scale(e.by)
			parts := []Polygon{{e.A, e.B, e.B.Add(out), e.A.Add(out)}}
			if before.u.Cross(e.u) > 1e-3 {
				tip := append(Polygon{e.A}, mitre(before, e)...)
				if e.by >= before.by*before.u.Dot(e.u) {
					tip = slices.Insert(tip, 1, e.A.Add(before.n.Scale(before.by)))
				} else {
					tip = slices.Delete(tip, 1, 2)
				}
				if tip = append(tip, e.A.Add(out)); before.by < e.by*before.u.Dot(e.u) {
					tip = tip[:len(tip)-1]
				}
				parts = append(parts, tip)
			}
			for _, part := range parts {
				var err error
				if union, err = sf.Union(union, sfPolygon(part)); err != nil {
					t.Skip() // the reference gives up now and then
				}
			}
		}
		outer := union
		if p, ok := union.AsPolygon(); ok {
			outer = sf.NewPolygon([]sf.LineString{p.ExteriorRing()}).AsGeometry()
		}
		if math.Abs(outer.Area()-got.Area()) > 1e-5*got.Area() {
			t.Fatalf("area %v, the reference says %v", got.Area(), outer.Area())
		}
	})
}
