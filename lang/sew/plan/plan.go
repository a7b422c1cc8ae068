// Package plan divides a drawing into sections that can be sewn, and says how they
// are joined. It knows divisions, not the language.
//
// A plan is a tree of cuts: the drawing is cut by a full straight chord into two
// regions, these are cut again, and so on, until every region can be sewn in some
// order. Those are the sections, and the cuts, the last first, are the joins. Every
// way of sewing sections together by straight joins is such a tree: the last join is
// a full chord of the whole, and what it joins is put together in the same way.
//
// # What can be planned at all
//
// A part of a region that can be sewn, cut off by a full chord, can be sewn as well.
// So cutting more never hurts but for the number of sections, and a drawing can be
// planned exactly when cutting along every chord there is, again and again, ends in
// single patches (sew.Division.FindJoins). Where it does not, the regions that are left
// are to blame: see Blame.
//
// # What costs least
//
// Costs are compared in this order: places on joins where seams of both sides almost match, which
// nobody can sew well; sections; match points and bulky intersections on the joins, by
// their weights, and by its weight how uneven the sections are; how uneven they are. Each is
// a sum over the sections or the cuts, whichever way the regions are divided further: every
// line of the drawing is sewn, in a section or as a join, so the seams that end on a
// join do not depend on how either side is planned. So the least cost of a region is
// that of a section when it can be sewn (and fits on a sheet), and else the least over its chords of the
// chord's own cost and that of either side. Costs of regions are remembered: many
// orders of cutting lead to the same region. See search.go for the chords that need not be
// tried, and bound.go for what a plan costs at least.
//
// Plans that cut where seams almost match come last, however few sections they have.
//
// Exhaustive search in exact arithmetic agrees on random drawings (plan_test.go of sew).
package plan

import (
	"cmp"
	"context"

	"sewable/lang/geom"
	"sewable/lang/sew"
)

// Weights say what a good plan is, among plans with the fewest sections.
type Weights struct {
	Match      int // of a match point: a place on a join where seams of both sides end
	Bulky      int // of a bulky intersection on a join
	Balance    int // of how uneven the sections are: the sum of the squares of their sizes in patches
	BulkyPoint int // so many seam lines leaving one point make a bulky intersection; 0: none does
}

// DefaultWeights count a bulky intersection as three match points, and let balance decide between
// plans that are equal otherwise.
var DefaultWeights = Weights{Match: 1, Bulky: 3, BulkyPoint: 8}

// A Cost is what a plan, or a part of one, costs.
type Cost struct {
	Near     int // places on joins where seams of both sides end nearer to each other than Options.Near, and do not match
	Sections int
	Matches  int // match points on joins
	Bulky    int // bulky intersections on joins
	Uneven   int // sum of the squares of the sections' sizes
}

// plus adds the costs of two sides.
func (c Cost) plus(o Cost) Cost {
	return Cost{c.Near + o.Near, c.Sections + o.Sections, c.Matches + o.Matches, c.Bulky + o.Bulky, c.Uneven + o.Uneven}
}

// Compare orders costs as the package says.
func (w Weights) Compare(a, b Cost) int {
	weighed := func(c Cost) int { return w.Match*c.Matches + w.Bulky*c.Bulky + w.Balance*c.Uneven }
	return cmp.Or(cmp.Compare(a.Near, b.Near), cmp.Compare(a.Sections, b.Sections), cmp.Compare(weighed(a), weighed(b)), cmp.Compare(a.Uneven, b.Uneven))
}

// Options are how to plan.
type Options struct {
	Weights
	Near float64 // hairs; 0: no ends are too near
	// Width and Height are those of the sheet that a section has to fit on, upright or across,
	// along the axes; 0: any will do. A region with a patch that does not fit by itself need not.
	Width, Height float64
	// Effort is how many regions are looked at, at most; 0 means DefaultEffort. The same
	// drawing and effort give the same plan.
	Effort int
}

// DefaultEffort is enough for the proof on nearly every drawing of 40 patches.
const DefaultEffort = 300_000

// A Plan is a division into sections, and their joins.
type Plan struct {
	Sections []Section // in the order in which the joins come to them
	Joins    []Join    // in the order of sewing
	Cost     Cost
	// Proved: no other plan costs less.
	Proved bool
	// Least is a number of sections that no plan has fewer of. The gap is
	// Cost.Sections - Least.
	Least int
	// Decisions are the cuts, the first cut (the last join) first.
	Decisions []Decision
	// Stopped: the context ended the search, and more time might give a better plan.
	Stopped bool
	// Regions is how many regions were looked at.
	Regions int
}

// A Section is a foundation: its parts in sewing order.
type Section struct{ Parts []int }

// A Join sews the unit that holds section A to the unit that holds section B.
type Join struct {
	A, B         int // in Plan.Sections; both have an edge on it
	Kind         sew.JoinKind
	geom.Segment      // nothing for an inset one
	Cost         Cost // of what is on it alone
}

// A Decision is one cut of a region, and what others would have cost.
type Decision struct {
	Join   int   // its number in Plan.Joins
	Region []int // the parts of the region
	Taken  Choice
	Others []Choice // the cheapest first
	Reason Reason   // why no other chord was tried
	Whole  bool     // Others are all the chords that could matter, and their costs are exact
}

// A Reason says why a cut is taken without trying others.
type Reason uint8

// The reasons.
const (
	Cheapest Reason = iota // others were tried
	Needed                 // every plan has this cut: seams end on it from both sides, and none crosses it
	Leaf                   // of two like pieces that hang on one patch, one is cut off: see search.go
)

// A Choice is a chord of a region, and what the region costs when it is cut there
// first: at least, when it is not Exact.
type Choice struct {
	geom.Segment
	Cost  Cost
	Exact bool
}

// Of plans a division, which must have no flaws. When there is no plan without an
// inset or partial seam it gives a nil plan: see Blame. The context may end the
// search early; a plan is given then as well.
func Of(ctx context.Context, d *sew.Division, o Options) *Plan {
	if s, root := solved(ctx, d, o); s != nil {
		return s.plan(root)
	}
	return nil
}

// CostOf is the cost of the plan that Of gives, and whether there is one.
func CostOf(ctx context.Context, d *sew.Division, o Options) (Cost, bool) {
	if s, root := solved(ctx, d, o); s != nil {
		return root.best, true
	}
	return Cost{}, false
}

func solved(ctx context.Context, d *sew.Division, o Options) (*search, *region) {
	if d.Flawed() || d.Parts() == 0 {
		return nil, nil
	}
	if o.Effort == 0 {
		o.Effort = DefaultEffort
	}
	if !possible(d) {
		return nil, nil
	}
	s := newSearch(ctx, d, o)
	return s, s.run()
}

// possible says whether a division can be cut into its parts.
func possible(d *sew.Division) bool {
	_, ok := d.FindJoins()
	return ok
}
