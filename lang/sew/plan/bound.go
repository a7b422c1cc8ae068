package plan

// bound is a number of sections that every plan of a region has at least.
//
//   - A region that cannot be sewn has a section more than it has cuts that are
//     needed (sew.Regions.Obstacles).
//   - Where a chord is forced, the sections of either side add up.
//   - Where none crosses a chord, they add up but for one: when the chord is not cut,
//     one section at most lies on both sides of it, and what a plan leaves on either
//     side is a plan of that side.
func (s *search) bound(r *region) int {
	if r.exact {
		return r.best.Sections
	}
	if r.bound > 0 {
		return r.bound
	}
	r.bound = 2
	s.look(r)
	if r.reason != Cheapest {
		c := &r.chords[0]
		r.bound = s.bound(c.left) + s.bound(c.right)
		return r.bound
	}
	r.bound = max(r.bound, 1+s.r.Obstacles(r.set))
	// The chord nearest to halving that none crosses.
	var halving *chord
	for i := range r.chords {
		c := &r.chords[i]
		if c.Crossed {
			continue
		}
		if halving == nil || max(c.left.size, c.right.size) < max(halving.left.size, halving.right.size) {
			halving = c
		}
	}
	if halving != nil {
		r.bound = max(r.bound, s.bound(halving.left)+s.bound(halving.right)-1)
	}
	return r.bound
}
