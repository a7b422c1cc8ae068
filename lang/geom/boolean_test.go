package geom

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	sf "github.com/peterstace/simplefeatures/geom"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func block(x, y, size float64) Polygon {
	return Box{Point{x, y}, Point{x + size, y + size}}.Polygon()
}

func TestUnionOutline(t *testing.T) {
	for _, c := range []struct {
		name  string
		parts []Polygon
		want  []Polygon
	}{
		{"one part", []Polygon{ell}, []Polygon{ell}},
		{"two squares", []Polygon{block(0, 0, 100), block(100, 0, 100).Reverse()},
			[]Polygon{{{0, 0}, {200, 0}, {200, 100}, {0, 100}}}},
		{"a corner on an edge", []Polygon{block(0, 0, 200), block(200, 0, 100), block(200, 100, 100)},
			[]Polygon{{{0, 0}, {300, 0}, {300, 200}, {0, 200}}}},
		{"corners half a hair apart", []Polygon{block(0, 0, 200), {{200.5, 0}, {300, 0}, {300, 200}, {200, 200.5}}},
			[]Polygon{{{0, 0}, {300, 0}, {300, 200}, {0, 200}}}},
		{"a corner half a hair off an edge", []Polygon{block(0, 0, 200), block(200.5, 0, 100), {{199.7, 100}, {300.5, 100}, {300.5, 200}, {200, 200}}},
			[]Polygon{{{0, 0}, {300.5, 0}, {300.5, 200}, {0, 200}}}},
		{"apart", []Polygon{block(0, 0, 100), block(300, 0, 100)},
			[]Polygon{block(0, 0, 100), block(300, 0, 100)}},
		{"touching in a corner: two outlines", []Polygon{block(0, 0, 100), block(100, 100, 100)},
			[]Polygon{block(0, 0, 100), block(100, 100, 100)}},
		{"nothing", nil, nil},
	} {
		got, ok := UnionOutline(c.parts)
		assert.True(t, ok, c.name)
		assert.Len(t, got, len(c.want), c.name)
		for i := range got {
			assert.ElementsMatch(t, c.want[i], got[i], c.name)
			assert.True(t, got[i].IsSimple(), c.name)
		}
	}
}

func TestUnionOutlineOfARing(t *testing.T) {
	ring := []Polygon{block(0, 0, 100), block(100, 0, 100), block(200, 0, 100), block(200, 100, 100), block(200, 200, 100), block(100, 200, 100), block(0, 200, 100), block(0, 100, 100)}
	got, ok := UnionOutline(ring)
	require.True(t, ok)
	require.Len(t, got, 2)
	assert.Equal(t, 90000.0, got[0].Area())
	assert.Equal(t, -10000.0, got[1].Area(), "the hole runs clockwise")
	assert.ElementsMatch(t, block(100, 100, 100), got[1])
	withIsland, ok := UnionOutline(append(ring, block(130, 130, 40)))
	assert.True(t, ok, "an island in the hole overlaps nothing")
	assert.Len(t, withIsland, 3)
}

func TestOverlapsAreNoUnion(t *testing.T) {
	for name, parts := range map[string][]Polygon{
		"crossing":        {block(0, 0, 200), block(100, 100, 200)},
		"the same twice":  {ell, ell},
		"sharing an edge": {block(0, 0, 200), block(0, 0, 100)},
		"one in another":  {block(0, 0, 300), block(100, 100, 50)},
		"across":          {{{0, 100}, {300, 100}, {300, 200}, {0, 200}}, {{100, 0}, {200, 0}, {200, 300}, {100, 300}}},
	} {
		_, ok := UnionOutline(parts)
		assert.False(t, ok, name)
	}
}

func TestSubtract(t *testing.T) {
	for _, c := range []struct {
		name       string
		poly, part Polygon
		want       []Polygon
	}{
		{"a corner", block(0, 0, 400), block(200, 200, 200), []Polygon{ell}},
		{"the same, clockwise", block(0, 0, 400).Reverse(), block(200, 200, 200).Reverse(), []Polygon{ell}},
		{"half a hair too wide: its corners are on the edges", block(0, 0, 400), block(200, 200, 200.5),
			[]Polygon{{{0, 0}, {400, 0}, {400.5, 200}, {200, 200}, {200, 400.5}, {0, 400}}}},
		{"all of it", ell, ell, nil},
		{"all but a sliver", ell, Polygon{{0, 0.5}, {400, 0.5}, {400, 200}, {200, 200}, {200, 400}, {0, 400}}, nil},
		{"a strip across the middle: two are left", block(0, 0, 300), Polygon{{0, 100}, {300, 100}, {300, 200}, {0, 200}},
			[]Polygon{{{0, 0}, {300, 0}, {300, 100}, {0, 100}}, {{0, 200}, {300, 200}, {300, 300}, {0, 300}}}},
		{"a bite from one side", block(0, 0, 300), block(100, 0, 100),
			[]Polygon{{{0, 0}, {100, 0}, {100, 100}, {200, 100}, {200, 0}, {300, 0}, {300, 300}, {0, 300}}}},
		{"a triangle on its tip: still one piece round it", block(0, 0, 300), Polygon{{150, 0}, {200, 100}, {100, 100}},
			[]Polygon{{{0, 0}, {150, 0}, {100, 100}, {200, 100}, {150, 0}, {300, 0}, {300, 300}, {0, 300}}}},
		{"a diamond on two edges", block(0, 0, 200), Polygon{{100, 0}, {150, 100}, {100, 200}, {50, 100}},
			[]Polygon{{{0, 0}, {100, 0}, {50, 100}, {100, 200}, {0, 200}}, {{100, 0}, {200, 0}, {200, 200}, {100, 200}, {150, 100}}}},
		{"the same from the corner on its tip", Polygon{{150, 0}, {300, 0}, {300, 300}, {0, 300}, {0, 0}}, Polygon{{150, 0}, {200, 100}, {100, 100}},
			[]Polygon{{{0, 0}, {150, 0}, {100, 100}, {200, 100}, {150, 0}, {300, 0}, {300, 300}, {0, 300}}}},
	} {
		// Whichever corners come first.
		for i := range c.poly {
			for j := range c.part {
				got, ok := Subtract(append(c.poly[i:len(c.poly):len(c.poly)], c.poly[:i]...), append(c.part[j:len(c.part):len(c.part)], c.part[:j]...))
				assert.True(t, ok, c.name)
				if assert.Len(t, got, len(c.want), c.name) {
					slices.SortFunc(got, func(a, b Polygon) int {
						return cmp.Compare(a.Bounds().Min.X+a.Bounds().Min.Y, b.Bounds().Min.X+b.Bounds().Min.Y)
					})
					for i := range got {
						assert.ElementsMatch(t, c.want[i], got[i], c.name)
					}
				}
			}
		}
	}
	for name, c := range map[string][2]Polygon{
		"a hole":         {block(0, 0, 300), block(100, 100, 100)},
		"reaches out":    {block(0, 0, 300), block(200, 100, 200)},
		"lies outside":   {block(0, 0, 300), block(400, 0, 100)},
		"beside it":      {block(0, 0, 300), block(300, 0, 100)},
		"all round it":   {block(100, 100, 100), block(0, 0, 300)},
		"over the notch": {ell, Polygon{{100, 100}, {400, 100}, {400, 400}, {100, 400}}},
	} {
		_, ok := Subtract(c[0], c[1])
		assert.False(t, ok, name)
	}
}

// Random divisions with T-junctions everywhere: the union of all parts is the
// outline again, the union of some is what the reference library makes of them
// once edges are cut, and taking part after part away leaves the others.
func TestUnionsOfDivisionsAgreeWithTheReference(t *testing.T) {
	for seed := range uint64(60) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			rng := rand.New(rand.NewPCG(seed, 1))
			outline := []Polygon{block(0, 0, 1524), ell, bay(8)}[seed%3]
			parts := division(t, rng, outline, 2+rng.IntN(30))

			whole, ok := UnionOutline(parts)
			require.True(t, ok)
			require.Len(t, whole, 1)
			assert.InEpsilon(t, outline.Area(), whole[0].Area(), 1e-3, "within a hair along the outline")
			assert.Len(t, whole[0], len(outline.Straighten()), "and with its corners")

			some := parts[:1+rng.IntN(len(parts))]
			got, ok := UnionOutline(some)
			require.True(t, ok)
			area := 0.0
			for _, p := range got {
				area += p.Area()
			}
			// The reference wants edges cut where corners lie on them.
			g := arrange(some, Hair)
			cut := make([]sf.Geometry, 0, len(some))
			for _, loop := range loopsOf(g, some) {
				cut = append(cut, sfPolygon(loop))
			}
			union, err := sf.UnionMany(cut)
			if err != nil {
				t.Skip("the reference gives up: ", err)
			}
			perimeter := 0.0
			for _, p := range got {
				perimeter += p.Perimeter()
			}
			assert.InDelta(t, union.Area(), area, Hair*perimeter)
			assert.InDelta(t, union.Area(), area, 0.01*union.Area())
		})
	}
}

// loopsOf are the parts with their edges cut: the edges of a graph are in the
// order of the loops they were drawn from.
func loopsOf(g graph, parts []Polygon) (loops []Polygon) {
	var loop Polygon
	first := -1
	for _, e := range g.edges {
		if first < 0 {
			first = e[0]
		}
		loop = append(loop, g.at[e[0]])
		if e[1] == first {
			loops, loop, first = append(loops, loop), nil, -1
		}
	}
	return loops
}

func TestTakingAllPartsAwayLeavesNothing(t *testing.T) {
	for seed := range uint64(60) {
		rng := rand.New(rand.NewPCG(seed, 2))
		outline := []Polygon{block(0, 0, 1524), ell, bay(8)}[seed%3]
		parts := division(t, rng, outline, 2+rng.IntN(25))
		// Last made, first taken, wherever that leaves no hole.
		rest := []Polygon{outline}
		left := math.Abs(outline.Area())
		for len(parts) > 0 {
			taken := false
			for i := len(parts) - 1; i >= 0 && !taken; i-- {
				for j, poly := range rest {
					if poly.depth(parts[i].InteriorPoint()) <= 0 {
						continue
					}
					if more, ok := Subtract(poly, parts[i]); ok {
						rest = append(append(rest[:j:j], more...), rest[j+1:]...)
						left -= math.Abs(parts[i].Area())
						parts = append(parts[:i:i], parts[i+1:]...)
						taken = true
					}
					break
				}
			}
			require.True(t, taken, "seed %d: no part can be taken from %v", seed, rest)
			sum := 0.0
			for _, poly := range rest {
				sum += poly.Area()
			}
			assert.InDelta(t, left, sum, Hair*outline.Perimeter(), "seed %d", seed)
		}
		assert.Empty(t, rest, "seed %d", seed)
	}
}

func TestSubtractAgreesWithTheReference(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		poly := polygons.Draw(t, "polygon")
		p, q := points.Draw(t, "p"), points.Draw(t, "q")
		chords := Chords(poly, p, q)
		if len(chords) == 0 {
			t.Skip()
		}
		a, b := Split(poly, rapid.SampledFrom(chords).Draw(t, "chord"))
		rest, ok := Subtract(poly, a)
		sum := 0.0
		for _, r := range rest {
			sum += r.Area()
		}
		if want := math.Abs(b.Area()); !ok || math.Abs(sum-want) > Hair*b.Perimeter() {
			t.Fatalf("%v left, want %v", sum, want)
		}
		if diff, err := sf.Difference(sfPolygon(poly), sfPolygon(a)); err == nil && math.Abs(diff.Area()-sum) > Hair*b.Perimeter() {
			t.Fatalf("%v left, the reference says %v", sum, diff.Area())
		}
	})
}

// A sharp corner between a line and a fine curve stays where it is: neither is drawn along the
// other, corner by corner.
func TestUnionsBesideFineCurves(t *testing.T) {
	for turn := range 20 {
		for _, n := range []int{20, 60, 100, 150} {
			at := func(i int, r float64) Point {
				sin, cos := math.Sincos(1.5*float64(i)/float64(n) + float64(turn))
				return Point{4 * r * cos, 3 * r * sin}
			}
			var inner, back, outer Polygon
			for i := range n + 1 {
				inner, back, outer = append(inner, at(i, 10)), append(back, at(n-i, 10)), append(outer, at(i, 20))
			}
			sin, cos := math.Sincos(float64(turn))
			tip := Point{10 * cos, 10 * sin}
			fan := append(slices.Clone(inner), tip)
			band := append(back, outer...)
			both := append(outer, inner[n], tip, inner[0])

			holds := func(what string, want float64, got []Polygon, ok bool) {
				area := 0.0
				for _, p := range got {
					area += p.Area()
				}
				assert.True(t, ok, "%s, turned %d, %d chords", what, turn, n)
				assert.InDelta(t, want, area, both.Perimeter()*Hair, "%s, turned %d, %d chords", what, turn, n)
			}
			got, ok := UnionOutline([]Polygon{fan})
			holds("the fan alone", fan.Area(), got, ok)
			got, ok = UnionOutline([]Polygon{fan, band})
			holds("the fan and the band", both.Area(), got, ok)
			got, ok = Subtract(both, fan)
			holds("both without the fan", band.Area(), got, ok)
			got, ok = Subtract(both, band)
			holds("both without the band", fan.Area(), got, ok)
		}
	}
}
