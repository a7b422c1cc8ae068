package query_test

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
	"sewable/lang/query"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

const gate = `use "palette.block"
block "Gate" 8 by 8 {
  allowance 1/4
  point hinge = (2, 2)
  section A {
    outline (0, 2) (4, 2) (4, 5) (4, 7) (0, 5)
    patch 1 sky (2, 2) (4, 2) (4, 5) (2, 4)
    patch 2 stone beyond hinge (2, 4)
    patch 3 sky beyond (2, 4) (4, 5)
  }
  section B = A mirrored across (4, 2) (4, 7)
  section C {
    patch 1 sky around (4, 7 1/2)
    patch 2 stone beyond (0, 7) (2, 8) cut 2 by 3
    patch 3 stone beyond (8, 7) (6, 8)
  }
  section D beyond (0, 2) (8, 2) {
    patch 1 sky (3, 0) (5, 0) (4 1/2, 2) (3 1/2, 2)
    patch 2 stone beyond (3, 0) (3 1/2, 2)
    patch 3 stone beyond (5, 0) (4 1/2, 2) note "tree"
  }
}
`

// figures are the hints of a file and the figures of its patches, by their lines.
func figures(f *query.File, without int) []string {
	var out []string
	add := func(at int, format string, args ...any) {
		if line := f.Source.Line(at); line != without {
			out = append(out, fmt.Sprint(line, ": ", fmt.Sprintf(format, args...)))
		}
	}
	all := source.Span{Start: 0, End: len(f.Source.Text)}
	for _, h := range query.Hints(f, all, func(query.HintKind) bool { return true }) {
		add(h.At, "%d %s, %s", h.Kind, h.Text, h.Tooltip)
	}
	for _, b := range f.Blocks {
		for _, s := range b.Sections {
			if s.CopyOf != nil {
				continue
			}
			for _, p := range s.Patches {
				add(p.At().Start, "%v", query.Patch(f, p).Facts)
			}
		}
	}
	return out
}

// half reads a text in which one line ends early, and one in which it is empty, and
// holds the figures of all other lines to each other.
func half(t require.TestingT, read func(string) *query.File, text string, line, end int) {
	lines := strings.SplitAfter(text, "\n")
	now := func(s string) *query.File {
		return read(strings.Join(lines[:line], "") + s + "\n" + strings.Join(lines[line+1:], ""))
	}
	typed := now(lines[line][:end])
	unread := false
	for _, e := range typed.Tree.Errors {
		unread = unread || typed.Source.Line(e.At.Start) == line+1
	}
	if !unread {
		return // it is a patch already, and the others are sewn to it
	}
	require.Equal(t, figures(now(""), line+1), figures(typed, line+1), "%s", lines[line][:end])
}

// isPatch is how many letters come before a patch on its line, -1 on every other line.
func isPatch(line string) int {
	if s := strings.TrimLeft(line, " \t"); strings.HasPrefix(s, "patch ") {
		return len(line) - len(s)
	}
	return -1
}

// While a patch is typed, from its first letter on, the others keep the figures that they have without it.
func TestHalfTyped(t *testing.T) {
	for i, line := range strings.SplitAfter(gate, "\n") {
		if from := isPatch(line); from >= 0 {
			for end := from + 1; end < len(line); end++ {
				half(t, file, gate, i, end)
			}
		}
	}
	f := file(strings.Replace(gate, "beyond (2, 4) (4, 5)\n", "beyond (2, \n", 1))
	assert.Contains(t, figures(f, 0), "7: 0 cut 3 1/2 × 2 1/2 in, To spare: nothing, at worst nothing.")
	assert.True(t, f.Blocks[0].Broken)
}

func TestHalfTypedHarbour(t *testing.T) {
	harbour, err := filepath.Abs("../../testdata/harbour")
	require.NoError(t, err)
	names, err := filepath.Glob(harbour + "/*.block")
	require.NoError(t, err)
	texts := map[string]string{}
	for _, name := range names {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		texts[name] = string(text)
	}
	l := block.NewLoader(syntax.NewEditorReader(), func(path string) (string, error) {
		text, err := os.ReadFile(path)
		return string(text), err
	})
	rapid.Check(t, func(r *rapid.T) {
		name := rapid.SampledFrom(names).Draw(r, "file")
		lines := strings.SplitAfter(texts[name], "\n")
		var patches []int
		for i, line := range lines {
			if isPatch(line) >= 0 {
				patches = append(patches, i)
			}
		}
		if len(patches) == 0 {
			return
		}
		line := rapid.SampledFrom(patches).Draw(r, "line")
		end := rapid.IntRange(isPatch(lines[line])+1, len(lines[line])-1).Draw(r, "end")
		half(r, func(text string) *query.File { return &query.File{File: l.OpenText(name, text)} }, texts[name], line, end)
	})
}
