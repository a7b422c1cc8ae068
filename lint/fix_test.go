package lint_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sewable/lang/source"
	"sewable/lint"
)

func mend(text string, rules ...*lint.Rule) lint.Mended {
	return lint.Mend("a.block", text, lint.Options{Rules: rules, Config: lint.WithSettings(settings("", rules...))}, lint.Mending{})
}

// everyWord makes a rule that replaces one fabric with another, at every patch.
func everyWord(from, to string, certain bool) *lint.Rule {
	return &lint.Rule{Name: "word-" + from, Level: lint.Warning, Run: func(p *lint.Pass) {
		for patch := range p.Patches() {
			if patch.Fabric == nil || patch.Fabric.Name != from {
				continue
			}
			r := p.Report(patch.FabricAt(), "%s.", from)
			if title, edit := "Use "+to, lint.Replace(patch.FabricAt(), to); certain {
				r.Fix(title, edit)
			} else {
				r.Suggest(title, edit)
			}
		}
	}}
}

func TestMend(t *testing.T) {
	text := file(lower, upper)
	t.Run("certain fixes are done", func(t *testing.T) {
		m := mend(text, plum)
		assert.Equal(t, strings.ReplaceAll(text, "patch 1 plum", "patch 1 sky"), strings.ReplaceAll(m.Text, "patch 2 sky", "patch 2 plum"))
		assert.Len(t, m.Fixes, 2)
	})
	t.Run("guesses are not", func(t *testing.T) {
		m := mend(text, everyWord("plum", "sky", false))
		assert.Equal(t, lint.Mended{Text: text}, m)
	})
	t.Run("again until none is left", func(t *testing.T) {
		m := mend("fabric ink\n"+text, everyWord("plum", "ink", true), everyWord("ink", "sky", true))
		assert.Len(t, m.Fixes, 4)
		assert.Contains(t, m.Text, "patch 1 sky")
	})
	t.Run("round and round stops", func(t *testing.T) {
		m := mend(text, everyWord("plum", "sky", true), everyWord("sky", "plum", true))
		assert.NotEmpty(t, m.Text)
	})
	t.Run("what would bring a new finding is not done", func(t *testing.T) {
		noSky := &lint.Rule{Name: "no-sky", Level: lint.Error, Run: everyWord("sky", "", false).Run}
		m := mend(text, everyWord("plum", "sky", true), noSky)
		assert.Equal(t, text, m.Text)
		assert.Empty(t, m.Fixes)
		require.Len(t, m.Refused, 2)
		assert.Equal(t, "no-sky", m.Refused[0].Rule)
	})
	t.Run("two fixes of one place: the first is done", func(t *testing.T) {
		m := mend(text, everyWord("plum", "sky", true), everyWord("plum", "sky", true))
		assert.Len(t, m.Fixes, 2)
	})
	t.Run("a fix in another file is left alone", func(t *testing.T) {
		afar := &lint.Rule{Name: "far-fix", Level: lint.Error, Run: func(p *lint.Pass) {
			e := lint.Replace(p.File.Blocks[0].At, "x")
			e.File = "b.block"
			p.Report(p.File.Blocks[0].At, "far.").Fix("Use x", e)
		}}
		assert.Equal(t, lint.Mended{Text: text}, mend(text, afar))
	})
}

// Whatever edits are applied, those that do not overlap give the text that
// putting the parts together by hand gives.
func TestApplyAgainstPieces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var before, after strings.Builder
		var edits []lint.Edit
		for i := range rapid.IntRange(0, 8).Draw(t, "pieces") {
			kept := rapid.StringN(1, 5, -1).Draw(t, fmt.Sprint("kept", i))
			before.WriteString(kept)
			after.WriteString(kept)
			old := rapid.StringN(0, 5, -1).Draw(t, fmt.Sprint("old", i))
			new := rapid.StringN(0, 5, -1).Draw(t, fmt.Sprint("new", i))
			at := source.Span{Start: before.Len(), End: before.Len() + len(old)}
			edits = append(edits, lint.Edit{Place: lint.Place{Span: at}, New: new})
			before.WriteString(old)
			after.WriteString(new)
		}
		shuffled := rapid.Permutation(edits).Draw(t, "order")
		assert.Equal(t, after.String(), lint.Apply(before.String(), shuffled))
	})
}
