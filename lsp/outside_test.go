package lsp_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/source"
	"sewable/lsp/lsptest"
)

// A link that leads out of the repository is named in no answer but by its own name: nothing of what it leads to is shown,
// offered or opened, by a `use` of it, beside it or in the whole workspace.
func TestNothingOutsideIsShown(t *testing.T) {
	c, dir := start(t)
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "r", ".git"), 0o755))
	secret := write(t, filepath.Join(t.TempDir(), "secret.block"), "fabric zebra \"Striped\"\nblock \"Zebra\" 4 by 4 {\n}\n")
	text := "use \"out.block\"\nuse \"\"\nfabric sky\nblock \"Pennant\" 4 by 4 {\n  allowance 1/4\n  section A {\n    patch 1 z (0, 0) (4, 0) (4, 4) (0, 4)\n  }\n}\n" +
		"setting \"Quay\" {\n  rows 1\n  columns 1\n  fill \"Z\"\n}\n"
	path := write(t, filepath.Join(dir, "r", "a.block"), text)
	if err := os.Symlink(secret, filepath.Join(dir, "r", "out.block")); err != nil {
		t.Skip(err)
	}
	said := ""
	ask := func(method string, params any) {
		var out json.RawMessage
		err := c.Call(method, params, &out)
		said += method + " " + string(out) + "\n"
		if err != nil {
			said += err.Error() + "\n"
		}
	}
	c.Open(path, text, 1)
	found, err := json.Marshal(c.Found(path, 1).Diagnostics)
	require.NoError(t, err)
	assert.Contains(t, string(found), "bad-use")
	said += string(found)
	doc := lsptest.Doc(path)["textDocument"]
	file := source.New(path, text)
	for _, method := range []string{"documentSymbol", "codeLens", "documentLink", "diagnostic"} {
		ask("textDocument/"+method, lsptest.Object{"textDocument": doc})
	}
	for _, query := range []string{"", "zebra"} {
		ask("workspace/symbol", lsptest.Object{"query": query})
	}
	for at := range len(text) {
		line, column := file.UTF16(at)
		here := lsptest.Object{"textDocument": doc, "position": lsptest.Object{"line": line, "character": column}, "context": lsptest.Object{"includeDeclaration": true}}
		for _, method := range []string{"hover", "definition", "references", "completion", "signatureHelp"} {
			ask("textDocument/"+method, here)
		}
	}
	assert.NotContains(t, said, "ebra", "a name of the file outside")
	assert.NotContains(t, said, "Striped")
	assert.NotContains(t, said, "secret.block", "where the link leads")
	assert.Contains(t, said, "Pennant")
}
