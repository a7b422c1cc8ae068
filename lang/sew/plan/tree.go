package plan

import (
	"cmp"
	"math"
	"slices"

	"sewable/lang/geom"
	"sewable/lang/sew"
)

// plan reads the plan off a solved region.
func (s *search) plan(root *region) *Plan {
	p := &Plan{Cost: root.best, Proved: root.exact, Stopped: s.stopped, Regions: s.looked}
	b := planner{s: s, p: p}
	b.unit(root)
	slices.SortStableFunc(p.Decisions, func(a, b Decision) int { return b.Join - a.Join })
	p.Least = min(s.bound(root), p.Cost.Sections)
	return p
}

// A planner turns the tree of cuts into sections and joins.
type planner struct {
	s *search
	p *Plan
}

// unit appends the sections and joins of a region, and gives its sections.
func (b *planner) unit(r *region) []int {
	if r.taken < 0 {
		b.p.Sections = append(b.p.Sections, Section{Parts: Start(b.s.d, r.set.Parts())})
		return []int{len(b.p.Sections) - 1}
	}
	c := &r.chords[r.taken]
	first, second := c.left, c.right
	if b.later(first, second) {
		first, second = second, first
	}
	one := b.unit(first)
	two := b.unit(second)
	n := len(b.p.Joins)
	b.p.Joins = append(b.p.Joins, Join{A: b.along(one, c.Segment), B: b.along(two, c.Segment), Segment: c.Segment, Cost: c.own})
	b.p.Decisions = append(b.p.Decisions, b.decision(r, n))
	return append(one, two...)
}

// later says whether a person would sew the second unit before the first: that of
// more sections, else the upper, else the one on the left.
func (b *planner) later(first, second *region) bool {
	p, q := b.middle(first), b.middle(second)
	near := func(x, y float64) int {
		if math.Abs(x-y) < geom.Hair {
			return 0
		}
		return cmp.Compare(x, y)
	}
	return cmp.Or(cmp.Compare(second.best.Sections, first.best.Sections), near(q.Y, p.Y), near(p.X, q.X)) > 0
}

// middle is the middle of the box around a region.
func (b *planner) middle(r *region) geom.Point {
	var all geom.Polygon
	for _, k := range r.set.Parts() {
		all = append(all, b.s.d.Part(k)...)
	}
	return all.Bounds().Centre()
}

// along is the first of some sections that has an edge on a line.
func (b *planner) along(sections []int, line geom.Segment) int {
	for _, n := range sections {
		for _, k := range b.p.Sections[n].Parts {
			poly := b.s.d.Part(k)
			for i := range poly {
				if line.Holds(poly.Edge(i)) {
					return n
				}
			}
		}
	}
	return sections[0]
}

func (b *planner) decision(r *region, join int) Decision {
	d := Decision{Join: join, Region: r.set.Parts(), Reason: r.reason, Whole: r.exact}
	for i := range r.chords {
		c := &r.chords[i]
		x := Choice{Segment: c.Segment, Cost: b.s.atLeast(c), Exact: c.left.exact && c.right.exact}
		if i == r.taken {
			x.Cost = r.best
			d.Taken = x
			continue
		}
		d.Others = append(d.Others, x)
	}
	slices.SortStableFunc(d.Others, func(x, y Choice) int { return b.s.o.Compare(x.Cost, y.Cost) })
	return d
}

// Start puts the parts of a section in the order in which a person would sew them.
// The order given is kept when it can be sewn. Else the first is the part that is most
// enclosed by others of the section, as the motif is, of those the one nearest its middle, then
// the largest; and the others follow in the order given, as far as they can.
func Start(d *sew.Division, parts []int) []int {
	if len(parts) < 2 {
		return parts
	}
	polys := make([]geom.Polygon, len(parts))
	for i, k := range parts {
		polys[i] = d.Part(k)
	}
	own := sew.Divide(nil, polys)
	named := func(order []int) []int {
		out := make([]int, len(order))
		for i, k := range order {
			out[i] = parts[k]
		}
		return out
	}
	if own.CheckOrder(own.Written()) == nil {
		return parts
	}
	type start struct {
		part     int
		enclosed float64 // in steps, so that no rounding decides
		off      float64 // from the middle, in steps too
		area     float64
	}
	all := own.Border()[0].Bounds()
	step := (all.Width() + all.Height()) / 20
	var starts []start
	for i := range parts {
		inside, around := own.Enclosed(i)
		part := own.Part(i)
		starts = append(starts, start{
			i, math.Round(20 * inside / around), math.Round(part.Centroid().Dist(all.Centre()) / step), math.Round(part.Area()),
		})
	}
	slices.SortStableFunc(starts, func(a, b start) int {
		return cmp.Or(cmp.Compare(b.enclosed, a.enclosed), cmp.Compare(a.off, b.off), cmp.Compare(b.area, a.area))
	})
	for _, x := range starts {
		if order := own.FindOrderFrom(x.part); order != nil {
			return named(order)
		}
	}
	if order, _ := own.FindOrder(); order != nil {
		return named(order)
	}
	return parts
}
