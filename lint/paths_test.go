package lint_test

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lint"
	"sewable/lint/rules"
)

func TestFindFiles(t *testing.T) {
	tree(t, map[string]string{
		"sewable.toml":            `exclude = ["drafts", "old/**/*.block", "./sketch?.block", "parked/"]`,
		"b.block":                 "",
		"a.block":                 "",
		"notes.txt":               "",
		"sketch1.block":           "",
		".hidden/a.block":         "",
		".a.block":                "",
		"drafts/a.block":          "",
		"old/deep/deeper/x.block": "",
		"old/keep.txt":            "",
		"parked/a.block":          "",
		"new/a.block":             "",
		"new/sewable.toml":        "",
		"new/drafts/a.block":      "", // the settings there exclude nothing
	})
	require.NoError(t, os.Symlink("a.block", "link.block"))
	require.NoError(t, os.Symlink("new", "folder.block"))
	for name, c := range map[string]struct{ paths, want []string }{
		"a folder":              {[]string{"."}, []string{"a.block", "b.block", "link.block", "new/a.block", "new/drafts/a.block"}},
		"files, each once":      {[]string{"b.block", "./a.block", "new/../b.block"}, []string{"a.block", "b.block"}},
		"a file in a folder":    {[]string{"new", "new/a.block"}, []string{"new/a.block", "new/drafts/a.block"}},
		"a named file is taken": {[]string{"drafts/a.block", "notes.txt", ".hidden/a.block"}, []string{".hidden/a.block", "drafts/a.block", "notes.txt"}},
		"a named hidden folder": {[]string{".hidden"}, []string{".hidden/a.block"}},
	} {
		t.Run(name, func(t *testing.T) {
			got, err := lint.FindFiles(c.paths, lint.NewConfig(nil))
			require.NoError(t, err)
			assert.Equal(t, c.want, got)
		})
	}
	_, err := lint.FindFiles([]string{"none.block"}, lint.NewConfig(nil))
	assert.EqualError(t, err, "none.block: no such file or directory")
}

// A folder that cannot be listed is told, and the rest is found all the same. (It vanishes
// here just before, which nobody's rights can help.)
func TestFolderThatCannotBeListed(t *testing.T) {
	tree(t, map[string]string{"a.block": "", "gone/b.block": "", "later/c.block": ""})
	var files []string
	err := lint.Walk(".", lint.NewConfig(nil), func(path string, file bool) error {
		if path == "gone" && !file {
			return os.RemoveAll("gone")
		}
		if file {
			files = append(files, path)
		}
		return nil
	})
	require.NoError(t, err)
	assert.Equal(t, []string{"a.block", "gone", "later/c.block"}, files)

	require.NoError(t, os.Mkdir("locked", 0o200))
	if _, err := os.ReadDir("locked"); err == nil {
		t.Skip("whoever runs this may read everything")
	}
	found, err := lint.Run(t.Context(), []string{"locked"}, lint.Options{Rules: rules.All})
	require.NoError(t, err)
	require.Len(t, found.Findings, 1)
	assert.Contains(t, found.Findings[0].Message, "This folder cannot be read, so no file in it was checked. Permission denied")
}

// A path may be longer than the system takes, 4,096 bytes on Linux: that is one error of one folder.
func TestAPathThatIsTooLong(t *testing.T) {
	tree(t, map[string]string{"a.block": "fabric sky\n"})
	start, err := os.Getwd()
	require.NoError(t, err)
	name := strings.Repeat("d", 200)
	for range 22 {
		require.NoError(t, os.Mkdir(name, 0o755))
		require.NoError(t, os.Chdir(name)) // which os.MkdirAll could not
	}
	require.NoError(t, os.Chdir(start))
	config := lint.NewConfig(nil)
	paths, err := lint.FindFiles([]string{"."}, config)
	require.NoError(t, err)
	require.Len(t, paths, 2)
	found, err := lint.Run(t.Context(), paths, lint.Options{Rules: rules.All, Config: config})
	require.NoError(t, err)
	require.Len(t, found.Findings, 1)
	assert.Contains(t, found.Findings[0].Message, "This folder cannot be read, so no file in it was checked. File name too long")
}
