package lsp_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sewable/lint/linttest"
	"sewable/lsp"
	"sewable/lsp/lsptest"
)

// large opens a block of 2,000 lines. Edit changes the fabric of a patch in its
// middle, and back by turns.
func large(b *testing.B) (c *lsptest.Client, path string, edit func() int) {
	dir := b.TempDir()
	require.NoError(b, os.Mkdir(filepath.Join(dir, ".git"), 0o755))
	require.NoError(b, os.WriteFile(filepath.Join(dir, linttest.PaletteName), []byte(linttest.Palette), 0o644))
	text := "// accept off-page: large\n// accept near-miss: large\n// accept same-fabric-seam: large\n// accept unmarked-join: large\n\n" +
		linttest.GenerateSections(7, 1500, 180)
	lines := strings.Split(text, "\n")
	line := len(lines) / 2
	for !strings.HasPrefix(strings.TrimSpace(lines[line]), "patch 3 ") {
		line++
	}
	fabric := strings.Fields(lines[line])[2]
	at := strings.Index(lines[line], fabric)
	path = filepath.Join(dir, "large.block")
	c = lsptest.InMemory(b, lsp.Options{}).Unchecked()
	c.Initialize(dir, lsptest.Capabilities())
	c.Open(path, text, 0)
	c.Found(path, 0)
	version := 0
	return c, path, func() int {
		version++
		text := fabric
		if version%2 == 1 {
			text = strings.Repeat("x", len(fabric))
		}
		c.Change(path, version, object{"text": text, "range": lsptest.Range{
			Start: lsptest.Position{Line: line, Character: at}, End: lsptest.Position{Line: line, Character: at + len(fabric)},
		}})
		return version
	}
}

// One edit of one line, to its diagnostics. Aim: 3 ms.
func BenchmarkEditToDiagnostics(b *testing.B) {
	c, path, edit := large(b)
	for b.Loop() {
		c.Found(path, edit())
	}
}

func BenchmarkTokensAfterEdit(b *testing.B) {
	c, path, edit := large(b)
	var tokens struct {
		ResultID string `json:"resultId"`
	}
	c.Must("textDocument/semanticTokens/full", lsptest.Doc(path), &tokens)
	for b.Loop() {
		edit()
		params := lsptest.Doc(path)
		params["previousResultId"] = tokens.ResultID
		c.Must("textDocument/semanticTokens/full/delta", params, &tokens)
	}
}

// Requests about a document that rests.
func BenchmarkRequests(b *testing.B) {
	c, path, _ := large(b)
	at := lsptest.At(path, lsptest.Position{Line: 1000, Character: 5})
	name := lsptest.At(path, lsptest.Position{Line: 1000, Character: 13})
	references := lsptest.At(path, lsptest.Position{Line: 1000, Character: 13})
	references["context"] = object{"includeDeclaration": true}
	actions := lsptest.Doc(path)
	actions["range"] = object{"start": at["position"], "end": at["position"]}
	actions["context"] = object{"diagnostics": []any{}}
	for _, ask := range []struct {
		method string
		params object
	}{
		{"textDocument/hover", at},
		{"textDocument/completion", name},
		{"textDocument/definition", name},
		{"textDocument/references", references},
		{"textDocument/documentHighlight", name},
		{"textDocument/codeAction", actions},
		{"textDocument/codeLens", lsptest.Doc(path)},
		{"textDocument/documentSymbol", lsptest.Doc(path)},
		{"textDocument/foldingRange", lsptest.Doc(path)},
	} {
		b.Run(filepath.Base(ask.method), func(b *testing.B) {
			for b.Loop() {
				c.Must(ask.method, ask.params, nil)
			}
		})
	}
}
