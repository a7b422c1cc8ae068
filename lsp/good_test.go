package lsp_test

import (
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lint"
	"sewable/lint/rules"
	"sewable/lsp"
	"sewable/lsp/lsptest"
)

// Of a block with a finding that is mandatory neither the lens nor the hover says that it is sewable, whatever is accepted,
// and no action accepts the finding.
func TestWhatCannotBeSewnIsNotCalledGood(t *testing.T) {
	c := lsptest.InMemory(t, lsp.Options{Rules: rules.All})
	c.Initialize("", lsptest.Capabilities())
	dir := t.TempDir()
	seen := 0
	for _, r := range rules.All {
		if r.Mandatory == "" {
			continue
		}
		path := filepath.Join(dir, r.Name+".block")
		text := "// accept " + r.Name + ": it is meant\n\n" + strings.TrimPrefix(r.Bad, "\n")
		c.Open(path, text, 1)
		found := lint.Text(path, text, lint.Options{Rules: rules.All}).Findings
		for i, line := range strings.Split(text, "\n") {
			for _, f := range found {
				if f.Rule == r.Name && f.Start.Line == i+1 {
					params := lsptest.Doc(path)
					at := object{"line": i, "character": f.Start.Column - 1}
					params["range"], params["context"] = object{"start": at, "end": at}, object{"diagnostics": []object{}}
					var actions json.RawMessage
					c.Must("textDocument/codeAction", params, &actions)
					assert.NotContains(t, string(actions), "Accept "+r.Name, r.Name)
				}
			}
			if !strings.HasPrefix(line, "block ") {
				continue
			}
			seen++
			params := lsptest.Doc(path)
			params["position"] = object{"line": i, "character": 8}
			var hover struct{ Contents struct{ Value string } }
			c.Must("textDocument/hover", params, &hover)
			require.Contains(t, hover.Contents.Value, "sewing", r.Name)
			assert.NotRegexp(t, `\bsewable *(\||$)`, hover.Contents.Value, r.Name)
		}
		var lenses json.RawMessage
		c.Must("textDocument/codeLens", lsptest.Doc(path), &lenses)
		assert.NotContains(t, string(lenses), `"Sewable`, r.Name)
	}
	assert.Greater(t, seen, 20)
}

// An error above all blocks is one of each block; one in another block is not, nor is one that says nothing of sewing.
func TestErrorsOfABlock(t *testing.T) {
	const gull = "block \"Gull\" 6 by 6 {\n  allowance 1/4\n  section A {\n    patch 1 sky (0, 0) (6, 0) (6, 6) (0, 6)\n  }\n}\n"
	tern := strings.NewReplacer("Gull", "Tern", "(0, 0)", "(0, 0").Replace(gull)
	half := strings.NewReplacer("(6, 6) (0, 6)\n  }\n", "(6, 3) (0, 3)\n  }\n  section B {\n  }\n").Replace(gull)
	c := lsptest.InMemory(t, lsp.Options{Rules: rules.All})
	c.Initialize("", lsptest.Capabilities())
	dir := t.TempDir()
	for name, x := range map[string]struct {
		text string
		want []string
	}{
		"above":   {"fabric sky\nfabric sea (\n" + gull, []string{"1 error to fix"}},
		"between": {"fabric sky\n" + gull + "fabric sea (\n" + strings.Replace(gull, "Gull", "Tern", 1), []string{"1 error to fix", "1 error to fix"}},
		"other":   {"fabric sky\n" + gull + tern, []string{"Sewable", "Cannot be read as a whole yet"}},
		"bare":    {"// accept small-patch\n\nfabric sky\n" + gull, []string{"Sewable"}},
		"own":     {"fabric sky\n" + strings.Replace(gull, "1/4", "1/8", 1), []string{"1 error to fix"}},
		"meant":   {"fabric sky\n" + strings.Replace(gull, "1/4", "1/8 // accept missing-allowance: small", 1), []string{"Sewable"}},
		"empty":   {"fabric sky\n" + half, []string{"Section B has no patches yet"}},
	} {
		path := filepath.Join(dir, name+".block")
		c.Open(path, x.text, 1)
		var lenses []struct{ Command struct{ Title string } }
		c.Must("textDocument/codeLens", lsptest.Doc(path), &lenses)
		var got []string
		for _, l := range lenses {
			title, _, _ := strings.Cut(l.Command.Title, " · ")
			got = append(got, title)
		}
		assert.Equal(t, x.want, got, name)
	}
}
