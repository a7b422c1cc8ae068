package syntax

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"sewable/lang/memo"
	"sewable/lang/source"
)

// checkAfter reads texts one after another, each with what is remembered of those before it,
// and holds every tree to what reading the text alone gives.
func checkAfter(t failer, texts []string) bool {
	reader, m := NewEditorReader(), memo.New()
	for _, text := range texts {
		f := source.New("x.block", text)
		alone, after := Parse(f), reader.ParseIn(m, f)
		if !reflect.DeepEqual(alone, after) {
			t.Errorf("the tree after an edit is another one: %q\n%s\n%s", texts, errorList(alone)+nesting(alone), errorList(after)+nesting(after))
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

// A file that is sound, or nearly, gains, loses and moves lines.
func TestReadingAfterLinesChange(t *testing.T) {
	lines := strings.SplitAfter(`block "Mole" 6 by 6 {
  section A {
    patch 1 sky around (1, 2)
    // a wall
    patch 2 stone beyond (3, 0) (3, 6) // of stone
  }
  section B "The sea" {

    patch 1 water (0, 0), (6, 0),
      // over the groyne
      (6, 1), (0, 1)
  }
  section C = A turned 90 about (3, 3)
  join A to B

  section D {
  }
  section E { patch 1 sky around (1, 2)
  }
}
`, "\n")
	others := append([]string{"", "\n", "}\n", "{\n", "  section F {\n", "    patch 3 sky beyond (1, 1) (2, 2)\n", "    // accept gap: so\n", "    patch 2\n",
		"    patch 12 sky beyond (20000, 1) (2, 2)\n", "block \"B\" 3 by 3 {\n", "} // shut\n", "units mm\n", "  sand\n"}, lines...)
	rapid.Check(t, func(t *rapid.T) {
		now := lines
		texts := []string{strings.Join(now, "")}
		for range rapid.IntRange(1, 8).Draw(t, "edits") {
			i := rapid.IntRange(0, len(now)).Draw(t, "line")
			gone := min(len(now), i+rapid.IntRange(0, 1).Draw(t, "gone"))
			come := rapid.SampledFrom(others).Draw(t, "come")
			now = slices.Concat(now[:i], []string{come}, now[gone:])
			texts = append(texts, strings.Join(now, ""))
			if rapid.IntRange(0, 2).Draw(t, "back") == 0 {
				now = lines
				texts = append(texts, texts[0])
			}
		}
		if !checkAfter(t, texts) {
			t.FailNow()
		}
	})
}

// A text that is too long when each brace ends its line is read again when it is shorter.
func TestReadingAfterALineOfBraces(t *testing.T) {
	sound := "block \"B\" 3 by 3 {\n}\n"
	most := strings.Repeat("{", MaxLines-2)
	checkAfter(t, []string{sound, sound + most, sound + most + "}", sound + most + "}}", sound + most + "}}}", sound + most, sound})
}

// All that the pieces and sections of a text are made of, one thing at a time: an edit of it is not missed, neither
// there nor back.
func TestWhatAReadingIsMadeOf(t *testing.T) {
	const section = "  section A {\n    patch 1 sky (0, 0) (1, 0) (0, 1)\n  }\n"
	deep := strings.Repeat("block \"D\" 1 by 1 {\n", 19)
	for _, e := range []struct{ what, text, other string }{
		{"a brace that is missing below", "block \"M\" 6 by 6 {\n  section A {\n    patch 1 sky (0, 0) (1, 0) (0, 1)\n}\n  section B {\n  }\n}\n",
			"block \"M\" 6 by 6 {\n  section A {\n    patch 1 sky (0, 0) (1, 0) (0, 1)\n}\n  section B {\n  }\n\n"},
		{"a brace that is missing above", "block \"M\" 6 by 6 {\n  section B {\n  }\n" + section + "}\n", "block \"M\" 6 by 6 {\n  section B {\n   \n" + section + "}\n"},
		{"a brace too many", "block \"M\" 6 by 6 {\n" + section + "  note \"a\"\n}\n\n", "block \"M\" 6 by 6 {\n" + section + "  note \"a\"\n}\n}"},
		{"a brace too many above", "block \"M\" 6 by 6 {\n\n" + section + "}\n", "block \"M\" 6 by 6 {\n}" + section + "}\n"},
		{"braces too deep", strings.Replace(deep, "block", "flock", 1) + section, deep + section},
		{"braces deeper still", deep + "block \"M\" 6 by 6 {\n" + section + "}\n", deep + "block \"M\" 6 by 6 {\n  section B {\n    { {\n    } }\n  }\n" + section + "}\n"},
		{"a block without its brace", "block \"M\" 6 by 6\n" + section + "}\n", "block \"M\" 6 by 6\n" + section + "}\n\n"},
		{"where it stands", "block \"M\" 6 by 6 {\n" + section + "}\n", "setting \"M\"     {\n" + section + "}\n"},
		{"a section in the middle of a line", "block \"M\" 6 by 6 {\n" + section + "}\n", "block \"M\" 6 by 6 { section A {\n    patch 1 sky (0, 0) (1, 0) (0, 1)\n  }\n}\n"},
		{"what is before it on its line", "block \"M\" 6 by 6 { } section A {\n    patch 1 sky (0, 0) (1, 0) (0, 1)\n  }\n}\n", "block \"M\" 6 by 6 {\n\n section A {\n    patch 1 sky (0, 0) (1, 0) (0, 1)\n  }\n}\n"},
		{"a remark about what is before it", "block \"M\" 6 by 6 {\n  note \"a\" }\n" + section + "}\n", "block \"M\" 6 by 6 {\n  note \"a\"\n\n" + section + "}\n"},
		{"a line of it", "block \"M\" 6 by 6 {\n" + section + "}\n", "block \"M\" 6 by 6 {\n" + strings.Replace(section, "sky", "sea", 1) + "}\n"},
		{"a line that is gone", "block \"M\" 6 by 6 {\n" + section + "}\n", "block \"M\" 6 by 6 {\n  section A {\n  }\n}\n"},
		{"nearly all of it", "block \"M\" 6 by 6 {\n" + strings.Replace(section, "  }", strings.Repeat("    note \"a\"\n", 40)+"  }", 1) + "}\n", "block \"M\" 6 by 6 {\n  section A {\n    patch 1 sky (0, 0) (1, 0) (0, 1)\n    note \"a\"\n  }\n}\n"},
		{"a line of a colorway", "colourway a {\n b = c\n sky = plum,\n x = y\n}\n", "colourway a {\n b = c\n sky = plum,\n x = z\n}\n"},
		{"what is behind a brace on its line", "block \"M\" 6 by 6 { section A { patch 1 sky (0, 0) (1, 0) (0, 1)\n}\n}\n", "block \"M\" 6 by 6 { section A { patch 1 sea (0, 0) (1, 0) (0, 1)\n}\n}\n"},
		{"an accept in it", "block \"M\" 6 by 6 {\n" + section + "}\n", "block \"M\" 6 by 6 {\n" + strings.Replace(section, "1)\n", "1) // accept gap: so\n", 1) + "}\n"},
		{"a large number in it", "block \"M\" 6 by 6 {\n" + section + "}\n", "block \"M\" 6 by 6 {\n" + strings.Replace(section, "(1, 0)", "(20000, 0)", 1) + "}\n"},
		{"the unit of a large number", "block \"M\" 6 by 6 {\n" + strings.Replace(section, "(1, 0)", "(20000, 0)", 1) + "}\nunits mm\n", "block \"M\" 6 by 6 {\n" + strings.Replace(section, "(1, 0)", "(20000, 0)", 1) + "}\nunits in\n"},
		{"the colorway in which a line is", "colourway a {\n sky = plum,\n x = y\n}\nfabric x\n", "colourwaz a {\n sky = plum,\n x = y\n}\nfabric x\n"},
		{"the middle of a line", "block \"M\" 6 by 6 { note \"a\"\n}\n", "block \"M\" 6 by 6 {\nnote \"a\"\n}\n"},
		{"a brace on a line that is reported", "block \"M\" 6 by 6 { section A { patch 1 sky (0, 0) (1, 0) (0, 1)\n}\n}\n",
			"block \"M\" 6 by , { section A { patch 1 sky (0, 0) (1, 0) (0, 1)\n}\n}\n"},
		{"the line on which a brace is", "block \"M\" 6 by 6 {\nsection A { patch 1 sky (0, 0) (1, 0) (0, 1)\n}\n}\n",
			"block \"M\" 6 by 6 { section A { patch 1 sky (0, 0) (1, 0) (0, 1)\n}\n}\n"},
		{"the line after a comment", "use \"a\",\n// so\nfabric x\n", "use \"a\",\n// so\n(1, 2)\n"},
		{"a comment before a line that goes on", "use \"a\",\n// so\n(1, 2)\n", "use \"a\",\n\n// so\n(1, 2)\n"},
	} {
		t.Run(e.what, func(t *testing.T) {
			checkAfter(t, []string{e.text, e.text, e.other, e.other, e.text, "\n" + e.other, e.text, e.other})
		})
	}
}

// Braces that nested too deep are still open behind a line that closes what lacks a brace: the `}` of
// a section below is theirs, however sound it was before.
func TestASectionBehindBracesTooDeep(t *testing.T) {
	open := strings.Repeat("sectoin A {\n", MaxBraces)
	below := "join A to B\nsection C {\n  patch 1 sky (0, 0) (1, 0) (0, 1)\n}\n}\n"
	before := "block \"M\" 6 by 6 {\n"
	sound := before + strings.ReplaceAll(open, "sectoin A {", "// a remark") + below
	checkAfter(t, []string{sound, before + open + below, before + open + below + "}\n"})
}

// A section that an edit leaves as it is and where it is, is there as it was; so is one that begins
// as another did.
func TestSectionsAreRemembered(t *testing.T) {
	reader, m := NewEditorReader(), memo.New()
	read := func(note, fabric string) *Item {
		text := "block \"M\" 6 by 6 {\n  note \"" + note + "\"\n  section A {\n    note \"one\"\n    note \"two\"\n    patch 1 " + fabric + " (0, 0) (1, 0) (0, 1)\n  }\n}\n"
		return reader.ParseIn(m, source.New("x.block", text)).Items[0].Body[1]
	}
	sky := read("a", "sky")
	assert.Same(t, sky, read("b", "sky"))
	sea := read("b", "sea")
	assert.Same(t, sea, read("c", "sea"))
	assert.NotSame(t, sky, read("longer", "sky"))
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
	m := memo.New()
	before := NewEditorReader().ParseIn(m, source.New("x.block", text))
	after := NewEditorReader().ParseIn(m, source.New("x.block", "\n"+text))
	known := map[Statement]bool{}
	Walk(before.Items, func(item *Item) bool { known[item.Node] = true; return true })
	Walk(after.Items, func(item *Item) bool { assert.True(t, known[item.Node]); return true })
}
