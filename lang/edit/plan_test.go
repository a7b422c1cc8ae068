package edit_test

import (
	"context"
	"fmt"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/edit"
	"sewable/lang/geom"
	"sewable/lang/sew/plan"
	"sewable/lang/syntax"
)

func planFor(read func(string) *block.File) edit.PlanFor {
	return edit.PlanFor{Options: plan.Options{Weights: plan.DefaultWeights}, Unmarked: 6 * geom.Inch, Close: geom.Inch / 16, Read: read}
}

// No demo block needs more sections than its designer gave it.
func TestPlansOfTheHarbour(t *testing.T) {
	paths, err := filepath.Glob("../../testdata/harbour/*.block")
	require.NoError(t, err)
	planned := 0
	for _, path := range paths {
		loader := block.NewLoader(syntax.NewReader(), nil)
		f, err := loader.Open(path)
		require.NoError(t, err)
		for _, b := range f.Blocks {
			o := planFor(func(text string) *block.File { return loader.OpenText(path, text) })
			o.Again = true
			p, err := edit.Plan(context.Background(), f, b, o)
			if !assert.NoError(t, err, "%s: %s", path, b.Name) {
				if p != nil {
					fmt.Println(edit.Apply(f.Source.Text, p.Edits))
				}
				continue
			}
			if p.Plan == nil {
				fmt.Println(path, b.Name, "none", p.Knots)
				continue
			}
			planned++
			fmt.Println(path, b.Name, len(b.Sections), p.Plan.Cost, p.Plan.Proved, p.Plan.Regions, len(p.Notches))
			assert.LessOrEqual(t, len(p.Plan.Sections), len(b.Sections), "%s: %s", path, b.Name)
		}
	}
	assert.Greater(t, planned, 20)
}
