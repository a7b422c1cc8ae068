package edit_test

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/edit"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/sew/plan"
	"sewable/lang/syntax"
	"sewable/lint"
	"sewable/lint/linttest"
	"sewable/lint/rules"
)

// planFor plans as the default settings do, on letter paper.
func planFor() edit.PlanFor {
	return edit.PlanFor{
		Options: plan.Options{Weights: plan.DefaultWeights}, SheetWidth: 8 * geom.Inch, SheetHeight: 10.5 * geom.Inch,
		Unmarked: 6 * geom.Inch, Close: geom.Inch / 16,
	}
}

// Findings about what a drawing is, not about how it is planned; and about names that only a
// section that was given up has used.
var drawn = map[string]bool{"same-fabric-seam": true, "unused-let": true, "unused-point": true, "unused-seam": true, "unused-accept": true}

func findings(path, text string, loader *block.Loader) []string {
	var out []string
	for _, x := range lint.Text(path, text, lint.Options{Rules: rules.All, Loader: loader, Config: lint.NewConfig(rules.All)}).Findings {
		if !drawn[x.Rule] {
			out = append(out, x.Rule+": "+x.Message)
		}
	}
	return out
}

// No demo block needs more sections than its designer gave it, and its plan lints clean.
// Two are sewn with a partial or an inset seam, and have no other plan.
func TestPlansOfTheHarbour(t *testing.T) {
	paths, err := filepath.Glob("../../testdata/harbour/*.block")
	require.NoError(t, err)
	planned := 0
	for _, path := range paths {
		loader := block.NewLoader(syntax.NewReader(), nil)
		f, err := loader.Open(path)
		require.NoError(t, err)
		for _, b := range f.Blocks {
			o := planFor()
			o.Again = true
			p, err := edit.Plan(context.Background(), f, b, o)
			require.NoError(t, err, b.Name)
			if p.Plan == nil {
				bent := slices.ContainsFunc(b.Joins, func(j *block.Join) bool { return j.Kind != block.Straight })
				assert.True(t, bent, "%s has no plan", b.Name)
				assert.NotEmpty(t, p.Knots)
				continue
			}
			planned++
			assert.LessOrEqual(t, len(p.Plan.Sections), len(b.Sections), b.Name)
			assert.True(t, p.Plan.Proved, b.Name)
			assert.Empty(t, findings(path, edit.Apply(f.Source.Text, p.Edits), loader), b.Name)
		}
	}
	assert.Greater(t, planned, 20)
}

// loose is a block with its patches alone, each by its corners.
func loose(f *block.File) string {
	b := f.Blocks[0]
	out := fmt.Sprintf("use %q\n\nblock %q %s by %s {\n  allowance 1/4\n", linttest.PaletteName, b.Name,
		geom.FormatNumber(b.Width.Float64(), geom.Inches), geom.FormatNumber(b.Height.Float64(), geom.Inches))
	for _, s := range b.Sections {
		for _, p := range s.Patches {
			out += "  patch " + p.Fabric.Name
			for _, c := range p.Corners {
				out += " " + geom.FormatPoint(c, geom.Inches)
			}
			out += " // " + s.Name + "\n"
		}
	}
	return out + "}\n"
}

// Plans of generated blocks, with nothing but their patches, lint clean, need no more sections
// than the block was made of, and keep every patch with its comment.
func TestPlansOfGeneratedBlocks(t *testing.T) {
	clean := 0
	for seed := range uint64(300) {
		made := read(linttest.GenerateBlock(seed, 4+int(seed%37)))
		text := loose(made)
		f := read(text)
		b := f.Blocks[0]
		require.Len(t, b.Sections, 0)
		o := planFor()
		o.SheetWidth = 0
		p, err := edit.Plan(context.Background(), f, b, o)
		require.NoError(t, err, "seed %d", seed)
		require.NotNil(t, p.Plan, "seed %d", seed)
		assert.True(t, p.Plan.Proved)
		after := edit.Apply(text, p.Edits)
		loader := block.NewLoader(syntax.NewReader(), func(string) (string, error) { return linttest.Palette, nil })
		found := func(text string) []string {
			return slices.DeleteFunc(findings("/generated/a.block", text, loader), func(s string) bool { return strings.HasPrefix(s, "off-page") })
		}
		// In some drawings seams almost match, wherever they are cut.
		near := func(text string) int { return strings.Count(strings.Join(found(text), " "), "near-miss") }
		assert.LessOrEqual(t, near(after), near(made.Source.Text), "seed %d", seed)
		if near(made.Source.Text) == 0 {
			clean++
			assert.LessOrEqual(t, len(p.Plan.Sections), len(made.Blocks[0].Sections), "seed %d", seed)
			assert.Empty(t, found(after), "seed %d\n%s", seed, after)
		}
		assert.Equal(t, strings.Count(text, " // "), strings.Count(after, " // "), "seed %d", seed)
		patches := 0
		for _, s := range read(after).Blocks[0].Sections {
			patches += len(s.Patches)
		}
		assert.Equal(t, len(b.Loose), patches)
	}
	assert.Greater(t, clean, 200)
}

// together is a generated block with all its patches in one section.
func together(f *block.File) string {
	text := loose(f)
	n := 0
	var out strings.Builder
	for line := range strings.Lines(text) {
		switch {
		case strings.HasPrefix(line, "  patch "):
			if n++; n == 1 {
				out.WriteString("  section A {\n")
			}
			fmt.Fprintf(&out, "    patch %d %s", n, strings.TrimPrefix(line, "  patch "))
		case line == "}\n":
			out.WriteString("  }\n}\n")
		default:
			out.WriteString(line)
		}
	}
	return out.String()
}

// A section that cannot be sewn is divided in its place; the block can be sewn then.
func TestDivideSection(t *testing.T) {
	divided := 0
	for seed := range uint64(80) {
		made := read(linttest.GenerateBlock(seed, 10+int(seed%31)))
		f := read(together(made))
		s := sew.Analyse(f.Blocks[0]).Sections[0]
		require.False(t, s.Flawed(), "seed %d", seed)
		o := planFor()
		o.SheetWidth = 0
		edits, ok := edit.DivideSection(context.Background(), f, s, o)
		require.Equal(t, !s.Sewable(), ok, "seed %d", seed)
		if !ok {
			continue
		}
		divided++
		after := read(edit.Apply(f.Source.Text, edits))
		b := sew.Analyse(after.Blocks[0])
		assert.Empty(t, b.JoinFlaws(), "seed %d", seed)
		patches := 0
		for _, s := range b.Sections {
			assert.True(t, s.InOrder(), "seed %d", seed)
			patches += len(s.Of.Patches)
		}
		assert.Equal(t, len(s.Of.Patches), patches)
	}
	assert.Greater(t, divided, 40)
}

// Whatever a file is like, planning its blocks anew gives a plan that reads back, or says why
// there is none.
func TestPlansOfBrokenFiles(t *testing.T) {
	paths, err := filepath.Glob("../../testdata/broken/*.block")
	require.NoError(t, err)
	planned := 0
	for _, path := range paths {
		f, err := block.NewLoader(syntax.NewReader(), nil).Open(path)
		require.NoError(t, err)
		for _, b := range f.Blocks {
			o := planFor()
			o.Again = true
			p, err := edit.Plan(context.Background(), f, b, o)
			require.NotErrorIs(t, err, edit.ErrUnsound, "%s: %s", path, b.Name)
			if err == nil && p.Plan != nil {
				planned++
				after := f.With(edit.Apply(f.Source.Text, p.Edits))
				assert.LessOrEqual(t, len(after.Tree.Errors), len(f.Tree.Errors), path)
			}
		}
	}
	assert.Greater(t, planned, 15)
}
