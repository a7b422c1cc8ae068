package sew_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"sewable/lang/geom"
	"sewable/lang/sew"
)

func flawKinds(flaws []sew.JoinFlaw) []sew.JoinFlawKind {
	var kinds []sew.JoinFlawKind
	for _, f := range flaws {
		kinds = append(kinds, f.Kind)
	}
	return kinds
}

// A four-patch of sections: 2 3 over 0 1.
func fourPatch() *sew.Division {
	return sew.Divide(box(0, 0, 4, 4), []geom.Polygon{box(0, 0, 2, 2), box(2, 0, 4, 2), box(0, 2, 2, 4), box(2, 2, 4, 4)})
}

func TestJoins(t *testing.T) {
	join := func(a, b int) sew.JoinStep { return sew.JoinStep{A: a, B: b} }
	d := fourPatch()

	t.Run("rows, then the rows", func(t *testing.T) {
		require.Empty(t, d.CheckJoins([]sew.JoinStep{join(0, 1), join(2, 3), join(0, 2)}))
	})
	t.Run("round the corner is bent", func(t *testing.T) {
		steps := []sew.JoinStep{join(0, 1), join(0, 2), join(3, 2)}
		flaws := d.CheckJoins(steps)
		require.Equal(t, []sew.JoinFlawKind{sew.NotStraight}, flawKinds(flaws))
		require.Equal(t, 2, flaws[0].Step)
		require.Equal(t, sew.Bent, flaws[0].Contact.Kind)
		require.InDelta(t, 90, flaws[0].Contact.Angle, 1e-9)
		require.Equal(t, in(2, 2)[0], flaws[0].Contact.At)
		require.Equal(t, []int{0, 2, 1}, d.ReorderJoins(steps), "but another order works")
		steps[2].Kind = sew.Inset
		require.Empty(t, d.CheckJoins(steps), "and it may be meant")
	})
	t.Run("one too many", func(t *testing.T) {
		steps := []sew.JoinStep{join(0, 1), join(2, 3), join(0, 2), join(1, 3)}
		flaws := d.CheckJoins(steps)
		require.Equal(t, []sew.JoinFlawKind{sew.OneTooMany}, flawKinds(flaws))
		require.Equal(t, 3, flaws[0].Step)
		require.Equal(t, []int{0, 1, 2}, d.ReorderJoins(steps), "dropping it would do")
	})
	t.Run("a ring of joins needs the right one dropped", func(t *testing.T) {
		steps := []sew.JoinStep{join(0, 1), join(0, 2), join(2, 3), join(1, 3)}
		require.NotEmpty(t, d.CheckJoins(steps))
		order := d.ReorderJoins(steps)
		require.Len(t, order, 3)
		require.Empty(t, d.CheckJoins(pick(steps, order)))
	})
	t.Run("left over", func(t *testing.T) {
		flaws := d.CheckJoins([]sew.JoinStep{join(0, 1), join(0, 2)})
		require.Equal(t, []sew.JoinFlawKind{sew.LeftOver}, flawKinds(flaws))
		require.Equal(t, []int{3}, flaws[0].Unit)
		require.Equal(t, -1, flaws[0].Step)
		require.Nil(t, d.ReorderJoins([]sew.JoinStep{join(0, 1), join(0, 2)}))
	})
	t.Run("only a corner", func(t *testing.T) {
		flaws := d.CheckJoins([]sew.JoinStep{join(0, 3), join(1, 0), join(2, 0)})
		require.Equal(t, sew.NoEdge, flaws[0].Kind)
		require.Equal(t, sew.Corner, flaws[0].Contact.Kind)
	})
	t.Run("any straight joins", func(t *testing.T) {
		joins, ok := d.FindJoins()
		require.True(t, ok)
		require.Empty(t, d.CheckJoins(joins))
	})
	t.Run("a Y has none", func(t *testing.T) {
		y := sew.Divide(box(0, 0, 4, 4), []geom.Polygon{in(0, 0, 4, 0, 4, 1, 2, 2, 0, 1), in(0, 1, 2, 2, 2, 4, 0, 4), in(2, 2, 4, 1, 4, 4, 2, 4)})
		_, ok := y.FindJoins()
		require.False(t, ok)
		steps := []sew.JoinStep{join(0, 1), join(1, 2)}
		require.Equal(t, []sew.JoinFlawKind{sew.NotStraight}, flawKinds(y.CheckJoins(steps)))
		require.Nil(t, y.ReorderJoins(steps))
		steps[1].Kind = sew.Inset
		require.Empty(t, y.CheckJoins(steps))
	})
	t.Run("the middle of three strips first", func(t *testing.T) {
		d := sew.Divide(nil, []geom.Polygon{box(0, 0, 1, 3), box(1, 0, 2, 3), box(2, 0, 3, 3)})
		require.Equal(t, []sew.JoinFlawKind{sew.NoEdge, sew.NotStraight}, flawKinds(d.CheckJoins([]sew.JoinStep{join(0, 2), join(1, 0)})))
		require.Empty(t, d.CheckJoins([]sew.JoinStep{join(1, 2), join(1, 0)}))
	})
}

func pick(steps []sew.JoinStep, order []int) []sew.JoinStep {
	var out []sew.JoinStep
	for _, i := range order {
		out = append(out, steps[i])
	}
	return out
}

// The classic pinwheel with a square centre: four strips round a square, put
// together with one partial seam (common practice).
func TestPartialSeam(t *testing.T) {
	const (
		centre, bottom, right, top, left = 0, 1, 2, 3, 4
	)
	d := sew.Divide(box(0, 0, 3, 3), []geom.Polygon{
		box(1, 1, 2, 2), box(0, 0, 2, 1), box(2, 0, 3, 2), box(1, 2, 3, 3), box(0, 1, 1, 3),
	})
	steps := []sew.JoinStep{
		{A: bottom, B: centre, Kind: sew.Partial},
		{A: right, B: centre},
		{A: top, B: centre},
		{A: left, B: centre},
		{A: bottom, B: centre, Kind: sew.Finish},
	}
	require.Empty(t, d.CheckJoins(steps))
	sewn := d.Sew(steps)
	whole := sewn.Seams[4].Contact
	require.Equal(t, geom.Segment{A: in(2, 1)[0], B: in(0, 1)[0]}, whole.Seam, "the whole seam, past the left strip")
	require.Equal(t, [][]int{{centre, left}}, on(whole))

	t.Run("named the other way round", func(t *testing.T) {
		other := pick(steps, []int{0, 1, 2, 3, 4})
		other[0].A, other[0].B = centre, bottom
		require.Empty(t, d.CheckJoins(other))
	})
	t.Run("without it nothing works", func(t *testing.T) {
		_, ok := d.FindJoins()
		require.False(t, ok)
		plain := []sew.JoinStep{{A: bottom, B: centre}, {A: right, B: centre}, {A: top, B: centre}, {A: left, B: centre}}
		flaws := d.CheckJoins(plain)
		require.Equal(t, []sew.JoinFlawKind{sew.NotStraight}, flawKinds(flaws))
		require.Equal(t, 3, flaws[0].Step)
		require.Equal(t, sew.Bent, flaws[0].Contact.Kind)
		require.Nil(t, d.ReorderJoins(plain))
	})
	t.Run("never finished", func(t *testing.T) {
		flaws := d.CheckJoins(steps[:4])
		require.Equal(t, []sew.JoinFlawKind{sew.Unfinished}, flawKinds(flaws))
		require.Equal(t, 0, flaws[0].Step)
	})
	t.Run("finished but never begun", func(t *testing.T) {
		require.Contains(t, flawKinds(d.CheckJoins(steps[4:])), sew.NoPartial)
	})
	t.Run("finished too early", func(t *testing.T) {
		early := pick(steps, []int{0, 4, 1, 2, 3})
		require.Equal(t, []sew.JoinFlawKind{sew.NotStraight}, flawKinds(d.CheckJoins(early)))
		require.Equal(t, []int{0, 2, 3, 4, 1}, d.ReorderJoins(early))
	})
	t.Run("a partial seam that is bent", func(t *testing.T) {
		y := sew.Divide(nil, []geom.Polygon{in(0, 0, 4, 0, 4, 1, 2, 2, 0, 1), in(0, 1, 2, 2, 4, 1, 4, 4, 0, 4)})
		flaws := y.CheckJoins([]sew.JoinStep{{A: 0, B: 1, Kind: sew.Partial}, {A: 0, B: 1, Kind: sew.Finish}})
		require.Equal(t, sew.NotStraight, flaws[0].Kind)
		require.Equal(t, 0, flaws[0].Step)
	})
	t.Run("finished before the last section is in", func(t *testing.T) {
		// Between the left section and the bottom strip there is one more.
		d := sew.Divide(nil, []geom.Polygon{
			box(1, 1, 2, 2), box(0, 0, 2, 1), box(2, 0, 3, 2), box(1, 2, 3, 3), in(0, 1.5, 1, 1, 1, 3, 0, 3), in(0, 1, 1, 1, 0, 1.5),
		})
		last := sew.JoinStep{A: 5, B: left}
		require.Empty(t, d.CheckJoins(append(steps[:4:4], last, steps[4])))
		flaws := d.CheckJoins(append(steps[:5:5], last))
		require.Equal(t, []sew.JoinFlawKind{sew.NotStraight}, flawKinds(flaws))
		require.Equal(t, 5, flaws[0].Step)
	})
}

// What a partial seam leaves open depends on the units it was sewn from: sewn after C is on A it leaves the edge of C
// and D open too, and only then D goes in straight.
func TestPartialSeamOfALargerUnit(t *testing.T) {
	const a, b, c, last = 0, 1, 2, 3
	d := sew.Divide(box(0, 0, 6, 6), []geom.Polygon{
		box(0, 0, 4, 2), in(0, 2, 4, 2, 6, 4, 6, 6, 0, 6), box(4, 0, 6, 2), in(4, 2, 6, 2, 6, 4),
	})
	steps := []sew.JoinStep{
		{A: a, B: b, Kind: sew.Partial}, {A: last, B: c}, {A: a, B: c}, {A: a, B: b, Kind: sew.Finish},
	}
	require.Equal(t, []int{2, 0, 1, 3}, d.ReorderJoins(steps))
	require.Empty(t, d.CheckJoins(pick(steps, []int{2, 0, 1, 3})))
}

// Joins against exhaustive search in exact arithmetic: over small divisions,
// straight joins are found exactly when there are some; the written joins are
// judged alike; and another order of random joins is found exactly when one
// works.
func TestJoinsAgainstExhaustiveSearch(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(3, 4))
	joinable, reordered, stuck := 0, 0, 0
	for run := range runs(t) {
		til := randomTiling(r, 2+run%5)
		d := til.divide()
		require.False(t, d.Flawed())
		n := len(til.patches)

		// Any joins: a set goes together when two that do make it up.
		together := map[uint]bool{}
		for set := uint(1); set < 1<<n; set++ {
			together[set] = set&(set-1) == 0
			for a := (set - 1) & set; a > 0 && !together[set]; a = (a - 1) & set {
				together[set] = together[a] && together[set&^a] && til.seams(a, set&^a)
			}
		}
		joins, ok := d.FindJoins()
		require.Equal(t, together[1<<n-1], ok, "run %d\n%v", run, til)
		if ok {
			joinable++
			require.Len(t, joins, n-1)
			require.Empty(t, d.CheckJoins(joins), "run %d %v\n%v", run, joins, til)
			r.Shuffle(len(joins), func(i, j int) { joins[i], joins[j] = joins[j], joins[i] })
		} else {
			joins = nil
			for range n - 1 {
				a := r.IntN(n)
				if near := d.Neighbours(a); len(near) > 0 {
					joins = append(joins, sew.JoinStep{A: a, B: near[r.IntN(len(near))]})
				}
			}
		}
		if r.IntN(3) == 0 { // a join at random, perhaps one too many
			joins = append(joins, sew.JoinStep{A: r.IntN(n), B: r.IntN(n)})
		}

		// The joins in some order, by the definition.
		type state struct{ unit [9]uint }
		start := state{}
		for i := range n {
			start.unit[i] = 1 << i
		}
		sewOne := func(s state, j sew.JoinStep) (state, bool) {
			a, b := s.unit[j.A], s.unit[j.B]
			fits := a != b && til.seams(a, b)
			for i := range n {
				if (a|b)>>i&1 == 1 {
					s.unit[i] = a | b
				}
			}
			return s, fits
		}
		s, fine := start, true
		for _, j := range joins {
			var fits bool
			s, fits = sewOne(s, j)
			fine = fine && fits
		}
		fine = fine && s.unit[0] == 1<<n-1
		require.Equal(t, fine, len(d.CheckJoins(joins)) == 0, "run %d %v\n%v", run, joins, til)

		seen := map[state]bool{}
		var search func(s state) bool
		search = func(s state) bool {
			if s.unit[0] == 1<<n-1 {
				return true
			}
			if seen[s] {
				return false
			}
			seen[s] = true
			for _, j := range joins {
				if next, fits := sewOne(s, j); fits && search(next) {
					return true
				}
			}
			return false
		}
		order := d.ReorderJoins(joins)
		require.Equal(t, search(start), order != nil, "run %d %v\n%v", run, joins, til)
		if order != nil {
			reordered++
			require.Empty(t, d.CheckJoins(pick(joins, order)))
		} else {
			stuck++
		}
	}
	t.Logf("%d joinable, %d orders found, %d without", joinable, reordered, stuck)
}
