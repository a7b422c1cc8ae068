package sew

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"sewable/lang/geom"
)

func rect(x, y, w, h float64) geom.Polygon {
	const unit = 100
	x, y, w, h = x*unit, y*unit, w*unit, h*unit
	return geom.Polygon{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}
}

// Of two orders that move equally many patches, and equally the right ones, it is the one that reads
// first, whichever way it was found: strips in any written order.
func TestTheOrderThatReadsFirst(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	ties, fronts := 0, 0
	for range 3000 {
		n := 4 + r.IntN(3)
		places := r.Perm(n)
		parts := make([]geom.Polygon, n)
		for i, at := range places {
			parts[i] = rect(float64(at), 0, 1, 2)
		}
		d := Divide(rect(0, 0, float64(n), 2), parts)
		order, _ := d.FindOrder()
		bad := d.CheckOrder(d.Written())
		if bad == nil {
			require.Equal(t, d.Written(), order)
			continue
		}
		back, _ := d.pluck(d.Written())
		front := d.frontmost(back)
		others := func(order []int) bool {
			return slices.IsSorted(slices.DeleteFunc(slices.Clone(order), func(p int) bool { return p == bad.Part }))
		}
		if increasing(front) != increasing(back) || others(front) != others(back) || slices.Equal(front, back) {
			continue
		}
		ties++
		first := back
		if slices.Compare(front, back) < 0 {
			first = front
			fronts++
		}
		require.Equal(t, first, order, "%v: sewing from the front gives %v, plucking from the back %v", places, front, back)
	}
	require.Greater(t, ties, 20)
	require.Greater(t, fronts, 5)
}

// An edge is of a partial seam when both its ends lie on the line, and not one alone.
func TestBothEndsLieOnAPartialSeam(t *testing.T) {
	parts := []geom.Polygon{
		{{X: 0, Y: 0}, {X: 200, Y: 0}, {X: 200, Y: 100}, {X: 100, Y: 100}, {X: 0, Y: 60}},
		{{X: 0, Y: 60}, {X: 100, Y: 100}, {X: 200, Y: 100}, {X: 200, Y: 200}, {X: 0, Y: 200}},
	}
	d := Divide(rect(0, 0, 2, 2), parts)
	require.False(t, d.Flawed())
	for _, line := range []geom.Segment{
		{A: geom.Point{X: 200, Y: 100}, B: geom.Point{X: 100, Y: 100}}, {A: geom.Point{X: 100, Y: 100}, B: geom.Point{X: 0, Y: 60}},
	} {
		o := openSeam{line: line, pa: []bool{true, false}, pb: []bool{false, true}}
		var on []geom.Segment
		for h := range d.halves {
			if o.has(d, int32(h)) {
				on = append(on, d.segment(int32(h)))
			}
		}
		require.Equal(t, []geom.Segment{line}, on, "the edge that lies on it, and not the next, which begins or ends there")
	}
}
