package sew_test

import (
	"context"
	"math/big"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/sew/plan"
)

// A planning is an exhaustive search over sets of patches, as bits: what each costs
// when it is put together from two others along one seam, by the definition, or is a
// section that can be sewn. It knows no chords.
type planning struct {
	t        *tiling
	o        plan.Options
	sections []int8 // by set: 1 can be sewn in some order, -1 cannot, 0 not asked
	costs    []plan.Cost
	asked    []bool
}

func (t *tiling) plan(o plan.Options) *planning {
	n := 1 << len(t.patches)
	return &planning{t: t, o: o, sections: make([]int8, n), costs: make([]plan.Cost, n), asked: make([]bool, n)}
}

// section says whether a set can be sewn in some order: its last patch is sewn onto a
// set that can.
func (p *planning) section(set uint) bool {
	if p.sections[set] == 0 {
		p.sections[set] = -1
		if set&(set-1) == 0 {
			p.sections[set] = 1
		}
		for k := range p.t.patches {
			rest := set &^ (1 << k)
			if rest != set && rest != 0 && p.t.seams(1<<k, rest) && p.section(rest) {
				p.sections[set] = 1
				break
			}
		}
	}
	return p.sections[set] == 1
}

// cost is the least cost of a set; no sections when it cannot be put together.
func (p *planning) cost(set uint) plan.Cost {
	if p.asked[set] {
		return p.costs[set]
	}
	p.asked[set] = true
	var best plan.Cost
	better := func(c plan.Cost) {
		if best.Sections == 0 || p.o.Compare(c, best) < 0 {
			best = c
		}
	}
	if p.section(set) && p.fits(set) {
		n := 0
		for k := range p.t.patches {
			n += int(set >> k & 1)
		}
		better(plan.Cost{Sections: 1, Uneven: n * n})
	}
	low := set & -set
	for a := (set - 1) & set; a > 0; a = (a - 1) & set {
		b := set &^ a
		if a&low == 0 || !p.t.seams(a, b) {
			continue
		}
		ca, cb := p.cost(a), p.cost(b)
		if ca.Sections == 0 || cb.Sections == 0 {
			continue
		}
		c := p.join(a, b)
		c.Sections, c.Uneven = ca.Sections+cb.Sections, ca.Uneven+cb.Uneven
		c.Matches += ca.Matches + cb.Matches
		c.Bulky += ca.Bulky + cb.Bulky
		better(c)
	}
	p.costs[set] = best
	return best
}

// fits says whether a set fits on a sheet, or has a patch that does not.
func (p *planning) fits(set uint) bool {
	if p.o.Width == 0 {
		return true
	}
	fit := func(poly geom.Polygon) bool {
		b := poly.Bounds()
		return min(b.Width(), b.Height()) <= min(p.o.Width, p.o.Height)+1 && max(b.Width(), b.Height()) <= max(p.o.Width, p.o.Height)+1
	}
	var all geom.Polygon
	for k, poly := range p.t.patches {
		if set>>k&1 == 1 {
			one := poly.float(scale)
			if !fit(one) {
				return true
			}
			all = append(all, one...)
		}
	}
	return fit(all)
}

// join counts the match points and bulky intersections on the seam of two sets that meet along one.
func (p *planning) join(a, b uint) plan.Cost {
	f := p.t.work()
	ends := map[int]int{} // how many pieces of the seam end at a corner
	var pieces [][2]int
	for i := range p.t.patches {
		for j := range p.t.patches {
			if a>>i&1 == 1 && b>>j&1 == 1 {
				for _, s := range f.common[i][j] {
					pieces = append(pieces, s)
					ends[s[0]]++
					ends[s[1]]++
				}
			}
		}
	}
	var c plan.Cost
	for v, at := range f.corners {
		on := false
		for _, s := range pieces {
			on = on || within(f.corners[s[0]], f.corners[s[1]], at)
		}
		if !on {
			continue
		}
		ofA, ofB, lines := 0, 0, 0
		for _, x := range f.wedges[v] {
			ofA += int(a >> x.patch & 1)
			ofB += int(b >> x.patch & 1)
			for _, y := range f.wedges[v] {
				if x.to == y.from {
					lines++
				}
			}
		}
		if ends[v] != 1 && ofA > 1 && ofB > 1 {
			c.Matches++
		}
		if lines >= p.o.BulkyPoint {
			c.Bulky++
		}
	}
	return c
}

// Plans against exhaustive search over random drawings in exact arithmetic: there is a
// plan when there is any, and none costs less.
func TestPlansAgainstExhaustiveSearch(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(7, 2))
	planned, several := 0, 0
	for run := range runs(t) {
		til := randomTiling(r, 2+run%8)
		if run%2 == 0 {
			til = ruledTiling(r, 4+run/2%6)
		}
		d := til.divide()
		w := plan.Weights{Match: 1 + r.IntN(3), Bulky: r.IntN(4), Balance: r.IntN(2), BulkyPoint: 4 + r.IntN(3)}
		o := plan.Options{Weights: w}
		if r.IntN(3) == 0 {
			o.Width, o.Height = scale*float64(3+r.IntN(6)), scale*float64(3+r.IntN(6))
		}
		all := uint(1)<<len(til.patches) - 1
		want := til.plan(o).cost(all)
		p := plan.Of(context.Background(), d, o)
		if want.Sections == 0 {
			require.Nil(t, p, "run %d\n%v", run, til)
			continue
		}
		require.NotNil(t, p, "run %d\n%v", run, til)
		planned++
		if want.Sections > 2 {
			several++
		}
		require.True(t, p.Proved)
		require.Equal(t, 0, w.Compare(want, p.Cost), "run %d: %v, by search %v\n%v", run, p.Cost, want, til)
		require.LessOrEqual(t, p.Least, want.Sections, "run %d\n%v", run, til)
		checkPlan(t, d, p)
	}
	require.Greater(t, planned, runs(t)/3)
	require.Greater(t, several, runs(t)/10)
}

// ruledTiling cuts a square along random lines, each through all patches or through one,
// so that lines often cross and seams often match.
func ruledTiling(r *rand.Rand, n int) *tiling {
	t := &tiling{outline: outlines[0]}
	t.patches = []rpoly{t.outline}
	place := func() rpoint { return rp(2*r.Int64N(5), 2*r.Int64N(5)) }
	for tries := 0; len(t.patches) < n && tries < 100; tries++ {
		a, b := place(), place()
		if r.IntN(3) > 0 { // along the square's sides
			if b.x = a.x; r.IntN(2) == 0 {
				b.x, b.y = rp(2*r.Int64N(5), 0).x, a.y
			}
		}
		if a.eq(b) {
			continue
		}
		one := -1
		if r.IntN(2) == 0 {
			one = r.IntN(len(t.patches))
		}
		var cut []rpoly
		for i, p := range t.patches {
			if one >= 0 && i != one {
				cut = append(cut, p)
				continue
			}
			for _, piece := range []rpoly{leftOf(p, a, b), leftOf(p, b, a)} {
				if len(piece) > 2 && piece.area2().Sign() > 0 {
					cut = append(cut, piece)
				}
			}
		}
		if len(cut) <= n+1 {
			t.patches = cut
		}
	}
	return t
}

// leftOf is the part of a convex polygon on the left of a line.
func leftOf(p rpoly, a, b rpoint) rpoly {
	var out rpoly
	for i := range p {
		c, d := p.at(i), p.at(i+1)
		if orient(a, b, c) >= 0 {
			out = append(out, c)
		}
		if orient(a, b, c)*orient(a, b, d) < 0 {
			t := new(big.Rat).Quo(rcross(a.sub(c), b.sub(a)), rcross(d.sub(c), b.sub(a)))
			out = append(out, c.plus(t, d.sub(c)))
		}
	}
	return tidy(out)
}

// checkPlan sews a plan.
func checkPlan(t *testing.T, d *sew.Division, p *plan.Plan) {
	require.Len(t, p.Sections, p.Cost.Sections)
	var outlines []geom.Polygon
	n := 0
	for _, s := range p.Sections {
		var parts []geom.Polygon
		for _, k := range s.Parts {
			parts = append(parts, d.Part(k))
			n++
		}
		own := sew.Divide(nil, parts)
		require.Empty(t, own.Flaws())
		require.Nil(t, own.CheckOrder(own.Written()))
		require.Len(t, own.Border(), 1)
		outlines = append(outlines, own.Border()[0])
	}
	require.Equal(t, d.Parts(), n)
	whole := sew.Divide(nil, outlines)
	require.Empty(t, whole.Flaws())
	var steps []sew.JoinStep
	for _, j := range p.Joins {
		steps = append(steps, sew.JoinStep{A: j.A, B: j.B})
	}
	require.Empty(t, whole.CheckJoins(steps))
}
