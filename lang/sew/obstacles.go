package sew

import (
	"cmp"
	"slices"

	"sewable/lang/geom"
)

// Obstacles is a number of cuts that every division of a region into sections
// needs at least: as many places as can be found that no section can hold inside it and
// of which no two can be cut by one cut.
//
// Two kinds of place are looked for. A corner inside the region where no patch has a
// straight angle has to lie on a cut, and so on one of the lines that go straight
// through it. A line with seams ending on it from both sides has to be cut, or
// crossed by a cut: of the parts along it, none could be taken off first, since each
// meets another one beside it as well as those across.
func (r *Regions) Obstacles(region Set) int {
	d := r.d
	r.enter(region)
	clear(r.known)
	inside := func(h int32) bool { q := d.across(h); return q != none && r.in[q] && r.in[d.halves[h].part] }

	// Lines: edges that go straight on into each other.
	line := make([]int32, len(d.halves))
	for h := range line {
		line[h] = int32(h)
	}
	find := func(h int32) int32 {
		for line[h] != h {
			line[h] = line[line[h]]
			h = line[h]
		}
		return h
	}
	for h := range d.halves {
		if h := int32(h); inside(h) {
			line[find(h)] = find(d.halves[h].twin)
		}
	}
	// A pass is a half that leaves a corner, while another one leaves it on the same line.
	type pass struct{ v, h int32 }
	var passes []pass
	at := make(map[int32][]int32) // those of a corner
	var bad []int32
	for v := range d.points {
		v := int32(v)
		leaving := d.leaving(v)
		if len(leaving) < 2 || !r.inner(v) {
			continue
		}
		straight := false
		for i, a := range leaving {
			straight = straight || !d.turn[a]
			for _, b := range leaving[:i] {
				if onOneLine(d.way(a), d.way(b)) {
					line[find(a)] = find(b)
					passes = append(passes, pass{v, a})
					at[v] = append(at[v], a)
				}
			}
		}
		if !straight {
			bad = append(bad, v)
		}
	}

	var obstacles [][]int32 // lines, of each one at least has a cut
	for _, v := range bad {
		var through []int32
		for _, h := range at[v] {
			through = append(through, find(h))
		}
		obstacles = append(obstacles, through)
	}
	type sides struct {
		way         geom.Point
		left, right bool
		crossed     []int32
	}
	along := map[int32]*sides{}
	var order []int32
	for _, p := range passes {
		l := find(p.h)
		s := along[l]
		if s == nil {
			s = &sides{way: d.way(p.h)}
			along[l] = s
			order = append(order, l)
		}
		for _, g := range d.leaving(p.v) {
			switch way := s.way.Cross(d.way(g)); {
			case find(g) == l:
			case way > 0:
				s.left = true
			default:
				s.right = true
			}
		}
		for _, h := range at[p.v] {
			if m := find(h); m != l {
				s.crossed = append(s.crossed, m)
			}
		}
	}
	for _, l := range order {
		if s := along[l]; s.left && s.right {
			obstacles = append(obstacles, append(s.crossed, l))
		}
	}

	for i := range obstacles {
		slices.Sort(obstacles[i])
		obstacles[i] = slices.Compact(obstacles[i])
	}
	return apart(obstacles)
}

// apart is how many of some sets can be found of which no two have a member in
// common: each time one whose members are in the fewest sets left.
func apart(sets [][]int32) int {
	found := 0
	for len(sets) > 0 {
		in := map[int32]int{}
		for _, s := range sets {
			for _, l := range s {
				in[l]++
			}
		}
		shared := func(s []int32) (n int) {
			for _, l := range s {
				n += in[l]
			}
			return n
		}
		chosen := slices.MinFunc(sets, func(a, b []int32) int { return cmp.Compare(shared(a), shared(b)) })
		found++
		sets = slices.DeleteFunc(sets, func(s []int32) bool {
			return slices.ContainsFunc(s, func(l int32) bool { return slices.Contains(chosen, l) })
		})
		if len(chosen) == 0 { // nothing could be cut there
			break
		}
	}
	return found
}
