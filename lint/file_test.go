package lint_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lint"
)

func TestFindingsSayWhereAndWhat(t *testing.T) {
	r := lint.Text("dir/a.block", file("\t/*½*/"+lower), lint.Options{Rules: []*lint.Rule{plum}})
	assert.Empty(t, r.Findings, "a line that cannot be read says nothing of plum")

	r = lint.Text("dir/a.block", file(lower), lint.Options{Rules: []*lint.Rule{plum}})
	require.Len(t, r.Findings, 1)
	f := r.Findings[0]
	assert.Equal(t, "dir/a.block:6:13", f.Place.String())
	assert.Equal(t, 17, f.End.Column)
	assert.Equal(t, lower, f.Line)
	assert.Equal(t, lint.Warning, f.Level)
	assert.Equal(t, "A1 is plum.", f.Message)
	assert.Equal(t, []any{"Pennant", "A", 1}, []any{f.Block, f.Section, f.Patch})
	assert.Equal(t, "dir/a.block:1:8", f.Related[0].Place.String())
	assert.Equal(t, "Use sky", f.Fixes[0].Title)
	assert.True(t, f.Fixes[0].Certain)
	assert.Equal(t, 1, r.Blocks)
}

func TestLevelsFromSettings(t *testing.T) {
	lowered := &lint.Rule{Name: "low-rule", Level: lint.Error, Run: func(p *lint.Pass) {
		p.Report(p.At(p.File.Blocks[0].At.Span), "own level.")
		p.Report(p.At(p.File.Blocks[0].At.Span), "own, lower.").As(lint.Warning)
	}}
	for set, want := range map[string][]string{
		"":        {"error", "warning"},
		"error":   {"error", "warning"},
		"warning": {"warning", "warning"},
		"hint":    {"hint", "hint"},
		"off":     nil,
	} {
		toml := ""
		if set != "" {
			toml = "[levels]\nlow-rule = \"" + set + "\""
		}
		r := lint.Text("a.block", file(lower), lint.Options{
			Rules: []*lint.Rule{lowered}, Config: lint.WithSettings(settings(toml, lowered)),
		})
		var got []string
		for _, f := range r.Findings {
			got = append(got, f.Level.String())
		}
		assert.Equal(t, want, got, "set to %q", set)
	}
}

func TestAccepts(t *testing.T) {
	for name, c := range map[string]struct {
		text string
		want []string
	}{
		"at the end of a line, for that line": {
			file(lower+"  // accept plum-patch: washed twice", upper),
			[]string{"a.block:7:13 warning plum-patch: A2 is plum."},
		},
		"alone on a line, for the next statement": {
			file("    // accept plum-patch: washed twice", lower, upper),
			[]string{"a.block:8:13 warning plum-patch: A2 is plum."},
		},
		"over a section, for all that stands in it": {
			"fabric plum\nblock \"P\" 4 by 4 {\n  allowance 1/4\n  // accept plum-patch: washed twice\n  section A {\n" + lower + "\n" + upper + "\n  }\n}\n",
			nil,
		},
		"of another rule": {
			file(lower + "  // accept wide-block: for the wall"),
			[]string{
				"a.block:6:13 warning plum-patch: A1 is plum.",
				`a.block:6:47 hint idle-accept: hides 0, unknown false near "", asleep false.`,
			},
		},
		"of no rule": {
			file(lower + "  // accept plum-pach: washed twice"),
			[]string{
				"a.block:6:13 warning plum-patch: A1 is plum.",
				`a.block:6:47 hint idle-accept: hides 0, unknown true near "plum-patch", asleep false.`,
			},
		},
		"asleep beside an error": {
			"fabric plum\nblock \"P\" 11 by 4 {\n  allowance 1/4 // accept plum-patch: washed twice\n}\n",
			[]string{
				"a.block:2:1 error wide-block: This block is 11 in wide.",
				`a.block:3:17 hint idle-accept: hides 0, unknown false near "", asleep true.`,
			},
		},
	} {
		t.Run(name, func(t *testing.T) {
			assert.Equal(t, c.want, say(c.text, "", plum, wide, idle))
		})
	}

	t.Run("of a rule that is off", func(t *testing.T) {
		text := file(lower + "  // accept plum-patch: washed twice")
		assert.Equal(t, []string{`a.block:6:47 hint idle-accept: hides 0, unknown false near "", asleep true.`},
			say(text, "[levels]\nplum-patch = \"off\"", plum, wide, idle))
	})
}

func TestCopiesAreCounted(t *testing.T) {
	text := `fabric plum
block "Fan" 8 by 4 {
  allowance 1/4
  section A {
    patch 1 plum (0, 0) (4, 0) (4, 4) (0, 4)
  }
  section B = A moved (4, 0)
`
	assert.Equal(t, []string{"a.block:5:13 warning plum-patch: A1 is plum (and 1 copy)."}, say(text+"}\n", "", plum))
	assert.Equal(t, []string{"a.block:5:13 warning plum-patch: A1 is plum (and 2 copies)."},
		say(text+"  section C = B moved (0, 1)\n}\n", "", plum), "copies of copies count")

	alone := &lint.Rule{Name: "alone-rule", Level: lint.Hint, Run: func(p *lint.Pass) {
		for s := range p.Sections() {
			p.Report(s.At, "%s, of %d.", s.Name, lint.Copies(s)).Section(s).Alone()
		}
	}}
	assert.Equal(t, []string{"a.block:4:11 hint alone-rule: A, of 1."}, say(text+"}\n", "", alone))
}

func TestARuleThatBreaksDown(t *testing.T) {
	text := "block \"Trap\" 4 by 4 {\n  allowance 1/4\n}\n"
	o := lint.Options{Rules: []*lint.Rule{broken, wide}}

	t.Run("is answered in use, and the others go on", func(t *testing.T) {
		lint.PanicThrough = false
		defer func() { lint.PanicThrough = true }()
		o.Rules = append(o.Rules, &lint.Rule{Name: "last-rule", Level: lint.Hint, Run: func(p *lint.Pass) {
			p.Report(p.File.Blocks[0].At, "still here.")
		}})
		r := lint.Text("a.block", text, o)
		assert.Equal(t, []string{"a.block:1:7 error broken-rule: seen.", "a.block:1:7 hint last-rule: still here."}, lines(r.Findings))
		require.Len(t, r.Failures, 1)
		assert.EqualError(t, r.Failures[0], "a.block: internal error in the rule broken-rule: no such corner")
		assert.Contains(t, r.Failures[0].Stack, "lint_test.go")
	})
	t.Run("is loud in tests", func(t *testing.T) {
		assert.True(t, lint.PanicThrough)
		assert.PanicsWithValue(t, "no such corner", func() { lint.Text("a.block", text, o) })
	})
}
