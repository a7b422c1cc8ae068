package output

import (
	"encoding/json"
	"encoding/xml"
	"regexp"
	"strings"
	"testing"
	"unicode"

	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sewable/lang/visible"
	"sewable/lint"
)

func TestPlain(t *testing.T) {
	for given, want := range map[string]string{
		`fabric sky "Morning sky" #c3dcea`:   `fabric sky "Morning sky" #c3dcea`,
		"one\ntwo\x1b[31m":                   "one<U+000A>two<U+001B>[31m",
		"::error::x":                         ": :error::x",
		" \u00a0::error::x":                  " \u00a0: :error::x",
		"gull::wing":                         "gull::wing",
		"## seams":                           "## seams",
		"a ##[group]b ##vso[task.complete]c": "a # #[group]b # #vso[task.complete]c",
		"###[group]":                         "## #[group]",
		"#\u200b#VSO[x]":                     "#<U+200B>#VSO[x]",
		"#\u0600#VSO[x]":                     "#\u0600 #VSO[x]",
	} {
		assert.Equal(t, want, Plain(given))
	}
}

func TestExcerptIsNoCommand(t *testing.T) {
	line, carets := excerpt(on("  ::error file=x::sky", "sky"), 80)
	assert.Equal(t, []string{": :error file=x::sky", "                 ^^^"}, []string{line, carets})
	line, carets = excerpt(on(`note "##vso[task.complete]" sky`, "sky"), 80)
	assert.Equal(t, []string{`note "# #vso[task.complete]" sky`, "                             ^^^"}, []string{line, carets})
}

// asLogsRead is a line as a CI system reads it at its most generous: without colours, and blind
// to characters that only format.
func asLogsRead(line string) string {
	line = regexp.MustCompile("\x1b\\[[0-9;]*m").ReplaceAllString(line, "")
	return strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Cf, r) {
			return -1
		}
		return unicode.ToLower(r)
	}, line)
}

// Whatever a file holds, and whatever it is called: no line of any form is a command to the log
// of a CI system, but for those that the form is made of, and none of it is left out.
func TestNoFormIsACommand(t *testing.T) {
	words := rapid.SampledFrom([]string{
		"::", "::error file=x::", "##[group]", "##vso[task.complete]", "##VSO[", "#", "[", ":", "vso",
		" ", "\t", "\u00a0", "\u2003", "\u200b", "\u200d", "\ufeff", "\u0600", "\u0301", "\x00", "\x85", "\n", "\r", "夜", "sky", "\xff",
	})
	hostile := rapid.Custom(func(t *rapid.T) string {
		return strings.Join(rapid.SliceOfN(words, 1, 12).Draw(t, "words"), "")
	})
	bare := func(s string) string { return strings.ReplaceAll(s, " ", "") }
	rapid.Check(t, func(t *rapid.T) {
		f := on(hostile.Draw(t, "line"), "")
		f.File, f.Message = hostile.Draw(t, "file"), hostile.Draw(t, "message")
		f.Start.Column = rapid.IntRange(1, len([]rune(f.Line))+1).Draw(t, "start")
		f.End.Column = rapid.IntRange(f.Start.Column, len([]rune(f.Line))+1).Draw(t, "end")
		f.Related = []lint.Related{{Place: f.Place, Message: hostile.Draw(t, "related")}}
		f.Fixes = []lint.Fix{{Title: hostile.Draw(t, "fix")}}
		style := Style{
			Profile: rapid.SampledFrom([]termenv.Profile{termenv.Ascii, termenv.ANSI}).Draw(t, "profile"),
			Width:   rapid.IntRange(14, 60).Draw(t, "width"),
		}
		r := Report{Result: &lint.Result{Findings: []lint.Finding{f}, Files: 1, Failures: []lint.Failure{{File: f.File, Rule: "gap", Cause: f.Message}}}, Paths: []string{f.File}, Style: style}
		for _, form := range Forms {
			var b strings.Builder
			require.NoError(t, form.Write(&b, r))
			text := b.String()
			switch form.Name { // what is printed on a log whose commands they are
			case "github":
				text = strings.ReplaceAll(text, "::error file=", "file=")
				text = regexp.MustCompile(`(?m)^::(warning|notice) file=`).ReplaceAllString(text, "file=")
			case "azure":
				text = strings.ReplaceAll(text, "##vso[task.logissue ", "")
			case "json":
				var got struct {
					Findings []struct{ File, Message string }
				}
				require.NoError(t, json.Unmarshal([]byte(text), &got))
				require.Equal(t, string([]rune(f.File)), got.Findings[0].File)
				require.Equal(t, string([]rune(f.Message)), got.Findings[0].Message)
			case "checkstyle":
				var got checkstyle
				require.NoError(t, xml.Unmarshal([]byte(text), &got))
				require.Equal(t, visible.Text(f.File), got.Files[0].Name)
				require.Equal(t, visible.Text(f.Message), got.Files[0].Errors[0].Message)
			}
			for line := range strings.Lines(text) {
				read := asLogsRead(line)
				assert.False(t, strings.HasPrefix(strings.TrimLeftFunc(read, unicode.IsSpace), "::"), "%s: %q", form.Name, line)
				assert.NotContains(t, read, "##[", form.Name)
				assert.NotContains(t, read, "##vso[", form.Name)
			}
		}
		if printable := strings.IndexFunc(f.Line, func(r rune) bool { return r < ' ' || r > '~' }) < 0; printable && strings.TrimSpace(f.Line) != "" {
			line, _ := excerpt(f, 300)
			assert.Equal(t, bare(f.Line), bare(line))
		}
	})
}
