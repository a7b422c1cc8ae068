package sew_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/geom"
)

// quay is a block of two sections that meet along a line with a step in it.
func quay(outline, above string) string {
	return fmt.Sprintf(`fabric sky
fabric sea
block "Quay" 6 by 5 {
  allowance 1/4
  section A {
    patch 1 sea %s
  }
  section B {
    patch 1 sky %s
  }
  join A to B inset
}`, outline, above)
}

// A step is a short edge that leads from one edge to a parallel one, or nearly so: not one that is longer than
// an inch at 1/4 in, not a corner, not a tooth whose edges turn the same way, not one edge of many alike.
func TestJogs(t *testing.T) {
	inch := func(x, y float64) geom.Point { return geom.Point{X: x * geom.Inch, Y: y * geom.Inch} }
	for name, c := range map[string]struct {
		outline string
		size    float64 // in inches; 0 for none
		at      geom.Point
	}{
		"half an inch":        {"(0, 0) (6, 0) (6, 2) (3, 2) (3, 2 1/2) (0, 2 1/2)", 0.5, inch(3, 2.25)},
		"down":                {"(0, 0) (6, 0) (6, 2 1/2) (3, 2 1/2) (3, 2) (0, 2)", 0.5, inch(3, 2.25)},
		"an inch":             {"(0, 0) (6, 0) (6, 2) (3, 2) (3, 3) (0, 3)", 1, inch(3, 2.5)},
		"more than an inch":   {"(0, 0) (6, 0) (6, 2) (3, 2) (3, 3 1/16) (0, 3 1/16)", 0, geom.Point{}},
		"aslant":              {"(0, 0) (6, 0) (6, 2) (3 1/2, 2) (3, 2 1/2) (0, 2 1/2)", 0.5, inch(3.25, 2.25)},
		"edges that turn 20°": {"(0, 0) (6, 0) (6, 2) (3, 2) (3, 2 1/2) (0, 3 1/2)", 0.5, inch(3, 2.25)},
		"edges that turn 45°": {"(0, 0) (6, 0) (6, 2) (3, 2) (3, 2 1/2) (1, 4 1/2) (0, 4 1/2)", 0, geom.Point{}},
		"an edge as short":    {"(0, 0) (6, 0) (6, 2) (3, 2) (3, 2 1/2) (2 3/4, 2 1/2) (0, 4)", 0, geom.Point{}},
		"a straight line":     {"(0, 0) (6, 0) (6, 2) (0, 2)", 0, geom.Point{}},
		"a corner cut off":    {"(0, 0) (6, 0) (6, 2) (1/2, 2) (0, 1 1/2)", 0, geom.Point{}},
	} {
		t.Run(name, func(t *testing.T) {
			b := analyse(t, fmt.Sprintf("fabric sea\nblock \"Quay\" 6 by 5 {\n  allowance 1/4\n  section A {\n    patch 1 sea %s\n  }\n}", c.outline))
			jogs := b.Sections[0].Jogs()
			if c.size == 0 {
				assert.Empty(t, jogs)
				return
			}
			require.Len(t, jogs, 1)
			assert.InDelta(t, c.size*geom.Inch, jogs[0].Size, 1e-6)
			assert.Equal(t, c.at, jogs[0].Step.Mid())
			assert.Nil(t, jogs[0].Join)
		})
	}
}

// A step that two sections have in common is one of both, and belongs to their join; the line that would do without it goes from
// the far end of one edge beside it to the far end of the other.
func TestJogsAlongAJoin(t *testing.T) {
	b := analyse(t, quay("(0, 0) (6, 0) (6, 2) (3, 2) (3, 2 1/2) (0, 2 1/2)", "(0, 2 1/2) (3, 2 1/2) (3, 2) (6, 2) (6, 5) (0, 5)"))
	for _, s := range b.Sections {
		jogs := s.Jogs()
		require.Len(t, jogs, 1, s.Of.Name)
		assert.Same(t, b.Of.Joins[0], jogs[0].Join)
		assert.False(t, jogs[0].Outer)
		line := jogs[0].Straight()
		assert.ElementsMatch(t, []geom.Point{{X: 0, Y: 2.5 * geom.Inch}, {X: 6 * geom.Inch, Y: 2 * geom.Inch}}, []geom.Point{line.A, line.B})
	}
}

// A step on the block's own edge says so.
func TestJogsOnTheBlocksEdge(t *testing.T) {
	b := analyse(t, `fabric sea
block "Quay" 6 by 5 {
  allowance 1/4
  outline (0, 0) (6, 0) (6, 4 1/2) (3, 4 1/2) (3, 5) (0, 5)
  section A {
    patch 1 sea (0, 0) (6, 0) (6, 4 1/2) (3, 4 1/2) (3, 5) (0, 5)
  }
}`)
	jogs := b.Sections[0].Jogs()
	require.Len(t, jogs, 1)
	assert.True(t, jogs[0].Outer)
	assert.Nil(t, jogs[0].Join)
}

// How large a step may be goes by the allowance, and without one nothing is said.
func TestJogsGoByTheAllowance(t *testing.T) {
	for allowance, want := range map[string]int{"  allowance 1/4\n": 1, "  allowance 1/16\n": 0, "": 0} {
		b := analyse(t, "fabric sea\nblock \"Quay\" 6 by 5 {\n"+allowance+"  section A {\n    patch 1 sea (0, 0) (6, 0) (6, 2) (3, 2) (3, 2 1/2) (0, 2 1/2)\n  }\n}")
		assert.Len(t, b.Sections[0].Jogs(), want, allowance)
	}
}
