package output

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/muesli/termenv"
	"github.com/rivo/uniseg"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sewable/lang/block"
	"sewable/lang/source"
	"sewable/lint"
)

// on makes a finding on a part of a line, which is the second of its file.
func on(line, part string) lint.Finding {
	f := source.New("a.block", "\n"+line+"\n")
	start := 1 + strings.Index(line, part)
	e := lint.Replace(block.Place{File: f, Span: source.Span{Start: start, End: start + len(part)}}, "x")
	return lint.Finding{Place: e.Place, Line: line, Rule: "sharp-corner", Level: lint.Warning, Message: "C4 is sharp."}
}

func TestExcerpt(t *testing.T) {
	for name, c := range map[string]struct {
		line, part string
		want       []string
	}{
		"plain": {"    patch 1 sky (0, 0)", "sky", []string{
			"patch 1 sky (0, 0)",
			"        ^^^"}},
		"a tab in front and within": {"\tpatch\t1 sky", "1", []string{
			"patch   1 sky",
			"        ^"}},
		"wide characters": {`fabric 空 "夜空" #112233`, "空", []string{
			`fabric 空 "夜空" #112233`,
			"       ^^"}},
		"after wide characters": {`note "夜空" more`, "more", []string{
			`note "夜空" more`,
			"            ^^^^"}},
		"combining marks": {"fabric ne\u0301e sky", "sky", []string{
			"fabric ne\u0301e sky",
			"           ^^^"}},
		"a family of one picture": {`note "👩‍👩‍👧" end`, "end", []string{
			`note "👩‍👩‍👧" end`,
			"          ^^^"}},
		"control characters": {"patch \x1b[31m sky\x00", "sky", []string{
			"patch <U+001B>[31m sky<U+0000>",
			"                   ^^^"}},
		"writing turned about": {"note \u202e sky", "sky", []string{
			"note <U+202E> sky",
			"              ^^^"}},
		"broken bytes": {"note \xff\xfe sky", "sky", []string{
			"note <FF><FE> sky",
			"              ^^^"}},
		"nothing long": {"patch 1 sky", "", []string{
			"patch 1 sky",
			"^"}},
	} {
		t.Run(name, func(t *testing.T) {
			line, carets := excerpt(on(c.line, c.part), 80)
			assert.Equal(t, c.want, []string{line, carets})
		})
	}

	t.Run("behind the end of the line", func(t *testing.T) {
		f := on("section A", "")
		f.Start.Column, f.End.Column = 10, 10
		_, carets := excerpt(f, 80)
		assert.Equal(t, "         ^", carets)
	})
	t.Run("over several lines", func(t *testing.T) {
		f := on("section A {", "A {")
		f.End.Line, f.End.Column = 9, 1
		_, carets := excerpt(f, 80)
		assert.Equal(t, "        ^^^", carets)
	})
	t.Run("an empty line", func(t *testing.T) {
		line, carets := excerpt(on("  ", ""), 80)
		assert.Empty(t, line+carets)
	})
	t.Run("a long line is cut on both sides", func(t *testing.T) {
		line, carets := excerpt(on(strings.Repeat("a ", 50)+"HERE"+strings.Repeat(" b", 50), "HERE"), 30)
		assert.Equal(t, "… a a a a HERE b b b b b b b …", line)
		assert.Equal(t, "          ^^^^", carets)
	})
}

// However a line is made and however narrow the room: the excerpt keeps to
// it, prints nothing that moves the cursor, and the carets stand below it.
func TestExcerptKeepsToItsRoom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		line := rapid.StringOf(rapid.SampledFrom([]rune("ab \t夜\u0301\u200d👩½\u202e\U0010ffff\x00\x1b"))).Draw(t, "line")
		line += "x"
		f := on(line, "")
		f.Start.Column = rapid.IntRange(1, len([]rune(line))+1).Draw(t, "start")
		f.End.Column = rapid.IntRange(f.Start.Column, len([]rune(line))+1).Draw(t, "end")
		width := rapid.IntRange(12, 60).Draw(t, "width")
		shown, carets := excerpt(f, width)
		assert.NotContains(t, shown, "\t")
		assert.NotContains(t, shown, "\x1b")
		assert.LessOrEqual(t, uniseg.StringWidth(shown), width)
		assert.LessOrEqual(t, len(carets), width+1)
		assert.Contains(t, carets, "^")
	})
}

// The short way and the long way to an excerpt lead to the same.
func TestPlainExcerpt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := on(rapid.StringMatching(`[ a-c(){}]{0,12}x[ a-c]{0,12}`).Draw(t, "line"), "")
		f.Start.Column = rapid.IntRange(1, len(f.Line)+1).Draw(t, "start")
		f.End.Column = rapid.IntRange(f.Start.Column, len(f.Line)+1).Draw(t, "end")
		f.End.Line += rapid.IntRange(0, 1).Draw(t, "lines")
		line, carets, ok := ascii(f, 30)
		require.True(t, ok)
		wantLine, wantCarets := celled(f, 30)
		assert.Equal(t, wantLine, line)
		assert.Equal(t, wantCarets, carets)
	})
}

func result() *lint.Result {
	f := on("  patch 4 sky beyond (0, 1) (2, 2)", "(0, 1) (2, 2)")
	f.Block, f.Section, f.Patch = "Sloop", "C", 4
	f.Related = []lint.Related{{Place: f.Place, Message: "C1 is here"}}
	f.Fixes = []lint.Fix{
		{Title: "Renumber the section", Certain: true, Edits: []lint.Edit{{Place: f.Place, New: "<3>"}}},
		{Title: "Move the corner to (0, 2)", Edits: []lint.Edit{{Place: f.Place, New: "y"}}},
	}
	hint := on("  patch 4", "4")
	hint.Level = lint.Hint
	return &lint.Result{Findings: []lint.Finding{f, hint}, Files: 2, Blocks: 1}
}

func TestText(t *testing.T) {
	var b strings.Builder
	require.NoError(t, Text(&b, result(), Style{Profile: termenv.Ascii}))
	assert.Equal(t, `a.block:2:22: warning: C4 is sharp. [sharp-corner]
    patch 4 sky beyond (0, 1) (2, 2)
                       ^^^^^^^^^^^^^
    a.block:2:22: C1 is here
    --fix would: Renumber the section
    possible fix 1: Move the corner to (0, 2)
a.block:2:9: hint: C4 is sharp. [sharp-corner]
    patch 4
          ^

2 files, 1 block: 1 warning and 1 hint
`, b.String())

	b.Reset()
	require.NoError(t, Text(&b, &lint.Result{Files: 1}, Style{Profile: termenv.Ascii}))
	assert.Equal(t, "1 file, 0 blocks: no findings\n", b.String())
}

func TestColour(t *testing.T) {
	var plain, colour strings.Builder
	require.NoError(t, Text(&plain, result(), Style{Profile: termenv.Ascii}))
	assert.NotContains(t, plain.String(), "\x1b")
	require.NoError(t, Text(&colour, result(), Style{Profile: termenv.ANSI}))
	assert.Contains(t, colour.String(), "\x1b[")
}

func TestJSON(t *testing.T) {
	var b strings.Builder
	require.NoError(t, JSON(&b, result()))
	assert.Contains(t, b.String(), `"<3>"`, "signs stay as they are")
	var got map[string]any
	require.NoError(t, json.Unmarshal([]byte(b.String()), &got))
	place := func(from, to float64, more map[string]any) map[string]any {
		more["file"], more["line"], more["column"], more["endLine"], more["endColumn"] = "a.block", 2.0, from, 2.0, to
		return more
	}
	assert.Equal(t, map[string]any{
		"findings": []any{
			place(22, 35, map[string]any{
				"rule": "sharp-corner", "level": "warning", "message": "C4 is sharp.",
				"block": "Sloop", "section": "C", "patch": 4.0,
				"related": []any{place(22, 35, map[string]any{"message": "C1 is here"})},
				"fixes": []any{
					map[string]any{"title": "Renumber the section", "certain": true,
						"edits": []any{place(22, 35, map[string]any{"text": "<3>"})}},
					map[string]any{"title": "Move the corner to (0, 2)", "certain": false,
						"edits": []any{place(22, 35, map[string]any{"text": "y"})}},
				},
			}),
			place(9, 10, map[string]any{
				"rule": "sharp-corner", "level": "hint", "message": "C4 is sharp.",
				"block": "", "section": "", "patch": 0.0, "related": []any{}, "fixes": []any{},
			}),
		},
		"summary": map[string]any{"files": 2.0, "blocks": 1.0, "errors": 0.0, "warnings": 1.0, "hints": 1.0},
	}, got)

	b.Reset()
	require.NoError(t, JSON(&b, &lint.Result{}))
	assert.Contains(t, b.String(), `"findings": []`, "an empty list, not null")
}
