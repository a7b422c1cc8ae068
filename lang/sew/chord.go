package sew

import (
	"cmp"
	"math"
	"slices"

	"sewable/lang/geom"
)

// A Cut is a straight line along existing edges that divides a region in two,
// from border to border.
type Cut struct {
	geom.Segment       // with the Left parts on its left
	Left, Right  []int // in increasing order

	// Whole: it divides the whole section; otherwise only the core, and the
	// parts outside the core have to be sewn on afterwards.
	Whole bool
	// Sewable: both sides can be sewn in some order.
	Sewable bool
}

// DividingLine is a straight line that divides the core of an unsewable section
// (see FindOrder), nil when there is none. A line that leaves two sewable sides
// is preferred to one that does not, then one across the whole section to one
// across the core only, then the one nearest to halving.
func (d *Division) DividingLine(core []int) *Cut {
	if d.Flawed() || len(core) == 0 {
		return nil
	}
	inCore := make([]bool, d.Parts())
	for _, k := range core {
		inCore[k] = true
	}
	var cuts []Cut
	for _, region := range [][]int{d.Written(), core} {
		for _, chord := range d.chords(region) {
			left, right := d.split(region, chord)
			isCore := func(k int) bool { return inCore[k] }
			if right == nil || !slices.ContainsFunc(left, isCore) || !slices.ContainsFunc(right, isCore) {
				continue
			}
			cuts = append(cuts, Cut{
				Segment: d.chainSegment(chord), Left: left, Right: right, Whole: len(region) == d.Parts(),
			})
		}
		if len(core) == d.Parts() {
			break
		}
	}
	if len(cuts) == 0 {
		return nil
	}
	uneven := func(c *Cut) int { return max(len(c.Left), len(c.Right)) }
	slices.SortStableFunc(cuts, func(a, b Cut) int {
		if a.Whole != b.Whole {
			if a.Whole {
				return -1
			}
			return 1
		}
		return cmp.Compare(uneven(&a), uneven(&b))
	})
	// Trying them costs as much as finding orders; that many are plenty.
	for i := range cuts[:min(len(cuts), 32)] {
		c := &cuts[i]
		l, _ := d.pluck(c.Left)
		r, _ := d.pluck(c.Right)
		if l != nil && r != nil {
			c.Sewable = true
			return c
		}
	}
	return &cuts[0]
}

func (d *Division) chainSegment(chain []int32) geom.Segment {
	return geom.Segment{A: d.from(chain[0]), B: d.points[d.to(chain[len(chain)-1])]}
}

// chords gives every full chord of a region: a straight chain of edges from the
// region's border to its border, with inner points of the region between. Each
// comes once, as the halves on one side.
func (d *Division) chords(region []int) [][]int32 {
	in := make([]bool, d.Parts())
	for _, k := range region {
		in[k] = true
	}
	const yes, no = 1, 2
	known := make([]byte, len(d.points))
	inner := func(v int32) bool {
		if known[v] == 0 {
			known[v] = no
			if d.inner(v, func(p int32) bool { return in[p] }) {
				known[v] = yes
			}
		}
		return known[v] == yes
	}
	inside := func(h int32) bool { q := d.across(h); return q != none && in[q] }
	var found [][]int32
	for _, k := range region {
		for h := d.first[k]; h < d.first[k+1]; h++ {
			if !inside(h) || inner(d.halves[h].from) {
				continue
			}
			chain := d.chordFrom(h, in, inner)
			// Of the chain and its other side keep the one that starts first.
			if chain != nil && h < d.halves[chain[len(chain)-1]].twin && d.straight(chain) {
				found = append(found, chain)
			}
		}
	}
	return found
}

// chordFrom follows a half from the border of a region straight on to the border
// again; nil when it ends on the way.
func (d *Division) chordFrom(h int32, in []bool, inner func(int32) bool) []int32 {
	chain := []int32{h}
	for g := h; inner(d.to(g)); {
		if g = d.onward(chain, in); g == none || len(chain) > len(d.halves) {
			return nil
		}
		chain = append(chain, g)
	}
	return chain
}

// onward is the half that goes straight on at the end of a chain, or none.
func (d *Division) onward(chain []int32, in []bool) int32 {
	last := chain[len(chain)-1]
	v := d.to(last)
	along := d.points[v].Sub(d.from(chain[0]))
	best, least := int32(none), math.Inf(1)
	for _, g := range d.leaving(v) {
		q := d.across(g)
		if q == none || !in[q] || !in[d.halves[g].part] {
			continue
		}
		way := d.points[d.to(g)].Sub(d.points[v])
		if way.Dot(along) <= 0 {
			continue
		}
		// How far it strays, either as seen from the start or at its own end.
		off := math.Abs(way.Cross(along))
		off = min(off/along.Len(), off/way.Len())
		if off < least {
			best, least = g, off
		}
	}
	if least > 2*geom.Hair {
		return none
	}
	return best
}

// split divides a region along a chord into the parts on its left and those on
// its right; right is nil when the region stays in one.
func (d *Division) split(region []int, chord []int32) (left, right []int) {
	const unseen, out, reached = 0, 1, 2
	state := make([]byte, d.Parts())
	for k := range state {
		state[k] = out
	}
	for _, k := range region {
		state[k] = unseen
	}
	closed := make(map[int32]bool, 2*len(chord))
	for _, h := range chord {
		closed[h], closed[d.halves[h].twin] = true, true
	}
	start := d.halves[chord[0]].part
	state[start] = reached
	todo := []int32{start}
	for len(todo) > 0 {
		k := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		for h := d.first[k]; h < d.first[k+1]; h++ {
			if q := d.across(h); q != none && state[q] == unseen && !closed[h] {
				state[q] = reached
				todo = append(todo, q)
			}
		}
	}
	for _, k := range region {
		if state[k] == reached {
			left = append(left, k)
		} else {
			right = append(right, k)
		}
	}
	return left, right
}
