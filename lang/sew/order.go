package sew

import (
	"cmp"
	"container/heap"
	"slices"
)

// A Misstep is the first patch of an order that cannot be sewn in its turn.
type Misstep struct {
	Part    int     // the patch
	Step    int     // its turn, from 0
	Contact Contact // how it meets the work sewn before it
}

// CheckOrder follows an order of all parts and gives the first part that does
// not meet the work along one seam, or nil when the order can be sewn. It is
// silent on a flawed division.
func (d *Division) CheckOrder(order []int) *Misstep {
	if d.Flawed() {
		return nil
	}
	work := make([]bool, d.Parts())
	for step, k := range order {
		if step > 0 && !d.sewsOn(k, work) {
			return &Misstep{Part: k, Step: step, Contact: d.Contact(k, work)}
		}
		work[k] = true
	}
	return nil
}

// Written is the order in which the parts were given: 0, 1, 2, …
func (d *Division) Written() []int {
	order := make([]int, d.Parts())
	for i := range order {
		order[i] = i
	}
	return order
}

// sewsOn is Contact(k, work).OK(), without asking why not.
func (d *Division) sewsOn(k int, work []bool) bool {
	shared := func(h int32) bool { q := d.across(h); return q != none && work[q] }
	start, n := int32(none), 0
	for h := d.first[k]; h < d.first[k+1]; h++ {
		if !shared(h) {
			continue
		}
		n++
		if !shared(d.halves[h].prev) {
			if start != none {
				return false // a second stretch
			}
			start = h
		}
	}
	return start != none && d.isSeam(start, n, func(p int32) bool { return p == int32(k) || work[p] })
}

// isSeam says whether the n halves from start on are a seam: straight, and
// inside what is sewn all along.
func (d *Division) isSeam(start int32, n int, in func(int32) bool) bool {
	if n == 1 {
		return true
	}
	chain := make([]int32, 0, 8)
	for h := start; len(chain) < n; h = d.halves[h].next {
		if len(chain) > 0 && d.turn[h] {
			return false
		}
		if len(chain) > 0 && h == start {
			return false // the rest is on another loop
		}
		chain = append(chain, h)
	}
	if !d.straight(chain) {
		return false
	}
	for _, h := range chain[1:] {
		if !d.inner(d.halves[h].from, in) {
			return false
		}
	}
	return true
}

// FindOrder finds an order that can be sewn, or the core: the parts that are
// left when no further one can be taken off, which have to be divided among
// sections. One of the two is nil; on a flawed division both are.
//
// The order is found by plucking: take off, again and again, a part that meets
// the rest along one seam, and read the removals backwards. It never has to go
// back, and the written order comes out as it is when it can be sewn. Otherwise
// the order changes as few places as plucking from the back, or sewing from the
// front, can make it.
func (d *Division) FindOrder() (order, core []int) {
	if d.Flawed() {
		return nil, nil
	}
	n := d.Parts()
	back, core := d.pluck(d.Written())
	if core != nil {
		return nil, core
	}
	bad := d.CheckOrder(d.Written())
	if bad == nil {
		return d.Written(), nil
	}
	// Two candidates, equally sewable: the latest parts last, or the earliest first.
	front := d.frontmost(back)
	cost := func(order []int) (moved, others int) {
		var rest []int
		for _, p := range order {
			if p != bad.Part {
				rest = append(rest, p)
			}
		}
		if !slices.IsSorted(rest) {
			others = 1 // more than the part that is wrong would move
		}
		return n - increasing(order), others
	}
	bm, bo := cost(back)
	fm, fo := cost(front)
	if cmp.Or(cmp.Compare(fm, bm), cmp.Compare(fo, bo), slices.Compare(front, back)) < 0 {
		return front, nil
	}
	return back, nil
}

// FindOrderFrom finds an order that can be sewn and begins with a given part,
// nil when there is none. The others keep the written order as FindOrder has it.
func (d *Division) FindOrderFrom(first int) []int {
	if d.Flawed() {
		return nil
	}
	prefer := d.Written()
	copy(prefer[1:first+1], prefer[:first])
	prefer[0] = first
	order, _ := d.pluck(prefer)
	if order == nil || order[0] != first {
		return nil
	}
	return d.frontmost(order)
}

// pluck takes parts off, each time the last in the given order of those that can
// be. What is left when none can is the core, in increasing order. Parts that
// are not in the given order are as if they were not there.
//
// Taking off a part changes only what its neighbours meet, so only they are
// looked at again. A part's stretches and turns along the rest are counted
// as edges come off, and its edge is walked only when the counts allow a seam.
func (d *Division) pluck(prefer []int) (order, core []int) {
	n := d.Parts()
	count := len(prefer)
	p := plucking{
		d:       d,
		rest:    make([]bool, n),
		shared:  make([]bool, len(d.halves)),
		edges:   make([]int32, n),
		starts:  make([]int32, n),
		turns:   make([]int32, n),
		waiting: make([]bool, n),
		rank:    make([]int32, n),
	}
	for i, k := range prefer {
		p.rank[k] = int32(i)
		p.rest[k] = true
		p.push(int32(k))
	}
	for h := range d.halves {
		q := d.across(int32(h))
		p.shared[h] = q != none && p.rest[q] && p.rest[d.halves[h].part]
	}
	for h, e := range d.halves {
		if p.shared[h] {
			p.edges[e.part]++
			if !p.shared[e.prev] {
				p.starts[e.part]++
			} else if d.turn[h] {
				p.turns[e.part]++
			}
		}
	}
	removed := make([]int, 0, count)
	for len(removed) < count-1 && p.Len() > 0 {
		k := heap.Pop(&p).(int32)
		p.waiting[k] = false
		if p.loose(k) {
			p.remove(k)
			removed = append(removed, int(k))
		}
	}
	for k, left := range p.rest {
		if left {
			core = append(core, k)
		}
	}
	if len(core) > 1 {
		return nil, core
	}
	slices.Reverse(removed)
	return append(core, removed...), nil
}

// A plucking is a heap of the parts to look at, the last preferred on top.
type plucking struct {
	d       *Division
	rest    []bool  // parts not taken off
	shared  []bool  // halves along the rest
	edges   []int32 // of a part, along the rest
	starts  []int32 // of stretches of those
	turns   []int32 // certain turns inside those
	rank    []int32
	waiting []bool // in the heap
	heap    []int32
}

func (p *plucking) push(k int32) {
	if !p.waiting[k] {
		p.waiting[k] = true
		heap.Push(p, k)
	}
}

// loose says whether part k meets the rest along one seam.
func (p *plucking) loose(k int32) bool {
	if p.starts[k] != 1 || p.turns[k] != 0 {
		return false
	}
	for h := p.d.first[k]; h < p.d.first[k+1]; h++ {
		if p.shared[h] && !p.shared[p.d.halves[h].prev] {
			return p.d.isSeam(h, int(p.edges[k]), func(q int32) bool { return p.rest[q] })
		}
	}
	return false
}

func (p *plucking) remove(k int32) {
	d := p.d
	p.rest[k] = false
	for h := d.first[k]; h < d.first[k+1]; h++ {
		t := d.halves[h].twin
		if t == none || !p.shared[h] {
			continue
		}
		q := d.halves[t].part
		p.shared[t] = false
		p.edges[q]--
		before, after := d.halves[t].prev, d.halves[t].next
		if !p.shared[before] {
			p.starts[q]--
		} else if d.turn[t] {
			p.turns[q]--
		}
		if p.shared[after] {
			p.starts[q]++
			if d.turn[after] {
				p.turns[q]--
			}
		}
		p.push(q)
	}
}

// Len, Less, Swap, Push and Pop are the heap's.
func (p *plucking) Len() int           { return len(p.heap) }
func (p *plucking) Less(i, j int) bool { return p.rank[p.heap[i]] > p.rank[p.heap[j]] }
func (p *plucking) Swap(i, j int)      { p.heap[i], p.heap[j] = p.heap[j], p.heap[i] }
func (p *plucking) Push(k any)         { p.heap = append(p.heap, k.(int32)) }
func (p *plucking) Pop() any {
	last := len(p.heap) - 1
	k := p.heap[last]
	p.heap = p.heap[:last]
	return k
}

// increasing is the length of the longest increasing run of an order, other
// parts left out: how many can keep their turn.
func increasing(order []int) int {
	var ends []int // ends[i] is the least end of such a run of length i+1
	for _, k := range order {
		i, _ := slices.BinarySearch(ends, k)
		if i == len(ends) {
			ends = append(ends, k)
		} else {
			ends[i] = k
		}
	}
	return len(ends)
}

// Seams gives every part's seam in an order that can be sewn: its segment with
// the part on the left, and the parts it is sewn on. The first part has none.
func (d *Division) Seams(order []int) []Leg {
	seams := make([]Leg, d.Parts())
	work := make([]bool, d.Parts())
	for step, k := range order {
		if step > 0 {
			if c := d.Contact(k, work); c.OK() {
				seams[k] = c.Legs[0]
			}
		}
		work[k] = true
	}
	return seams
}
