package lsp_test

import (
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lang/syntax/format"
	"sewable/lint/linttest"
	"sewable/lint/rules"
	"sewable/lsp"
	"sewable/lsp/lsptest"
)

// offered are the code actions at a line, whole, by their titles.
func offered(t *testing.T, capabilities lsptest.Object, text string, line int) map[string]string {
	c := lsptest.InMemory(t, lsp.Options{Rules: rules.All})
	c.Initialize("", capabilities)
	path := filepath.Join(t.TempDir(), "a.block")
	c.Open(path, text, 1)
	var actions []json.RawMessage
	c.Must("textDocument/codeAction", object{
		"textDocument": object{"uri": lsptest.URI(path)}, "context": object{"diagnostics": []object{}},
		"range": object{"start": object{"line": line, "character": 0}, "end": object{"line": line, "character": 99}},
	}, &actions)
	out := map[string]string{}
	for _, a := range actions {
		var is struct{ Title string }
		require.NoError(t, json.Unmarshal(a, &is))
		out[is.Title] = string(a)
	}
	return out
}

const thin = `fabric sky
block "Thin" 4 by 4 {
  allowance 1/8
  section A {
    patch 1 skyy (0, 0) (4, 0) (4, 4) (0, 4)
  }
}
`

// Where the editor can put the cursor into an edit, it is put where the reason is to
// stand; elsewhere the accept is left without one, which a rule reports.
func TestReasonIsForTheDesigner(t *testing.T) {
	const title = "Accept missing-allowance here, with a reason"
	plain := offered(t, lsptest.Capabilities(), thin, 2)[title]
	assert.Contains(t, plain, `"newText":" // accept missing-allowance:"`)
	able := lsptest.With(lsptest.Capabilities(), true, "workspace", "workspaceEdit", "snippetEditSupport")
	assert.Contains(t, offered(t, able, thin, 2)[title], `"snippet":{"kind":"snippet","value":" // accept missing-allowance: $0"}`)
}

// A fix that somebody has to choose says that it is a guess, and is done without asking again.
func TestGuesses(t *testing.T) {
	found := false
	for title, a := range offered(t, lsptest.Capabilities(), thin, 4) {
		assert.NotContains(t, a, "needsConfirmation")
		if title == "Use sky instead (unsafe fix)" {
			found = true
			assert.Contains(t, a, `"changeAnnotations"`)
		}
	}
	assert.True(t, found)
}

// The cloth of a large block is worked out when the editor shows its lens.
func TestLensOfALargeBlock(t *testing.T) {
	c := lsptest.InMemory(t, lsp.Options{Rules: rules.All})
	c.Initialize("", lsptest.Capabilities())
	path := filepath.Join(t.TempDir(), "a.block")
	write(t, filepath.Join(filepath.Dir(path), linttest.PaletteName), linttest.Palette)
	c.Open(path, linttest.GenerateBlock(1, 900), 1)
	var lenses []json.RawMessage
	c.Must("textDocument/codeLens", object{"textDocument": object{"uri": lsptest.URI(path)}}, &lenses)
	require.NotEmpty(t, lenses)
	assert.NotContains(t, string(lenses[0]), "command")
	var whole struct{ Command struct{ Title string } }
	c.Must("codeLens/resolve", lenses[0], &whole)
	assert.Regexp(t, `^Sewable · \d+ patches · at least [\d /]+ yd of fabric$`, whole.Command.Title)
}

// The `use` that a fabric brings along ends its line as the document does.
func TestUseKeepsLineBreaks(t *testing.T) {
	c := lsptest.InMemory(t, lsp.Options{})
	dir := repository(t)
	write(t, filepath.Join(dir, "palette.block"), "fabric plum\n")
	c.Initialize(dir, lsptest.Capabilities())
	require.Eventually(t, func() bool { // the workspace has been checked
		var found []json.RawMessage
		c.Must("workspace/symbol", object{"query": "plum"}, &found)
		return len(found) == 1
	}, lsptest.Patience, 5*time.Millisecond)
	path := filepath.Join(dir, "a.block")
	c.Open(path, "block \"Tide\" 4 by 4 {\r\n  section A {\r\n    patch 1 \r\n  }\r\n}\r\n", 1)
	params := lsptest.Doc(path)
	params["position"] = object{"line": 2, "character": 12}
	var list struct {
		Items []struct {
			Label               string
			AdditionalTextEdits []struct{ NewText string }
		}
	}
	c.Must("textDocument/completion", params, &list)
	require.Len(t, list.Items, 1)
	assert.Equal(t, "plum", list.Items[0].Label)
	assert.Equal(t, "use \"palette.block\"\r\n\r\n", list.Items[0].AdditionalTextEdits[0].NewText)
}

// What the formatter changes in a document are few lines, and they give what it gives, also
// where lines move or repeat.
func TestFormattingGivesTheFormattedText(t *testing.T) {
	for _, c := range []struct {
		text  string
		lines int // the most that are sent
	}{
		{"fabric   sky\nfabric sea\n\n\n\nfabric  sand\n", 6},
		{"fabric a\n\n\n\nfabric b\n\n\n\nfabric b\n", 4},
		{"block \"T\" 6 by 6 {\nsection A {\npatch 1 sky (0,0) (6,0) (6,6)\n}\n}\n", 4},
		{"fabric sky", 2},
		{"", 0},
	} {
		c2 := lsptest.InMemory(t, lsp.Options{Rules: rules.All})
		c2.Initialize("", lsptest.Capabilities())
		path := filepath.Join(t.TempDir(), "a.block")
		c2.Open(path, c.text, 1)
		var edits []struct {
			Range   lsptest.Range
			NewText string
		}
		c2.Must("textDocument/formatting", object{"textDocument": object{"uri": lsptest.URI(path)}, "options": object{"tabSize": 2, "insertSpaces": true}}, &edits)
		text, lines := c.text, 0
		for i := len(edits) - 1; i >= 0; i-- { // from the end, so that places hold
			from, to := offset(strings.SplitAfter(c.text, "\n"), edits[i].Range.Start, "utf-16"), offset(strings.SplitAfter(c.text, "\n"), edits[i].Range.End, "utf-16")
			text = text[:from] + edits[i].NewText + text[to:]
			lines += strings.Count(edits[i].NewText, "\n")
		}
		assert.Equal(t, format.Format(syntax.Parse(source.New("a.block", c.text))), text)
		assert.LessOrEqual(t, lines, c.lines)
	}
}
