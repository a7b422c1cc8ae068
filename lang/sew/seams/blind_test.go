package seams

import (
	"context"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/geom"
	"sewable/lang/sew/plan"
)

// A blindness cuts patches in two along lines through any two corners, in any order, one piece of a line at a time, and
// knows no moves. It gives up past so many states.
type blindness struct {
	d      *drawing
	seen   map[string]bool
	states int
}

const maxBlind = 6_000

// search is the best score with up to so many cuts; ok is false where it gave up.
func (b *blindness) search(cuts int) (best *Score, ok bool) {
	level := [][]run{nil}
	for n := 0; n <= cuts; n++ {
		var next [][]run
		for _, runs := range level {
			s := &state{runs: runs}
			blocked := 0
			for _, c := range b.d.points {
				if b.d.blockedAt(s, c) {
					blocked++
				}
			}
			if blocked == 0 {
				if x := b.d.sketch(s); x != nil && b.d.plan(context.Background(), x) && (best == nil || DefaultOrder.Compare(x.Score, *best) < 0) {
					sc := x.Score
					best = &sc
				}
			}
			if b.states++; b.states > maxBlind {
				return best, false
			}
			if n == cuts || blocked > 2*(cuts-n) { // a cut ends at two corners, at most
				continue
			}
			for _, more := range b.cuts(runs) {
				if key := write(more); !b.seen[key] {
					b.seen[key] = true
					next = append(next, more)
				}
			}
		}
		level = next
	}
	return best, true
}

// cuts are the runs with one more, from one edge or run to the next.
func (b *blindness) cuts(runs []run) (out [][]run) {
	for i, l := range b.d.lines {
		places := slices.Clone(l.cuts)
		for _, r := range runs {
			if r.line != i && r.holds(b.d.meets[r.line][i]) {
				places = append(places, b.d.meets[i][r.line])
			}
		}
		slices.Sort(places)
		for k := 1; k < len(places); k++ {
			x := span{places[k-1], places[k]}
			if x.to-x.from <= 2*tol || b.d.shapeAt(l.point((x.from+x.to)/2)) < 0 {
				continue
			}
			covered := func(s span) bool { return s.from <= x.from+tol && x.to <= s.to+tol }
			if slices.ContainsFunc(l.edges, covered) || slices.ContainsFunc(runs, func(r run) bool { return r.line == i && covered(r.span) }) {
				continue
			}
			out = append(out, b.d.with(runs, run{i, x}))
		}
	}
	return out
}

// randomDrawing is one or two shapes on a sky, or over its edge.
func randomDrawing(r *rand.Rand) []Shape {
	at := func() geom.Point {
		return geom.Point{X: float64(1+r.IntN(11)) * geom.Inch / 2, Y: float64(1+r.IntN(11)) * geom.Inch / 2}
	}
	shapes := []Shape{{Outline: geom.Box{Max: geom.Point{X: 6 * geom.Inch, Y: 6 * geom.Inch}}.Polygon(), Background: true}}
	for n := 1 + r.IntN(2); len(shapes) <= n; {
		p, q := at(), at()
		poly := geom.Polygon{p, {X: q.X, Y: p.Y}, q, {X: p.X, Y: q.Y}}
		switch r.IntN(4) {
		case 0, 1:
			poly = geom.Polygon{p, q, at()}
		case 2: // to the lower edge of the block
			for i := range poly {
				if poly[i].Y == min(p.Y, q.Y) {
					poly[i].Y = 0
				}
			}
		}
		if len(poly.Straighten()) >= 3 && poly.CCW().IsConvex() && geom.InscribedCircle(poly).R > geom.Inch/3 {
			shapes = append(shapes, Shape{Outline: poly.CCW(), Fabric: len(shapes)})
		}
	}
	return shapes
}

// No search that knows nothing finds better answers: fewer splits, sections or patches. SEAMS_BLIND sets
// how many drawings are tried.
func TestBlind(t *testing.T) {
	t.Parallel()
	drawings := 10
	if n, err := strconv.Atoi(os.Getenv("SEAMS_BLIND")); err == nil {
		drawings = n
	}
	block := geom.Box{Max: geom.Point{X: 6 * geom.Inch, Y: 6 * geom.Inch}}.Polygon()
	o := Options{Plan: plan.Options{Weights: plan.DefaultWeights}, Order: DefaultOrder, Answers: 5, Effort: 3_000}
	compared, whole, better := 0, 0, 0
	for seed := uint64(0); compared < drawings; seed++ {
		shapes := randomDrawing(rand.New(rand.NewPCG(seed, 4)))
		d, err := newDrawing(block, shapes, o)
		require.NoError(t, err)
		blocked := len(d.start(nil, 0).blocked)
		if blocked == 0 || blocked > 4 {
			continue
		}
		compared++
		r, err := Add(context.Background(), block, shapes, o)
		require.NoError(t, err)
		require.NotEmpty(t, r.Answers, "seed %d", seed)
		ours := r.Answers[0].Score

		blind := o
		blind.everyLine = true
		all, err := newDrawing(block, shapes, blind)
		require.NoError(t, err)
		b := blindness{d: all, seen: map[string]bool{}}
		// More cuts make more patches: one less than that of a ring, which its first cut leaves whole.
		theirs, ok := b.search(ours.Patches - len(d.faces) + 1)
		if ok {
			whole++
		}
		if theirs == nil {
			continue
		}
		beaten := [3]int{theirs.Splits, theirs.Sections, theirs.Patches}
		if is := [3]int{ours.Splits, ours.Sections, ours.Patches}; slices.Compare(beaten[:], is[:]) < 0 {
			better++
			t.Logf("seed %d, %d blocked: splits, sections, patches %v, blindly %v", seed, blocked, is, beaten)
		}
	}
	t.Logf("%d drawings, %d blind searches to the end, %d better blindly", compared, whole, better)
	assert.LessOrEqual(t, better*50, compared, "blind search is better in 2%% at most")
}
