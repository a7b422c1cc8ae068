package query_test

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/query"
	"sewable/lang/source"
	"sewable/lint/linttest"
)

var pairs = regexp.MustCompile(`\([^()]*\)`)

// At every place of a block where a pair of numbers is typed, whichever place is chosen leaves a line that can be
// read, whether a parenthesis is open, or closed already by the editor, or none is typed yet.
func TestPlacesLeaveNothingBehind(t *testing.T) {
	whole := linttest.GenerateBlock(4, 10)
	require.Empty(t, file(whole).Tree.Errors)
	places, offered, chosen := 0, 0, 0
	for _, at := range pairs.FindAllStringIndex(whole, -1) {
		for _, begun := range []string{"", "(", "()", "(0", "(0)", "(0,)"} {
			text := whole[:at[0]] + begun + whole[at[1]:]
			f := file(text)
			cursor := at[0] + len(strings.TrimSuffix(begun, ")"))
			if begun == "" {
				places++
			}
			meant := false
			for _, c := range query.Complete(f, cursor, query.Around{}) {
				if c.Kind != query.ChoicePlace {
					continue
				}
				after := text[:c.Replace.Start] + c.Insert + text[c.Replace.End:]
				chosen++
				if errors := file(after).Tree.Errors; !assert.Empty(t, errors, "%s\n%s", c.Insert, line(after, at[0])) {
					return
				}
				if rest := text[c.Replace.End:]; begun == "" && rest[0] != '\n' {
					assert.NotContains(t, c.Label, ") (", "all that is left is offered where nothing follows")
				}
				meant = meant || c.Label == whole[at[0]:at[1]]
			}
			if meant && begun == "" {
				offered++
			}
		}
	}
	assert.Positive(t, chosen)
	t.Logf("%d of %d places as they were typed are offered", offered, places)
	assert.Greater(t, 2*offered, places)
}

func line(text string, at int) string {
	f := source.New("", text)
	span := f.LineSpan(f.Line(at) - 1)
	return text[span.Start:span.End]
}
