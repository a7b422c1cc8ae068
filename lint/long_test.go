package lint_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/source"
	"sewable/lint"
)

// Of a long line a finding keeps what is around its place, and of a long statement its sum: the same
// as when it had all of it.
func TestLongLine(t *testing.T) {
	hits := &lint.Rule{Name: "hits", Level: lint.Hint, Title: "Each q", Why: "To look.", Bad: "a", Good: "b", Since: "0.1", Run: func(p *lint.Pass) {
		for i, r := range p.File.Source.Text {
			if r == 'q' {
				p.Report(p.At(source.Span{Start: i, End: i + 1}), "q")
			}
		}
	}}
	corners := strings.Repeat("(1, 2) é ", 4000)
	text := "fabric sky // q\n  patch 1 q " + corners + "q " + corners + "q // q " + corners + "\nfabric q\n"
	tree(t, map[string]string{"a.block": text})
	r, err := lint.Run(t.Context(), []string{"a.block"}, lint.Options{Rules: []*lint.Rule{hits}})
	require.NoError(t, err)
	require.Len(t, r.Findings, 6)
	lines := strings.Split(text, "\n")
	for i, f := range r.Findings {
		what := fmt.Sprintf("finding %d, %s", i, f.Place)
		line := []rune(lines[f.Start.Line-1])
		assert.Less(t, len(f.Line), 2000, what)
		assert.Less(t, len(f.Statement), 2000, what)
		assert.Equal(t, "q", string(line[f.Start.Column-1]), what)
		assert.Equal(t, "q", string([]rune(f.Line)[f.Start.Column-1-f.Left]), what)
		assert.Equal(t, string(line[f.Left:f.Left+len([]rune(f.Line))]), f.Line, what)
	}
	statement := strings.TrimSpace(strings.Split(lines[1], "//")[0])
	for _, f := range r.Findings[1:4] {
		assert.Equal(t, lint.Finding{Place: f.Place, Statement: statement}.Normal(), f.Normal())
	}
	assert.NotEqual(t, r.Findings[1].Normal(), r.Findings[4].Normal(), "the comment behind it is by itself")
}
