package lsp_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lint"
	"sewable/lint/rules"
	"sewable/lsp"
	"sewable/lsp/lsptest"
	"sewable/lsp/wire"
)

// alive shows that the server still answers.
func alive(t *testing.T, c *lsptest.Client) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "alive.block")
	c.Open(path, calm, 1)
	var symbols []json.RawMessage
	c.Must("textDocument/documentSymbol", lsptest.Doc(path), &symbols)
	assert.NotEmpty(t, symbols)
}

// complaint waits for an answer without an id that has the code.
func complaint(t *testing.T, c *lsptest.Client, code int) {
	t.Helper()
	want := fmt.Sprintf(`"code":%d`, code)
	c.Await("a complaint "+want, func(sent []lsptest.Message) bool {
		for _, m := range sent {
			if m.Method == "" && bytes.Contains(m.Params, []byte(want)) && bytes.Contains(m.Params, []byte(`"id":null`)) {
				return true
			}
		}
		return false
	})
}

func TestMalformedMessages(t *testing.T) {
	for name, x := range map[string]struct {
		bytes string
		code  int
	}{
		"no JSON":              {frame(`{"jsonrpc":`), parseError},
		"no JSON at all":       {frame("nonsense"), parseError},
		"an empty body":        {"Content-Length: 0\r\n\r\n", parseError},
		"a batch":              {frame(`[{"jsonrpc":"2.0","method":"initialized"}]`), invalidRequest},
		"another version":      {frame(`{"jsonrpc":"1.0","id":1,"method":"shutdown"}`), invalidRequest},
		"no method":            {frame(`{"jsonrpc":"2.0","params":{}}`), invalidRequest},
		"a header of nonsense": {"nonsense\r\n\r\n", parseError},
		"no length":            {"Content-Type: x\r\n\r\n", parseError},
		"a length of nonsense": {"Content-Length: many\r\n\r\n", parseError},
		"a negative length":    {"Content-Length: -5\r\n\r\n", parseError},
		"a huge number":        {"Content-Length: 99999999999999999999\r\n\r\n", parseError},
		"more than there is":   {"Content-Length: 99999999999\r\n\r\n", parseError},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c, _ := start(t)
			_ = c.Raw([]byte(x.bytes))
			complaint(t, c, x.code)
			alive(t, c)
			assert.Zero(t, c.Shutdown())
		})
	}
}

func frame(body string) string { return string(wire.AppendFrame(nil, []byte(body))) }

// Lower-case headers, unknown headers and white space are all the same to the server.
func TestHeaders(t *testing.T) {
	c, _ := start(t)
	body := `{"jsonrpc":"2.0","id":4000000000,"method":"shutdown"}`
	_ = c.Raw([]byte(fmt.Sprintf("\r\ncontent-type: application/vscode-jsonrpc; charset=utf-8\r\ncontent-length:%d\r\n\r\n%s", len(body), body)))
	c.Await("the answer", func(sent []lsptest.Message) bool {
		return slices.ContainsFunc(sent, func(m lsptest.Message) bool { return bytes.Contains(m.Params, []byte("4000000000")) })
	})
}

func TestWrongParameters(t *testing.T) {
	c, _ := start(t)
	for _, params := range []any{object{}, object{"textDocument": 5}, []int{1}, "text", object{"textDocument": object{"uri": "file:///nowhere/at/all.block"}, "position": object{"line": 0, "character": 0}}} {
		assert.Equal(t, invalidParams, code(t, c.Call("textDocument/hover", params, nil)), "%v", params)
	}
	c.Notify("textDocument/didOpen", object{"textDocument": "nonsense"})
	c.Notify("textDocument/didChange", object{})
	alive(t, c)
}

// A message that breaks off ends the server, with the code for a missing shutdown.
func TestHalfMessage(t *testing.T) {
	c, _ := start(t)
	_ = c.Raw([]byte("Content-Length: 500\r\n\r\n{\"jsonrpc\":"))
	c.Leave()
	assert.Equal(t, 1, c.Left())
}

// A message may come in any pieces.
func TestSlowMessage(t *testing.T) {
	c, _ := start(t)
	path := filepath.Join(t.TempDir(), "slow.block")
	body, _ := json.Marshal(object{"jsonrpc": "2.0", "method": "textDocument/didOpen", "params": object{
		"textDocument": object{"uri": lsptest.URI(path), "languageId": "sewable", "version": 1, "text": calm},
	}})
	_ = c.Raw(slices.Collect(slices.Chunk(wire.AppendFrame(nil, body), 1))...)
	c.Found(path, 1)
}

// A hundred megabytes of junk, in one line and in many, cost nothing and do not
// keep the server from what follows.
func TestJunk(t *testing.T) {
	c, _ := start(t)
	junk := bytes.Repeat([]byte("0123456789abcdef"), 1<<16)
	_ = c.Raw(append(slices.Repeat([][]byte{junk}, 50), []byte("\n"))...)
	lines := bytes.Repeat([]byte("junk: 0123456789\n"), 1<<16)
	_ = c.Raw(append(slices.Repeat([][]byte{lines}, 45), []byte("\r\n"))...)
	alive(t, c)
	// A body that is larger than anything the server takes is passed over.
	header := []byte(fmt.Sprintf("Content-Length: %d\r\n\r\n", 100<<20))
	_ = c.Raw(append([][]byte{header}, slices.Repeat([][]byte{junk}, 100)...)...)
	alive(t, c)
	assert.Zero(t, c.Shutdown())
}

// An editor that does not read cannot make the server hold its answers without
// end, nor keep it from hearing the end.
func TestEditorNeverReads(t *testing.T) {
	c := newSilent(t)
	for i := range 3000 {
		if !c.call(i, "textDocument/semanticTokens/full") {
			break
		}
	}
	c.leave()
	select {
	case code := <-c.exit:
		assert.Equal(t, 1, code)
	case <-time.After(lsptest.Patience):
		t.Fatal("the server is still there")
	}
}

// What it types is heard all the same, however much the server would have to say about it.
func TestEditorTypesAndNeverReads(t *testing.T) {
	c := newSilent(t)
	text := strings.Repeat("fabric "+strings.Repeat("x", 190)+"\n", 1200) // declared again and again
	for i := range 40 {
		require.True(t, c.send(object{"method": "textDocument/didChange", "params": object{
			"textDocument": object{"uri": c.uri, "version": i + 2}, "contentChanges": []object{{"text": text + strings.Repeat("\n", i)}},
		}}), "edit %d", i)
		time.Sleep(20 * time.Millisecond) // the findings are sent
	}
	require.True(t, c.send(object{"method": "exit"}))
	select {
	case <-c.exit:
	case <-time.After(lsptest.Patience):
		t.Fatal("the server is still there")
	}
}

// A handler that breaks down gives an error, and the server goes on.
func TestPanic(t *testing.T) {
	c := lsptest.InMemory(t, lsp.Options{OnRequest: func(method string) {
		if method == "textDocument/codeLens" {
			panic("a test breaks down")
		}
	}})
	c.Initialize("", lsptest.Capabilities())
	assert.Equal(t, internalError, code(t, c.Call("textDocument/codeLens", lsptest.Doc("x.block"), nil)))
	alive(t, c)
	assert.Zero(t, c.Shutdown())
}

// A rule that breaks down is logged; the others still speak.
func TestRuleBreaksDown(t *testing.T) {
	broken := &lint.Rule{Name: "broken", Level: lint.Error, Title: "Broken", Run: func(*lint.Pass) { panic("a rule breaks down") }}
	c := lsptest.InMemory(t, lsp.Options{Rules: append([]*lint.Rule{broken}, rules.All...)})
	c.Initialize("", lsptest.Capabilities())
	path := filepath.Join(t.TempDir(), "a.block")
	c.Open(path, strings.Replace(calm, "  allowance 1/4\n", "", 1), 1)
	d := c.Found(path, 1)
	assert.Len(t, d.Diagnostics, 1)
	c.Await("the log", func(sent []lsptest.Message) bool {
		for _, m := range sent {
			if m.Method == "window/logMessage" && bytes.Contains(m.Params, []byte("internal error")) {
				return true
			}
		}
		return false
	})
}

// Edits whose ranges lie outside the text go to the nearest place inside.
func TestEditsOutside(t *testing.T) {
	c, dir := start(t)
	path := filepath.Join(dir, "a.block")
	c.Open(path, calm, 1)
	far := lsptest.Position{Line: 1 << 20, Character: 1 << 20}
	c.Change(path, 2, object{"range": lsptest.Range{Start: far, End: far}, "text": "// end\n"})
	c.Change(path, 3, object{"range": lsptest.Range{Start: far, End: lsptest.Position{}}, "text": calm}) // backwards
	c.Change(path, 4, object{"range": lsptest.Range{Start: lsptest.Position{Line: 0, Character: 1 << 30}, End: lsptest.Position{Line: 0, Character: 1 << 30}}, "text": " // sky"})
	var hints []json.RawMessage
	c.Must("textDocument/inlayHint", object{"textDocument": object{"uri": lsptest.URI(path)}, "range": lsptest.Range{Start: far, End: far}}, &hints)
	c.Must("textDocument/hover", lsptest.At(path, far), nil)
	c.Must("textDocument/selectionRange", object{"textDocument": object{"uri": lsptest.URI(path)}, "positions": []lsptest.Position{far}}, nil)
	assert.Empty(t, c.Found(path, 4).Diagnostics)
	c.Change(filepath.Join(dir, "never-opened.block"), 2, object{"text": "x"})
	alive(t, c)
}

// A document that is closed while a request about it is at work does no harm.
func TestClosedDuringRequest(t *testing.T) {
	c, dir := start(t)
	path := filepath.Join(dir, "a.block")
	for i := range 50 {
		c.Open(path, calm, i)
		_, a := c.Ask("textDocument/hover", lsptest.At(path, lsptest.Position{Line: 4, Character: 12}))
		_, b := c.Ask("textDocument/semanticTokens/full", lsptest.Doc(path))
		c.Close(path)
		c.Wait(a)
		c.Wait(b)
	}
	// The file was never saved: what follows finds none, and the server says so.
	assert.Equal(t, invalidParams, code(t, c.Call("textDocument/documentSymbol", lsptest.Doc(path), nil)))
	alive(t, c)
}

// Of a file that holds no blocks nothing is said, whatever is asked, and its text is left alone.
func TestNoBlockFile(t *testing.T) {
	c, dir := start(t)
	notes := write(t, filepath.Join(dir, "notes.txt"), calm)
	c.Notify("textDocument/didOpen", object{"textDocument": object{"uri": lsptest.URI(notes), "languageId": "plaintext", "version": 1, "text": calm}})
	c.Change(notes, 2, object{"text": "block"})
	settings := write(t, filepath.Join(dir, lint.SettingsName), "[limits]\nallowance   =   \"1/4 in\"\n")
	c.Open(settings, "[limits]\n", 1)
	for _, path := range []string{settings, notes} {
		at := lsptest.At(path, lsptest.Position{Line: 1, Character: 2})
		everywhere := object{
			"textDocument": at["textDocument"], "position": at["position"], "range": lsptest.Range{End: lsptest.Position{Line: 2}},
			"positions": []any{at["position"]}, "context": object{"diagnostics": []any{}, "includeDeclaration": true},
			"options": object{"tabSize": 2, "insertSpaces": true}, "newName": "dawn", "previousResultId": "1",
			"color": object{"red": 0, "green": 0, "blue": 0, "alpha": 1},
		}
		for _, method := range []string{
			"hover", "completion", "signatureHelp", "definition", "references", "documentHighlight", "documentSymbol", "documentLink",
			"prepareCallHierarchy", "inlayHint", "codeLens", "semanticTokens/full", "semanticTokens/full/delta", "semanticTokens/range",
			"foldingRange", "selectionRange", "documentColor", "colorPresentation", "linkedEditingRange", "formatting", "rangeFormatting",
			"prepareRename", "rename", "codeAction",
		} {
			var answer json.RawMessage
			c.Must("textDocument/"+method, everywhere, &answer)
			assert.Contains(t, []string{"null", "[]"}, string(answer), method)
		}
	}
	for _, raw := range c.Sent("textDocument/publishDiagnostics") {
		assert.NotContains(t, string(raw), "notes.txt")
	}
	assert.Empty(t, c.Sent("window/logMessage"))
	c = lsptest.InMemory(t, lsp.Options{})
	c.Initialize(dir, lsptest.With(lsptest.Capabilities(), object{}, "textDocument", "diagnostic"))
	var report struct{ Items []json.RawMessage }
	c.Must("textDocument/diagnostic", lsptest.Doc(notes), &report)
	assert.Empty(t, report.Items)
}

// A document that was never saved works, and uses the files of its folder.
func TestUntitled(t *testing.T) {
	c, dir := start(t)
	write(t, filepath.Join(dir, "palette.block"), "fabric sky\n")
	u := "untitled:Untitled-1"
	c.Notify("textDocument/didOpen", object{"textDocument": object{
		"uri": u, "languageId": "sewable", "version": 1, "text": strings.Replace(calm, "fabric sky\n", "use \"palette.block\"\n", 1),
	}})
	c.Await("its diagnostics", func([]lsptest.Message) bool {
		for _, raw := range c.SentLocked("textDocument/publishDiagnostics") {
			if bytes.Contains(raw, []byte(u)) {
				assert.Contains(t, string(raw), `"diagnostics":[]`)
				return true
			}
		}
		return false
	})
}
