package lsp_test

import (
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lint"
	"sewable/lsp"
	"sewable/lsp/lsptest"
)

// filesOf are the names of the files that an edit changes, from a folder.
func filesOf(t *testing.T, dir string, raw json.RawMessage) []string {
	t.Helper()
	var edit struct {
		DocumentChanges []struct {
			TextDocument struct{ URI string } `json:"textDocument"`
		} `json:"documentChanges"`
	}
	require.NoError(t, json.Unmarshal(raw, &edit))
	var names []string
	for _, x := range edit.DocumentChanges {
		names = append(names, strings.TrimPrefix(x.TextDocument.URI, lsptest.URI(dir)+"/"))
	}
	return names
}

// An editor that opened a file and no folder renames in the files of the repository all the
// same, and finds them: below the .git, or below the highest settings.
func TestWithoutAFolder(t *testing.T) {
	user := strings.Replace(calm, "fabric sky\n", "use \"../palette.block\"\n", 1)
	for _, mark := range []string{".git", lint.SettingsName} {
		t.Run(mark, func(t *testing.T) {
			dir := t.TempDir()
			write(t, filepath.Join(dir, mark), "")
			palette := write(t, filepath.Join(dir, "palette.block"), "fabric sky\n")
			write(t, filepath.Join(dir, "boats", "a.block"), user)
			write(t, filepath.Join(dir, "boats", "far.block"), "use \"a.block\"\n")
			open := write(t, filepath.Join(dir, "gulls", "open.block"), user)
			write(t, filepath.Join(dir, "gulls", lint.SettingsName), "")
			write(t, filepath.Join(dir, ".hidden", "b.block"), user)
			write(t, filepath.Join(dir, "other.block"), calm)
			c := lsptest.InMemory(t, lsp.Options{})
			c.Initialize("", lsptest.Capabilities())
			c.Open(open, user, 1)
			for path, at := range map[string]lsptest.Position{palette: {Line: 0, Character: 8}, open: {Line: 4, Character: 13}} {
				renamed(t, c, dir, path, at, "palette.block", "boats/a.block", "gulls/open.block")
			}
		})
	}
}

// Where nothing says how far a repository reaches, the folder of the file is looked through.
func TestWithoutARepository(t *testing.T) {
	dir := t.TempDir()
	user := strings.Replace(calm, "fabric sky\n", "use \"palette.block\"\n", 1)
	palette := write(t, filepath.Join(dir, "palette.block"), "fabric sky\n")
	write(t, filepath.Join(dir, "a.block"), user)
	c := lsptest.InMemory(t, lsp.Options{})
	c.Initialize("", lsptest.Capabilities())
	renamed(t, c, dir, palette, lsptest.Position{Line: 0, Character: 8}, "palette.block", "a.block")
}

// A name is not changed before it is known who uses it: files that were not looked at yet
// would break in silence.
func TestRenameWaitsForTheWorkspace(t *testing.T) {
	word := make(chan struct{})
	dir := repository(t)
	palette := write(t, filepath.Join(dir, "palette.block"), "fabric sky\n")
	write(t, filepath.Join(dir, "a.block"), strings.Replace(calm, "fabric sky\n", "use \"palette.block\"\n", 1))
	c := lsptest.InMemory(t, lsp.Options{Rules: slow(word)})
	c.Initialize(dir, lsptest.Capabilities())
	params := lsptest.At(palette, lsptest.Position{Line: 0, Character: 8})
	params["newName"] = "dawn"
	_, answer := c.Ask("textDocument/rename", params)
	time.Sleep(20 * time.Millisecond) // for a server that does not wait
	close(word)
	assert.ElementsMatch(t, []string{"palette.block", "a.block"}, filesOf(t, dir, c.Wait(answer).Result))
}

// renamed renames what stands somewhere, and finds it, in these files, once in each.
func renamed(t *testing.T, c *lsptest.Client, dir, path string, at lsptest.Position, files ...string) {
	t.Helper()
	params := lsptest.At(path, at)
	params["newName"] = "dawn"
	var edit json.RawMessage
	c.Must("textDocument/rename", params, &edit)
	assert.ElementsMatch(t, files, filesOf(t, dir, edit))
	params["context"] = object{"includeDeclaration": true}
	var found []struct{ URI string }
	c.Must("textDocument/references", params, &found)
	assert.Len(t, found, len(files))
}

// An editor that asks for findings is told to ask again; whatever waits for the workspace does not
// wait for it to answer.
func TestAskingAgainIsNotWaitedFor(t *testing.T) {
	c := lsptest.InMemory(t, lsp.Options{})
	never := make(chan struct{})
	defer close(never)
	c.Handle["workspace/diagnostic/refresh"] = func(json.RawMessage) any {
		return lsptest.Later(func() any { <-never; return nil })
	}
	dir := repository(t)
	path := write(t, filepath.Join(dir, "a.block"), calm)
	can := lsptest.With(lsptest.Capabilities(), object{}, "textDocument", "diagnostic")
	c.Initialize(dir, lsptest.With(can, true, "workspace", "diagnostics", "refreshSupport"))
	c.Open(path, calm, 1)
	rename := lsptest.At(path, lsptest.Position{Character: len("fabric ")})
	rename["newName"] = "air"
	start := time.Now()
	var edit json.RawMessage
	c.Must("textDocument/rename", rename, &edit)
	assert.Less(t, time.Since(start), 5*time.Second)
	assert.Contains(t, string(edit), "air")
}
