package sew_test

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"sewable/lang/geom"
	"sewable/lang/sew"
)

// A found order stays near the written one. One patch of a sewable order is put
// elsewhere; of all sewable orders, found by trying all, the one given nearly
// always moves the fewest patches.
func TestFewMoves(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	least, more := 0, 0
	for range 250 {
		til := randomTiling(r, 3+r.IntN(4))
		order, _ := til.divide().FindOrder()
		if order == nil {
			continue
		}
		i, j := r.IntN(len(order)), r.IntN(len(order))
		k := order[i]
		order = slices.Insert(slices.Delete(order, i, i+1), j, k)
		wrong := &tiling{outline: til.outline}
		for _, k := range order {
			wrong.patches = append(wrong.patches, til.patches[k])
		}
		d := wrong.divide()
		if d.CheckOrder(d.Written()) == nil {
			continue
		}
		s := wrong.search()
		fewest := s.n
		s.orders(0, nil, func(order []int) { fewest = min(fewest, moved(order)) })
		if order, _ := d.FindOrder(); moved(order) == fewest {
			least++
		} else {
			more++
		}
	}
	require.Greater(t, least, 50)
	require.Less(t, more*20, least)
}

// orders calls visit with every sewable order.
func (s *sewing) orders(u int, order []int, visit func([]int)) {
	if len(order) == s.n {
		visit(order)
	}
	for k := range s.n {
		if v := u | 1<<k; u != v && s.to(v) && (u == 0 || s.step(u, k)) {
			s.orders(v, append(order, k), visit)
		}
	}
}

// moved is the least number of patches that can be moved to get an order from
// the written one.
func moved(order []int) int {
	longest := make([]int, len(order)) // increasing run that ends here
	for i := range order {
		longest[i] = 1
		for j := range i {
			if order[j] < order[i] {
				longest[i] = max(longest[i], longest[j]+1)
			}
		}
	}
	return len(order) - slices.Max(longest)
}

// A patch sewn too late comes before the first that has to wait for it; one sewn
// too early comes after what it waits for.
func TestNearestOrder(t *testing.T) {
	late := sew.Divide(nil, []geom.Polygon{box(0, 0, 1, 1), box(0, 1, 2, 2), box(0, 2, 2, 3), box(1, 0, 2, 1)})
	require.Equal(t, 3, late.CheckOrder(late.Written()).Part)
	order, _ := late.FindOrder()
	require.Equal(t, []int{0, 3, 1, 2}, order)

	early := sew.Divide(nil, []geom.Polygon{box(0, 0, 1, 1), box(3, 0, 4, 1), box(1, 0, 2, 1), box(2, 0, 3, 1), box(-1, 0, 0, 1)})
	require.Equal(t, 1, early.CheckOrder(early.Written()).Part)
	order, _ = early.FindOrder()
	require.Equal(t, []int{0, 2, 3, 1, 4}, order)
}
