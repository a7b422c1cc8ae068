package hands

import (
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/draw/steps"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/syntax"
)

// plans are how the blocks of the demo repository are sewn.
func plans(t *testing.T) []*steps.Plan {
	t.Helper()
	paths, err := filepath.Glob("../../../testdata/harbour/*.block")
	require.NoError(t, err)
	loader := block.NewLoader(syntax.NewReader(), nil)
	var out []*steps.Plan
	for _, path := range paths {
		f, err := loader.Open(path)
		require.NoError(t, err)
		for _, b := range f.Blocks {
			out = append(out, steps.Of(sew.Analyse(b), steps.Options{Unit: f.Unit, Cloth: cloth.Options{Step: geom.Inch / 4}}))
		}
	}
	require.NotEmpty(t, out)
	return out
}

// The fabric of a trimmed section reaches its trimmed edge everywhere, and no piece lies past it. Where a tip ends on the outline the
// pieces beside it overlap in the allowance; nowhere else.
func TestFabricReachesTheTrimmedEdge(t *testing.T) {
	for _, plan := range plans(t) {
		for i := range plan.Sections {
			s := &plan.Sections[i]
			sum, bare := 0.0, 0.0
			var pieces []geom.Polygon
			for _, step := range s.Steps {
				piece := trimmed(s, step.Patch.Corners, []*steps.Section{s})
				pieces = append(pieces, piece)
				sum += piece.Area()
				bare += math.Abs(geom.Polygon(step.Patch.Corners).Area())
				for _, p := range piece {
					assert.True(t, s.Cut.Contains(p) != geom.Outside || on(s.Cut, p), "%s %s", plan.Of.Of.Name, steps.Label(step.Patch))
				}
			}
			whole := math.Abs(s.Cut.Area())
			assert.InDelta(t, whole, sum, 0.15*(whole-bare), "%s %s", plan.Of.Of.Name, s.Of.Of.Name)
			const n = 40
			box := s.Cut.Bounds()
			for k := range n * n {
				p := box.Min.Add(geom.Point{X: box.Width() * (float64(k%n) + 0.5) / n, Y: box.Height() * (float64(k/n) + 0.5) / n})
				covered := s.Cut.Contains(p) != geom.Inside || on(s.Cut, p)
				for _, piece := range pieces {
					covered = covered || piece.Contains(p) != geom.Outside
				}
				require.True(t, covered, "%s %s is bare at %v", plan.Of.Of.Name, s.Of.Of.Name, p)
			}
		}
	}
}

// In a unit of several sections there is an allowance at the edges of the unit alone.
func TestNoAllowanceInsideAUnit(t *testing.T) {
	for _, plan := range plans(t) {
		if len(plan.Sections) < 2 || len(plan.Joins) == 0 {
			continue
		}
		var all []*steps.Section
		for i := range plan.Sections {
			all = append(all, &plan.Sections[i])
		}
		cut, ok := geom.Grow(plan.Of.Of.Outline, plan.Of.Of.OuterAllowance.Size.Float64())
		require.True(t, ok)
		sum := 0.0
		for _, s := range all {
			for _, step := range s.Steps {
				sum += trimmed(s, step.Patch.Corners, all).Area()
			}
		}
		assert.InDelta(t, math.Abs(cut.Area()), sum, 0.008*math.Abs(cut.Area()), plan.Of.Of.Name)
	}
}

// Every side of a set-in join has its own picture, pinned at both its ends at least.
func TestEverySideOfASetInJoinIsShown(t *testing.T) {
	shown := 0
	for _, plan := range plans(t) {
		block := NewBlock(plan, Options{})
		for n, j := range plan.Joins {
			if j.Line == nil || !j.Line.Bent {
				continue
			}
			sides := map[int]bool{}
			for _, m := range j.Full[1:] {
				require.NotNil(t, block.Join(n, m, Large), "%s: %s", plan.Of.Of.Name, m.Title)
				sides[m.Side] = true
				shown++
			}
			assert.Len(t, sides, len(j.Line.Line)-1)
		}
	}
	assert.Positive(t, shown)
}
