package syntax

import (
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"sewable/lang/source"
)

// checkAfter reads texts one after another, each with the help of the tree before it,
// and holds every tree to what reading the text alone gives.
func checkAfter(t failer, texts []string) bool {
	reader := NewEditorReader()
	var tree *Tree
	for _, text := range texts {
		f := source.New("x.block", text)
		tree = reader.ParseAfter(f, tree)
		alone, after := *Parse(f), *tree
		after.pieces = nil
		if !reflect.DeepEqual(alone, after) {
			t.Errorf("the tree after an edit is another one: %q\n%s\n%s", texts, errorList(&alone)+nesting(&alone), errorList(&after)+nesting(&after))
			return false
		}
	}
	return true
}

func TestReadingAfterAnEdit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		fragment := rapid.SampledFrom(fragments)
		text := strings.Join(rapid.SliceOfN(fragment, 0, 30).Draw(t, "fragments"), "")
		texts := []string{text}
		for range rapid.IntRange(1, 6).Draw(t, "edits") {
			from := rapid.IntRange(0, len(text)).Draw(t, "from")
			to := min(len(text), from+rapid.IntRange(0, 20).Draw(t, "length"))
			text = text[:from] + strings.Join(rapid.SliceOfN(fragment, 0, 2).Draw(t, "put in"), "") + text[to:]
			texts = append(texts, text)
		}
		if !checkAfter(t, texts) {
			t.FailNow()
		}
	})
}

func FuzzReadingAfterAnEdit(f *testing.F) {
	f.Add("block \"T\" 6 by 6 {\n section A\n // so\n\n {\n patch 1 sky (0,0) (1,0),\n (0,1)\n }\n}\n", 60, 3, "\n")
	f.Add("colourway a {\n sky = plum,\n x = y\n}\nfabric x\n", 13, 2, "")
	f.Fuzz(func(t *testing.T, text string, from, length int, in string) {
		from = max(0, min(from, len(text)))
		to := from + max(0, min(length, len(text)-from))
		checkAfter(t, []string{text, text[:from] + in + text[to:], text})
	})
}

// What the edit does not touch is not read again, even a statement that the reader has
// long forgotten.
func TestAReadingOutlivesItsReader(t *testing.T) {
	text := sloop(t)
	before := NewEditorReader().ParseAfter(source.New("x.block", text), nil)
	after := NewEditorReader().ParseAfter(source.New("x.block", "\n"+text), before)
	known := map[Statement]bool{}
	Walk(before.Items, func(item *Item) bool { known[item.Node] = true; return true })
	Walk(after.Items, func(item *Item) bool { assert.True(t, known[item.Node]); return true })
}
