package rules

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/tools/txtar"

	"sewable/lang/block"
	"sewable/lang/syntax"
	"sewable/lint"
)

// Every fix that is offered for a broken file, or in a scenario that stands for itself, takes its
// finding away. A certain one brings no other and leaves the picture alone.
func TestFixes(t *testing.T) {
	fixed := map[string]int{}
	check := func(path, text string) {
		o := lint.Options{Rules: All, Loader: block.NewLoader(syntax.NewReader(), nil)}
		findings := lint.Text(path, text, o).Findings
		assertFixes(t, o, path, text, findings)
		for _, f := range findings {
			for _, fix := range f.Fixes {
				fixed[f.Rule]++
				mended := lint.Apply(text, fix.Edits)
				after := lint.Text(path, mended, o).Findings
				assert.Less(t, told(after, f), told(findings, f), "%s: %q of %q leaves\n%s\nin\n%s", path, fix.Title, f.Message, listed(after), mended)
			}
		}
	}
	broken, err := filepath.Glob(testdata + "/broken/*.block")
	require.NoError(t, err)
	for _, path := range broken {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		check(path, string(text))
	}
	scenarios, err := filepath.Glob(testdata + "/rules/*.txtar")
	require.NoError(t, err)
	for _, path := range scenarios {
		archive, err := txtar.ParseFile(path)
		require.NoError(t, err)
		for _, f := range archive.Files {
			if filepath.Ext(f.Name) == lint.Extension {
				check(filepath.Base(path)+"/"+f.Name, string(f.Data))
			}
		}
	}
	t.Log(fixed)
	for _, rule := range []string{"unsewable-order", "join-order", "near-miss", "short-cut", "unknown-name", "unmarked-join", "unused-accept"} {
		assert.Positive(t, fixed[rule], "no fix of %s was tried", rule)
	}
}

// In a file whose lines end in carriage return and line feed, they still do when it is mended.
func TestFixesKeepLineBreaks(t *testing.T) {
	lines := 0
	broken, err := filepath.Glob(testdata + "/broken/*.block")
	require.NoError(t, err)
	for _, path := range broken {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		crlf := strings.ReplaceAll(string(text), "\n", "\r\n")
		o := lint.Options{Rules: All, Loader: block.NewLoader(syntax.NewReader(), nil)}
		for _, f := range lint.Text(path, crlf, o).Findings {
			for _, fix := range f.Fixes {
				mended := lint.Apply(crlf, fix.Edits)
				assert.Equal(t, strings.Count(mended, "\n"), strings.Count(mended, "\r\n"), "%s: %q", path, fix.Title)
				lines += max(0, strings.Count(mended, "\n")-strings.Count(crlf, "\n"))
			}
		}
	}
	assert.Positive(t, lines, "no fix added a line")
}
