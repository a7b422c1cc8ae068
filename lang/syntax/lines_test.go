package syntax_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"sewable/lang/source"
	"sewable/lang/syntax"
)

// The tokens of the lines, put one after another, are the tokens of the text, and there are
// as many lines as the text has.
func TestLines(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOf(rapid.SampledFrom([]string{
			"patch 1 sky (0, 1/2)", "\n", "\r\n", "\r", " ", "// a gull\n", `"Spray`, `"`, "#0af", "\t", "{", "§", "🐟", "3.5mm",
		})).Draw(t, "text"), "")
		f := source.New("", text)
		lines := syntax.Lines(text)
		assert.Len(t, lines, f.Lines())
		var got []syntax.Token
		for i, line := range lines {
			from := f.LineSpan(i).Start
			for _, p := range line {
				at := source.Span{Start: from + int(p.Start), End: from + int(p.End)}
				got = append(got, syntax.Token{Kind: p.Kind, Text: text[at.Start:at.End], Span: at})
			}
		}
		assert.Equal(t, syntax.Tokens(text), got)
	})
}
