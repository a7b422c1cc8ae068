package lsp_test

import (
	"bufio"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lint/linttest"
	"sewable/lsp"
	"sewable/lsp/lsptest"
)

const harbourPalette = linttest.Palette + "fabric sky \"Morning sky\" #c3dcea\nfabric sea \"Harbour blue\" #2f7098\n"

const buoy = `use "palette.block"
allowance 1/4
block "Buoy" 4 by 4 {
  section A {
    outline (0, 0) (4, 0) (4, 4) (0, 4)
    patch 1 sky around (2, 2)
    patch 2 sea beyond (0, 1) (4, 1)
    patch 3 sky beyond (0, 3) (4, 3)
  }
}
`

// previewed is a document with a preview, and a window that is open at it.
type previewed struct {
	c      *lsptest.Client
	path   string
	url    string
	events chan [2]string
}

func newPreviewed(t testing.TB, capabilities object, text string) *previewed {
	dir := t.TempDir()
	c, path := lsptest.InMemory(t, lsp.Options{}), filepath.Join(dir, "buoy.block")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "palette.block"), []byte(harbourPalette), 0o644))
	c.Handle["window/showDocument"] = func(json.RawMessage) any { return object{"success": true} }
	c.Initialize(dir, capabilities)
	c.Open(path, text, 1)
	return preview(t, c, path)
}

// preview opens the preview of a document that is open, and a window at it.
func preview(t testing.TB, c *lsptest.Client, path string) *previewed {
	p := &previewed{c: c, path: path, events: make(chan [2]string, 1000)}
	p.c.Must("workspace/executeCommand", object{"command": "sewable.preview", "arguments": []string{lsptest.URI(p.path)}}, &p.url)
	answer, err := http.Get(p.url + "events")
	require.NoError(t, err)
	require.Equal(t, http.StatusOK, answer.StatusCode)
	t.Cleanup(func() { answer.Body.Close() })
	go func() {
		var name string
		lines := bufio.NewReader(answer.Body)
		for {
			line, err := lines.ReadString('\n')
			if err != nil {
				close(p.events)
				return
			}
			key, value, _ := strings.Cut(strings.TrimSpace(line), ": ")
			switch key {
			case "event":
				name = value
			case "data":
				p.events <- [2]string{name, value}
			}
		}
	}()
	return p
}

// await waits for an event that holds something.
func (p *previewed) await(t testing.TB, name, part string) string {
	t.Helper()
	late := time.After(lsptest.Patience)
	for {
		select {
		case e, ok := <-p.events:
			if !ok {
				t.Fatalf("the stream ended before %s with %s", name, part)
			}
			if e[0] == name && strings.Contains(e[1], part) {
				return e[1]
			}
		case <-late:
			t.Fatalf("waited in vain for %s with %s", name, part)
		}
	}
}

func shows() object {
	return lsptest.With(lsptest.Capabilities(), object{"support": true}, "window", "showDocument")
}

// The command opens the page in the browser; the page follows what is typed.
func TestPreviewFollowsTyping(t *testing.T) {
	p := newPreviewed(t, shows(), buoy)
	asked := p.c.Sent("window/showDocument")
	require.Len(t, asked, 1)
	assert.JSONEq(t, fmt.Sprintf(`{"uri": %q, "external": true}`, p.url), string(asked[0]))
	p.await(t, "picture", "A3 ")

	at := lsptest.Position{Line: 7, Character: 0}
	p.c.Change(p.path, 2, object{"range": lsptest.Range{Start: at, End: lsptest.Position{Line: 8}}, "text": ""})
	drawn := p.await(t, "picture", "2 patches")
	assert.NotContains(t, drawn, "patch-A3")
	// A line that is being typed: the drawing is of now.
	p.c.Change(p.path, 3, object{"range": lsptest.Range{Start: at, End: at}, "text": "    patch 3 sky beyond (0,"})
	assert.Contains(t, p.await(t, "words", "unreadable-line"), `"old":false`)
	p.c.Change(p.path, 4, object{"range": lsptest.Range{Start: lsptest.Position{Line: 7, Character: 26}, End: lsptest.Position{Line: 7, Character: 26}}, "text": " 3) (4, 3)\n"})
	p.await(t, "picture", "patch-A3")

	// Asked again, it is the same page.
	var again string
	p.c.Must("workspace/executeCommand", object{"command": "sewable.preview"}, &again)
	assert.Equal(t, p.url, again)

	// What a document uses counts too.
	palette := filepath.Join(filepath.Dir(p.path), "palette.block")
	p.c.Open(palette, strings.Replace(harbourPalette, "fabric sky ", "fabric skyy ", 1), 1)
	p.await(t, "words", "There is no fabric called sky")

	p.c.Shutdown()
	p.await(t, "bye", "ended")
}

// A click goes to the line.
func TestPreviewClick(t *testing.T) {
	click := func(p *previewed) string {
		u, err := url.Parse(p.url)
		require.NoError(t, err)
		r, err := http.NewRequest(http.MethodPost, p.url+"goto", strings.NewReader(`{"line": 7, "column": 5}`))
		require.NoError(t, err)
		r.Header.Set("Content-Type", "application/json")
		r.Header.Set("Origin", "http://"+u.Host)
		answer, err := http.DefaultClient.Do(r)
		require.NoError(t, err)
		defer answer.Body.Close()
		var said struct{ Said string }
		require.NoError(t, json.NewDecoder(answer.Body).Decode(&said))
		return said.Said
	}
	t.Run("in an editor that can be sent there", func(t *testing.T) {
		p := newPreviewed(t, shows(), buoy)
		p.await(t, "words", "Buoy")
		assert.Equal(t, "The editor shows line 7.", click(p))
		asked := p.c.Sent("window/showDocument")
		assert.JSONEq(t, fmt.Sprintf(`{"uri": %q, "takeFocus": true, "selection": {"start": {"line": 6, "character": 4}, "end": {"line": 6, "character": 4}}}`,
			lsptest.URI(p.path)), string(asked[len(asked)-1]))
	})
	t.Run("in one that cannot", func(t *testing.T) {
		p := newPreviewed(t, lsptest.Capabilities(), buoy)
		p.await(t, "words", "Buoy")
		assert.Contains(t, click(p), "line 7")
		var said []string
		p.c.Await("two messages", func([]lsptest.Message) bool {
			said = nil
			for _, m := range p.c.SentLocked("window/showMessage") {
				said = append(said, string(m))
			}
			return len(said) == 2
		})
		assert.Contains(t, said[0], p.url)
		assert.Contains(t, said[1], "buoy.block:7:5")
	})
}

// Where the cursor is lights its patch: known from what editors ask and where they type,
// or said by one that says it, which is then believed alone.
func TestPreviewCursor(t *testing.T) {
	p := newPreviewed(t, shows(), buoy)
	p.await(t, "words", "Buoy")
	lights := func(what string) {
		t.Helper()
		var lit struct {
			Block, What string
			Patches     []string
		}
		for lit.What != what {
			require.NoError(t, json.Unmarshal([]byte(p.await(t, "light", "")), &lit))
		}
		if strings.HasPrefix(what, "A") {
			assert.Equal(t, []string{what}, lit.Patches)
		}
	}
	p.c.Must("textDocument/documentHighlight", lsptest.At(p.path, lsptest.Position{Line: 6, Character: 8}), nil)
	lights("A2")
	at := lsptest.Doc(p.path)
	here := lsptest.Position{Line: 7, Character: 2}
	at["range"], at["context"] = lsptest.Range{Start: here, End: here}, object{"diagnostics": []object{}}
	p.c.Must("textDocument/codeAction", at, nil)
	lights("A3")
	p.c.Must("textDocument/hover", lsptest.At(p.path, lsptest.Position{Line: 5, Character: 5}), nil)
	lights("A1")
	p.c.Must("textDocument/documentHighlight", lsptest.At(p.path, lsptest.Position{Line: 3, Character: 4}), nil)
	lights("section A")
	p.c.Must("textDocument/documentHighlight", lsptest.At(p.path, lsptest.Position{Line: 0, Character: 1}), nil)
	lights("")
	end := lsptest.Position{Line: 6, Character: 11}
	p.c.Change(p.path, 2, object{"range": lsptest.Range{Start: end, End: end}, "text": " "})
	lights("A2")

	p.c.Notify("sewable/cursor", lsptest.At(p.path, lsptest.Position{Line: 7, Character: 0}))
	lights("A3")
	p.c.Must("textDocument/hover", lsptest.At(p.path, lsptest.Position{Line: 5, Character: 5}), nil) // the mouse, elsewhere
	p.c.Notify("sewable/cursor", lsptest.At(p.path, lsptest.Position{Line: 6, Character: 0}))
	var lit struct{ What string }
	require.NoError(t, json.Unmarshal([]byte(p.await(t, "light", "")), &lit))
	assert.Equal(t, "A2", lit.What, "without A1 in between")
}

// The cursor on a patch lights the ones that were copied from it as well.
func TestPreviewCursorOnCopies(t *testing.T) {
	p := newPreviewed(t, shows(), strings.Replace(buoy, "block \"Buoy\" 4 by 4 {", "block \"Buoy\" 8 by 4 {", 1)[:len(buoy)-2]+
		"  section B = A moved (4, 0)\n  join A to B\n}\n")
	p.await(t, "words", "B3")
	p.c.Notify("sewable/cursor", lsptest.At(p.path, lsptest.Position{Line: 6, Character: 8}))
	p.await(t, "light", `"patches":["A2","B2"]`)
	p.c.Notify("sewable/cursor", lsptest.At(p.path, lsptest.Position{Line: 10, Character: 8}))
	p.await(t, "light", `join A to B`)
}

func TestPreviewRefused(t *testing.T) {
	dir := repository(t)
	c := lsptest.InMemory(t, lsp.Options{})
	c.Initialize(dir, shows())
	for _, params := range []object{
		{"command": "sewable.preview"}, // nothing is open
		{"command": "sewable.preview", "arguments": []any{7}},
		{"command": "sewable.preview", "arguments": []string{lsptest.URI(filepath.Join(dir, "none.block"))}},
		{"command": "sewable.other"},
	} {
		assert.Error(t, c.Call("workspace/executeCommand", params, nil), params)
	}
	assert.Empty(t, c.Sent("window/showDocument"))
}

// Typing while a preview is open, to the drawing and to the diagnostics.
func BenchmarkPreview(b *testing.B) {
	text := linttest.GenerateBlock(3, 40)
	p := newPreviewed(b, shows(), text)
	p.c.Unchecked()
	p.await(b, "picture", "")
	lines := strings.Split(text, "\n")
	line := 0
	for !strings.HasPrefix(strings.TrimSpace(lines[line]), "block ") {
		line++
	}
	at := lsptest.Position{Line: line, Character: strings.Index(lines[line], `"`) + 1}
	version := 1
	typeIn := func() int {
		version++
		p.c.Change(p.path, version, object{"range": lsptest.Range{Start: at, End: at}, "text": "x"})
		return version
	}
	b.Run("edit to drawing", func(b *testing.B) {
		for b.Loop() {
			p.await(b, "picture", `"title":"`+strings.Repeat("x", typeIn()-1))
		}
	})
	b.Run("edit of a large block to diagnostics", func(b *testing.B) { // as BenchmarkEditToDiagnostics, which has no preview
		c, path, edit := large(b)
		p := preview(b, c, path)
		go func() {
			for range p.events {
			}
		}()
		for b.Loop() {
			c.Found(path, edit())
		}
	})
}
