package sew

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"sewable/lang/geom"
)

// The index gives just the corners that looking at each would give.
func TestIndex(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for run := range 200 {
		points := make([]geom.Point, run*3)
		for i := range points {
			points[i] = geom.Point{X: float64(r.IntN(100)), Y: float64(r.IntN(1 + run))}
		}
		x := newIndex(points)
		for range 20 {
			s := geom.Segment{A: geom.Point{X: float64(r.IntN(120) - 10), Y: float64(r.IntN(200))}}
			s.B = s.A
			if r.IntN(4) > 0 {
				s.B = geom.Point{X: float64(r.IntN(100)), Y: r.Float64() * 100}
			}
			within := float64(r.IntN(5)) + 0.137
			var want []int32
			for i, p := range points {
				if s.Dist(p) <= within {
					want = append(want, int32(i))
				}
			}
			got := x.near(nil, s, within)
			slices.Sort(got)
			require.Equal(t, want, got)
		}
	}
}
