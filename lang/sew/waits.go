package sew

import (
	"container/heap"
	"slices"
)

// Waits says what every part waits for when the first part of an order that can
// be sewn stays first: waits[k] lists, in increasing order, the parts that have
// to be sewn before k, without those that another of them already waits for.
//
// Of two parts that share an edge one waits for the other, the same in every
// sewable order with that first part: the later one's seam must lie along the
// edge, and each part has one seam only. So any sewable order tells which, the
// parts are partly ordered by it, and every order that keeps the waits can be
// sewn. (Checked by exhaustive search in the tests.)
//
// The order must be one that can be sewn.
func (d *Division) Waits(order []int) [][]int {
	waits := make([][]int, len(order))
	at := turns(order)
	seen := make([]int, len(order)) // the last part whose waits came through here, plus one
	var todo []int
	for _, k := range order {
		near := d.Neighbours(k)
		near = slices.DeleteFunc(near, func(j int) bool { return at[j] > at[k] })
		if len(near) == 0 {
			continue
		}
		// Go back from each, the latest first, as far as the earliest: what is met
		// on the way need not be named.
		slices.SortFunc(near, func(p, q int) int { return at[q] - at[p] })
		earliest := at[near[len(near)-1]]
		for i, j := range near {
			if seen[j] == k+1 {
				continue
			}
			waits[k] = append(waits[k], j)
			if i == len(near)-1 {
				break
			}
			seen[j] = k + 1
			todo = append(todo[:0], j)
			for len(todo) > 0 {
				j := todo[len(todo)-1]
				todo = todo[:len(todo)-1]
				for _, w := range waits[j] {
					if seen[w] != k+1 && at[w] >= earliest {
						seen[w] = k + 1
						todo = append(todo, w)
					}
				}
			}
		}
		slices.Sort(waits[k])
	}
	return waits
}

// turns gives every part's turn in an order.
func turns(order []int) []int {
	at := make([]int, len(order))
	for i, k := range order {
		at[k] = i
	}
	return at
}

// frontmost is the order that keeps the waits of a sewable order and takes, each
// time, the earliest written part that waits for nothing more.
func (d *Division) frontmost(order []int) []int {
	at := turns(order)
	open := make([]int, len(order)) // neighbours still to come before a part
	for k := range open {
		for _, j := range d.Neighbours(k) {
			if at[j] < at[k] {
				open[k]++
			}
		}
	}
	ready := &intHeap{order[0]}
	result := make([]int, 0, len(order))
	for ready.Len() > 0 {
		k := heap.Pop(ready).(int)
		result = append(result, k)
		for _, j := range d.Neighbours(k) {
			if at[j] > at[k] {
				if open[j]--; open[j] == 0 {
					heap.Push(ready, j)
				}
			}
		}
	}
	return result
}

type intHeap []int

// Len, Less, Swap, Push and Pop are the heap's.
func (h intHeap) Len() int           { return len(h) }
func (h intHeap) Less(i, j int) bool { return h[i] < h[j] }
func (h intHeap) Swap(i, j int)      { h[i], h[j] = h[j], h[i] }
func (h *intHeap) Push(k any)        { *h = append(*h, k.(int)) }
func (h *intHeap) Pop() any {
	last := len(*h) - 1
	k := (*h)[last]
	*h = (*h)[:last]
	return k
}
