package sew_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"sewable/lang/geom"
	"sewable/lang/sew"
)

// Three strips may be joined in any order; what is joined to two of them across
// their ends has to wait for their join.
func TestJoinWaits(t *testing.T) {
	d := sew.Divide(box(0, 0, 6, 4), []geom.Polygon{box(0, 0, 2, 2), box(2, 0, 4, 2), box(4, 0, 6, 2), box(0, 2, 6, 4)})
	join := func(a, b int) sew.JoinStep { return sew.JoinStep{A: a, B: b} }
	steps := []sew.JoinStep{join(0, 1), join(1, 2), join(3, 0)}
	require.Equal(t, map[int][]int{2: {0, 1}}, d.JoinWaits(steps, []int{0, 1, 2}))

	steps = []sew.JoinStep{join(3, 0), join(1, 2), join(0, 1)}
	order := d.ReorderJoins(steps)
	require.Equal(t, []int{1, 2, 0}, order)
	require.Equal(t, map[int][]int{0: {1, 2}}, d.JoinWaits(steps, order))
}

// A pinwheel of a partial seam: the finish waits for all that stands between.
func TestJoinWaitsOfAPartialSeam(t *testing.T) {
	d := sew.Divide(box(0, 0, 3, 3), []geom.Polygon{
		box(1, 1, 2, 2), box(0, 0, 2, 1), box(2, 0, 3, 2), box(1, 2, 3, 3), box(0, 1, 1, 3),
	})
	steps := []sew.JoinStep{
		{A: 1, B: 0, Kind: sew.Partial}, {A: 2, B: 0}, {A: 3, B: 0}, {A: 4, B: 0}, {A: 1, B: 0, Kind: sew.Finish},
	}
	order := []int{0, 1, 2, 3, 4}
	if flaws := d.CheckJoins(steps); len(flaws) > 0 {
		// The open end lies at one side of the first strip: go round the other way.
		steps[1], steps[3] = steps[3], steps[1]
		require.Empty(t, d.CheckJoins(steps))
	}
	require.Equal(t, map[int][]int{1: {0}, 2: {1}, 3: {2}, 4: {3}}, d.JoinWaits(steps, order))
}

// Against all orders of up to six joins: one join waits for another exactly
// when it comes after it in every order that works.
func TestJoinWaitsAgainstAllOrders(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 1))
	tried, waiting := 0, 0
	for tried < 400 {
		parts := guillotine(r, box(0, 0, 8, 8), 2+r.IntN(6))
		d := sew.Divide(box(0, 0, 8, 8), parts)
		steps := randomTree(r, d)
		order := d.ReorderJoins(steps)
		if order == nil || len(order) != len(steps) {
			continue
		}
		tried++
		always := make([][]bool, len(steps)) // always[j][k]: j after k in every order that works
		for j := range always {
			always[j] = make([]bool, len(steps))
			for k := range always[j] {
				always[j][k] = j != k
			}
		}
		permute(len(steps), func(order []int) {
			if len(d.CheckJoins(pick(steps, order))) > 0 {
				return
			}
			for i, k := range order {
				for _, j := range order[:i] {
					always[j][k] = false
				}
			}
		})
		waits := d.JoinWaits(steps, order)
		var reaches func(j, k int) bool
		reaches = func(j, k int) bool {
			for _, w := range waits[j] {
				if w == k || reaches(w, k) {
					return true
				}
			}
			return false
		}
		for j := range steps {
			for k := range steps {
				if always[j][k] {
					waiting++
				}
				require.Equal(t, always[j][k], reaches(j, k), fmt.Sprintf("%d waits for %d: %v in %v", j, k, steps, parts))
			}
		}
	}
	require.Greater(t, waiting, 200)
}

// guillotine cuts a box, in whole inches, into so many boxes at most.
func guillotine(r *rand.Rand, b geom.Polygon, n int) []geom.Polygon {
	x0, y0, x1, y1 := b[0].X/geom.Inch, b[0].Y/geom.Inch, b[2].X/geom.Inch, b[2].Y/geom.Inch
	if n < 2 || x1-x0 < 2 && y1-y0 < 2 {
		return []geom.Polygon{b}
	}
	one := 1 + r.IntN(n-1)
	if x1-x0 >= 2 && (y1-y0 < 2 || r.IntN(2) == 0) {
		x := x0 + 1 + float64(r.IntN(int(x1-x0)-1))
		return append(guillotine(r, box(x0, y0, x, y1), one), guillotine(r, box(x, y0, x1, y1), n-one)...)
	}
	y := y0 + 1 + float64(r.IntN(int(y1-y0)-1))
	return append(guillotine(r, box(x0, y0, x1, y), one), guillotine(r, box(x0, y, x1, y1), n-one)...)
}

// randomTree joins neighbours at random until all are one.
func randomTree(r *rand.Rand, d *sew.Division) []sew.JoinStep {
	unit := d.Written()
	var steps []sew.JoinStep
	for len(steps) < d.Parts()-1 {
		a := r.IntN(d.Parts())
		near := d.Neighbours(a)
		b := near[r.IntN(len(near))]
		from, to := unit[a], unit[b]
		if from == to {
			continue
		}
		for i := range unit {
			if unit[i] == from {
				unit[i] = to
			}
		}
		steps = append(steps, sew.JoinStep{A: a, B: b})
	}
	return steps
}

// permute visits every order of n things.
func permute(n int, visit func([]int)) {
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	var place func(int)
	place = func(i int) {
		if i == n {
			visit(order)
			return
		}
		for j := i; j < n; j++ {
			order[i], order[j] = order[j], order[i]
			place(i + 1)
			order[i], order[j] = order[j], order[i]
		}
	}
	place(0)
}
