package lsp_test

import (
	"encoding/json"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lint/linttest"
	"sewable/lsp"
	"sewable/lsp/lsptest"
)

// What is remembered of one text is told apart by all that it is an answer to: the patch, the way pictures are
// shown, the answer that an editor has.
func TestWhatIsRememberedOfOneText(t *testing.T) {
	c := lsptest.InMemory(t, lsp.Options{})
	dir := repository(t)
	write(t, filepath.Join(dir, linttest.PaletteName), linttest.Palette)
	c.Initialize(dir, lsptest.Capabilities())
	path := filepath.Join(dir, "a.block")
	text := "fabric sky\nfabric sea\nblock \"T\" 4 by 4 {\n  allowance 1/4\n  section A {\n    patch 1 sky (0, 0) (4, 0) (4, 1) (0, 1)\n" +
		"    patch 2 sea (0, 1) (4, 1) (4, 2) (0, 2)\n    patch 3 sky (0, 2) (4, 2) (4, 4) (0, 4)\n  }\n}\n"
	c.Open(path, text, 1)
	lines := strings.Split(text, "\n")
	at := func(patch string) lsptest.Position {
		return lsptest.Position{Line: slices.IndexFunc(lines, func(l string) bool { return strings.Contains(l, patch) }), Character: 5}
	}

	var tokens struct {
		Data  []uint32          `json:"data"`
		Edits []json.RawMessage `json:"edits"`
	}
	c.Must("textDocument/semanticTokens/full/delta", object{"textDocument": object{"uri": lsptest.URI(path)}, "previousResultId": ""}, &tokens)
	assert.NotEmpty(t, tokens.Data, "there is nothing to be different from")
	tokens.Data = nil
	c.Must("textDocument/semanticTokens/full/delta", object{"textDocument": object{"uri": lsptest.URI(path)}, "previousResultId": "of another"}, &tokens)
	assert.NotEmpty(t, tokens.Data)

	actions := func(patch string) string {
		var out []json.RawMessage
		c.Must("textDocument/codeAction", object{
			"textDocument": object{"uri": lsptest.URI(path)}, "range": lsptest.Range{Start: at(patch), End: at(patch)}, "context": object{"diagnostics": []any{}},
		}, &out)
		return string(joined(out))
	}
	two, three := actions("patch 2"), actions("patch 3")
	require.Contains(t, two, "Renumber from this patch")
	assert.NotEqual(t, two, three)
	assert.Equal(t, two, actions("patch 2"))

	hover := func(patch string) string {
		var hover struct {
			Contents struct{ Value string } `json:"contents"`
		}
		c.Must("textDocument/hover", lsptest.At(path, at(patch)), &hover)
		return hover.Contents.Value
	}
	for _, pictures := range []string{"text", "image", "none", "text"} {
		c.Notify("workspace/didChangeConfiguration", object{"settings": object{"sewable": object{"pictures": pictures}}})
		shown := hover("patch 2")
		assert.Equal(t, pictures == "image", strings.Contains(shown, "data:image/svg"), pictures)
		assert.Equal(t, pictures == "text", strings.Contains(shown, "```text"), pictures)
		if pictures == "image" {
			_, two, _ := strings.Cut(shown, "base64,")
			_, three, _ := strings.Cut(hover("patch 3"), "base64,")
			assert.NotEqual(t, two, three)
			_, again, _ := strings.Cut(hover("patch 2"), "base64,")
			assert.Equal(t, two, again)
		}
	}
}
