package editors

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// kakoune is a running Kakoune that draws by sending JSON, with a window so high that
// every line is drawn.
type kakoune struct {
	in  io.WriteCloser
	out *json.Decoder
}

// startKakoune starts one that has done some commands.
func startKakoune(t *testing.T, dir, commands string) *kakoune {
	t.Helper()
	kak := program(t, "kak")
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	script := filepath.Join(t.TempDir(), "commands.kak")
	require.NoError(t, os.WriteFile(script, []byte("source "+here(t, "kakoune/sewable.kak")+"\n"+commands), 0o644))
	cmd := exec.CommandContext(ctx, kak, "-ui", "json", "-e", "source "+script)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "XDG_CONFIG_HOME="+t.TempDir())
	in, err := cmd.StdinPipe()
	require.NoError(t, err)
	out, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	t.Cleanup(func() {
		cancel()
		_ = cmd.Wait() // it was stopped
	})
	k := &kakoune{in, json.NewDecoder(out)}
	k.drawn(t, func([][]atom) bool { return true }) // before that there is no window
	k.send(t, "resize", 20000, 500)
	return k
}

func (k *kakoune) send(t *testing.T, method string, params ...any) {
	t.Helper()
	message := json.NewEncoder(k.in)
	message.SetEscapeHTML(false) // Kakoune reads <ret>, not its escape
	require.NoError(t, message.Encode(map[string]any{"jsonrpc": "2.0", "method": method, "params": params}))
}

type atom struct {
	Face struct {
		Fg string
	}
	Contents string
}

// drawn is the next drawing of the window that answers to a test.
func (k *kakoune) drawn(t *testing.T, right func(lines [][]atom) bool) [][]atom {
	t.Helper()
	for {
		var m struct {
			Method string
			Params []json.RawMessage
		}
		require.NoError(t, k.out.Decode(&m), "nothing more is drawn")
		if m.Method != "draw" {
			continue
		}
		var lines [][]atom
		require.NoError(t, json.Unmarshal(m.Params[0], &lines))
		if right(lines) {
			return lines
		}
	}
}

func plain(line []atom) string {
	var b strings.Builder
	for _, a := range line {
		b.WriteString(a.Contents)
	}
	return b.String()
}

func TestKakouneHighlighters(t *testing.T) {
	faces := []string{"keyword", "function", "type", "attribute", "value", "operator", "string", "comment", "meta"}
	var commands strings.Builder
	nameOf := map[string]string{"default": ""}
	for i, face := range faces {
		colour := fmt.Sprintf("rgb:0000%02x", i+1)
		fmt.Fprintf(&commands, "set-face global %s %s\n", face, colour)
		nameOf[colour] = face
	}
	for _, face := range []string{"PrimaryCursor", "PrimaryCursorEol", "PrimarySelection"} {
		fmt.Fprintf(&commands, "set-face global %s default\n", face)
	}
	// Strings and comments end with their line, so all files can be read as one.
	files := blocks(t)
	var all strings.Builder
	for _, path := range slices.Sorted(maps.Keys(files)) {
		all.WriteString(strings.ReplaceAll(files[path], "\t", " ") + "\n")
	}
	text := strings.TrimRight(all.String(), "\n")
	path := filepath.Join(t.TempDir(), "all.block")
	require.NoError(t, os.WriteFile(path, []byte(text+"\n"), 0o644))
	fmt.Fprintf(&commands, "edit %s\n", path)

	k := startKakoune(t, "", commands.String())
	got := colours{}
	for _, line := range k.drawn(t, func(lines [][]atom) bool {
		return len(lines) == strings.Count(text, "\n")+1 && nameOf[lines[0][0].Face.Fg] != ""
	}) {
		var pieces []piece
		at := 0
		for _, a := range line {
			pieces = append(pieces, piece{at, at + len(a.Contents), nameOf[a.Face.Fg]})
			at += len(a.Contents)
		}
		got[path] = append(got[path], pieces)
	}
	assertColours(t, map[string]string{path: text}, got, map[string]string{
		"statement": "^keyword$", "point": "^function$", "unit": "^type$", "word": "^attribute$", "operator": "^operator$",
		"bracket": "^$", "name": "^$", "number": "^value$", "string": "^string$", "colour": "^value$",
		"comment": "^(comment|keyword|meta)$", "bad": "",
	})
}

// Kakoune calls the command: it lints what is in the buffer, saved or not, and formats it.
func TestKakouneCallsTheCommand(t *testing.T) {
	onPath(t)
	dir, _ := harbour(t)
	replace(t, filepath.Join(dir, "dinghy.block"), "skyy", "sky")
	replace(t, filepath.Join(dir, "dinghy.block"), "patch 4 cedar", "patch   4  cedar")

	k := startKakoune(t, dir, "edit dinghy.block\n")
	k.drawn(t, func(lines [][]atom) bool { return len(lines) > 20 })
	k.send(t, "keys", "/patch 2 sk<ret>", "a", "y", "<esc>", ":lint-enable<ret>", ":lint<ret>")
	k.drawn(t, func(lines [][]atom) bool {
		return slices.ContainsFunc(lines, func(line []atom) bool {
			text := plain(line)
			return strings.HasPrefix(text, "x") && strings.Contains(text, "skyy")
		})
	})
	k.send(t, "keys", ":format<ret>", ":write<ret>", ":quit<ret>")
	for k.out.Decode(&struct{}{}) == nil { // until it ends
	}
	text, err := os.ReadFile(filepath.Join(dir, "dinghy.block"))
	require.NoError(t, err)
	assert.Contains(t, string(text), "    patch 2 skyy ")
	assert.Contains(t, string(text), "    patch 4 cedar ")
}
