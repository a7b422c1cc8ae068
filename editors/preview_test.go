package editors

import (
	"encoding/json"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lsp"
	"sewable/lsp/lsptest"
)

// shots is the folder for pictures of the screen; SEWABLE_SHOTS keeps them.
func shots(t *testing.T) {
	t.Helper()
	if os.Getenv("SEWABLE_SHOTS") == "" {
		t.Setenv("SEWABLE_SHOTS", t.TempDir())
	}
}

// The preview of the command, in Chromium.
func TestPreview(t *testing.T) {
	browser, js := program(t, "chromium"), node(t)
	onPath(t)
	shots(t)
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(dir, os.DirFS("../testdata/harbour")))
	out := filepath.Join(t.TempDir(), "out.json")
	t.Setenv("SEWABLE_OUT", out)
	log := runIn(t, "", 4*time.Minute, js, "vscode/test/preview.mjs", dir, browser)
	text, err := os.ReadFile(out)
	require.NoError(t, err, "%s", log)
	var saw struct {
		Problem                              string
		Requests, Complaints, Focus          []string
		Title, State, Aria, Tip, Facts       string
		Patches, Sewn, Alone, Kept           int
		Moved                                float64
		Went, Printed, Entered               string
		Third, Last, Play, TipOnFocus, Steps string
		Night, Dawn, Day, Dark, Stillness    string
		Tally, Bad, BadTitle, BadTip         string
		BadElements                          int
		Ran                                  bool
		WrongSecret, NoSecret, OtherName     int
		Stolen, PrintedForStrangers          string
		Sideways                             int
		Banner                               string
	}
	require.NoError(t, json.Unmarshal(text, &saw))
	require.Empty(t, saw.Problem)
	assert.Empty(t, saw.Complaints, "the browser complains of nothing")
	for _, r := range saw.Requests {
		assert.Equal(t, "own", r, "nothing is asked for elsewhere")
	}

	assert.Equal(t, "Light at the Mole End", saw.Title)
	assert.Equal(t, "✓ Sewable", saw.State)
	assert.Equal(t, 54, saw.Patches)
	assert.Regexp(t, `button "T1 Lamp gold, cut [^"]+, line \d+"`, saw.Aria, "what a screen reader says of a patch")
	assert.Regexp(t, `group "Light at the Mole End, 9 × 13 in, 9 sections, 54 patches, seen from the front"`, saw.Aria)
	assert.Regexp(t, `(?s)^S2 Granite\s+Cut .+`, saw.Tip)
	assert.Contains(t, saw.Facts, "waits for")

	// A click leads to the line that says so.
	original, err := os.ReadFile("../testdata/harbour/lighthouse.block")
	require.NoError(t, err)
	assertLine := func(place, patch string) {
		t.Helper()
		m := regexp.MustCompile(`^lighthouse\.block:(\d+):\d+$`).FindStringSubmatch(place)
		if assert.NotNil(t, m, place) {
			var line int
			require.NoError(t, json.Unmarshal([]byte(m[1]), &line))
			assert.Contains(t, strings.Split(string(original), "\n")[line-1], patch)
		}
	}
	assertLine(saw.Went, "patch 2 granite")
	assert.Equal(t, saw.Went, saw.Printed, "the command prints it")
	assertLine(saw.Entered, "patch 6 sea") // S6 is the last

	// The sewing, by the keyboard.
	assert.Regexp(t, `^3\. \w+3 `, saw.Third)
	assert.Contains(t, saw.Third, "Cut ")
	assert.Equal(t, 3, saw.Sewn, "three patches are sewn on, and so labelled")
	assert.Contains(t, saw.Last, "62. Sew ")
	assert.Equal(t, "Play", saw.Play)
	require.Len(t, saw.Focus, 3)
	assert.NotEqual(t, saw.Focus[0], saw.Focus[1])
	assert.Contains(t, saw.Focus[1], ", cut ")
	assert.True(t, strings.HasPrefix(saw.Focus[1], strings.SplitN(saw.TipOnFocus, "\n", 2)[0]), "%q, %q", saw.Focus[1], saw.TipOnFocus)

	assert.Equal(t, "#17264a", saw.Night)
	assert.Equal(t, "#8fbcd8", saw.Dawn)
	assert.Equal(t, 11, saw.Alone)
	assert.Equal(t, "11 steps", saw.Steps)
	assert.NotEqual(t, saw.Day, saw.Dark)
	assert.Equal(t, "none", saw.Stillness)

	assert.Contains(t, saw.Tally, "1 error")
	assert.Equal(t, 53, saw.Kept, "all but the patch that is typed stay")
	assert.Zero(t, saw.Moved, "the drawing stays where it is")

	assert.Equal(t, saw.Bad, saw.BadTitle, "as it was typed")
	assert.Contains(t, saw.BadTip, saw.Bad)
	assert.Zero(t, saw.BadElements)
	assert.False(t, saw.Ran)

	assert.Equal(t, 404, saw.WrongSecret)
	assert.Equal(t, 404, saw.NoSecret)
	assert.Equal(t, 403, saw.OtherName)
	assert.Empty(t, saw.Stolen, "another page can read nothing")
	assert.Empty(t, saw.PrintedForStrangers, "nor do anything")

	assert.Zero(t, saw.Sideways, "nothing sticks out of a telephone")
	assert.Contains(t, saw.Banner, "The preview has ended")
}

// remote is a browser that does what it is told, see remote.mjs.
type remote struct {
	t       *testing.T
	in      io.Writer
	answers *json.Decoder
}

func openRemote(t *testing.T, address string) *remote {
	browser, js := program(t, "chromium"), node(t)
	cmd := exec.Command(js, "vscode/test/remote.mjs", address, browser)
	cmd.Stderr = os.Stderr
	in, err := cmd.StdinPipe()
	require.NoError(t, err)
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	t.Cleanup(func() {
		in.Close()
		_ = cmd.Wait() // it has said what it saw
	})
	return &remote{t, in, json.NewDecoder(out)}
}

func (r *remote) do(what ...string) string {
	r.t.Helper()
	require.NoError(r.t, json.NewEncoder(r.in).Encode(what))
	var answer struct{ Value, Problem string }
	require.NoError(r.t, r.answers.Decode(&answer), "%v", what)
	require.Empty(r.t, answer.Problem, "%v", what)
	return answer.Value
}

// A drawing without sections has nothing to cut yet, and says so, until it is divided.
func TestPreviewOfADrawing(t *testing.T) {
	node(t)
	program(t, "chromium")
	shots(t)
	dir := t.TempDir()
	path := filepath.Join(dir, "tide.block")
	const drawn = "fabric sea\nblock \"Tide\" 4 by 4 {\n  allowance 1/4\n  patch sea (0, 0) (4, 0) (4, 4) (0, 4)\n}\n"
	c := lsptest.InMemory(t, lsp.Options{})
	c.Handle["window/showDocument"] = func(json.RawMessage) any { return lsptest.Object{"success": true} }
	c.Initialize(dir, lsptest.With(lsptest.Capabilities(), lsptest.Object{"support": true}, "window", "showDocument"))
	c.Open(path, drawn, 1)
	var address string
	c.Must("workspace/executeCommand", lsptest.Object{"command": "sewable.preview"}, &address)
	page := openRemote(t, address)
	page.do("wait", "#patch .quiet", "What to cut for a patch is known once the drawing is divided into sections.")
	c.Change(path, 2, lsptest.Object{"text": strings.Replace(strings.Replace(drawn, "patch", "section A {\n  patch 1", 1), "(0, 4)", "(0, 4)\n}", 1)})
	page.do("wait", "#patch .quiet", "Point at a patch to see what to cut for it")
}

// The preview of the language server, in Chromium, beside a client that types.
func TestPreviewOfServer(t *testing.T) {
	node(t)
	program(t, "chromium")
	shots(t)
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(dir, os.DirFS("../testdata/harbour")))
	path := filepath.Join(dir, "dinghy.block")
	dinghy, err := os.ReadFile(path)
	require.NoError(t, err)
	lines := strings.Split(string(dinghy), "\n")
	line := slices.IndexFunc(lines, func(l string) bool { return strings.Contains(l, "patch 4 cedar") })

	c := lsptest.InMemory(t, lsp.Options{})
	c.Handle["window/showDocument"] = func(json.RawMessage) any { return lsptest.Object{"success": true} }
	c.Initialize(dir, lsptest.With(lsptest.Capabilities(), lsptest.Object{"support": true}, "window", "showDocument"))
	c.Open(path, string(dinghy), 1)
	var address string
	c.Must("workspace/executeCommand", lsptest.Object{"command": "sewable.preview"}, &address)
	page := openRemote(t, address)

	// What is typed is drawn, though nothing was saved.
	page.do("wait", `[data-patch="A4"][fill="#8d4a2b"]`)
	at := strings.Index(lines[line], "cedar")
	change := func(version int, text, old string) {
		c.Change(path, version, lsptest.Object{"text": text, "range": lsptest.Range{
			Start: lsptest.Position{Line: line, Character: at}, End: lsptest.Position{Line: line, Character: at + len(old)},
		}})
	}
	change(2, "tar", "cedar")
	page.do("wait", `[data-patch="A4"][fill="#20242c"]`)
	// The cursor is where it was typed.
	page.do("wait", ".rings .lit")
	assert.Contains(t, page.do("text", "#patch"), "A4")
	change(3, "tarr", "tar")
	page.do("wait", "#findings li", "There is no fabric called tarr")
	change(4, "cedar", "tarr")
	page.do("wait", "#tally", "None.")

	// A click goes to the line.
	page.do("click", `[data-patch="A1"]`)
	page.do("wait", "#went", "The editor shows line")
	asked := c.Sent("window/showDocument")
	var shown struct {
		URI       string
		Selection lsptest.Range
	}
	require.NoError(t, json.Unmarshal(asked[len(asked)-1], &shown))
	assert.Equal(t, lsptest.URI(path), shown.URI)
	assert.Contains(t, lines[shown.Selection.Start.Line], "patch 1 foam")

	// The cursor on a line lights its patch; on a section's, all of them.
	c.Notify("sewable/cursor", lsptest.At(path, lsptest.Position{Line: line + 3, Character: 2}))
	page.do("wait", "#patch-head", "A1") // the mouse is still there
	page.do("click", "h1")
	page.do("wait", "#patch-head", "A7")
	assert.Equal(t, "1", page.do("count", ".rings .lit"))
	page.do("shot", "preview-cursor")
	section := slices.IndexFunc(lines, func(l string) bool { return strings.Contains(l, "section A") })
	c.Notify("sewable/cursor", lsptest.At(path, lsptest.Position{Line: section, Character: 2}))
	page.do("wait", ".rings .lit:nth-child(7)")
	assert.Equal(t, "7", page.do("count", ".rings .lit"))

	c.Shutdown()
	page.do("wait", "#banner", "The preview has ended")
}
