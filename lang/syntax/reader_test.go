package syntax

import (
	"fmt"
	"os"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/source"
)

func parse(text string) *Tree { return Parse(source.New("x.block", text)) }

func sloop(t testing.TB) string {
	text, err := os.ReadFile("testdata/sloop.block")
	require.NoError(t, err)
	return string(text)
}

// An edit of one line leaves every other statement as it was, the very same
// node, though it has moved.
func TestAnEditReadsOneLine(t *testing.T) {
	reader, text := NewEditorReader(), sloop(t)
	before := reader.Parse(source.New("x.block", text))
	after := reader.Parse(source.New("x.block", "// one more line\n"+strings.Replace(text, "patch 1 cedar around (3, 1 1/2)", "patch 1 cedar around (3, 1)", 1)))
	same, other := 0, 0
	known := map[Statement]bool{}
	Walk(before.Items, func(item *Item) bool { known[item.Node] = true; return true })
	Walk(after.Items, func(item *Item) bool {
		if item.Node != nil {
			if known[item.Node] {
				same++
			} else {
				other++
			}
		}
		return true
	})
	assert.Equal(t, 1, other)
	assert.Equal(t, 25, same)
}

// The same text means something else elsewhere.
func TestPlaceMatters(t *testing.T) {
	reader := NewEditorReader()
	tree := reader.Parse(source.New("x.block", "block \"T\" 6 by 6 {\n  patch sky p q r\n  section A {\n    patch sky p q r\n  }\n}\n"))
	assert.Equal(t, "4:11 Malformed at \"sky\": the number is missing after `patch`: patches are numbered from 1 in sewing order\n"+
		"    a patch needs a number, a fabric, and three or more corners, `beyond` a line or `around` a point, as in `patch 3 sky beyond P Q`\n", errorList(tree))
}

func TestReaderIsSafeForConcurrentUse(t *testing.T) {
	reader, text := NewEditorReader(), sloop(t)
	want := errorList(parse(text)) + nesting(parse(text))
	var group sync.WaitGroup
	for i := range 8 {
		group.Go(func() {
			for j := range 20 {
				own := fmt.Sprintf("let n%d = %d\n", i, j)
				tree := reader.Parse(source.New("x.block", text+own))
				assert.True(t, strings.HasPrefix(nesting(tree), want))
				assert.Equal(t, own, tree.File.Text[tree.Items[len(tree.Items)-1].Raw.Start:])
			}
		})
	}
	group.Wait()
}

// The reader remembers a bounded number of statements, and they stay right
// when older ones are forgotten.
func TestReaderForgets(t *testing.T) {
	reader := NewEditorReader()
	var s strings.Builder
	for i := range 60_000 {
		fmt.Fprintf(&s, "let n = %d/7\n", i)
	}
	tree := reader.Parse(source.New("x.block", s.String()))
	assert.LessOrEqual(t, reader.readings.Len(), maxReadings)
	assert.Equal(t, "Let{Name: n, Value: 59999/7}", Dump(tree.Items[59_999].Node))
	assert.Equal(t, "10001/7", strings.TrimSuffix(strings.TrimPrefix(Dump(tree.Items[10_001].Node), "Let{Name: n, Value: "), "}"))
}

// Texts that are no block files, each with its one error.
func TestNotText(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"zero byte":  {"units in\nlet a\x00 = 3\n", "2:6 NotText at \"\\x00\": this is not a text file in UTF-8\n    line 2 holds a zero byte\n"},
		"Latin-1":    {"// caf\xe9\n", "1:7 NotText at \"\\xe9\": this is not a text file in UTF-8\n    line 1 holds a byte that is no character of UTF-8\n"},
		"UTF-16":     {"\xff\xfeu\x00", "1:1 NotText at \"\\xff\": this is not a text file in UTF-8\n    line 1 holds a byte that is no character of UTF-8; it looks like UTF-16: save it as UTF-8\n"},
		"cut in two": {"let a = 3 // \xe2\x82", "1:14 NotText at \"\\xe2\": this is not a text file in UTF-8\n    line 1 holds a byte that is no character of UTF-8\n"},
	} {
		tree := parse(c.text)
		assert.Equal(t, c.want, errorList(tree), name)
		assert.Equal(t, c.text, Print(tree), name)
	}
}

// Files that look odd and are sound.
func TestSoundOddities(t *testing.T) {
	text := sloop(t)
	want := nesting(parse(text))
	for name, odd := range map[string]string{
		"CRLF":               strings.ReplaceAll(text, "\n", "\r\n"),
		"byte order mark":    "\ufeff" + text,
		"no last line break": strings.TrimSuffix(text, "\n"),
		"tabs":               strings.ReplaceAll(text, "  ", "\t"),
		"hard spaces":        strings.ReplaceAll(text, "patch 1 ", "patch\u00a01\u00a0"),
	} {
		tree := parse(odd)
		assert.Empty(t, errorList(tree), name)
		assert.Equal(t, odd, Print(tree), name)
		if name != "hard spaces" {
			assert.Equal(t, want, nesting(tree), name)
		}
		checkTree(t, tree)
	}
	for _, empty := range []string{"", "\ufeff", "\n", "\r\n", " ", "// only this"} {
		tree := parse(empty)
		assert.Empty(t, tree.Errors)
		assert.Equal(t, empty, Print(tree))
	}
}

func TestLimits(t *testing.T) {
	for name, c := range map[string]struct{ text, want string }{
		"file":        {strings.Repeat("// a long comment that fills the file\n", MaxBytes/38+1), "a file is at most 8 MiB"},
		"one line":    {strings.Repeat("}", MaxLines+1), "a file has at most 250,000 lines"},
		"lines":       {strings.Repeat("\n", MaxLines), "a file has at most 250,000 lines"},
		"statement":   {"block \"T\" 6 by 6 {\noutline " + strings.Repeat("(1, 2) ", MaxStatement/7) + "\n}\n", "a statement is at most 256 KiB"},
		"name":        {"let " + strings.Repeat("帆", 201) + " = 3\n", "a name has at most 200 characters"},
		"digits":      {"let n = " + strings.Repeat("9", 5000) + "\n", "a number has at most 12 digits in a row"},
		"parentheses": {"let n = " + strings.Repeat("(", 100_000) + "\n", "parentheses and point forms nest at most 100 deep"},
		"minuses":     {"let n = " + strings.Repeat("- ", 100_000) + "3\n", "parentheses and point forms nest at most 100 deep"},
		"points":      {"block \"T\" 6 by 6 {\npoint p = " + strings.Repeat("mid ", 60_000) + "\n}\n", "parentheses and point forms nest at most 100 deep"},
		"terms":       {"let n = " + strings.Repeat("1 + ", 2000) + "1\n", "a sum or a product has at most 1,000 terms"},
		"braces":      {strings.Repeat("x {\n", 21) + strings.Repeat("}\n", 21), "braces nest at most 20 deep"},
	} {
		tree := parse(c.text)
		var messages []string
		for _, e := range tree.Errors {
			if e.Kind == Limit {
				messages = append(messages, e.Message)
			}
		}
		assert.Equal(t, []string{c.want}, messages, name)
		assert.Equal(t, c.text, Print(tree), name)
	}
	assert.Empty(t, parse("let "+strings.Repeat("帆", 200)+" = 3\n").Errors)
	assert.Empty(t, parse("let n = "+strings.Repeat("(", 99)+"1"+strings.Repeat(")", 99)+"\n").Errors)
	assert.Empty(t, parse("let n = "+strings.Repeat("1 + ", 999)+"1\n").Errors)
	assert.Equal(t, 1, len(parse("use \"a\"\nx {\n"+strings.Repeat("fabric a\n", 3)+"}\n").Errors))
}

func TestItemAtAndAround(t *testing.T) {
	text := sloop(t)
	tree := parse(text)
	word := func(offset int) string {
		if item := tree.ItemAt(offset); item != nil {
			return item.Word
		}
		return "none"
	}
	around := func(offset int) (words []string) {
		for _, item := range tree.Around(offset) {
			words = append(words, item.Word)
		}
		return words
	}
	mast := strings.Index(text, "patch 1 canvas")
	assert.Equal(t, "patch", word(mast))
	assert.Equal(t, []string{"block", "section"}, around(mast))
	opening := strings.Index(text, "section A")
	assert.Equal(t, "section", word(opening))
	assert.Equal(t, []string{"block"}, around(opening), "a section's own line is not in its body")
	closing := strings.LastIndex(text, "}")
	assert.Equal(t, Closes, tree.ItemAt(closing).Kind)
	assert.Empty(t, around(closing))
	assert.Equal(t, "none", word(len(text)), "the empty last line")

	typing := parse("block \"T\" 6 by 6 {\n  section A {\n    patch 1 sky p q r\n")
	tree = typing
	assert.Equal(t, []string{"block", "section"}, around(len(typing.File.Text)), "what is typed next stands in the section")
}
