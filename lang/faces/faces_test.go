package faces_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/faces"
	"sewable/lang/geom"
)

func seg(x0, y0, x1, y1 float64) geom.Segment {
	return geom.Segment{A: geom.Point{X: x0, Y: y0}, B: geom.Point{X: x1, Y: y1}}
}

func square(side float64) geom.Polygon {
	return geom.Box{Max: geom.Point{X: side, Y: side}}.Polygon()
}

func subdivide(t *testing.T, lines []geom.Segment, o faces.Options) *faces.Subdivision {
	t.Helper()
	s, err := faces.Subdivide(lines, o)
	require.NoError(t, err)
	return s
}

func areas(s *faces.Subdivision) (out []float64) {
	for _, f := range s.Faces {
		out = append(out, math.Round(f.Area))
	}
	return out
}

func TestByHand(t *testing.T) {
	type want struct {
		areas  []float64
		closed []faces.Closing
		strays []faces.Stray
		holes  int
	}
	at := func(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }
	for _, c := range []struct {
		name  string
		lines []geom.Segment
		close float64
		want  want
	}{
		{"the outline alone", nil, 0, want{areas: []float64{10000}}},
		{"one seam", []geom.Segment{seg(0, 40, 100, 40)}, 0, want{areas: []float64{4000, 6000}}},
		{"a seam typed twice", []geom.Segment{seg(0, 40, 100, 40), seg(100, 40, 0, 40)}, 0, want{areas: []float64{4000, 6000}}},
		{"seams that lie on each other in part", []geom.Segment{seg(0, 40, 70, 40), seg(30, 40, 100, 40)}, 0, want{areas: []float64{4000, 6000}}},
		{"a seam on the outline", []geom.Segment{seg(20, 0, 80, 0)}, 0, want{areas: []float64{10000}}},
		{"a cross", []geom.Segment{seg(0, 50, 100, 50), seg(50, 0, 50, 100)}, 0, want{areas: []float64{2500, 2500, 2500, 2500}}},
		{"a T", []geom.Segment{seg(0, 50, 100, 50), seg(50, 0, 50, 50)}, 0, want{areas: []float64{2500, 2500, 5000}}},
		{"a T within a hair", []geom.Segment{seg(0, 50, 100, 50), seg(50, 0, 50, 49.5)}, 0, want{areas: []float64{2488, 2488, 5025}}},
		{"an end that falls short", []geom.Segment{seg(0, 50, 98, 50)}, 3,
			want{areas: []float64{5000, 5000}, closed: []faces.Closing{{From: at(98, 50), To: at(100, 50), Dist: 2}}}},
		{"an end that goes too far", []geom.Segment{seg(-2, 50, 100, 50)}, 3,
			want{areas: []float64{5000, 5000}, closed: []faces.Closing{{From: at(-2, 50), To: at(0, 50), Dist: 2}}}},
		{"ends that nearly meet", []geom.Segment{seg(0, 50, 50, 50), seg(52, 50, 100, 50)}, 3,
			want{areas: []float64{5000, 5000}, closed: []faces.Closing{{From: at(52, 50), To: at(50, 50), Dist: 2}}}},
		{"an end that falls too short", []geom.Segment{seg(0, 50, 90, 50)}, 3,
			want{areas: []float64{10000}, strays: []faces.Stray{{From: at(90, 50), To: at(0, 50), Length: 90}}}},
		{"a line that touches nothing", []geom.Segment{seg(20, 20, 60, 50)}, 3,
			want{areas: []float64{10000}, strays: []faces.Stray{{From: at(20, 20), To: at(60, 50), Length: 50}}}},
		{"an island", lines(geom.Polygon{at(40, 40), at(60, 40), at(60, 60), at(40, 60)}), 0, want{areas: []float64{9600, 400}, holes: 1}},
		{"an island on a bridge", append(lines(geom.Polygon{at(40, 40), at(60, 40), at(60, 60), at(40, 60)}), seg(0, 50, 40, 50)), 0,
			want{areas: []float64{9600, 400}, holes: 1, strays: []faces.Stray{{From: at(0, 50), To: at(40, 50), Length: 40, Bridge: true}}}},
		{"an island that touches the outline in a corner", lines(geom.Polygon{at(0, 0), at(60, 20), at(20, 60)}), 0, want{areas: []float64{8400, 1600}, holes: 1}},
		{"two islands, one in the other", append(lines(geom.Polygon{at(20, 20), at(80, 20), at(80, 80), at(20, 80)}), lines(geom.Polygon{at(40, 40), at(60, 40), at(60, 60), at(40, 60)})...), 0,
			want{areas: []float64{6400, 3200, 400}, holes: 2}},
		{"a line that goes on outside", []geom.Segment{seg(-50, 50, 150, 50)}, 0,
			want{areas: []float64{5000, 5000}, strays: []faces.Stray{
				{From: at(-50, 50), To: at(0, 50), Length: 50}, {From: at(150, 50), To: at(100, 50), Length: 50}}}},
		{"too short to be a line", []geom.Segment{seg(0, 50, 0.5, 50)}, 3, want{areas: []float64{10000}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := subdivide(t, c.lines, faces.Options{Outline: square(100), Close: c.close})
			assert.ElementsMatch(t, c.want.areas, areas(s))
			assert.Equal(t, c.want.closed, s.Closed)
			assert.Equal(t, c.want.strays, s.Strays)
			assert.Empty(t, s.Outside)
			holes := 0
			for _, f := range s.Faces {
				holes += len(f.Holes)
			}
			assert.Equal(t, c.want.holes, holes)
			hold(t, s)
		})
	}
}

// lines are the edges of a polygon.
func lines(poly geom.Polygon) (out []geom.Segment) {
	for i := range poly {
		out = append(out, poly.Edge(i))
	}
	return out
}

func TestOutside(t *testing.T) {
	s := subdivide(t, lines(geom.Polygon{{X: 50, Y: 50}, {X: 150, Y: 50}, {X: 150, Y: 70}, {X: 50, Y: 70}}), faces.Options{Outline: square(100)})
	assert.ElementsMatch(t, []float64{9000, 1000}, areas(s))
	require.Len(t, s.Outside, 1)
	assert.InDelta(t, 1000, s.Outside[0].Area(), 1e-6)
	hold(t, s)
}

// No drawing takes for ever.
func TestTooMuch(t *testing.T) {
	var crossing []geom.Segment // each with every other
	for i := range 1_050 {
		sin, cos := math.Sincos(math.Pi * float64(i) / 1_050)
		p, off := geom.Point{X: 1e6 * cos, Y: 1e6 * sin}, geom.Point{X: 1e4 * float64(i%7), Y: 1e4 * float64(i%11)}
		crossing = append(crossing, geom.Segment{A: off.Add(p), B: off.Sub(p)})
	}
	_, err := faces.Subdivide(crossing, faces.Options{})
	assert.ErrorIs(t, err, faces.ErrTangled)

	var crowded geom.Polygon
	for i := range 55 * 55 {
		crowded = append(crowded, geom.Point{X: 1.5 * float64(i%55), Y: 1.5 * float64(i/55)})
	}
	_, err = faces.Subdivide(lines(crowded), faces.Options{Close: faces.Reach})
	assert.ErrorIs(t, err, faces.ErrCrowded)
	_, err = faces.Subdivide([]geom.Segment{{B: geom.Point{X: math.NaN()}}}, faces.Options{})
	assert.ErrorContains(t, err, "line 1")
	_, err = faces.Subdivide(nil, faces.Options{Outline: geom.Polygon{{}, {X: 2 * faces.Furthest}}})
	assert.ErrorContains(t, err, "corner 2 of the outline")
}

// A sharp corner between a line and a fine curve stays where it is: the line is not drawn along the
// curve, corner by corner.
func TestFineCurves(t *testing.T) {
	for seed := range 40 {
		for _, n := range []int{20, 40, 60, 80, 100, 150} {
			var poly geom.Polygon
			for i := range n + 1 {
				sin, cos := math.Sincos(1.5*float64(i)/float64(n) + float64(seed))
				poly = append(poly, geom.Point{X: 40 * cos, Y: 30 * sin})
			}
			sin, cos := math.Sincos(float64(seed))
			poly = append(poly, geom.Point{X: 10 * cos, Y: 10 * sin})
			s := subdivide(t, lines(poly), faces.Options{})
			hold(t, s)
			sum := 0.0
			for _, f := range s.Faces {
				sum += f.Area
			}
			assert.InDelta(t, math.Abs(poly.Area()), sum, poly.Perimeter(), "turned %d, %d chords", seed, n)
		}
	}
}

// hold checks what must hold of every subdivision: Euler's formula V − E + F = 1 + C (L. Euler, "Elementa doctrinae
// solidorum", 1758; with C parts, the unbounded face counted), rings that run
// anticlockwise and close over edges, each edge beside two different faces.
func hold(t require.TestingT, s *faces.Subdivision) {
	used := map[int]bool{}
	between := map[[2]int]bool{}
	for _, e := range s.Edges {
		used[e[0]], used[e[1]] = true, true
		require.NotEqual(t, e[0], e[1])
		require.False(t, between[[2]int{min(e[0], e[1]), max(e[0], e[1])}], "an edge twice")
		between[[2]int{min(e[0], e[1]), max(e[0], e[1])}] = true
	}
	f := len(s.Faces) + len(s.Outside) + 1
	require.Equal(t, 1+s.Parts, len(used)-len(s.Edges)+f, "V %d - E %d + F %d = 1 + C %d", len(used), len(s.Edges), f, s.Parts)

	darts := map[[2]int]bool{}
	for _, f := range s.Faces {
		require.Greater(t, s.Polygon(f.Ring).Area(), 0.0)
		for _, ring := range append([][]int{f.Ring}, f.Holes...) {
			for i, u := range ring {
				v := ring[(i+1)%len(ring)]
				require.True(t, between[[2]int{min(u, v), max(u, v)}], "a ring follows edges")
				require.False(t, darts[[2]int{u, v}], "one face on each side of an edge")
				darts[[2]int{u, v}] = true
			}
		}
		for _, hole := range f.Holes {
			require.Less(t, s.Polygon(hole).Area(), 0.0)
		}
	}
}

func random(r *rand.Rand, n int, side, length float64) (out []geom.Segment) {
	for range n {
		a := geom.Point{X: r.Float64() * side, Y: r.Float64() * side}
		angle := r.Float64() * 2 * math.Pi
		b := a.Add(geom.Point{X: math.Cos(angle), Y: math.Sin(angle)}.Scale(length * r.Float64()))
		out = append(out, geom.Segment{A: a, B: b})
	}
	return out
}

// The areas of the faces, and the faces beyond the outline aside, sum to the
// outline's area.
func TestRandomFillTheOutline(t *testing.T) {
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 1))
		side := 500 + r.Float64()*2000
		s := subdivide(t, random(r, 1+r.IntN(120), side, side), faces.Options{Outline: square(side), Close: r.Float64() * 5})
		hold(t, s)
		sum := 0.0
		for _, f := range s.Faces {
			sum += f.Area
		}
		// Where a corner within a hair of the outline bends it, up to a hair
		// times its length goes to the other side.
		assert.InDelta(t, side*side, sum, 4*side, "seed %d", seed)
	}
}
