package syntax

import (
	"reflect"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"sewable/lang/source"
)

// parserTalk is what a parser says of its own accord.
var parserTalk = regexp.MustCompile(`token|EOF|syntax\.|<\w+>`)

type failer interface {
	Errorf(format string, args ...any)
}

// checkTree checks what holds for every tree, however broken the file.
func checkTree(t failer, tree *Tree) {
	text := tree.File.Text
	assert.Equal(t, text, Print(tree), "a tree prints its file")
	at := 0
	within := func(inner, outer source.Span, what string) {
		assert.True(t, outer.Start <= inner.Start && inner.Start <= inner.End && inner.End <= outer.End, "%s: %v in %v", what, inner, outer)
	}
	Walk(tree.Items, func(item *Item) bool {
		assert.Equal(t, at, item.Raw.Start, "items follow each other without a gap")
		at = item.Raw.End
		assert.Less(t, item.Raw.Start, item.Raw.End, "no item is empty")
		within(item.Stmt, item.Raw, "statement")
		within(item.Brace(), item.Raw, "brace")
		if item.Brace().Len() > 0 {
			assert.Contains(t, "{}", text[item.Brace().Start:item.Brace().End])
		}
		if item.Comment.Len() > 0 {
			within(item.Comment, item.Raw, "comment")
			assert.True(t, strings.HasPrefix(text[item.Comment.Start:], "//"))
			assert.NotContains(t, text[item.Comment.Start:item.Comment.End], "\n")
		}
		assert.Equal(t, item.Kind == Opens, item.Body != nil || item.Close != nil || item.Kind == Opens)
		switch item.Kind {
		case Blank, Remark, Closes, Unreadable:
			assert.Nil(t, item.Node)
		case Simple:
			assert.NotNil(t, item.Node)
		}
		if item.Node != nil {
			checkSpans(t, reflect.ValueOf(item.Node), item.Stmt.Len())
		}
		assert.Same(t, item, tree.ItemAt(item.Raw.Start))
		assert.Same(t, item, tree.ItemAt(item.Raw.End-1))
		return true
	})
	assert.Equal(t, len(text), at, "items cover the file")
	previous := 0
	for _, e := range tree.Errors {
		within(e.At, source.Span{Start: 0, End: len(text)}, "error")
		assert.NotEmpty(t, e.Message)
		assert.LessOrEqual(t, previous, e.At.Start, "errors are in order")
		previous = e.At.Start
		assert.Equal(t, e.Kind == ReservedWord, e.Name != "")
		if !parserTalk.MatchString(text) {
			assert.NotRegexp(t, parserTalk, e.Message+e.Detail, "no parser speaks")
		}
	}
	for _, a := range tree.Accepts {
		within(a.At, source.Span{Start: 0, End: len(text)}, "accept")
		within(a.RuleAt, a.At, "rule of an accept")
		within(a.Scope, source.Span{Start: 0, End: len(text)}, "scope of an accept")
		assert.Equal(t, a.Rule, text[a.RuleAt.Start:a.RuleAt.End])
	}
}

// checkSpans checks that every span inside a node lies in its statement.
func checkSpans(t failer, v reflect.Value, length int) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			checkSpans(t, v.Elem(), length)
		}
	case reflect.Slice:
		for i := range v.Len() {
			checkSpans(t, v.Index(i), length)
		}
	case reflect.Struct:
		if s, ok := v.Interface().(source.Span); ok {
			assert.True(t, 0 <= s.Start && s.Start < s.End && s.End <= length, "span %v in a statement of %d", s, length)
			return
		}
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				checkSpans(t, v.Field(i), length)
			}
		}
	}
}

// fragments are what random files are made of: sound lines, broken ones, and the
// characters that decide where things end.
var fragments = []string{
	"block \"T\" 6 by 6 {\n", "section A {\n", "section B\n", "section C, D = A, B turned 90 about hub with sky = plum\n", "}\n", "}", "{", "{\n",
	"patch 1 sky (0, 0) (1, 0) (0, 1)\n", "patch 2 sky beyond (1/2, 2) head cut 2 1/4 by 3\n", "patch 3 sky (0, 0)", "join A to B\n", "join A\n",
	"colourway dusk {\n", "sky = plum\n", "sky = plum,\n", "setting \"S\" {\n", "rows 2\n", "fill \"T\" dusk turned 90, \"U\"\n",
	"point p = (1, 2)\n", "outline p, q,\n  (3, 4),\n", "note \"x\"\n", "// accept gap: yes\n", "// accept bent-join\n", " // accept overlap: it is meant\n",
	"\n", "\n", "\r\n", " ", "\t", "\"", "(", ")", ",", "=", "//", "\\", "½", "帆", "\u00a0", "\ufeff", "3", "@", "let h = 2 - 1\n", "units mm\n", "use \"a.block\"\n",
}

func TestRandomFiles(t *testing.T) {
	reader := NewEditorReader()
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOf(rapid.SampledFrom(fragments)).Draw(t, "fragments"), "")
		checkTree(t, reader.Parse(source.New("x.block", text)))
	})
}

func FuzzParse(f *testing.F) {
	for _, fragment := range fragments {
		f.Add(fragment)
	}
	f.Add("block \"T\" 6 by 6 {\n section A { patch 1 sky (0,0) (1,0) (0,1) }\n join A to B }\n")
	f.Add("block \"T 6 by 6 {\n section A\n {\n patch 1 sky around (1, 2)\n\n join A to B\n}\n}\n")
	f.Add(strings.Repeat("(", 1000))
	f.Add("\xff\x00")
	f.Fuzz(func(t *testing.T, text string) {
		tree := Parse(source.New("x.block", text))
		checkTree(t, tree)
		if utf8.ValidString(text) && !strings.Contains(text, "\x00") {
			again := Parse(source.New("x.block", text))
			assert.Equal(t, errorList(tree), errorList(again), "reading is repeatable")
		}
	})
}
