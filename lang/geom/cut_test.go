package geom

import (
	"encoding/binary"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"slices"
	"testing"

	sf "github.com/peterstace/simplefeatures/geom"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// An L, 400 hairs wide and high, and the names of its corners:
//
//	F---E
//	|   |
//	|   D---C
//	|       |
//	A-------B
var ell = Polygon{{0, 0}, {400, 0}, {400, 200}, {200, 200}, {200, 400}, {0, 400}}

func TestChordsOfAnL(t *testing.T) {
	const A, B, C, D, E, F = 0, 1, 2, 3, 4, 5
	corner := func(i int) End { return End{i, true} }
	edge := func(i int) End { return End{i, false} }
	for _, c := range []struct {
		name string
		p, q Point
		want []Chord
	}{
		{"level, below the inner corner", Point{0, 100}, Point{10, 100}, []Chord{
			{Segment{Point{0, 100}, Point{400, 100}}, edge(F), edge(B)}}},
		{"the same, the other way", Point{10, 100}, Point{0, 100}, []Chord{
			{Segment{Point{400, 100}, Point{0, 100}}, edge(B), edge(F)}}},
		{"along an edge and on: the edge is no chord, and D ends it", Point{350, 200}, Point{380, 200}, []Chord{
			{Segment{Point{0, 200}, Point{200, 200}}, edge(F), corner(D)}}},
		{"half a hair above that edge is the same", Point{0, 200.5}, Point{10, 200.5}, []Chord{
			{Segment{Point{0, 200.5}, Point{200, 200}}, edge(F), corner(D)}}},
		{"two hairs above it leaves the upper arm", Point{0, 202}, Point{10, 202}, []Chord{
			{Segment{Point{0, 202}, Point{200, 202}}, edge(F), edge(D)}}},
		{"corner to corner, touching D on the way: two chords", Point{0, 400}, Point{400, 0}, []Chord{
			{Segment{Point{0, 400}, Point{200, 200}}, corner(F), corner(D)},
			{Segment{Point{200, 200}, Point{400, 0}}, corner(D), corner(B)}}},
		{"the other diagonal ends in D", Point{0, 0}, Point{10, 10}, []Chord{
			{Segment{Point{0, 0}, Point{200, 200}}, corner(A), corner(D)}}},
		{"across both arms, beyond D: two chords", Point{100, 400}, Point{400, 100}, []Chord{
			{Segment{Point{100, 400}, Point{200, 300}}, edge(E), edge(D)},
			{Segment{Point{300, 200}, Point{400, 100}}, edge(C), edge(B)}}},
		{"along the bottom", Point{0, 0}, Point{400, 0}, nil},
		{"a hair above the bottom", Point{0, 1}, Point{400, 1}, nil},
		{"past the outside corner", Point{0, 800}, Point{800, 0}, nil},
		{"through one outside corner only", Point{300, -100}, Point{500, 100}, nil},
		{"no line", Point{100, 100}, Point{100.5, 100}, nil},
		{"no number", Point{100, 100}, Point{math.NaN(), 100}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.want, Chords(ell, c.p, c.q))
			// The clockwise L has the same chords.
			var segments, want []Segment
			for _, c := range Chords(ell.Reverse(), c.p, c.q) {
				segments = append(segments, c.Segment)
			}
			for _, c := range c.want {
				want = append(want, c.Segment)
			}
			assert.Equal(t, want, segments)
		})
	}
}

func TestSplitAnL(t *testing.T) {
	chords := Chords(ell, Point{0, 400}, Point{400, 0})
	require.Len(t, chords, 2)
	left, right := Split(ell, chords[0])
	assert.Equal(t, Polygon{{0, 400}, {200, 200}, {200, 400}}, left)
	assert.Equal(t, Polygon{{200, 200}, {0, 400}, {0, 0}, {400, 0}, {400, 200}}, right)

	left, right = Split(ell.Reverse(), Chords(ell.Reverse(), Point{0, 100}, Point{1, 100})[0])
	assert.Equal(t, Polygon{{400, 100}, {0, 100}, {0, 400}, {200, 400}, {200, 200}, {400, 200}}, left, "clockwise stays clockwise")
	assert.Equal(t, Polygon{{0, 100}, {400, 100}, {400, 0}, {0, 0}}, right)
}

func TestChordOverlap(t *testing.T) {
	c := Chord{Segment: Segment{Point{100, 0}, Point{300, 0}}}
	assert.Equal(t, 100.0, c.Overlap(Point{0, 0}, Point{200, 0}))
	assert.Equal(t, 100.0, c.Overlap(Point{200, 0}, Point{0, 0}), "either way round")
	assert.Equal(t, 200.0, c.Overlap(Point{0, 0}, Point{900, 0}))
	assert.Equal(t, 50.0, c.Overlap(Point{150, 0}, Point{200, 0}))
	assert.Equal(t, 0.0, c.Overlap(Point{0, 0}, Point{100, 0}))
	assert.Equal(t, 0.0, c.Overlap(Point{400, 0}, Point{500, 0}))
}

// A typed point on the outline is the chord's end to the last bit, so the
// corner prints as it was typed.
func TestChordsKeepTypedPoints(t *testing.T) {
	block := Polygon{{0, 0}, {6 * Inch, 2 * Inch}, {6 * Inch, 6 * Inch}, {0, 6 * Inch}}
	third := Segment{block[0], block[1]}.At(1.0 / 3)
	chords := Chords(block, third, Point{Inch / 3, 6 * Inch})
	require.Len(t, chords, 1)
	assert.Equal(t, Segment{third, Point{Inch / 3, 6 * Inch}}, chords[0].Segment)
}

// exactArea is twice the signed area, in rational arithmetic.
func exactArea(poly Polygon) *big.Rat {
	rat := func(f float64) *big.Rat { return new(big.Rat).SetFloat64(f) }
	sum := new(big.Rat)
	for i := range poly {
		e := poly.Edge(i)
		l := new(big.Rat).Mul(rat(e.A.X), rat(e.B.Y))
		r := new(big.Rat).Mul(rat(e.A.Y), rat(e.B.X))
		sum.Add(sum, l.Sub(l, r))
	}
	return sum
}

// withEnds is the polygon with the ends of a chord as corners.
func withEnds(poly Polygon, c Chord) Polygon {
	var out Polygon
	for i, p := range poly {
		out = append(out, p)
		if c.From == (End{i, false}) {
			out = append(out, c.A)
		}
		if c.To == (End{i, false}) {
			out = append(out, c.B)
		}
	}
	return out
}

// checkCut holds one chord and its split to everything promised of them.
func checkCut(poly Polygon, p, q Point, c Chord) error {
	if c.Len() < Hair {
		return fmt.Errorf("chord %v is shorter than a hair", c)
	}
	if c.Dir().Dot(q.Sub(p)) <= 0 {
		return fmt.Errorf("chord %v runs backwards", c)
	}
	for _, e := range []struct {
		at  Point
		end End
	}{{c.A, c.From}, {c.B, c.To}} {
		if e.end.Corner && poly[e.end.Edge] != e.at {
			return fmt.Errorf("end %v is not corner %d", e.at, e.end.Edge)
		}
		if edge := poly.Edge(e.end.Edge); !e.end.Corner && (edge.Dist(e.at) > noise || edge.A.Dist(e.at) < Hair || edge.B.Dist(e.at) < Hair) {
			return fmt.Errorf("end %v is not within edge %d", e.at, e.end.Edge)
		}
		if d := math.Abs((Segment{p, q}).LineDist(e.at)); d > Hair*(1+1e-9) || !e.end.Corner && d > noise {
			return fmt.Errorf("end %v is %v off the line", e.at, d)
		}
	}
	left, right := Split(poly, c)
	for name, part := range map[string]Polygon{"left": left, "right": right} {
		if i, j, at, crosses := Crossing(part); crosses {
			return fmt.Errorf("edges %d and %d of the %s part meet at %v", i, j, name, at)
		}
		if part.Area()*poly.Area() <= 0 {
			return fmt.Errorf("the %s part is turned over or empty", name)
		}
		for i := range part {
			if part.Edge(i).Len() < Hair*(1-1e-9) {
				return fmt.Errorf("edge %d of the %s part is shorter than a hair", i, name)
			}
		}
		if isSliver(part) {
			return fmt.Errorf("the %s part is a sliver", name)
		}
	}
	if l, r := left.Edge(0), right.Edge(0); l != c.Segment && l != c.Reverse() || r != l.Reverse() {
		return fmt.Errorf("the parts do not begin with the chord")
	}
	// Exactly, in math/big: nothing is lost and nothing is there twice.
	sum := new(big.Rat).Add(exactArea(left), exactArea(right))
	if whole := exactArea(withEnds(poly, c)); sum.Cmp(whole) != 0 {
		return fmt.Errorf("the parts are %v together, the polygon is %v", sum, whole)
	}
	in := c.Mid().Add(left0(c).Scale(1e-3))
	if left.depth(in) <= 0 || right.depth(in) >= 0 {
		return fmt.Errorf("left and right are exchanged")
	}
	return nil
}

func left0(c Chord) Point { return left(c.Dir()) }

func TestEveryCutMakesTwoSimpleParts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		poly := polygons.Draw(t, "polygon")
		b := poly.Bounds()
		place := rapid.Custom(func(t *rapid.T) Point {
			if rapid.Bool().Draw(t, "corner") {
				near := rapid.SampledFrom([]float64{0, 0, 1e-9, 0.3, 0.999, 1.001, -0.7})
				return rapid.SampledFrom(poly).Draw(t, "corner").Add(Point{near.Draw(t, "dx"), near.Draw(t, "dy")})
			}
			part := rapid.Float64Range(0, 1)
			return Point{b.Min.X + part.Draw(t, "x")*b.Width(), b.Min.Y + part.Draw(t, "y")*b.Height()}
		})
		p, q := place.Draw(t, "p"), place.Draw(t, "q")
		chords := Chords(poly, p, q)
		for i, c := range chords {
			if err := checkCut(poly, p, q, c); err != nil {
				t.Fatal(err)
			}
			if i > 0 && c.Dir().Dot(c.A.Sub(chords[i-1].B)) < -2*Hair {
				t.Fatalf("chords %v and %v are out of order", chords[i-1], c)
			}
		}
	})
}

// Where no corner is near the line, the chords are all that the reference
// library finds of the line in the polygon.
func TestChordsAreAllOfTheLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		poly := polygons.Draw(t, "polygon")
		b := poly.Bounds()
		part := rapid.Float64Range(0, 1)
		place := func(name string) Point {
			return Point{b.Min.X + part.Draw(t, name+".x")*b.Width(), b.Min.Y + part.Draw(t, name+".y")*b.Height()}
		}
		l := Segment{place("p"), place("q")}
		if l.Len() < Hair {
			t.Skip()
		}
		for _, c := range poly {
			if math.Abs(l.LineDist(c)) <= Hair {
				t.Skip()
			}
		}
		far := l.Dir().Scale(5000)
		shared, err := sf.Intersection(sfPolygon(poly), sfLine(l.A.Sub(far), l.A.Add(far)))
		if err != nil {
			t.Fatal(err)
		}
		chords := Chords(poly, l.A, l.B)
		for _, piece := range shared.Dump() {
			ends := piece.DumpCoordinates()
			s := Segment{Point(ends.GetXY(0)), Point(ends.GetXY(ends.Length() - 1))}
			if s.Dir().Dot(l.Dir()) < 0 {
				s = s.Reverse()
			}
			if i := slices.IndexFunc(chords, func(c Chord) bool {
				return s.A.Dist(c.A) < 2*noise && s.B.Dist(c.B) < 2*noise
			}); i >= 0 {
				chords = slices.Delete(chords, i, i+1)
			} else if left, right := Split(poly, Chord{s, nearestEdge(poly, s.A), nearestEdge(poly, s.B)}); s.Len() > Hair && !isSliver(left) && !isSliver(right) {
				t.Fatalf("%v is missing", s)
			}
		}
		if len(chords) > 0 {
			t.Fatalf("%v is not in the polygon", chords[0])
		}
	})
}

func nearestEdge(poly Polygon, p Point) End {
	best := 0
	for i := range poly {
		if poly.Edge(i).Dist(p) < poly.Edge(best).Dist(p) {
			best = i
		}
	}
	return End{best, false}
}

// An orderly section of 5,000 patches, and a disorderly one, stay simple and
// whole to the last cut.
func TestFiveThousandCuts(t *testing.T) {
	check := func(t *testing.T, parts []Polygon, area float64) {
		sum := 0.0
		for _, part := range parts {
			require.True(t, part.IsSimple(), "%v", part)
			sum += math.Abs(part.Area())
		}
		assert.InEpsilon(t, area, sum, 1e-9)
	}
	t.Run("anyhow", func(t *testing.T) {
		rng := rand.New(rand.NewPCG(1, 2))
		for _, outline := range []Polygon{ell, ell.Reverse(), regular(60, 3000)} {
			var big Polygon
			for _, p := range outline {
				big = append(big, p.Scale(20))
			}
			parts := division(t, rng, big, 5000)
			require.Len(t, parts, 5000)
			check(t, parts, math.Abs(big.Area()))
		}
	})
	t.Run("round and round", func(t *testing.T) {
		// Read backwards, a spiral: each cut takes a strip off what is left.
		rest := Box{Max: Point{1.2e6, 1.2e6}}.Polygon()
		area := rest.Area()
		var parts []Polygon
		rng := rand.New(rand.NewPCG(3, 4))
		for i := range 5000 {
			b := rest.Bounds()
			c, r := b.Centre(), 0.9995*min(b.Width(), b.Height())/2
			sin, cos := math.Sincos(float64(i)*2.4 + rng.Float64())
			p := c.Add(Point{r * cos, r * sin})
			chords := Chords(rest, p, p.Add(Point{-sin, cos}.Scale(Inch)))
			require.LessOrEqual(t, len(chords), 1, "what is left is convex")
			if len(chords) == 0 {
				continue
			}
			left, right := Split(rest, chords[0])
			parts, rest = append(parts, right), left
		}
		assert.Greater(t, len(parts), 1000)
		check(t, append(parts, rest), area)
	})
}

// FuzzCut reads a polygon and lines from bytes and cuts whatever is simple.
func FuzzCut(f *testing.F) {
	seed := func(points ...Point) {
		var data []byte
		for _, p := range points {
			data = binary.LittleEndian.AppendUint16(data, uint16(int16(p.X*8)))
			data = binary.LittleEndian.AppendUint16(data, uint16(int16(p.Y*8)))
		}
		f.Add(data)
	}
	seed(append(Polygon{{0, 400}, {400, 0}}, ell...)...)
	seed(append(Polygon{{0, 200.5}, {400, 200.25}}, ell...)...)
	seed(append(Polygon{{-200, 10}, {200, 12}}, regular(9, 300)...)...)
	f.Fuzz(func(t *testing.T, data []byte) {
		var ps []Point
		for ; len(data) >= 4 && len(ps) < 40; data = data[4:] {
			x, y := int16(binary.LittleEndian.Uint16(data)), int16(binary.LittleEndian.Uint16(data[2:]))
			ps = append(ps, Point{float64(x) / 8, float64(y) / 8})
		}
		if len(ps) < 5 {
			return
		}
		p, q, poly := ps[0], ps[1], Polygon(ps[2:]).Weld()
		if poly == nil || !poly.IsSimple() || poly.Straighten() == nil {
			return
		}
		chords := Chords(poly, p, q)
		if pinched(poly) {
			for _, c := range chords {
				Split(poly, c)
			}
			return
		}
		for _, c := range chords {
			if err := checkCut(poly, p, q, c); err != nil {
				t.Fatalf("%v, cutting %v along %v %v", err, poly, p, q)
			}
		}
	})
}

// pinched says whether the outline comes within a hair of itself, so that by
// the rule of the hair it is not simple: nothing is promised then.
func pinched(poly Polygon) bool {
	n := len(poly)
	for i, p := range poly {
		for j := range poly {
			if j != i && (j+1)%n != i && poly.Edge(j).Dist(p) <= Hair {
				return true
			}
		}
	}
	return false
}
