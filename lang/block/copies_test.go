package block

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/geom"
)

const copied = `fabric sky
fabric plum
block "B" 12 by 12 {
  let k = 3/4
  point hub = (2, 2)
  section A "Typed out" {
    outline (0, 0) (4, 0) (4, 3) (0, 3)
    patch 1 sky around (1, 1) cut 5 by 4
    patch 2 plum beyond (3, 0) (2, 3) note "so"
    notch m (2, 3)
  }
  %s
}
`

func section(t *testing.T, f *File, name string) *Section {
	for _, s := range f.Blocks[0].Sections {
		if s.Name == name {
			return s
		}
	}
	require.Fail(t, "no section "+name)
	return nil
}

// A copy has the title that it is given and none other.
func TestTitlesOfCopies(t *testing.T) {
	f := open(t, fmt.Sprintf(copied, `section B, C "Two" = A, A moved (1, 0)
  section D "Three" = C moved (1, 0)`))
	for name, title := range map[string]string{"A": "Typed out", "B": "", "C": "Two", "D": "Three"} {
		assert.Equal(t, title, section(t, f, name).Title, name)
	}
	assert.Equal(t, "copy of A", section(t, f, "B").Called())
}

// Changes of place that follow each other are as many copies of copies.
func TestChangesOfPlaceFollowEachOther(t *testing.T) {
	f := open(t, fmt.Sprintf(copied, `section B = A turned 30 about hub mirrored across (0, 0) hub scaled k about (1, 0) moved (3, 1)
  section C = A turned 30 about hub
  section D = C mirrored across (0, 0) hub
  section E = D scaled k about (1, 0)
  section F = E moved (3, 1)`))
	require.Empty(t, f.Problems)
	one, last := section(t, f, "B"), section(t, f, "F")
	for i, p := range one.Patches {
		for k, corner := range p.Corners {
			assert.InDelta(t, 0, corner.Dist(last.Patches[i].Corners[k]), 1e-9)
		}
	}
	assert.InDelta(t, 0.75, one.Placed.Scale(), 1e-12)
	assert.True(t, one.Placed.Flips())
	back := one.Placed.Then(one.Placed.Inverse())
	assert.InDelta(t, 0, back.Apply(geom.Point{X: 7, Y: 5}).Dist(geom.Point{X: 7, Y: 5}), 1e-9)
}

// A scaled copy has sizes of its own: no cut of the designer's comes along, and what is wrong with it is reported
// at its name. Its notes and notches come along.
func TestScaledCopies(t *testing.T) {
	f := open(t, fmt.Sprintf(copied, `section B = A scaled 1/2 about (4, 0)
  section C = A moved (0, 3)
  section D = B moved (0, 5)`))
	require.Empty(t, f.Problems)
	a, b, c, d := section(t, f, "A"), section(t, f, "B"), section(t, f, "C"), section(t, f, "D")
	assert.NotNil(t, c.Patches[0].Cut)
	assert.Nil(t, b.Patches[0].Cut)
	assert.Nil(t, d.Patches[0].Cut)
	assert.Equal(t, "so", b.Patches[1].Note)
	assert.Equal(t, geom.Point{X: 3 * geom.Inch, Y: 1.5 * geom.Inch}, b.Notches[0].Point)
	assert.Equal(t, geom.Polygon{{X: 2 * geom.Inch}, {X: 4 * geom.Inch}, {X: 4 * geom.Inch, Y: 1.5 * geom.Inch}, {X: 2 * geom.Inch, Y: 1.5 * geom.Inch}}, b.Outline)
	for s, own := range map[*Section]*Section{a: a, b: b, c: a, d: b} {
		assert.Same(t, own, s.Reported(), s.Name)
	}
	assert.Equal(t, b.At, d.Patches[1].ShapeAt())
	assert.Equal(t, a.Patches[1].ShapeAt(), c.Patches[1].ShapeAt())
	assert.Equal(t, "scaled copy of A", b.Called())
}

// A ratio is more than nothing, and has its limits.
func TestRatiosOfCopies(t *testing.T) {
	for ratio, cause := range map[string]Cause{"0": NotAScale, "-1": NotAScale, "1001": NotAScale, "1/1001": NotAScale, "2 in": NotARatio, "1000": 0, "1/1000": 0, "1": 0} {
		f := open(t, fmt.Sprintf(copied, "section B = A scaled ("+ratio+") about hub"))
		if cause == 0 {
			assert.Empty(t, f.Problems, ratio)
			continue
		}
		require.Len(t, f.Problems, 1, ratio)
		assert.Equal(t, cause, f.Problems[0].Cause, ratio)
		assert.True(t, section(t, f, "B").Broken)
	}
}
