package linttest

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sewable/lang/block"
	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lint"
)

func TestWants(t *testing.T) {
	assert.Equal(t, []Want{
		{2, "gap", "0.5 sq in"},
		{5, "overlap", "C1"},
		{5, "small-patch", ""},
		{6, "a-b", `say "so"`},
		{6, "c-d", "x"},
		{9, "unreadable-line", "brace"},
	}, Wants(strings.Join([]string{
		`block`,
		`patch 1   // want gap "0.5 sq in"`,
		`  // want overlap "C1"`,
		`  // want small-patch ""`,
		`patch 2   // accept x: y`,
		`a = 1     # want a-b "say \"so\"" // want c-d "x"`,
		`// want@9 unreadable-line "brace"`,
		`// that is what I want: "peace"`,
	}, "\n")))
}

func TestMatchIsOneToOne(t *testing.T) {
	found := func(line int, rule, message string) lint.Finding {
		f := lint.Finding{Rule: rule, Message: message}
		f.Start.Line = line
		return f
	}
	wants := []Want{{2, "gap", "half"}, {3, "gap", ""}}
	missing, unexpected := Match([]lint.Finding{found(2, "gap", "a half"), found(3, "gap", "x")}, wants)
	assert.Empty(t, missing)
	assert.Empty(t, unexpected)

	for name, f := range map[string]lint.Finding{
		"another line": found(4, "gap", "a half"), "another rule": found(2, "overlap", "a half"), "other words": found(2, "gap", "all"),
	} {
		t.Run(name, func(t *testing.T) {
			missing, unexpected := Match([]lint.Finding{f, found(3, "gap", "x")}, wants)
			assert.Equal(t, wants[:1], missing)
			assert.Equal(t, []lint.Finding{f}, unexpected)
		})
	}
	_, unexpected = Match([]lint.Finding{found(2, "gap", "half"), found(2, "gap", "half"), found(3, "gap", "")}, wants)
	assert.Len(t, unexpected, 1, "one want is one finding")
}

// What is generated can be read, resolved, and has as many patches as asked
// for; the same seed gives the same text, another seed another.
func TestGenerate(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, PaletteName), []byte(Palette), 0o644))
	loader := block.NewLoader(syntax.NewReader(), nil)
	seen, styles := map[string]bool{}, map[block.Given]int{}
	sections, joins, notches := 0, 0, 0
	for seed := range uint64(200) {
		text := GenerateBlock(seed, 30)
		require.Equal(t, text, GenerateBlock(seed, 30))
		require.False(t, seen[text])
		seen[text] = true
		f := loader.OpenText(filepath.Join(dir, fmt.Sprintf("%d.block", seed)), text)
		require.Empty(t, f.Tree.Errors, "seed %d:\n%s", seed, text)
		require.Empty(t, f.Problems, "seed %d:\n%s", seed, text)
		require.Len(t, f.Blocks, 1)
		b := f.Blocks[0]
		require.False(t, b.Broken)
		patches := 0
		for _, s := range b.Sections {
			patches += len(s.Patches)
			for _, p := range s.Patches {
				styles[p.Given]++
			}
		}
		require.InDelta(t, 30, patches, 6, "seed %d:\n%s", seed, text)
		require.Len(t, b.Joins, len(b.Sections)-1)
		sections += len(b.Sections)
		joins += len(b.Joins)
		notches += len(b.Notches)
	}
	assert.Greater(t, sections, 400, "several sections")
	assert.Greater(t, notches, joins/4, "notches on many joins")
	for _, given := range []block.Given{block.ByCorners, block.ByBeyond, block.ByAround} {
		assert.Greater(t, styles[given], 20, "every way to give a patch")
	}

	one := source.New("one.block", GenerateSection(7, 500))
	tree := syntax.Parse(one)
	assert.Empty(t, tree.Errors)
	assert.Equal(t, 500, strings.Count(one.Text, "\n    patch "))
}

// The cuts of the generator part a region: the pieces have its area.
func TestCutsPartTheRegion(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := &generator{rand: newRand(rapid.Uint64().Draw(t, "seed")), side: 12}
		rest := polygon{{X: 0, Y: 0}, {X: 12, Y: 0}, {X: 12, Y: 12}, {X: 0, Y: 12}}
		area := 0.0
		for range 12 {
			off, keep, _, _, ok := g.cutOff(rest)
			if !ok {
				break
			}
			area += off.area()
			rest = keep
		}
		assert.InDelta(t, 144, area+rest.area(), 1e-2)
	})
}
