package lsp_test

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lint"
	"sewable/lsp"
	"sewable/lsp/lsptest"
)

// harbour is a workspace with a palette at its top and a folder of boats that uses it; one of
// the boats is wrong, and so are the folder's settings. It gives the client once they are told.
func harbour(t *testing.T) (c *lsptest.Client, dir, wrong, settings string) {
	c, dir = lsptest.InMemory(t, lsp.Options{}), repository(t)
	user := strings.Replace(calm, "fabric sky\n", "use \"../palette.block\"\n", 1)
	write(t, filepath.Join(dir, "palette.block"), "fabric sky\n")
	write(t, filepath.Join(dir, "boats", "a.block"), user)
	wrong = write(t, filepath.Join(dir, "boats", "wrong.block"), strings.Replace(calm, "fabric sky\n", "use \"a.block\"\n", 1))
	settings = write(t, filepath.Join(dir, "boats", lint.SettingsName), "x = 1\n")
	write(t, filepath.Join(dir, "top.block"), "use \"boats/a.block\"\n")
	c.Initialize(dir, lsptest.Capabilities())
	c.Must("workspace/diagnostic", object{"previousResultIds": []object{}}, nil) // waits for all files
	for _, path := range []string{wrong, settings} {
		found(c, path, true)
	}
	return c, dir, wrong, settings
}

// found waits until something is said of a file, or nothing any more.
func found(c *lsptest.Client, path string, something bool) {
	c.Await("the findings of "+path, func([]lsptest.Message) bool {
		d := c.FoundLocked(path)
		return d.URI != "" && len(d.Diagnostics) > 0 == something
	})
}

// What was said of the files of a folder is taken back when it is deleted, in the editor or
// outside.
func TestFolderDeleted(t *testing.T) {
	for method, params := range map[string]func(uri string) object{
		"workspace/didDeleteFiles":        func(u string) object { return object{"files": []object{{"uri": u}}} },
		"workspace/didChangeWatchedFiles": func(u string) object { return object{"changes": []object{{"uri": u, "type": 3}}} },
	} {
		t.Run(method, func(t *testing.T) {
			c, dir, wrong, settings := harbour(t)
			require.NoError(t, os.RemoveAll(filepath.Join(dir, "boats")))
			c.Notify(method, params(lsptest.URI(filepath.Join(dir, "boats"))))
			found(c, wrong, false)
			found(c, settings, false)
			c.Await("what uses the folder", func([]lsptest.Message) bool {
				return bytes.Contains(joined(c.FoundLocked(filepath.Join(dir, "top.block")).Diagnostics), []byte("boats/a.block"))
			})
		})
	}
}

// A folder that the editor renames takes the `use` paths along, those into it and those out
// of it, and what is said of its files follows.
func TestFolderRenamed(t *testing.T) {
	c, dir, wrong, settings := harbour(t)
	from, to := filepath.Join(dir, "boats"), filepath.Join(dir, "ships", "small")
	params := object{"files": []object{{"oldUri": lsptest.URI(from), "newUri": lsptest.URI(to)}}}
	var edit json.RawMessage
	c.Must("workspace/willRenameFiles", params, &edit)
	assert.ElementsMatch(t, []string{"top.block", "boats/a.block"}, filesOf(t, dir, edit), "wrong.block goes with what it uses")
	assert.Contains(t, string(edit), `"newText":"ships/small/a.block"`)
	assert.Contains(t, string(edit), `"newText":"../../palette.block"`)
	require.NoError(t, os.MkdirAll(filepath.Dir(to), 0o755))
	require.NoError(t, os.Rename(from, to))
	c.Notify("workspace/didRenameFiles", params)
	found(c, wrong, false)
	found(c, settings, false)
	found(c, filepath.Join(to, "wrong.block"), true)
	found(c, filepath.Join(to, lint.SettingsName), true)
}

// A file that is renamed or deleted in the editor is followed without a word of the disk.
func TestFileRenamedAndDeleted(t *testing.T) {
	c, dir, wrong, _ := harbour(t)
	to := filepath.Join(dir, "boats", "later.block")
	require.NoError(t, os.Rename(wrong, to))
	c.Notify("workspace/didRenameFiles", object{"files": []object{{"oldUri": lsptest.URI(wrong), "newUri": lsptest.URI(to)}}})
	found(c, wrong, false)
	found(c, to, true)
	require.NoError(t, os.Remove(to))
	c.Notify("workspace/didDeleteFiles", object{"files": []object{{"uri": lsptest.URI(to)}}})
	found(c, to, false)
}
