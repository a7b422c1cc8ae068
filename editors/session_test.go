package editors

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// session is what a client saw while it did what every editor must be able to do:
// open the dinghy, in which the name of a fabric is mistyped, rest the mouse on its last
// patch, mend the finding by its fix, ask what may follow `patch 8`, rename a fabric that
// lies in another file, and format.
type session struct {
	Problem  string
	Findings []struct {
		Line, Column  int
		Message, Code string
	}
	Hover       string
	Fixed       string
	Completions []string
	Renamed     string // the dinghy afterwards
	Palette     string // the file that the fabric lies in, afterwards
	Formatted   string
	Exit        int // of the server, where the client can tell
}

// harbour is a folder for such a session, and the text of the dinghy in it.
func harbour(t *testing.T) (dir, dinghy string) {
	t.Helper()
	dir = t.TempDir()
	require.NoError(t, os.CopyFS(dir, os.DirFS("../testdata/harbour")))
	path := filepath.Join(dir, "dinghy.block")
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	broken := strings.Replace(string(text), "patch 2 sky ", "patch 2 skyy ", 1)
	require.NotEqual(t, string(text), broken)
	require.NoError(t, os.WriteFile(path, []byte(broken), 0o644))
	return dir, broken
}

// assertSession holds a session to what must come of it.
func assertSession(t *testing.T, s session, dinghy string) {
	t.Helper()
	require.Empty(t, s.Problem)
	assert.Zero(t, s.Exit)
	assertFindings(t, s, dinghy)
	assert.Contains(t, s.Hover, "A7")
	assert.Contains(t, s.Hover, "Harbour blue", "the title of its fabric, from the palette")
	fixed := strings.Replace(dinghy, "skyy", "sky", 1)
	assert.Equal(t, fixed, s.Fixed)
	for _, fabric := range []string{"sky", "foam", "sea"} {
		assert.Contains(t, s.Completions, fabric)
	}
	renamed := strings.ReplaceAll(fixed, "foam", "spume")
	assert.Equal(t, renamed, s.Renamed)
	assert.Contains(t, s.Palette, "fabric spume")
	assert.NotContains(t, s.Palette, "fabric foam ")
	original, err := os.ReadFile("../testdata/harbour/dinghy.block")
	require.NoError(t, err)
	// The formatter sets what was renamed into columns again.
	words := strings.Fields(strings.ReplaceAll(string(original), "foam", "spume"))
	assert.Equal(t, words, strings.Fields(s.Formatted))
	assert.Contains(t, s.Formatted, "\n    patch 4 cedar beyond (0, 7/8) ")
}

func assertFindings(t *testing.T, s session, dinghy string) {
	t.Helper()
	if assert.Len(t, s.Findings, 1) {
		f := s.Findings[0]
		lines := strings.Split(dinghy, "\n")
		assert.Equal(t, "There is no fabric called skyy; did you mean sky?", f.Message)
		assert.Equal(t, "unknown-name", f.Code)
		assert.Contains(t, lines[f.Line], "skyy")
		assert.Equal(t, strings.Index(lines[f.Line], "skyy"), f.Column)
	}
}

// drive runs a client in a folder with the broken dinghy. What it saw is in the
// file that $SEWABLE_OUT names.
func drive(t *testing.T, name string, args ...string) (s session, dinghy string) {
	t.Helper()
	name = program(t, name)
	onPath(t)
	dir, dinghy := harbour(t)
	out := filepath.Join(t.TempDir(), "out.json")
	t.Setenv("SEWABLE_OUT", out)
	for _, home := range []string{"HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME"} {
		t.Setenv(home, t.TempDir())
	}
	log := runIn(t, dir, 5*time.Minute, name, args...)
	text, err := os.ReadFile(out)
	require.NoError(t, err, "%s", log)
	require.NoError(t, json.Unmarshal(text, &s), "%s", text)
	return s, dinghy
}

func TestNeovim(t *testing.T) {
	s, dinghy := drive(t, "nvim", "--headless", "--clean", "--cmd", "set rtp^="+here(t, "vim"), "-S", here(t, "testdata/session.lua"))
	assertSession(t, s, dinghy)
}

func TestEmacs(t *testing.T) {
	s, dinghy := drive(t, "emacs", "-Q", "--batch", "-L", here(t, "emacs"), "-l", here(t, "testdata/session.el"))
	assertSession(t, s, dinghy)
}

// ALE is for Vim, which has no client of its own.
func TestVimWithALE(t *testing.T) {
	const ale = "/usr/share/vim-ale"
	if _, err := os.Stat(ale); err != nil {
		missing(t, "folder "+ale)
	}
	s, dinghy := drive(t, "vim", "-es", "-u", "NONE", "-i", "NONE", "-N", "--cmd", "set rtp^="+here(t, "vim")+","+ale, "-S", here(t, "testdata/ale.vim"))
	assertFindings(t, s, dinghy)
}

// The library of the protocol's authors, which checks what it reads.
func TestProtocolLibrary(t *testing.T) {
	s, dinghy := drive(t, node(t), here(t, "vscode/test/session.mjs"))
	assertSession(t, s, dinghy)
	assert.Contains(t, s.Hover, "](data:image/svg+xml;base64,", "this client was set to show images")
}
