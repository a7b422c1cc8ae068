package source

import (
	"strings"
	"testing"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// The Language Server Protocol specification ("Position") gives a𐐀b: in UTF-16
// the characters stand at 0, 1 and 3.
func TestProtocolExample(t *testing.T) {
	f := New("x.block", "a𐐀b")
	for offset, want := range map[int]int{0: 0, 1: 1, 5: 3, 6: 4} {
		_, column := f.UTF16(offset)
		assert.Equal(t, want, column, "offset %d", offset)
		assert.Equal(t, offset, f.FromUTF16(0, want))
	}
	assert.Equal(t, 1, f.FromUTF16(0, 2), "the middle of a pair is the character's start")
	assert.Equal(t, Position{1, 3}, f.Position(5), "people count characters")
}

func TestLines(t *testing.T) {
	f := New("x.block", "one\r\ntwo\n\nlast")
	assert.Equal(t, 4, f.Lines())
	assert.Equal(t, Span{0, 3}, f.LineSpan(0), "the line break is no part of the line, in either form")
	assert.Equal(t, Span{5, 8}, f.LineSpan(1))
	assert.Equal(t, Span{9, 9}, f.LineSpan(2))
	assert.Equal(t, Span{10, 14}, f.LineSpan(3))
	assert.Equal(t, Span{14, 14}, f.LineSpan(9))
	assert.Equal(t, 1, New("", "").Lines())
}

func TestOutsideTheText(t *testing.T) {
	f := New("x.block", "é\n")
	assert.Equal(t, Position{1, 1}, f.Position(-5))
	assert.Equal(t, Position{2, 1}, f.Position(99))
	assert.Equal(t, 2, f.FromUTF8(0, 99))
	assert.Equal(t, 0, f.FromUTF8(0, 1), "inside a character: its start")
	assert.Equal(t, 3, f.FromUTF16(7, 0))
}

// Every start of a character survives the way out and back in each notation.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := New("x.block", rapid.StringOf(rapid.RuneFrom([]rune("ab½é𐐀\n "))).Draw(t, "text"))
		for offset := range f.Text {
			assert.Equal(t, offset, f.FromUTF16(f.UTF16(offset)))
			assert.Equal(t, offset, f.FromUTF8(f.UTF8(offset)))
			assert.Equal(t, offset, f.FromPosition(f.Position(offset)))
		}
	})
}

// To an editor a carriage return alone ends a line (Language Server Protocol specification,
// "Text Documents": '\n', '\r\n' and '\r'); in the language, and for people, it does not.
func TestCarriageReturnAlone(t *testing.T) {
	f := New("x.block", "a\rbé\r\nc\r")
	assert.Equal(t, 4, f.EditorLines())
	assert.Equal(t, 2, f.Lines())
	for i, want := range []string{"a", "bé", "c", ""} {
		at := f.EditorLine(i)
		assert.Equal(t, want, f.Text[at.Start:at.End])
	}
	line, column := f.UTF16(5)
	assert.Equal(t, [2]int{1, 2}, [2]int{line, column})
	assert.Equal(t, 5, f.FromUTF16(1, 9), "past the end of the line is its end")
	assert.Equal(t, 7, f.FromUTF8(2, 0))
	assert.Equal(t, Position{1, 3}, f.Position(2))
}

// However long a line is, and whatever bytes are in it, its characters and code units are counted as
// one by one from its start.
func TestLongLines(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		part := rapid.SampledFrom([]string{"a", "sky (0, 0) ", "½", "é𐐀", "\xff", "\xf0\x90", "\r", "\n"})
		var b strings.Builder
		for b.Len() < 5*stride {
			b.WriteString(strings.Repeat(part.Draw(t, "part"), rapid.IntRange(1, 2*stride).Draw(t, "times")))
		}
		f := New("x.block", b.String())
		for range 20 {
			offset := rapid.IntRange(0, len(f.Text)).Draw(t, "offset")
			lead := f.Text[strings.LastIndexByte(f.Text[:offset], '\n')+1 : offset]
			assert.Equal(t, utf8.RuneCountInString(lead)+1, f.Position(offset).Column)
			lead = lead[strings.LastIndexByte(lead, '\r')+1:]
			if offset < len(f.Text) && f.Text[offset] == '\n' && strings.HasSuffix(f.Text[:offset], "\r") {
				continue // between the two halves of a line break
			}
			units := 0
			for _, r := range lead {
				units += len(utf16.Encode([]rune{r}))
			}
			_, column := f.UTF16(offset)
			assert.Equal(t, units, column)
		}
	})
}
