package query_test

import (
	"cmp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"sewable/lang/block"
	"sewable/lang/query"
	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lint/linttest"
)

// Names are found by the letters somebody remembers, best first.
func TestMatch(t *testing.T) {
	names := []string{"Mackerel Sky", "sky", "Homeward Sloop", "shallows", "galley-window", "GalleyWindow"}
	best := func(typed string) string {
		return slices.MaxFunc(names, func(a, b string) int { return cmp.Compare(query.Match(typed, a), query.Match(typed, b)) })
	}
	for typed, want := range map[string]string{"sky": "sky", "msky": "Mackerel Sky", "hs": "Homeward Sloop", "shal": "shallows", "gw": "GalleyWindow"} {
		if got := best(typed); typed == "gw" {
			assert.Contains(t, []string{"galley-window", "GalleyWindow"}, got)
		} else {
			assert.Equal(t, want, got, typed)
		}
	}
	assert.Zero(t, query.Match("xyz", "sky"))
	assert.Zero(t, query.Match("sky sky", "sky"))
	assert.Positive(t, query.Match("", "sky"))
}

func file(text string) *query.File {
	l := block.NewLoader(syntax.NewReader(), func(string) (string, error) { return linttest.Palette, nil })
	read := func(text string) *block.File { return l.OpenText("/generated/a.block", text) }
	return &query.File{File: read(text), Read: read}
}

// Whatever is typed and wherever the cursor stands, every question has an answer, spans
// lie in the text, selections grow and tokens follow each other.
func TestAnyTextAnyPlace(t *testing.T) {
	whole := linttest.GenerateBlock(4, 10)
	rapid.Check(t, func(r *rapid.T) {
		text := whole
		for range rapid.IntRange(0, 4).Draw(r, "edits") {
			from := rapid.IntRange(0, len(text)).Draw(r, "from")
			to := min(len(text), from+rapid.IntRange(0, 30).Draw(r, "length"))
			text = text[:from] + rapid.SampledFrom([]string{"", "\n", "{", "}", "(", "patch ", "sky", "\"", "é🌊", "// accept "}).Draw(r, "new") + text[to:]
		}
		f := file(text)
		at := rapid.IntRange(0, len(text)).Draw(r, "at")
		inside := func(s source.Span) {
			if s.Start < 0 || s.Start > s.End || s.End > len(text) {
				r.Fatalf("the span %v is outside the text", s)
			}
		}
		if h := query.Hover(f, at); h != nil {
			inside(h.At)
		}
		for _, c := range query.Complete(f, at, query.Around{Snippets: true}) {
			inside(c.Replace)
		}
		query.SignatureAt(f, at)
		query.Definition(f, at)
		query.TypeDefinition(f, at)
		query.WaitsFor(f, at)
		query.WaitFor(f, at)
		for _, h := range query.Highlights(f, at) {
			inside(h.At)
		}
		if n, err := query.PrepareRename(f, at); err == nil {
			inside(n.At)
			query.Rename(f.File, n, "other")
		}
		spans := query.Selections(f, at)
		for i, s := range spans {
			inside(s)
			if i > 0 && (s.Start > spans[i-1].Start || s.End < spans[i-1].End) {
				r.Fatalf("the selection %v does not hold %v", s, spans[i-1])
			}
		}
		last := 0
		for x := range query.Tokens(f, query.Names(f), 0, f.Source.Lines()) {
			inside(x.At)
			if x.At.Start < last || strings.Contains(text[x.At.Start:x.At.End], "\n") {
				r.Fatalf("the token %v overlaps another or a line", x.At)
			}
			last = x.At.End
		}
		for _, x := range query.Folds(f) {
			inside(x.At)
		}
		var outline func(list []query.Symbol)
		outline = func(list []query.Symbol) {
			for _, s := range list {
				inside(s.At)
				if s.NameAt.Start < s.At.Start || s.NameAt.End > s.At.End {
					r.Fatalf("the name of %s, %v, is outside it, %v", s.Name, s.NameAt, s.At)
				}
				outline(s.Children)
			}
		}
		outline(query.Outline(f))
		query.Hints(f, source.Span{Start: 0, End: len(text)}, func(query.HintKind) bool { return true })
		query.Lenses(f)
	})
}
