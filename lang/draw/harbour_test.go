package draw_test

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/sew"
	"sewable/lang/syntax"
)

// harbour is every file of the demo repository.
func harbour(t testing.TB) []*block.File {
	t.Helper()
	paths, err := filepath.Glob("../../testdata/harbour/*.block")
	require.NoError(t, err)
	require.NotEmpty(t, paths)
	loader := block.NewLoader(syntax.NewReader(), nil)
	var files []*block.File
	for _, path := range paths {
		f, err := loader.Open(path)
		require.NoError(t, err)
		files = append(files, f)
	}
	return files
}

func demoBlocks(t testing.TB) []*sew.Block {
	t.Helper()
	var out []*sew.Block
	for _, f := range harbour(t) {
		for _, b := range f.Blocks {
			out = append(out, sew.Analyse(b))
		}
	}
	require.GreaterOrEqual(t, len(out), 23)
	return out
}

// written is the first block of a text.
func written(t testing.TB, text string) *sew.Block {
	t.Helper()
	f := block.NewLoader(syntax.NewReader(), nil).OpenText("test.block", text)
	require.NotEmpty(t, f.Blocks)
	return sew.Analyse(f.Blocks[0])
}
