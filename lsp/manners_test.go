package lsp_test

import (
	"bytes"
	"context"
	"encoding/base64"
	"encoding/json"
	"encoding/xml"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lint"
	"sewable/lint/linttest"
	"sewable/lint/rules"
	"sewable/lsp"
	"sewable/lsp/lsptest"
)

// serveAsProcess makes this program the server, for tests that start it as one.
func serveAsProcess() {
	if os.Getenv("SERVE") != "" {
		os.Exit(lsp.Serve(context.Background(), os.Stdin, os.Stdout, lsp.Options{Rules: rules.All}))
	}
}

// Over the standard streams of a process it is the same as in memory.
func TestProcess(t *testing.T) {
	t.Setenv("SERVE", "yes")
	c := lsptest.Process(t, os.Args[0])
	c.Initialize("", lsptest.Capabilities())
	path := filepath.Join(t.TempDir(), "a.block")
	c.Open(path, calm, 1)
	assert.Empty(t, c.Found(path, 1).Diagnostics)
	assert.Zero(t, c.Shutdown())

	c = lsptest.Process(t, os.Args[0])
	c.Initialize("", lsptest.Capabilities())
	c.Leave()
	assert.Equal(t, 1, c.Left())
}

// slow is a rule that waits for a word.
func slow(word chan struct{}) []*lint.Rule {
	return append([]*lint.Rule{{Name: "slow", Level: lint.Error, Title: "Slow", Run: func(*lint.Pass) { <-word }}}, rules.All...)
}

// A cancelled request is answered at once, with its code, whatever it is doing.
func TestCancel(t *testing.T) {
	word := make(chan struct{})
	defer close(word)
	c := lsptest.InMemory(t, lsp.Options{Rules: slow(word)})
	c.Initialize("", lsptest.With(lsptest.Capabilities(), object{}, "textDocument", "diagnostic"))
	path := filepath.Join(t.TempDir(), "a.block")
	c.Open(path, calm, 1)
	id, answer := c.Ask("textDocument/diagnostic", lsptest.Doc(path))
	c.Notify("$/cancelRequest", object{"id": 1 << 40}) // unknown, and larger than 32 bits
	c.Notify("$/cancelRequest", object{"id": id})
	assert.Equal(t, cancelled, c.Wait(answer).Error.Code)
}

// An edit ends what is asked about the text before it.
func TestContentModified(t *testing.T) {
	word := make(chan struct{})
	defer close(word)
	c := lsptest.InMemory(t, lsp.Options{Rules: slow(word)})
	c.Initialize("", lsptest.With(lsptest.Capabilities(), object{}, "textDocument", "diagnostic"))
	path := filepath.Join(t.TempDir(), "a.block")
	c.Open(path, calm, 1)
	_, answer := c.Ask("textDocument/diagnostic", lsptest.Doc(path))
	c.Change(path, 2, object{"text": calm + "\n"})
	assert.Equal(t, contentChanged, c.Wait(answer).Error.Code)
}

// Of 30 edits in a burst the diagnostics that come last are the last text's. Those that
// come before are of the text whose version they carry, and none is older than one before it.
func TestBurst(t *testing.T) {
	c, dir := start(t)
	path := filepath.Join(dir, "a.block")
	c.Open(path, calm, 0)
	for version := 1; version <= 30; version++ {
		text := calm
		if version%2 == 0 {
			text = strings.Replace(calm, "patch 1 sky", "patch 1 nosuch", 1)
		}
		c.Change(path, version, object{"text": text})
	}
	assert.Len(t, c.Found(path, 30).Diagnostics, 1)
	last := -1
	for _, raw := range c.Sent("textDocument/publishDiagnostics") {
		var d lsptest.Diagnostics
		require.NoError(t, json.Unmarshal(raw, &d))
		if d.URI == lsptest.URI(path) {
			assert.Greater(t, *d.Version, last)
			last = *d.Version
			wrong := 0
			if last > 0 && last%2 == 0 {
				wrong = 1
			}
			assert.Len(t, d.Diagnostics, wrong, "of version %d", last)
		}
	}
}

// What is on disk counts when the editor says that it has changed: block files,
// palettes and settings.
func TestDisk(t *testing.T) {
	c, dir := start(t)
	palette := write(t, filepath.Join(dir, "palette.block"), "fabric sky\n")
	path := filepath.Join(dir, "a.block")
	c.Open(path, strings.Replace(calm, "fabric sky\n", "use \"palette.block\"\n", 1), 1)
	assert.Empty(t, c.Found(path, 1).Diagnostics)
	changed := func(file string, kind int) {
		c.Notify("workspace/didChangeWatchedFiles", object{"changes": []object{{"uri": lsptest.URI(file), "type": kind}}})
	}
	await := func(what string, n int) {
		t.Helper()
		c.Await(what, func([]lsptest.Message) bool { return len(c.FoundLocked(path).Diagnostics) == n })
	}
	write(t, palette, "fabric dawn\n")
	changed(palette, 2)
	await("the fabric to be gone", 1)
	write(t, palette, "fabric sky\n")
	changed(palette, 2)
	await("the fabric to be there", 0)

	settings := write(t, filepath.Join(dir, "sewable.toml"), "[limits]\nallowance = \"1/2 in\"\n")
	changed(settings, 1)
	await("the allowance to be too little", 1)
	require.NoError(t, os.Remove(settings))
	changed(settings, 3)
	await("the settings to be gone", 0)

	// A file that is not open is checked too, and forgotten when it is gone.
	other := write(t, filepath.Join(dir, "b.block"), strings.Replace(calm, "fabric sky\n", "", 1))
	changed(other, 1)
	c.Await("the findings of b.block", func([]lsptest.Message) bool { return len(c.FoundLocked(other).Diagnostics) > 0 })
	require.NoError(t, os.Remove(other))
	changed(other, 3)
	c.Await("b.block to be forgotten", func([]lsptest.Message) bool { return len(c.FoundLocked(other).Diagnostics) == 0 })
}

// An edit of a palette is heeded by the files that use it, open or not.
func TestUsersAreCheckedAgain(t *testing.T) {
	dir := repository(t)
	user := strings.Replace(calm, "fabric sky\n", "use \"palette.block\"\n", 1)
	palette := write(t, filepath.Join(dir, "palette.block"), "fabric sky\n")
	open, closed := filepath.Join(dir, "open.block"), write(t, filepath.Join(dir, "closed.block"), user)
	c := lsptest.InMemory(t, lsp.Options{})
	c.Initialize(dir, lsptest.Capabilities())
	c.Open(palette, "fabric sky\n", 1)
	c.Open(open, user, 1)
	c.Found(open, 1)
	require.Eventually(t, func() bool { // the workspace has been checked
		var found []json.RawMessage
		c.Must("workspace/symbol", object{"query": "Calm"}, &found)
		return len(found) == 2
	}, lsptest.Patience, 5*time.Millisecond)
	c.Change(palette, 2, object{"text": "fabric dawn\n"})
	for _, path := range []string{open, closed} {
		c.Await("the findings of "+filepath.Base(path), func([]lsptest.Message) bool { return len(c.FoundLocked(path).Diagnostics) == 1 })
	}
}

// A large workspace is checked with progress that the editor shows, and its folders
// can come and go.
func TestWorkspace(t *testing.T) {
	c := lsptest.InMemory(t, lsp.Options{})
	dir := repository(t)
	for i := range 120 {
		write(t, filepath.Join(dir, string(rune('a'+i%26))+strings.Repeat("x", i/26)+".block"), calm)
	}
	c.Initialize(dir, lsptest.Capabilities())
	c.Await("the end of progress", func([]lsptest.Message) bool {
		return bytes.Contains(joined(c.SentLocked("$/progress")), []byte(`"kind":"end"`))
	})
	second := repository(t)
	bad := write(t, filepath.Join(second, "bad.block"), strings.Replace(calm, "fabric sky\n", "", 1))
	folder := []object{{"uri": lsptest.URI(second), "name": "second"}}
	c.Notify("workspace/didChangeWorkspaceFolders", object{"event": object{"added": folder, "removed": []object{}}})
	c.Await("the second folder", func([]lsptest.Message) bool { return len(c.FoundLocked(bad).Diagnostics) == 1 })
	c.Notify("workspace/didChangeWorkspaceFolders", object{"event": object{"added": []object{}, "removed": folder}})
	c.Await("the second folder to go", func([]lsptest.Message) bool { return len(c.FoundLocked(bad).Diagnostics) == 0 })
	assert.Zero(t, c.Shutdown())
}

// A file that was checked on disk, opened, mended and closed unsaved has its findings again:
// those of the disk.
func TestClosedUnsaved(t *testing.T) {
	c := lsptest.InMemory(t, lsp.Options{})
	dir := repository(t)
	text := strings.Replace(calm, "fabric sky\n", "", 1)
	path := write(t, filepath.Join(dir, "bad.block"), text)
	c.Initialize(dir, lsptest.Capabilities())
	found := func(n int) func([]lsptest.Message) bool {
		return func([]lsptest.Message) bool { return len(c.FoundLocked(path).Diagnostics) == n }
	}
	c.Await("the findings on disk", found(1))
	c.Open(path, text, 1)
	c.Found(path, 1)
	c.Change(path, 2, object{"text": calm})
	c.Found(path, 2)
	c.Await("nothing to be found", found(0))
	c.Close(path)
	c.Await("the findings on disk again", found(1))
	assert.Zero(t, c.Shutdown())
}

// Asked twice, unchanged diagnostics are not sent twice; many files come in parts to
// an editor that takes parts.
func TestPull(t *testing.T) {
	c := lsptest.InMemory(t, lsp.Options{})
	dir := repository(t)
	write(t, filepath.Join(dir, "closed.block"), calm)
	c.Initialize(dir, lsptest.With(lsptest.Capabilities(), object{}, "textDocument", "diagnostic"))
	path := filepath.Join(dir, "a.block")
	c.Open(path, strings.Replace(calm, "fabric sky\n", "", 1), 1)
	var report struct {
		Kind     string            `json:"kind"`
		ResultID string            `json:"resultId"`
		Items    []json.RawMessage `json:"items"`
	}
	c.Must("textDocument/diagnostic", lsptest.Doc(path), &report)
	assert.Equal(t, "full", report.Kind)
	assert.Len(t, report.Items, 1)
	params := lsptest.Doc(path)
	params["previousResultId"] = report.ResultID
	c.Must("textDocument/diagnostic", params, &report)
	assert.Equal(t, "unchanged", report.Kind)
	assert.Empty(t, c.Sent("textDocument/publishDiagnostics"), "an editor that asks is sent nothing")

	var all struct {
		Items []struct {
			URI  string `json:"uri"`
			Kind string `json:"kind"`
		} `json:"items"`
	}
	previous := []object{{"uri": lsptest.URI(path), "value": report.ResultID}, {"uri": lsptest.URI(filepath.Join(dir, "gone.block")), "value": "1.2"}}
	c.Must("workspace/diagnostic", object{"previousResultIds": previous, "partialResultToken": "part"}, &all)
	assert.Empty(t, all.Items, "everything has come in parts")
	parts := string(joined(c.Sent("$/progress")))
	assert.Contains(t, parts, "closed.block")
	assert.Contains(t, parts, `"kind":"unchanged"`)
	assert.Contains(t, parts, "gone.block")
}

// An editor that asks learns what is wrong with the settings, too.
func TestPullSettings(t *testing.T) {
	c := lsptest.InMemory(t, lsp.Options{})
	dir := repository(t)
	write(t, filepath.Join(dir, "closed.block"), calm)
	settings := write(t, filepath.Join(dir, lint.SettingsName), "allowanc = 3\n")
	c.Initialize(dir, lsptest.With(lsptest.Capabilities(), object{}, "textDocument", "diagnostic"))
	var report struct {
		Items []struct{ Code, Message string } `json:"items"`
	}
	c.Must("textDocument/diagnostic", lsptest.Doc(settings), &report)
	require.Len(t, report.Items, 1)
	assert.Equal(t, "bad-setting", report.Items[0].Code)
	assert.Contains(t, report.Items[0].Message, `"allowanc"`)

	var all struct {
		Items []struct {
			URI   string            `json:"uri"`
			Items []json.RawMessage `json:"items"`
		} `json:"items"`
	}
	c.Must("workspace/diagnostic", object{"previousResultIds": []object{}}, &all)
	found := map[string]int{}
	for _, x := range all.Items {
		found[filepath.Base(x.URI)] = len(x.Items)
	}
	assert.Equal(t, map[string]int{"closed.block": 0, lint.SettingsName: 1}, found)
}

// What is wrong with a settings file is said before any document is open, and taken back
// when the file is gone or mended.
func TestSettingsFilesComeAndGo(t *testing.T) {
	c := lsptest.InMemory(t, lsp.Options{})
	dir := repository(t)
	top := write(t, filepath.Join(dir, lint.SettingsName), "x = 1\n")
	c.Initialize(dir, lsptest.Capabilities())
	changed := func(file string, kind int) {
		c.Notify("workspace/didChangeWatchedFiles", object{"changes": []object{{"uri": lsptest.URI(file), "type": kind}}})
	}
	await := func(what, path string, n int) {
		t.Helper()
		c.Await(what, func([]lsptest.Message) bool {
			d := c.FoundLocked(path)
			return d.URI != "" && len(d.Diagnostics) == n
		})
	}
	await("what is wrong", top, 1)
	require.NoError(t, os.Remove(top))
	changed(top, 3)
	await("it to be taken back", top, 0)

	// The same with a document open, and with a file further down.
	c.Open(filepath.Join(dir, "a.block"), calm, 1)
	write(t, top, "x = 1\n")
	changed(top, 1)
	await("what is wrong", top, 1)
	write(t, filepath.Join(dir, "boats", "b.block"), calm)
	below := write(t, filepath.Join(dir, "boats", lint.SettingsName), "x = 1\ny = 2\n")
	changed(below, 1)
	await("what is wrong below", below, 2)
	write(t, below, "# nothing set\n")
	changed(below, 2)
	await("it to be mended", below, 0)
	require.NoError(t, os.Remove(top))
	changed(top, 3)
	await("it to be taken back", top, 0)
}

// Settings of the editor say what is shown; what is checked stands in sewable.toml.
func TestConfiguration(t *testing.T) {
	c := lsptest.InMemory(t, lsp.Options{})
	asked := make(chan struct{}, 10)
	answers := []any{object{"hints": object{"cut": false, "seam": true}, "lenses": false}, nil}
	c.Handle["workspace/configuration"] = func(json.RawMessage) any {
		answer := answers[0]
		answers = answers[1:]
		asked <- struct{}{}
		return []any{answer}
	}
	c.Initialize("", lsptest.With(lsptest.Capabilities(), true, "workspace", "configuration"))
	<-asked
	path := filepath.Join(t.TempDir(), "a.block")
	c.Open(path, calm, 1)
	c.Found(path, 1)
	lensed := func(want bool) {
		require.Eventually(t, func() bool {
			var lenses []json.RawMessage
			c.Must("textDocument/codeLens", lsptest.Doc(path), &lenses)
			return len(lenses) > 0 == want
		}, lsptest.Patience, 5*time.Millisecond)
	}
	lensed(false)
	c.Notify("workspace/didChangeConfiguration", object{"settings": nil})
	<-asked
	lensed(true) // all of them were taken out, which an editor says with nothing
}

// Of two changes of the editor's settings the second holds, however late the answer about
// the first comes.
func TestConfigurationInOrder(t *testing.T) {
	c := lsptest.InMemory(t, lsp.Options{})
	answer := func(lenses bool) any { return []any{object{"lenses": lenses}} }
	asked, second := make(chan int, 10), make(chan struct{})
	n := 0
	c.Handle["workspace/configuration"] = func(json.RawMessage) any {
		n++
		asked <- n
		switch n {
		case 2: // overtaken, where the server lets it be
			return lsptest.Later(func() any {
				select {
				case <-second:
				case <-time.After(100 * time.Millisecond):
				}
				return answer(true)
			})
		case 3:
			close(second)
			return answer(false)
		}
		return answer(true)
	}
	can := lsptest.With(lsptest.Capabilities(), true, "workspace", "configuration")
	c.Initialize("", lsptest.With(can, true, "workspace", "inlayHint", "refreshSupport"))
	require.Equal(t, 1, <-asked)
	c.Notify("workspace/didChangeConfiguration", object{"settings": nil})
	require.Equal(t, 2, <-asked)
	c.Notify("workspace/didChangeConfiguration", object{"settings": nil})
	c.Await("both changes to be heeded", func([]lsptest.Message) bool {
		return len(c.SentLocked("workspace/inlayHint/refresh")) == 2
	})
	path := filepath.Join(t.TempDir(), "a.block")
	c.Open(path, calm, 1)
	var lenses []json.RawMessage
	c.Must("textDocument/codeLens", lsptest.Doc(path), &lenses)
	assert.Empty(t, lenses)
}

// Of a document of junk an editor is sent as many findings as anybody reads, and told how many
// more there are; one that asks gets the same.
func TestVeryManyFindings(t *testing.T) {
	text := strings.Repeat("rope\n", 1300)
	check := func(items []json.RawMessage) {
		require.Equal(t, 1001, len(items))
		assert.Contains(t, string(items[999]), `"line":999`)
		assert.Contains(t, string(items[1000]), "300 more findings are not shown; showing the 1000 most severe. Run `sewable lint` for all of them.")
	}
	c, dir := start(t)
	path := filepath.Join(dir, "a.block")
	c.Open(path, text, 1)
	check(c.Found(path, 1).Diagnostics)

	c = lsptest.InMemory(t, lsp.Options{})
	c.Initialize("", lsptest.With(lsptest.Capabilities(), object{}, "textDocument", "diagnostic"))
	c.Open(path, text, 1)
	var report struct{ Items []json.RawMessage }
	c.Must("textDocument/diagnostic", lsptest.Doc(path), &report)
	check(report.Items)
}

// A settings file that the editor names lies in its first folder, wherever the server was started.
func TestConfigOfTheEditor(t *testing.T) {
	c := lsptest.InMemory(t, lsp.Options{})
	dir := repository(t)
	write(t, filepath.Join(dir, "strict.toml"), "[levels]\nunused-fabric = \"error\"\n")
	c.Must("initialize", object{
		"processId": nil, "rootUri": lsptest.URI(dir), "capabilities": lsptest.Capabilities(),
		"initializationOptions": object{"config": "strict.toml"},
	}, nil)
	c.Notify("initialized", object{})
	path := filepath.Join(dir, "a.block")
	c.Open(path, "fabric gull\n"+calm, 1)
	found := c.Found(path, 1).Diagnostics
	require.Len(t, found, 1)
	assert.Contains(t, string(found[0]), `"severity":1`)
}

// The page of a rule is to be had from the server, by the address that its findings carry.
func TestRulePages(t *testing.T) {
	c := lsptest.InMemory(t, lsp.Options{})
	c.Initialize("", lsptest.With(lsptest.Capabilities(), object{}, "workspace", "textDocumentContent"))
	path := filepath.Join(t.TempDir(), "a.block")
	c.Open(path, strings.Replace(calm, "fabric sky\n", "", 1), 1)
	var d struct {
		CodeDescription struct {
			Href string `json:"href"`
		} `json:"codeDescription"`
	}
	require.NoError(t, json.Unmarshal(c.Found(path, 1).Diagnostics[0], &d))
	var page struct {
		Text string `json:"text"`
	}
	c.Must("workspace/textDocumentContent", object{"uri": d.CodeDescription.Href}, &page)
	assert.Contains(t, page.Text, "# unknown-name")
}

func joined(messages []json.RawMessage) []byte {
	var out []byte
	for _, m := range messages {
		out = append(out, m...)
	}
	return out
}

// A hover on a patch shows the block with the patch lit: an image where the editor
// shows images, dots where it does not, nothing where none is wanted. An image's words
// say what is to be seen, and it stays small enough to be shown.
func TestPictures(t *testing.T) {
	text := linttest.GenerateBlock(3, 40)
	for _, x := range []struct {
		client  string
		options object
		wants   string
		lacks   string
	}{
		{"Visual Studio Code", object{}, "](data:image/svg+xml;base64,", "```text"},
		{"Neovim", object{}, "```text", "data:image"},
		{"Neovim", object{"pictures": "image"}, "](data:image/svg+xml;base64,", "```text"},
		{"Visual Studio Code", object{"sewable": object{"pictures": "none"}}, "**", "data:image"},
	} {
		c := lsptest.InMemory(t, lsp.Options{})
		c.Must("initialize", object{
			"processId": nil, "rootUri": nil, "capabilities": lsptest.Capabilities(),
			"clientInfo": object{"name": x.client}, "initializationOptions": x.options,
		}, nil)
		dir := repository(t)
		write(t, filepath.Join(dir, linttest.PaletteName), linttest.Palette)
		path := filepath.Join(dir, "a.block")
		c.Open(path, text, 1)
		lines := strings.Split(text, "\n")
		line := slices.IndexFunc(lines, func(l string) bool { return strings.Contains(l, "patch 2 ") })
		var hover struct {
			Contents struct{ Value string } `json:"contents"`
		}
		c.Must("textDocument/hover", lsptest.At(path, lsptest.Position{Line: line, Character: 5}), &hover)
		assert.Contains(t, hover.Contents.Value, x.wants, x.client)
		assert.NotContains(t, hover.Contents.Value, x.lacks, x.client)
		assert.Less(t, len(hover.Contents.Value), 100_000)
		if strings.Contains(x.wants, "data:") {
			alt, _, _ := strings.Cut(hover.Contents.Value[strings.LastIndex(hover.Contents.Value, "![")+2:], "]")
			assert.Greater(t, len(alt), 20, "%q says what is to be seen", alt)
			encoded, _, _ := strings.Cut(hover.Contents.Value[strings.LastIndex(hover.Contents.Value, "base64,")+7:], ")")
			raw, err := base64.StdEncoding.DecodeString(encoded)
			require.NoError(t, err)
			assert.NoError(t, xml.Unmarshal(raw, new(struct{ XMLName xml.Name })))
		}
	}
}
