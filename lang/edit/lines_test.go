package edit_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/edit"
	"sewable/lang/geom"
	"sewable/lang/syntax"
	"sewable/lint/linttest"
)

// Every demo and generated block says the same by lines, and by outlines again: patch for patch, with its fabrics.
func TestOutlinesAndLines(t *testing.T) {
	texts := map[string]string{}
	paths, err := filepath.Glob("../../testdata/harbour/*.block")
	require.NoError(t, err)
	for _, path := range paths {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		texts[path] = string(text)
	}
	for i := range 10 {
		texts[filepath.Join("../../testdata/harbour", string(rune('a'+i))+"_generated.block")] = linttest.GenerateSections(uint64(i), 30, 6)
	}
	lines := 0
	for path, text := range texts {
		loader := block.NewLoader(syntax.NewReader(), nil)
		read := func(text string) *block.File { return loader.OpenText(path, text) }
		f := read(text)
		for i := range f.Blocks {
			first := f
			if edits := edit.ByOutlines(f, f.Blocks[i]); len(edits) > 0 {
				require.True(t, edit.Keeps(f, edits, read), "%s by outlines:\n%s", path, edit.Apply(f.Source.Text, edits))
				first = read(edit.Apply(f.Source.Text, edits))
			}
			edits := edit.ByLines(first, first.Blocks[i], read)
			if len(edits) == 0 {
				continue
			}
			lines++
			require.True(t, edit.Keeps(first, edits, read), "%s by lines", path)
			lined := read(edit.Apply(first.Source.Text, edits))
			require.Len(t, lined.Problems, len(first.Problems))
			back := edit.ByOutlines(lined, lined.Blocks[i])
			require.NotEmpty(t, back)
			again := read(edit.Apply(lined.Source.Text, back))
			require.True(t, edit.Keeps(lined, back, read), "%s by outlines again:\n%s", path, again.Source.Text)
			for k, s := range first.Blocks[i].Sections {
				other := again.Blocks[i].Sections[k]
				for _, corner := range other.Outline {
					if s.Outline != nil {
						assert.Equal(t, geom.OnEdge, s.Outline.Contains(corner), "%s %s", path, s.Name)
					}
				}
			}
			f = lined
		}
	}
	assert.Greater(t, lines, 5)
}

// A month's block, written by outlines and by lines with a mirrored half: the same patches of the same fabrics, with half as many
// coordinates, and a title of its own for the copy.
func TestToadstool(t *testing.T) {
	read := func(name string) (*block.File, int) {
		text, err := os.ReadFile("testdata/" + name)
		require.NoError(t, err)
		f := block.NewLoader(syntax.NewReader(), nil).OpenText(name, string(text))
		require.Empty(t, f.Problems)
		require.Empty(t, f.Tree.Errors)
		pairs := 0
		syntax.Walk(f.Tree.Items, func(it *syntax.Item) bool {
			syntax.Visitor{Point: func(p syntax.Point) {
				if _, ok := p.(*syntax.Pair); ok {
					pairs++
				}
			}}.Statement(it.Node)
			return true
		})
		return f, pairs
	}
	before, many := read("toadstool-outlines.block")
	after, few := read("toadstool.block")
	assert.LessOrEqual(t, 2*few, many)
	b := after.Blocks[0]
	require.Len(t, b.Sections, len(before.Blocks[0].Sections))
	for i, s := range before.Blocks[0].Sections {
		require.Len(t, b.Sections[i].Patches, len(s.Patches), s.Name)
		for k, p := range s.Patches {
			q := b.Sections[i].Patches[k]
			assert.Equal(t, p.Fabric.Name, q.Fabric.Name, p.Label())
			for _, corner := range p.Corners {
				assert.Equal(t, geom.OnEdge, q.Corners.Contains(corner), p.Label())
			}
			for _, corner := range q.Corners {
				assert.Equal(t, geom.OnEdge, p.Corners.Contains(corner), p.Label())
			}
		}
	}
	assert.Equal(t, "Right half of the cap", b.Sections[1].Title)
	assert.Empty(t, before.Blocks[0].Sections[1].Title)
}
