package sew

import "slices"

// FindJoins finds joins that are all straight and sew every part into one unit,
// whatever joins the file has: pairs of parts that share an edge, in order. ok
// is false when there are none, the division is flawed, or it has more parts than
// any block is made of.
//
// The region is cut along its full chords, again and again. That never has to go
// back: a full chord leaves the others whole on either side of it.
func (d *Division) FindJoins() (joins []JoinStep, ok bool) {
	if d.Flawed() || d.Parts() == 0 || d.Parts() > maxFoundJoins {
		return nil, false
	}
	ok = d.cutUp(d.Written(), &joins)
	if !ok {
		return nil, false
	}
	return joins, true
}

// cutUp appends the joins of a region.
func (d *Division) cutUp(region []int, joins *[]JoinStep) bool {
	if len(region) == 1 {
		return true
	}
	// All chords at once, but for those that cross one already taken.
	var taken [][]int32
	passed := map[int32]bool{}
	closed := map[int32]bool{}
	for _, chord := range d.chords(region) {
		if slices.ContainsFunc(chord[1:], func(h int32) bool { return passed[d.halves[h].from] }) {
			continue
		}
		taken = append(taken, chord)
		for i, h := range chord {
			closed[h], closed[d.halves[h].twin] = true, true
			if i > 0 {
				passed[d.halves[h].from] = true
			}
		}
	}
	if len(taken) == 0 {
		return false
	}
	pieces := d.pieces(region, closed)
	if len(pieces) != len(taken)+1 {
		return false // falls apart, or goes round in a ring
	}
	for _, piece := range pieces {
		if !d.cutUp(piece, joins) {
			return false
		}
	}
	for _, chord := range taken {
		a, b := int(d.halves[chord[0]].part), int(d.across(chord[0]))
		*joins = append(*joins, JoinStep{A: min(a, b), B: max(a, b)})
	}
	return true
}

// pieces gives the connected pieces of a region that is closed along some
// halves, each in increasing order.
func (d *Division) pieces(region []int, closed map[int32]bool) [][]int {
	open := make(map[int32]bool, len(region)) // in the region and not reached
	for _, k := range region {
		open[int32(k)] = true
	}
	var pieces [][]int
	for _, k := range region {
		if !open[int32(k)] {
			continue
		}
		open[int32(k)] = false
		piece := []int{k}
		for i := 0; i < len(piece); i++ {
			for h := d.first[piece[i]]; h < d.first[piece[i]+1]; h++ {
				if q := d.across(h); q != none && open[q] && !closed[h] {
					open[q] = false
					piece = append(piece, int(q))
				}
			}
		}
		slices.Sort(piece)
		pieces = append(pieces, piece)
	}
	return pieces
}

// The search is given up past these: an answer of none then only says that none
// was found.
const (
	maxFoundJoins   = 5_000
	maxOrderedJoins = 300
	MaxJoinTrials   = 20_000 // how often ReorderJoins tries a join
)

// ReorderJoins finds an order in which the same joins, or some of them, go
// together without a flaw: the numbers of the steps to sew, the others being
// too many. It keeps late joins late. It is nil when there is no such order, or none
// was found in MaxJoinTrials tries.
func (d *Division) ReorderJoins(steps []JoinStep) []int {
	order, _ := d.reorderJoins(steps)
	return order
}

// reorderJoins is ReorderJoins; gaveUp says that there may be an order all the same.
func (d *Division) reorderJoins(steps []JoinStep) (order []int, gaveUp bool) {
	if d.Flawed() {
		return nil, false
	}
	// Joins that make a tree, without partial seams, are ordered from the back.
	// Again that never has to go back: no two of their edges cross.
	s := newUnits(d)
	var tree []int
	plain := true
	for i, step := range steps {
		if step.Kind == Partial || step.Kind == Finish {
			plain = false
		}
		if a, b := s.unit[step.A], s.unit[step.B]; a != b {
			tree = append(tree, i)
			s.join(a, b)
		}
	}
	if len(tree) != d.Parts()-1 {
		return nil, false // some part is never reached
	}
	if plain && d.Parts() <= maxOrderedJoins {
		if order := d.orderTree(steps, d.Written(), tree); order != nil || len(tree) == len(steps) {
			return order, false
		}
	}
	t := trial{d: d, steps: steps, seen: map[string]bool{}}
	order = t.from(newUnits(d), make([]byte, len(steps)), nil)
	return order, order == nil && t.trials > MaxJoinTrials
}

// orderTree orders joins that connect a region as a tree.
func (d *Division) orderTree(steps []JoinStep, region, tree []int) []int {
	if len(tree) == 0 {
		return []int{}
	}
	member := make([]bool, d.Parts())
	for _, k := range region {
		member[k] = true
	}
	for at := len(tree) - 1; at >= 0; at-- {
		last := steps[tree[at]]
		// The two sides when this join is left out.
		s := newUnits(d)
		for i, e := range tree {
			if i != at {
				s.join(s.unit[steps[e].A], s.unit[steps[e].B])
			}
		}
		a, b := s.unit[last.A], s.unit[last.B]
		c := d.contact(s.edges(a, b), func(p int32) bool { return member[p] })
		if !fits(last.Kind, &c) {
			continue
		}
		var ta, tb []int
		for i, e := range tree {
			switch {
			case i == at:
			case s.unit[steps[e].A] == a:
				ta = append(ta, e)
			default:
				tb = append(tb, e)
			}
		}
		oa, ob := d.orderTree(steps, s.members[a], ta), d.orderTree(steps, s.members[b], tb)
		if oa == nil || ob == nil {
			return nil
		}
		return append(interleave(oa, ob), tree[at])
	}
	return nil
}

// interleave merges two orders, the earlier written first where both may go on.
func interleave(a, b []int) []int {
	out := make([]int, 0, len(a)+len(b)+1)
	for len(a) > 0 && len(b) > 0 {
		if a[0] < b[0] {
			out, a = append(out, a[0]), a[1:]
		} else {
			out, b = append(out, b[0]), b[1:]
		}
	}
	return append(append(out, a...), b...)
}

// A trial sews joins in every order, the earliest written first, never twice
// from the same joins sewn with the same left open.
type trial struct {
	d      *Division
	steps  []JoinStep
	seen   map[string]bool
	trials int
}

func (t *trial) from(s *units, done []byte, order []int) []int {
	if len(s.open) == 0 && len(s.members[s.unit[0]]) == t.d.Parts() {
		return slices.Clone(order)
	}
	key := s.key(done)
	if t.seen[key] || t.trials > MaxJoinTrials {
		return nil
	}
	t.seen[key] = true
	for i, step := range t.steps {
		if done[i] != 0 {
			continue
		}
		t.trials++
		next := s.clone()
		if step.Kind == Finish {
			if seam, ok := next.finish(step); !ok || !seam.Contact.OK() {
				continue
			}
		} else {
			a, b := s.unit[step.A], s.unit[step.B]
			if a == b {
				continue
			}
			seam := next.seam(a, b)
			if !fits(step.Kind, &seam.Contact) {
				continue
			}
			if step.Kind == Partial {
				next.open = append(next.open, next.leave(i, step, &seam))
			}
			next.join(a, b)
		}
		done[i] = 1
		if found := t.from(next, done, append(order, i)); found != nil {
			return found
		}
		done[i] = 0
	}
	return nil
}

// key tells states of the table apart. The joins done give the units; what a partial seam leaves open is a matter of
// the units it was sewn from, so of the order.
func (s *units) key(done []byte) string {
	key := slices.Clone(done)
	for _, o := range s.open {
		for k := range o.pa {
			side := byte(0)
			if o.pa[k] {
				side = 1
			}
			if o.pb[k] {
				side += 2
			}
			key = append(key, side)
		}
	}
	return string(key)
}

func (s *units) clone() *units {
	c := &units{d: s.d, unit: slices.Clone(s.unit), members: make([][]int, len(s.members)), open: slices.Clone(s.open)}
	for i, m := range s.members {
		c.members[i] = slices.Clone(m)
	}
	return c
}
