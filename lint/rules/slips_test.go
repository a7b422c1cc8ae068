package rules

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/syntax"
	"sewable/lint"
)

const typed = `fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
}
`

// A slip of the keyboard is one finding, and its first fix gives back what was meant.
func TestTypingSlips(t *testing.T) {
	for name, slip := range map[string]struct{ old, new, rule string }{
		"fabric misspelled":      {"patch 2 sky", "patch 2 sly", "unknown-name"},
		"fabric not declared":    {"fabric water\n", "", "unknown-name"},
		"statement at the top":   {"fabric sky", "fabrc sky", "unreadable-line"},
		"block misspelled":       {"block", "blok", "unreadable-line"},
		"statement in a block":   {"allowance", "alowance", "unreadable-line"},
		"section misspelled":     {"section", "sectoin", "unreadable-line"},
		"patch misspelled":       {"patch 2", "ptach 2", "unreadable-line"},
		"word misspelled":        {"4 by 4", "4 bi 4", "unreadable-line"},
		"word missing":           {"4 by 4", "4 4", "unreadable-line"},
		"closing parenthesis":    {"(4, 0)", "(4, 0", "unreadable-line"},
		"parenthesis at the end": {"(0, 4)\n", "(0, 4\n", "unreadable-line"},
		"opening parenthesis":    {"(4, 2) (4", "(4, 2) 4", "unreadable-line"},
		"parenthesis too many":   {"(4, 0)", "(4, 0))", "unreadable-line"},
		"comma":                  {"(4, 0)", "(4 0)", "unreadable-line"},
		"quote":                  {`"Horizon"`, `"Horizon`, "unreadable-line"},
		"inch mark":              {"1/4", `1/4"`, "unreadable-line"},
		"brace of a section":     {"section A {", "section A", "unreadable-line"},
		"brace of a block":       {"4 by 4 {", "4 by 4", "unreadable-line"},
		"section not closed":     {"  }\n", "", "unreadable-line"},
		"block not closed":       {"  }\n}\n", "  }\n", "unreadable-line"},
		"brace too many":         {"  }\n}\n", "  }\n}\n}\n", "unreadable-line"},
		"no allowance":           {"  allowance 1/4\n", "", "missing-allowance"},
		"number missing":         {"patch 2", "patch 3", "patch-numbers"},
		"number twice":           {"patch 2", "patch 1", "patch-numbers"},
		"numbers from 0":         {"patch 1 water", "patch 0 water", "patch-numbers"},
	} {
		t.Run(name, func(t *testing.T) {
			for _, end := range []string{"\n", "\r\n"} {
				text := strings.ReplaceAll(typed, "\n", end)
				slipped := strings.ReplaceAll(strings.Replace(typed, slip.old, slip.new, 1), "\n", end)
				require.NotEqual(t, text, slipped)
				o := lint.Options{Rules: All, Loader: block.NewLoader(syntax.NewReader(), nil)}
				findings := lint.Text("a.block", slipped, o).Findings
				require.Len(t, findings, 1, listed(findings))
				assert.Equal(t, slip.rule, findings[0].Rule)
				require.NotEmpty(t, findings[0].Fixes, findings[0].Message)
				assert.Equal(t, text, lint.Apply(slipped, findings[0].Fixes[0].Edits), findings[0].Fixes[0].Title)
			}
		})
	}
}

// What is not a slip of one word or mark is left alone, and a file full of errors is not read again for each.
func TestNoRepair(t *testing.T) {
	o := lint.Options{Rules: All, Loader: block.NewLoader(syntax.NewReader(), nil)}
	for _, line := range []string{"note Sew it slowly.", "patch two sky", "point = = (0, 0)", "section B ="} {
		for _, f := range lint.Text("a.block", strings.Replace(typed, "  allowance", "  "+line+"\n  allowance", 1), o).Findings {
			assert.Empty(t, f.Fixes, f.Message)
		}
	}
	var many strings.Builder
	for range 3 * maxRepaired {
		many.WriteString("fabric sky +\nfabrc water\n")
	}
	fixed := 0
	for _, f := range lint.Text("a.block", many.String(), o).Findings {
		fixed += min(1, len(f.Fixes))
	}
	assert.LessOrEqual(t, fixed, maxRepaired)
	assert.Positive(t, fixed)
}
