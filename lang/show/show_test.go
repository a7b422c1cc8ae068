package show_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/geom"
	"sewable/lang/show"
	"sewable/lang/syntax"
	"sewable/lang/syntax/format"
	"sewable/lint/linttest"
)

func options(*block.File) cloth.Options { return cloth.Options{Step: geom.Inch / 4} }

func shown(path, text string, alone bool) (string, *block.File) {
	f, unread := show.Open(path, text, alone, syntax.NewReader(), nil)
	return show.Text(f, unread, options), f
}

// Shown alone, a file of the harbour says of its patches what it says beside its palette. The one
// fabric with an up is the exception: the palette says that it has one.
func TestAloneSaysTheSameOfShapesAndFabrics(t *testing.T) {
	paths, err := filepath.Glob("../../testdata/harbour/*.block")
	require.NoError(t, err)
	require.NotEmpty(t, paths)
	for _, path := range paths {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		if strings.Contains(string(text), "setting ") { // its blocks are elsewhere
			continue
		}
		beside, f := shown(path, string(text), false)
		alone, _ := shown(path, string(text), true)
		var want, got []string
		keep := func(text string) (out []string) {
			for line := range strings.Lines(text) {
				if !strings.HasPrefix(line, "use ") && !strings.Contains(line, " boards: ") {
					out = append(out, line)
				}
			}
			return out
		}
		want, got = keep(beside), keep(alone)
		assert.Equal(t, want, got, path)
		assert.Equal(t, len(f.Uses), strings.Count(alone, "(not read here; its fabrics are taken by name)"), path)
		again, _ := shown(path, format.Format(f.Tree), false)
		assert.Equal(t, beside, again)
	}
}

// Any text is shown, and every line of it is one line.
func TestShowsWhatever(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := linttest.GenerateBlock(rapid.Uint64().Draw(t, "seed"), rapid.IntRange(1, 12).Draw(t, "patches"))
		at := rapid.IntRange(0, len(text)).Draw(t, "at")
		end := min(len(text), at+rapid.IntRange(0, 40).Draw(t, "length"))
		text = text[:at] + rapid.SampledFrom([]string{"", "}", "{", "\x00", "(", "\"", "\r", "patch 1"}).Draw(t, "instead") + text[end:]
		out, _ := shown("nowhere/a.block", text, rapid.Bool().Draw(t, "alone"))
		for line := range strings.Lines(out) {
			assert.NotContains(t, strings.TrimSuffix(line, "\n"), "\r")
		}
		assert.NotContains(t, out, "\x00")
		assert.NotContains(t, out, "NaN")
	})
}
