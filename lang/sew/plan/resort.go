package plan

import (
	"context"
	"slices"

	"sewable/lang/geom"
	"sewable/lang/sew"
)

// maxKnot is how many parts a knot has, at most, that set-in or partial seams are looked for in.
const maxKnot = 12

// LastResort plans a division that cannot be cut along straight chords: with as few set-in and partial seams
// as it finds. A knot, a region that no chord divides, is sewn with one partial seam where that
// does, each part of it a section; else it is cut along a bent chain into two regions that are planned in their turn. It is
// nil where a knot has too many parts, or none of that does.
func LastResort(ctx context.Context, d *sew.Division, o Options) *Plan {
	if d.Flawed() || d.Parts() == 0 {
		return nil
	}
	r := &resort{ctx: ctx, d: d, o: o, r: d.Regions(), known: map[string]*way{}}
	w := r.best(r.r.All())
	if w == nil {
		return nil
	}
	p := &Plan{Sections: w.sections, Joins: w.joins, Cost: Cost{Sections: len(w.sections)}, Least: 1}
	return p
}

type resort struct {
	ctx   context.Context
	d     *sew.Division
	o     Options
	r     *sew.Regions
	known map[string]*way
}

// A way is how a region is sewn: its sections, and the joins between them by number.
type way struct {
	sections []Section
	joins    []Join
	special  int // set-in and partial seams
}

// less says whether a way is better: fewer special seams, then fewer sections.
func (w *way) less(o *way) bool {
	return o == nil || w.special < o.special || w.special == o.special && len(w.sections) < len(o.sections)
}

// best is the best way found for a region, or nil.
func (r *resort) best(set sew.Set) *way {
	key := string(appendSet(nil, set))
	if w, ok := r.known[key]; ok {
		return w
	}
	w := r.find(set)
	r.known[key] = w
	return w
}

func (r *resort) find(set sew.Set) *way {
	parts := set.Parts()
	if r.ctx.Err() != nil {
		return nil
	}
	polys := make([]geom.Polygon, len(parts))
	for i, k := range parts {
		polys[i] = r.d.Part(k)
	}
	if p := Of(r.ctx, sew.Divide(nil, polys), r.o); p != nil {
		w := &way{joins: p.Joins}
		for _, s := range p.Sections {
			of := make([]int, len(s.Parts))
			for i, k := range s.Parts {
				of[i] = parts[k]
			}
			w.sections = append(w.sections, Section{of})
		}
		return w
	}
	if chords := r.r.Chords(set); len(chords) > 0 {
		return r.joined(chords[0].Left, chords[0].Right, Join{Kind: sew.Straight, Segment: chords[0].Segment})
	}
	if len(parts) > maxKnot {
		return nil
	}
	if w := r.partial(parts); w != nil {
		return w
	}
	return r.bent(set, parts)
}

// joined are two regions and the join between them.
func (r *resort) joined(left, right sew.Set, j Join) *way {
	a := r.best(left)
	if a == nil {
		return nil
	}
	b := r.best(right)
	if b == nil {
		return nil
	}
	w := &way{sections: slices.Concat(a.sections, b.sections), special: a.special + b.special}
	w.joins = slices.Clone(a.joins)
	for _, x := range b.joins {
		x.A, x.B = x.A+len(a.sections), x.B+len(a.sections)
		w.joins = append(w.joins, x)
	}
	if j.Kind != sew.Straight {
		w.special++
	}
	for i, s := range a.sections {
		for k, t := range b.sections {
			if r.touch(s.Parts, t.Parts) {
				j.A, j.B = i, k+len(a.sections)
				w.joins = append(w.joins, j)
				return w
			}
		}
	}
	return nil
}

// touch says whether one of some parts shares an edge with one of others.
func (r *resort) touch(a, b []int) bool {
	return slices.ContainsFunc(a, func(k int) bool {
		return slices.ContainsFunc(r.d.Neighbours(k), func(q int) bool { return slices.Contains(b, q) })
	})
}

// bent cuts a knot in two along one chain of edges, with as few special seams as there can be.
func (r *resort) bent(set sew.Set, parts []int) *way {
	var best *way
	for mask := 1; mask < 1<<(len(parts)-1); mask++ { // the last part is on the right
		left, right := make(sew.Set, len(set)), make(sew.Set, len(set))
		work := make([]bool, r.d.Parts())
		for i, k := range parts {
			if mask>>i&1 == 1 {
				left.Add(k)
			} else {
				right.Add(k)
				work[k] = true
			}
		}
		if !r.whole(left) || !r.whole(right) || !r.d.OneChain(left.Parts(), work) {
			continue
		}
		if w := r.joined(left, right, Join{Kind: sew.Inset}); w != nil && w.less(best) {
			best = w
		}
	}
	return best
}

// whole says whether a region hangs together along edges.
func (r *resort) whole(set sew.Set) bool {
	parts := set.Parts()
	reached := []int{parts[0]}
	for i := 0; i < len(reached); i++ {
		for _, q := range r.d.Neighbours(reached[i]) {
			if set.Has(q) && !slices.Contains(reached, q) {
				reached = append(reached, q)
			}
		}
	}
	return len(reached) == len(parts)
}

// partial sews the parts of a knot one after another, the first seam in part and finished last.
func (r *resort) partial(parts []int) *way {
	polys := make([]geom.Polygon, len(parts))
	for i, k := range parts {
		polys[i] = r.d.Part(k)
	}
	own := sew.Divide(nil, polys)
	if own.Flawed() {
		return nil
	}
	for a := range parts {
		for _, b := range own.Neighbours(a) {
			steps := []sew.JoinStep{{A: a, B: b, Kind: sew.Partial}}
			if steps = sewOn(own, steps, a, len(parts)); steps == nil {
				continue
			}
			w := &way{special: 1}
			for _, k := range parts {
				w.sections = append(w.sections, Section{[]int{k}})
			}
			for _, s := range own.Sew(steps).Seams {
				w.joins = append(w.joins, Join{A: steps[s.Step].A, B: steps[s.Step].B, Kind: steps[s.Step].Kind, Segment: s.Contact.Seam})
			}
			return w
		}
	}
	return nil
}

// sewOn sews every part that is left onto the unit of the first, along straight seams, and finishes the first seam.
func sewOn(d *sew.Division, steps []sew.JoinStep, first, parts int) []sew.JoinStep {
	bad := func(steps []sew.JoinStep) bool {
		return slices.ContainsFunc(d.CheckJoins(steps), func(f sew.JoinFlaw) bool { return f.Kind != sew.LeftOver && f.Kind != sew.Unfinished })
	}
	if bad(steps) {
		return nil
	}
	if len(steps) == parts-1 {
		done := append(slices.Clone(steps), sew.JoinStep{A: steps[0].A, B: steps[0].B, Kind: sew.Finish})
		if len(d.CheckJoins(done)) > 0 {
			return nil
		}
		return done
	}
	for k := range parts {
		if slices.ContainsFunc(steps, func(s sew.JoinStep) bool { return s.A == k || s.B == k }) {
			continue
		}
		if done := sewOn(d, append(slices.Clone(steps), sew.JoinStep{A: first, B: k, Kind: sew.Straight}), first, parts); done != nil {
			return done
		}
	}
	return nil
}
