package sew_test

import (
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"sewable/lang/geom"
	"sewable/lang/sew"
)

// scale is the size of the exact tests' unit: far above a hair, and no whole
// number, so that coordinates come rounded.
const scale = 7919.3

func (t *tiling) divide() *sew.Division {
	parts := make([]geom.Polygon, len(t.patches))
	for i, p := range t.patches {
		parts[i] = p.float(scale)
	}
	return sew.Divide(t.outline.float(scale), parts)
}

// runs is the number of random divisions: SEWABLE_LONG=50000 asks for more.
func runs(t *testing.T) int {
	if s := os.Getenv("SEWABLE_LONG"); s != "" {
		n, err := strconv.Atoi(s)
		require.NoError(t, err)
		return n
	}
	return 400
}

// Orders, cores and waits against exhaustive search over random divisions of up
// to nine patches in exact arithmetic, pinwheels, non-convex patches and
// non-convex outlines among them.
func TestOrdersAgainstExhaustiveSearch(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(1, 2))
	sewable, written := 0, 0
	for run := range runs(t) {
		til := randomTiling(r, 2+run%8)
		d := til.divide()
		require.False(t, d.Flawed(), "run %d: %v\n%v", run, d.Flaws(), til)
		s := til.search()
		n := len(til.patches)

		// The written order, and a few others, sewn step by step.
		for range 4 {
			order := r.Perm(n)
			if bad := d.CheckOrder(order); bad != nil {
				require.Equal(t, s.check(order), bad.Part, "run %d, order %v\n%v", run, order, til)
				require.NotEqual(t, sew.OneSeam, bad.Contact.Kind)
			} else {
				require.Equal(t, -1, s.check(order), "run %d, order %v\n%v", run, order, til)
			}
		}

		// An order is found when there is one, the written one if that will do.
		order, core := d.FindOrder()
		require.Equal(t, s.sewable(), order != nil, "run %d: core %v\n%v", run, core, til)
		if order == nil {
			require.GreaterOrEqual(t, len(core), 2)
			continue
		}
		sewable++
		require.Nil(t, core)
		require.Equal(t, -1, s.check(order), "run %d, order %v\n%v", run, order, til)
		if d.CheckOrder(d.Written()) == nil {
			written++
			require.Equal(t, d.Written(), order)
		}

		for first := range n {
			order := d.FindOrderFrom(first)
			require.Equal(t, s.to(1<<first), order != nil, "run %d, from %d\n%v", run, first, til)
			if order == nil {
				continue
			}
			require.Equal(t, first, order[0])
			require.Equal(t, -1, s.check(order), "run %d, order %v\n%v", run, order, til)
			checkWaits(t, s, first, d.Waits(order), til)
			checkMerges(t, til, s, d, order)
		}
	}
	t.Logf("%d sewable, %d as written", sewable, written)
}

// The waits are exactly the precedences that all sewable orders with that first
// patch have in common, none of them follows from others, and every order that
// keeps them can be sewn (there are as many of the one as of the other).
func checkWaits(t *testing.T, s *sewing, first int, waits [][]int, til *tiling) {
	t.Helper()
	closed := make([][]bool, s.n)
	for i := range closed {
		closed[i] = make([]bool, s.n)
	}
	for k, ws := range waits {
		for _, j := range ws {
			closed[j][k] = true
		}
	}
	for m := range s.n {
		for i := range s.n {
			for j := range s.n {
				closed[i][j] = closed[i][j] || closed[i][m] && closed[m][j]
			}
		}
	}
	require.Equal(t, s.before(first), closed, "first %d, waits %v\n%v", first, waits, til)
	for k, ws := range waits {
		require.True(t, slices.IsSorted(ws))
		for _, i := range ws {
			for _, j := range ws {
				require.False(t, closed[i][j], "%d waits for %v", k, ws)
			}
		}
	}
	full := 1<<s.n - 1
	count := make([]int, full+1)
	count[full] = 1
	for u := full - 1; u > 0; u-- {
		for k := range s.n {
			ready := u>>k&1 == 0
			for i := range s.n {
				ready = ready && (u>>i&1 == 1 || !closed[i][k])
			}
			if ready {
				count[u] += count[u|1<<k]
			}
		}
	}
	require.Equal(t, s.count(1<<first), count[1<<first], "first %d, waits %v\n%v", first, waits, til)
}

// Two neighbours could be one patch exactly when, in any sewable order, the
// later one's seam lies on the earlier one alone.
func checkMerges(t *testing.T, til *tiling, s *sewing, d *sew.Division, order []int) {
	t.Helper()
	seams := d.Seams(order)
	for _, k := range order[1:] {
		for _, j := range d.Neighbours(k) {
			if slices.Index(order, j) > slices.Index(order, k) {
				continue
			}
			whole := len(seams[k].On) == 1
			require.Equal(t, til.sewableTogether(j, k), whole, "%d and %d\n%v", j, k, til)
		}
	}
}

// sewableTogether says whether some order works with two patches sewn as one.
func (t *tiling) sewableTogether(i, j int) bool {
	n := len(t.patches)
	full := uint(1<<n - 1)
	both := uint(1<<i | 1<<j)
	var items []uint
	for k := range n {
		if k != i && k != j {
			items = append(items, 1<<k)
		}
	}
	items = append(items, both)
	seen := map[uint]bool{}
	todo := slices.Clone(items)
	for len(todo) > 0 {
		u := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if u == full {
			return true
		}
		for _, k := range items {
			if u&k == 0 && !seen[u|k] && t.seams(k, u) {
				seen[u|k] = true
				todo = append(todo, u|k)
			}
		}
	}
	return false
}
