package sheet

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/draw/ink"
	"sewable/lang/draw/steps"
	"sewable/lang/geom"
)

// A print with an up says in its patches where that is: with the block, however the
// foundation lies on the page.
func TestPrintsSayTheirUp(t *testing.T) {
	p := named(t, "Quayside Row")
	plan := steps.Of(p.Block, steps.Options{Cloth: options})
	found := 0
	for _, s := range plan.Sections {
		directional := 0
		for _, step := range s.Steps {
			if step.Fabric.Directional {
				directional++
			}
		}
		f, err := foundationOf(p, plan, s, Options{}.Filled().Room())
		require.NoError(t, err)
		for turn := range f.turns {
			at, _ := f.placer(turn)
			up := at(geom.Point{Y: 1}).Sub(at(geom.Point{}))
			words, arrows := 0, 0
			d := f.drawing(turn)
			for _, text := range d.Texts() {
				if text.String == "up" {
					words++
				}
			}
			for _, it := range d.Layer("marks").Items {
				if path, ok := it.(*ink.Path); ok && path.Name == "up" {
					arrows++
					line := path.Chains[0].Points
					assert.InDelta(t, 1, geom.Segment{A: line[0], B: line[1]}.Dir().Dot(up), 1e-9)
				}
			}
			assert.Equal(t, words, arrows)
			assert.LessOrEqual(t, words, directional, "section %s", s.Of.Of.Name)
			found += words
		}
	}
	assert.Positive(t, found)
}
