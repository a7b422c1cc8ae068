package sew

import "slices"

// JoinWaits says what the joins of an order that works wait for: by step, the
// steps that come before it in whatever order works, without those that another of
// them already waits for. Steps that wait for nothing are left out.
//
// A step is brought forward past the ones before it, as long as the order keeps
// working; what it cannot pass comes along. What has come along in the end is what
// it waits for. (Checked by trying all orders in the tests.)
func (d *Division) JoinWaits(steps []JoinStep, order []int) map[int][]int {
	works := func(order []int) bool {
		now := make([]JoinStep, len(order))
		for i, j := range order {
			now[i] = steps[j]
		}
		return len(d.CheckJoins(now)) == 0
	}
	before := map[int][]int{} // every step that must come before
	for at, j := range order {
		ahead, along, rest := slices.Clone(order[:at]), []int{j}, order[at+1:]
		var passed []int
		for len(ahead) > 0 {
			last := len(ahead) - 1
			step := ahead[last]
			ahead = ahead[:last]
			if works(slices.Concat(ahead, along, []int{step}, passed, rest)) {
				passed = append([]int{step}, passed...)
			} else {
				along = append([]int{step}, along...)
			}
		}
		before[j] = along[:len(along)-1]
	}
	waits := map[int][]int{}
	for j, all := range before {
		for _, k := range all {
			if !slices.ContainsFunc(all, func(l int) bool { return slices.Contains(before[l], k) }) {
				waits[j] = append(waits[j], k)
			}
		}
		slices.Sort(waits[j])
	}
	return waits
}

// JoinOrder is an order in which the block's joins work, the written one when it
// does, in numbers that count the joins from 1 as written; joins too many are
// left out. It is nil when there is none, or nothing can be said.
func (b *Block) JoinOrder() []int {
	a := b.whole()
	if a.sewn == nil {
		return nil
	}
	order := a.joinOrder()
	if order == nil {
		return nil
	}
	out := make([]int, len(order))
	for i, step := range order {
		out[i] = step + 1
	}
	return out
}

func (a *assembly) joinOrder() []int {
	if len(a.sewn.Flaws) > 0 {
		return a.division.ReorderJoins(a.steps)
	}
	order := make([]int, len(a.steps))
	for i := range order {
		order[i] = i
	}
	return order
}

// JoinWaits says what each join of JoinOrder waits for, in its numbers. It is
// nil when there is no such order.
func (b *Block) JoinWaits() map[int][]int {
	a := b.whole()
	if a.sewn == nil {
		return nil
	}
	order := a.joinOrder()
	if order == nil {
		return nil
	}
	out := map[int][]int{}
	for step, waits := range a.division.JoinWaits(a.steps, order) {
		for _, w := range waits {
			out[step+1] = append(out[step+1], w+1)
		}
	}
	return out
}
