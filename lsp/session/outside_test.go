package session_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/files"
	"sewable/lang/source"
	"sewable/lint/rules"
	"sewable/lsp/session"
)

// What an editor has open is its own. What the server reads from disk beside it stays in the repository.
func TestWhatLeadsOutOfTheRepository(t *testing.T) {
	dir := t.TempDir()
	root := filepath.Join(dir, "r")
	require.NoError(t, os.MkdirAll(filepath.Join(root, ".git"), 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "secret"), []byte("fabric zebra\n"), 0o644))
	for _, name := range []string{"x.block", "sewable.toml"} {
		if os.Symlink("../secret", filepath.Join(root, name)) != nil {
			t.Skip("there are no links here")
		}
	}
	s := session.New(rules.All)
	x := filepath.Join(root, "x.block")
	_, err := s.Snapshot().File(x)
	assert.ErrorIs(t, err, files.ErrOutside)
	_, err = s.Snapshot().Text(x)
	assert.ErrorIs(t, err, files.ErrOutside)

	a := filepath.Join(root, "a.block")
	at := s.Open(&session.Document{Path: a, Text: source.New(a, "use \"x.block\"\n")})
	f := at.Open(a)
	require.Len(t, f.Model().Uses, 1)
	assert.Nil(t, f.Model().Uses[0].File)
	require.NoError(t, os.Remove(x))
	require.NoError(t, os.WriteFile(x, []byte("fabric sky\n"), 0o644))
	assert.NotNil(t, s.Disk([]string{x}).Open(a).Model().Uses[0].File, "it is a file of the repository now")
	require.NoError(t, os.Remove(x))
	require.NoError(t, os.Symlink("../secret", x))
	assert.Nil(t, s.Disk([]string{x}).Open(a).Model().Uses[0].File, "and a link again")
	settings := at.Config().For(a)
	assert.Empty(t, settings.Source.Text)
	assert.Len(t, settings.Problems, 1)

	at = s.Open(&session.Document{Path: x, Text: source.New(x, "fabric sky\n")})
	assert.Len(t, at.Open(x).Model().Fabrics, 1, "she has it open")
}
