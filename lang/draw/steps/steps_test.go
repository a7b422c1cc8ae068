package steps_test

import (
	"path/filepath"
	"strings"
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

var options = cloth.Options{Step: geom.Inch / 4, Placement: cloth.Placement{Shift: geom.Inch / 8, Turn: 3}}

func open(t *testing.T, name string) *block.File {
	f, err := block.NewLoader(syntax.NewReader(), nil).Open("../../../testdata/harbour/" + name + ".block")
	require.NoError(t, err)
	return f
}

func plan(t *testing.T, name, way string) *steps.Plan {
	f := open(t, name)
	b := f.Blocks[0]
	return steps.Of(sew.Analyse(b), steps.How{Colourway: block.ColourwayOf(b, way), Cloth: options, Unit: f.Unit})
}

func TestThePatchesOfTheSloop(t *testing.T) {
	p := plan(t, "sloop", "")
	require.Len(t, p.Sections, 3)
	jib := p.Sections[0]
	assert.Equal(t, "Section A, Jib", jib.Head())
	assert.Equal(t, "1, 2", jib.Order())
	assert.Equal(t, "A1 Foam, 5 1/2 by 3 in", jib.Steps[0].Short())
	assert.Contains(t, jib.Steps[0].Words, "Lay Foam on the unprinted side of the foundation, right side up, so that it covers A1")
	assert.Equal(t, "7 1/4 by 4 1/4 in", jib.Steps[1].Cut)
	assert.Equal(t, "Lay Morning sky right side down on A1, with a long edge 1/4 in past the line that A2 shares with A1. "+
		"Stitch on that line from the printed side, trim the seam to 1/4 in, and press it over A2.", jib.Steps[1].Words)
	assert.Contains(t, p.Sections[1].Steps[3].Words, "right side down on B1, B2 and B3")
	assert.Equal(t, "1 to 6", p.Sections[2].Order())
}

func TestTheJoinsOfTheSloop(t *testing.T) {
	p := plan(t, "sloop", "")
	require.Len(t, p.Joins, 2)
	assert.Equal(t, "Sew A to B, right sides together: 5 in. Match the ends and the notch mast. Press open.", p.Joins[0].Words)
	assert.Equal(t, "Sew C to the unit of A and B, right sides together: 8 in. Match the ends, the seam that meets another, and the notch w. Press open.",
		p.Joins[1].Words)
	assert.True(t, p.Sewable)
}

// The last join of the compass sews its two halves, not only the wedges along it.
func TestUnitsAreWhole(t *testing.T) {
	joins := plan(t, "compass", "").Joins
	assert.Contains(t, joins[len(joins)-1].Words, "Sew the unit of A, B, C and D to the unit of E, F, G and H")
}

func TestColourwaysChangeTheWords(t *testing.T) {
	assert.Equal(t, "A2 Plum dusk, 7 1/4 by 4 1/4 in", plan(t, "sloop", "dusk").Sections[0].Steps[1].Short())
}

func TestPartialAndInsetSeams(t *testing.T) {
	p := plan(t, "windlass", "")
	assert.Equal(t, "Sew E to A along part of their edge only, from the outer end to the mark, and leave the rest open. Step 5 finishes it. Press open.", p.Joins[0].Words)
	assert.Contains(t, p.Joins[4].Words, "Finish the seam between E and A that was left open.")
	inset := plan(t, "galley-window", "")
	assert.Contains(t, inset.Joins[2].Words, "This seam turns a corner")
}

// Every patch of every demo block is sewn once, after all it lies on, and has
// a piece to cut.
func TestEveryDemoBlock(t *testing.T) {
	paths, err := filepath.Glob("../../../testdata/harbour/*.block")
	require.NoError(t, err)
	for _, path := range paths {
		f := open(t, strings.TrimSuffix(filepath.Base(path), ".block"))
		for _, b := range f.Blocks {
			p := steps.Of(sew.Analyse(b), steps.How{Cloth: options, Unit: f.Unit})
			assert.True(t, p.Sewable, b.Name)
			assert.Len(t, p.Joins, len(b.Joins), b.Name)
			done := map[*block.Patch]bool{}
			for _, s := range p.Sections {
				for i, step := range s.Steps {
					assert.NotEmpty(t, step.Cut)
					if i > 0 {
						require.NotNil(t, step.Seam, steps.Label(step.Patch))
						for _, on := range step.Seam.On {
							assert.True(t, done[on], "%s is sewn before %s", steps.Label(on), steps.Label(step.Patch))
						}
					}
					assert.False(t, done[step.Patch])
					done[step.Patch] = true
				}
			}
			patches := 0
			for _, s := range b.Sections {
				patches += len(s.Patches)
			}
			assert.Len(t, done, patches, b.Name)
		}
	}
}

func TestUnsewable(t *testing.T) {
	f := block.NewLoader(syntax.NewReader(), nil).OpenText("t.block", `
fabric a #ffffff
block "Four" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 a (0, 0) (2, 0) (2, 2) (0, 2)
    patch 2 a (2, 0) (4, 0) (4, 2) (2, 2)
    patch 3 a (2, 2) (4, 2) (4, 4) (2, 4)
    patch 4 a (0, 2) (2, 2) (2, 4) (0, 4)
  }
}
`)
	p := steps.Of(sew.Analyse(f.Blocks[0]), steps.How{})
	assert.False(t, p.Sewable)
	assert.Contains(t, p.Sections[0].Steps[3].Words, "cannot be sewn")
}
