package lsp_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/source"
	"sewable/lint/linttest"
	"sewable/lsp"
	"sewable/lsp/lsptest"
)

// pieces are what random edits put in.
var pieces = []string{
	"", "", "\n", " ", "}", "{", "patch 2 sky beyond (0, 1) (4, 1)\n", "sky", "(1, 2) ", "// accept gap: so\n", "é🌊", "\r\n", "1/4", "\"",
	"section Z {\n", "point q = mid (0, 0) (4, 4)\n", "use \"palette.block\"\n", "units mm\n", "join A to B\n", "let x = 1 + 1\n",
}

// replay edits a document at random through one server and then asks it, and a
// fresh server that is given the final text, the same things.
func replay(t *testing.T, seed uint64, edits int, encoding string) {
	r := rand.New(rand.NewPCG(seed, 1))
	dir := repository(t)
	write(t, filepath.Join(dir, "palette.block"), linttest.Palette)
	path := filepath.Join(dir, "a.block")
	text := linttest.GenerateBlock(seed, 12)
	if seed%3 == 0 {
		text = strings.ReplaceAll(text, "\n", "\r\n")
	}
	capabilities := func() object {
		return lsptest.With(lsptest.With(lsptest.Capabilities(), []string{encoding}, "general", "positionEncodings"), object{}, "textDocument", "diagnostic")
	}
	c := lsptest.InMemory(t, lsp.Options{})
	c.Initialize(dir, capabilities())
	c.Open(path, text, 0)
	var tokens struct {
		ResultID string   `json:"resultId"`
		Data     []uint32 `json:"data"`
	}
	c.Must("textDocument/semanticTokens/full", lsptest.Doc(path), &tokens)
	for version := 1; version <= edits; version++ {
		var changes []object
		for range 1 + r.IntN(3) {
			f := source.New(path, text)
			from := boundary(text, r.IntN(len(text)+1))
			to := boundary(text, min(len(text), from+r.IntN(4)*r.IntN(12)))
			start, end := position(f, from, encoding), position(f, to, encoding)
			piece := pieces[r.IntN(len(pieces))]
			changes = append(changes, object{"range": lsptest.Range{Start: start, End: end}, "text": piece})
			// What the text becomes is worked out by other means than the server's own.
			lines := strings.SplitAfter(text, "\n")
			a, b := offset(lines, start, encoding), offset(lines, end, encoding)
			text = text[:a] + piece + text[b:]
		}
		c.Change(path, version, changes...)
		switch r.IntN(6) {
		case 0:
			tokens.Data, tokens.ResultID = delta(t, c, path, tokens.ResultID, tokens.Data)
		case 1:
			c.Ask("textDocument/hover", lsptest.At(path, lsptest.Position{Line: r.IntN(20), Character: r.IntN(20)}))
		case 2:
			c.Ask("textDocument/completion", lsptest.At(path, lsptest.Position{Line: r.IntN(20), Character: r.IntN(20)}))
		}
	}
	tokens.Data, _ = delta(t, c, path, tokens.ResultID, tokens.Data)

	fresh := lsptest.InMemory(t, lsp.Options{})
	fresh.Initialize(dir, capabilities())
	fresh.Open(path, text, 0)
	for _, method := range []string{
		"textDocument/diagnostic", "textDocument/documentSymbol", "textDocument/foldingRange", "textDocument/codeLens",
		"textDocument/documentLink", "textDocument/documentColor",
	} {
		var one, other json.RawMessage
		c.Must(method, lsptest.Doc(path), &one)
		fresh.Must(method, lsptest.Doc(path), &other)
		if string(one) != string(other) {
			t.Errorf("%s after the edits of seed %d: %s", method, seed, firstDifference(string(other), string(one)))
		}
	}
	var whole struct {
		Data []uint32 `json:"data"`
	}
	fresh.Must("textDocument/semanticTokens/full", lsptest.Doc(path), &whole)
	assert.True(t, slices.Equal(whole.Data, tokens.Data), "tokens after the edits of seed %d", seed)
	assert.Zero(t, c.Shutdown())
}

// boundary moves an offset to where a character begins: between its bytes no editor
// has a place.
func boundary(text string, at int) int {
	for at < len(text) && !utf8.RuneStart(text[at]) {
		at++
	}
	return at
}

func firstDifference(want, got string) string {
	at := 0
	for at < len(want) && at < len(got) && want[at] == got[at] {
		at++
	}
	at = max(0, at-80)
	return fmt.Sprintf("want …%.200s, not …%.200s", want[at:], got[at:])
}

func position(f *source.File, offset int, encoding string) lsptest.Position {
	line, column := f.UTF16(offset)
	if encoding == "utf-8" {
		line, column = f.UTF8(offset)
	}
	return lsptest.Position{Line: line, Character: column}
}

// offset counts a place as an editor does, character by character.
func offset(lines []string, p lsptest.Position, encoding string) int {
	at := 0
	for _, l := range lines[:p.Line] {
		at += len(l)
	}
	line := strings.TrimRight(lines[p.Line], "\n")
	line = strings.TrimSuffix(line, "\r")
	column := 0
	for i, r := range line {
		if column >= p.Character {
			return at + i
		}
		switch {
		case encoding == "utf-8":
			column += len(string(r))
		case r > 0xFFFF:
			column += 2
		default:
			column++
		}
	}
	return at + len(line)
}

// delta asks for the difference of the tokens and does it.
func delta(t *testing.T, c *lsptest.Client, path, id string, data []uint32) ([]uint32, string) {
	params := lsptest.Doc(path)
	params["previousResultId"] = id
	var got struct {
		ResultID string   `json:"resultId"`
		Data     []uint32 `json:"data"`
		Edits    []struct {
			Start, DeleteCount int
			Data               []uint32
		} `json:"edits"`
	}
	c.Must("textDocument/semanticTokens/full/delta", params, &got)
	if got.Data != nil {
		return got.Data, got.ResultID
	}
	require.LessOrEqual(t, len(got.Edits), 1)
	for _, e := range got.Edits {
		next := append([]uint32{}, data[:e.Start]...)
		next = append(next, e.Data...)
		data = append(next, data[e.Start+e.DeleteCount:]...)
	}
	return data, got.ResultID
}

// Random edits through the server always end with the same diagnostics, symbols and
// tokens as a fresh server that is given the final text.
func TestRandomEdits(t *testing.T) {
	for seed := range uint64(12) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			replay(t, seed, 40, []string{"utf-16", "utf-8"}[seed%2])
		})
	}
}

func FuzzEdits(f *testing.F) {
	for seed := range uint64(8) {
		f.Add(seed, 20)
	}
	f.Fuzz(func(t *testing.T, seed uint64, edits int) {
		replay(t, seed, max(0, edits%60), []string{"utf-16", "utf-8"}[seed%2])
	})
}
