package geom

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestTheFirstPointGivesThePlace(t *testing.T) {
	var w Welder
	for _, c := range []struct {
		p     Point
		index int
		added bool
	}{
		{Point{100, 100}, 0, true},
		{Point{100.6, 100.6}, 0, false},
		{Point{101.2, 100}, 1, true}, // near the second point, but the place is the first
		{Point{100.55, 100}, 0, false},
		{Point{100.65, 100}, 1, false}, // the nearer of two
		{Point{-100, 100}, 2, true},
	} {
		index, added := w.Add(c.p)
		assert.Equal(t, c.index, index, "%v", c.p)
		assert.Equal(t, c.added, added, "%v", c.p)
	}
	assert.Equal(t, []Point{{100, 100}, {101.2, 100}, {-100, 100}}, w.Points())
	assert.Equal(t, -1, w.Find(Point{0, 0}))
}

// However many points there are, looking at every one gives the same.
func TestWeldingAgreesWithLookingAtEveryPoint(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		spread := rapid.SampledFrom([]float64{5, 40, 1000, 1e6}).Draw(t, "spread")
		var w Welder
		var places []Point
		for range rapid.IntRange(1, 300).Draw(t, "points") {
			p := Point{(rng.Float64() - 0.5) * spread, (rng.Float64() - 0.5) * spread}
			if len(places) > 0 && rng.IntN(2) == 0 {
				p = places[rng.IntN(len(places))].Add(Point{rng.Float64()*4 - 2, rng.Float64()*4 - 2})
			}
			want, least := -1, Hair
			for i, q := range places {
				if d := p.Dist(q); d < least {
					want, least = i, d
				}
			}
			added := want < 0
			if added {
				want = len(places)
				places = append(places, p)
			}
			if got, isNew := w.Add(p); got != want || isNew != added {
				t.Fatalf("%v is number %d (new: %v), want %d (%v)", p, got, isNew, want, added)
			}
		}
	})
}

func TestWeldingOutOfTheWay(t *testing.T) {
	var w Welder
	for i := range 100 {
		w.Add(Point{float64(i) * 10, 0})
	}
	for _, p := range []Point{{1e300, 0}, {-1e300, 1e18}, {math.Inf(1), 0}, {math.NaN(), 0}, {2147483647 * 8, 0}, {-2147483648 * 8, 5}} {
		i, _ := w.Add(p)
		assert.GreaterOrEqual(t, i, 100)
	}
}

func TestGridsFindAllThatIsNear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		n := rapid.IntRange(0, 200).Draw(t, "items")
		wide, high := 1000.0, rapid.SampledFrom([]float64{0, 3, 1000, 20000}).Draw(t, "height")
		reach := rapid.SampledFrom([]float64{5, 100, 2000}).Draw(t, "reach")
		place := func() Point { return Point{rng.Float64() * wide, rng.Float64() * high} }
		segment := func() Segment {
			p := place()
			s := Segment{p, p.Add(Point{(rng.Float64() - 0.5) * reach, (rng.Float64() - 0.5) * reach})}
			switch rng.IntN(4) {
			case 0:
				s.B.X = s.A.X
			case 1:
				s.B.Y = s.A.Y
			}
			return s
		}
		points := make([]Point, n)
		segments := make([]Segment, n)
		for i := range n {
			points[i], segments[i] = place(), segment()
		}
		pg, sg := NewPointGrid(points), NewSegmentGrid(segments)
		for range 30 {
			s, within := segment(), rng.Float64()*10
			var want []int
			for i, p := range points {
				if s.Dist(p) <= within {
					want = append(want, i)
				}
			}
			if got := slices.Sorted(pg.Near(s, within)); !slices.Equal(got, want) {
				t.Fatalf("points %v near %v, want %v", got, s, want)
			}
			got := sg.AppendNear([]int{-7}, s, within)
			if got[0] != -7 || !slices.IsSorted(got[1:]) || len(slices.Compact(slices.Clone(got))) != len(got) {
				t.Fatalf("%v is not in order or has something twice", got)
			}
			for i, o := range segments {
				near := o.Dist(s.A) <= within || o.Dist(s.B) <= within || s.Dist(o.A) <= within || s.Dist(o.B) <= within
				if _, crosses := CrossSegments(s, o); (near || crosses) && !slices.Contains(got, i) {
					t.Fatalf("segment %v is near %v", o, s)
				}
			}
		}
	})
}

func TestNearStopsWhenAsked(t *testing.T) {
	g := NewPointGrid([]Point{{0, 0}, {1, 0}, {2, 0}})
	count := 0
	for range g.Near(Segment{Point{0, 0}, Point{2, 0}}, Hair) {
		if count++; count == 2 {
			break
		}
	}
	assert.Equal(t, 2, count)
}
