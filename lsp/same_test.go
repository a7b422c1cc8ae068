package lsp_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/files"
	"sewable/lang/source"
	"sewable/lint"
	"sewable/lint/linttest"
	"sewable/lint/output"
	"sewable/lint/rules"
	"sewable/lsp"
	"sewable/lsp/lsptest"
	"sewable/lsp/session"
)

const testdata = "../testdata"

// everything is every demo and broken file, with generated ones beside them, in a
// repository of its own.
func everything(t *testing.T) string {
	dir := repository(t)
	for _, folder := range []string{"harbour", "broken"} {
		require.NoError(t, os.CopyFS(filepath.Join(dir, folder), os.DirFS(filepath.Join(testdata, folder))))
	}
	generated := filepath.Join(dir, "generated")
	write(t, filepath.Join(generated, linttest.PaletteName), linttest.Palette)
	for seed := range uint64(12) {
		text := linttest.GenerateBlock(seed, 5+int(seed)*7)
		write(t, filepath.Join(generated, fmt.Sprintf("good%d.block", seed)), text)
		// The same with every ninth line torn off halfway.
		lines := strings.SplitAfter(text, "\n")
		for i := 8; i < len(lines); i += 9 {
			lines[i] = lines[i][:len(lines[i])/2] + "\n"
		}
		write(t, filepath.Join(generated, fmt.Sprintf("torn%d.block", seed)), strings.Join(lines, ""))
	}
	return dir
}

// asJSON is findings as the command writes them.
func asJSON(t *testing.T, findings []lint.Finding) string {
	var b bytes.Buffer
	require.NoError(t, output.JSON(&b, &lint.Result{Findings: findings}))
	return b.String()
}

// The command and the server give byte-identical findings for every demo, broken
// and generated file.
func TestSameFindingsAsTheCommand(t *testing.T) {
	dir := everything(t)
	paths, err := lint.FindFiles([]string{dir}, lint.NewConfig(rules.All))
	require.NoError(t, err)
	require.Greater(t, len(paths), 80)
	s := session.New(rules.All)
	for _, path := range paths {
		result, err := lint.Run(t.Context(), []string{path}, lint.Options{Rules: rules.All})
		require.NoError(t, err)
		want := findingsIn(result.Findings, path)
		closed, err := s.Snapshot().File(path)
		require.NoError(t, err)
		findings, failures, err := closed.Findings(context.Background())
		require.NoError(t, err)
		assert.Empty(t, failures)
		assert.Equal(t, asJSON(t, want), asJSON(t, findings), "%s, closed", path)

		text, err := os.ReadFile(path)
		require.NoError(t, err)
		at := s.Open(&session.Document{Path: path, Version: 1, Text: source.New(path, string(text))})
		findings, _, err = at.Open(path).Findings(context.Background())
		require.NoError(t, err)
		assert.Equal(t, asJSON(t, want), asJSON(t, findings), "%s, open", path)
	}
}

func findingsIn(all []lint.Finding, path string) []lint.Finding {
	var out []lint.Finding
	for _, f := range all {
		if f.File == path {
			out = append(out, f)
		}
	}
	return out
}

// What reaches the editor is the same too: rule, level, words and place of every
// finding, of files that are open and of those that are not.
func TestSameDiagnosticsAsTheCommand(t *testing.T) {
	dir := everything(t)
	config := lint.NewConfig(rules.All)
	paths, err := lint.FindFiles([]string{dir}, config)
	require.NoError(t, err)
	result, err := lint.Run(t.Context(), paths, lint.Options{Rules: rules.All, Config: config})
	require.NoError(t, err)
	want := map[string][]string{}
	for _, f := range result.Findings {
		want[f.File] = append(want[f.File], fmt.Sprintf("%s %s %s %s", f.Start, f.Rule, level(f), f.Message))
	}
	c := lsptest.InMemory(t, lsp.Options{})
	c.Initialize(dir, lsptest.With(lsptest.Capabilities(), object{}, "textDocument", "diagnostic"))
	for i, path := range paths {
		if text, err := os.ReadFile(path); err == nil && i%2 == 0 {
			c.Open(path, string(text), 1)
		}
	}
	var report struct {
		Items []struct {
			URI   string            `json:"uri"`
			Items []json.RawMessage `json:"items"`
		} `json:"items"`
	}
	c.Must("workspace/diagnostic", object{"previousResultIds": []object{}}, &report)
	for _, f := range config.Files() {
		paths = append(paths, files.Absolute(f.Source.Path))
	}
	got := map[string]bool{}
	byURI := map[string]string{}
	for _, path := range paths {
		byURI[lsptest.URI(path)] = path
	}
	for _, item := range report.Items {
		path, ok := byURI[item.URI]
		require.True(t, ok, item.URI)
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		file := source.New(path, string(text))
		got[path] = true
		var lines []string
		for _, raw := range item.Items {
			var d struct {
				Range    lsptest.Range `json:"range"`
				Severity int           `json:"severity"`
				Code     string        `json:"code"`
				Message  string        `json:"message"`
			}
			require.NoError(t, json.Unmarshal(raw, &d))
			at := file.Position(file.FromUTF16(d.Range.Start.Line, d.Range.Start.Character))
			lines = append(lines, fmt.Sprintf("%s %s %d %s", at, d.Code, d.Severity, d.Message))
		}
		assert.Equal(t, want[path], lines, path)
	}
	assert.Len(t, got, len(paths), "every file is reported")
}

// level is the protocol's severity of a finding.
func level(f lint.Finding) string {
	switch {
	case f.Level == lint.Error:
		return "1"
	case f.Level == lint.Warning:
		return "2"
	case f.Unused:
		return "4"
	}
	return "3"
}
