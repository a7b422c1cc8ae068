package main

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/syntax"
	"sewable/lint/rules"
)

// The pages in the repository are what the source says.
func TestPagesAreInStep(t *testing.T) {
	t.Chdir(filepath.Join("..", ".."))
	pages, err := pages(rules.All)
	require.NoError(t, err)
	assert.NoError(t, check(folder, pages))
}

// The editors' grammars know the words of the language, all of them.
func TestGrammarsAreInStep(t *testing.T) {
	files, err := editors(filepath.Join("..", ".."))
	require.NoError(t, err)
	require.NoError(t, checkFiles(filepath.Join("..", ".."), files))
	for path, text := range files {
		for _, word := range slices.Concat(vocabulary().All(), vocabulary().First, vocabulary().Contextual) {
			assert.Regexp(t, `\b`+word+`\b`, text, path)
		}
	}
	assert.Len(t, vocabulary().All(), len(syntax.Keywords()), "each word is in one list")
}

func TestCheckNoticesEveryDifference(t *testing.T) {
	dir, want := t.TempDir(), map[string]string{"a.md": "a\n", "b.md": "b\n"}
	require.NoError(t, write(dir, want))
	require.NoError(t, check(dir, want))

	t.Run("a changed page", func(t *testing.T) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, "a.md"), []byte("x"), 0o644))
		assert.ErrorContains(t, check(dir, want), "a.md")
	})
	t.Run("a missing page", func(t *testing.T) {
		require.NoError(t, os.Remove(filepath.Join(dir, "a.md")))
		assert.ErrorContains(t, check(dir, want), "a.md")
	})
	t.Run("a page of no rule, which write takes away", func(t *testing.T) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, "old.md"), []byte("x"), 0o644))
		require.NoError(t, write(dir, want))
		assert.NoError(t, check(dir, want))
		assert.NoFileExists(t, filepath.Join(dir, "old.md"))
	})
}
