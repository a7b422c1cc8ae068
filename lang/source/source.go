// Package source holds the text of one file and its positions.
//
// Inside the project a place in a file is a byte offset. People, editors and
// reports count differently, and this package owns every conversion:
//
//	offset      byte offset from 0, the only notation used inside
//	line        from 1 for people (Position), from 0 for editors (see UTF16)
//	column      from 1, in characters, for people
//	UTF-16      from 0, in UTF-16 code units, the default of the Language
//	            Server Protocol (specification, "Position")
//	UTF-8       from 0, in bytes, which an editor may negotiate instead
//
// Lines end in a line feed. To an editor a carriage return without one ends a line as well
// (specification, "Text Documents"), so that its line numbers run ahead behind one.
package source

import (
	"fmt"
	"slices"
	"strings"
	"sync"
	"unicode/utf8"
)

// Span is a half-open range of byte offsets, [Start, End).
type Span struct{ Start, End int }

// At is the span itself: whatever embeds one says so where it is.
func (s Span) At() Span { return s }

// Len is the number of bytes in the span.
func (s Span) Len() int { return s.End - s.Start }

// Shift moves the span by n bytes; it turns a span relative to a statement
// into one of the file.
func (s Span) Shift(n int) Span { return Span{s.Start + n, s.End + n} }

// Contains reports whether the offset lies in the span or at its end: a
// cursor behind the last character of a word still points at the word.
func (s Span) Contains(offset int) bool { return s.Start <= offset && offset <= s.End }

// Cover is the smallest span that holds both.
func (s Span) Cover(t Span) Span { return Span{min(s.Start, t.Start), max(s.End, t.End)} }

// Position is a place as people count it: line and column from 1, the column
// in characters.
type Position struct{ Line, Column int }

func (p Position) String() string { return fmt.Sprintf("%d:%d", p.Line, p.Column) }

// File is the text of one file. It is immutable: an edit makes a new File.
// The zero value is an empty file without a name.
type File struct {
	Path string // as the user named it, slashes forward
	Text string

	once  sync.Once
	lines []int // offset of the first byte of every line

	editorOnce sync.Once
	editor     []int // the same as an editor counts

	countOnce sync.Once
	counted   []count
}

// count is how many characters, and UTF-16 code units, are before an offset, the first of a character.
type count struct{ offset, characters, units int }

// stride is how far apart counts are, in bytes. What is shorter is counted each time.
const stride = 1 << 10

// counts are the counts of the whole text, one about every stride, for texts with long lines.
func (f *File) counts() []count {
	f.countOnce.Do(func() {
		f.counted = make([]count, 0, len(f.Text)/stride+1)
		var c count
		for i, r := range f.Text {
			if c.offset = i; i >= len(f.counted)*stride {
				f.counted = append(f.counted, c)
			}
			c.characters++
			c.units += utf16Width(r)
		}
	})
	return f.counted
}

// count is the count at an offset.
func (f *File) count(offset int) count {
	counts := f.counts()
	i := min(offset/stride, len(counts)-1)
	for i > 0 && counts[i].offset > offset {
		i--
	}
	c := counts[i]
	rest := f.Text[c.offset:offset]
	return count{offset, c.characters + utf8.RuneCountInString(rest), c.units + utf16Len(rest)}
}

// New returns a file with the given text.
func New(path, text string) *File { return &File{Path: path, Text: text} }

func (f *File) index() []int {
	f.once.Do(func() {
		f.lines = make([]int, 1, strings.Count(f.Text, "\n")+1)
		for i := 0; i < len(f.Text); {
			n := strings.IndexByte(f.Text[i:], '\n')
			if n < 0 {
				break
			}
			i += n + 1
			f.lines = append(f.lines, i)
		}
	})
	return f.lines
}

// editorIndex is the index of the lines that an editor counts.
func (f *File) editorIndex() []int {
	f.editorOnce.Do(func() {
		f.editor = f.index()
		text := f.Text
		var alone []int // where lines begin behind a carriage return alone
		for i := 0; ; {
			n := strings.IndexByte(text[i:], '\r')
			if n < 0 {
				break
			}
			if i += n + 1; i == len(text) || text[i] != '\n' {
				alone = append(alone, i)
			}
		}
		if alone != nil {
			f.editor = slices.Concat(f.editor, alone)
			slices.Sort(f.editor)
		}
	})
	return f.editor
}

// EditorLines is the number of lines as an editor counts.
func (f *File) EditorLines() int { return len(f.editorIndex()) }

// EditorLine is the span of a line as an editor counts it, from 0, without its line break; it
// is empty at the end of the text for a line past the last.
func (f *File) EditorLine(line int) Span { return f.span(f.editorIndex(), line) }

// Lines is the number of lines; a file that ends in a line break has an
// empty last line.
func (f *File) Lines() int { return len(f.index()) }

// clamp keeps offsets inside the text, so that a stale offset gives the
// nearest place instead of a crash.
func (f *File) clamp(offset int) int { return max(0, min(offset, len(f.Text))) }

// line is the index, from 0, of the line that holds the offset.
func line(lines []int, offset int) int {
	from, to := 0, len(lines)
	for from < to {
		if i := (from + to) / 2; lines[i] > offset {
			to = i
		} else {
			from = i + 1
		}
	}
	return from - 1
}

// LineSpan is the span of a line counted from 0, without its line break; it
// is empty at the end of the text for a line past the last.
func (f *File) LineSpan(line int) Span { return f.span(f.index(), line) }

func (f *File) span(lines []int, line int) Span {
	if line < 0 {
		return Span{}
	}
	if line >= len(lines) {
		return Span{len(f.Text), len(f.Text)}
	}
	end := len(f.Text)
	if line+1 < len(lines) {
		end = lines[line+1]
	}
	if end > lines[line] && f.Text[end-1] == '\n' && line+1 < len(lines) {
		end--
	}
	if end > lines[line] && f.Text[end-1] == '\r' {
		end--
	}
	return Span{lines[line], end}
}

// Position gives the line and column of a byte offset, for people.
func (f *File) Position(offset int) Position {
	offset = f.clamp(offset)
	lines := f.index()
	n := line(lines, offset)
	if offset-lines[n] > 2*stride {
		return Position{n + 1, f.count(offset).characters - f.count(lines[n]).characters + 1}
	}
	return Position{n + 1, utf8.RuneCountInString(f.Text[lines[n]:offset]) + 1}
}

// Line is the line of a byte offset, from 1: Position without the column, which must be counted.
func (f *File) Line(offset int) int { return line(f.index(), f.clamp(offset)) + 1 }

// UTF16 gives the line and the UTF-16 column of an offset, both from 0.
func (f *File) UTF16(offset int) (n, column int) {
	offset = f.clamp(offset)
	lines := f.editorIndex()
	n = line(lines, offset)
	if offset-lines[n] > 2*stride {
		return n, f.count(offset).units - f.count(lines[n]).units
	}
	return n, utf16Len(f.Text[lines[n]:offset])
}

// UTF8 gives the line and the byte column of an offset, both from 0.
func (f *File) UTF8(offset int) (n, column int) {
	offset = f.clamp(offset)
	lines := f.editorIndex()
	n = line(lines, offset)
	return n, offset - lines[n]
}

// FromUTF16 is the offset of a line and a UTF-16 column, both from 0. A
// column past the line's end gives the line's end, as the protocol asks; one
// in the middle of a pair gives the character's start.
func (f *File) FromUTF16(line, column int) int {
	span := f.EditorLine(line)
	units := 0
	for i, r := range f.Text[span.Start:span.End] {
		if units += utf16Width(r); units > column {
			return span.Start + i
		}
	}
	return span.End
}

// FromUTF8 is the offset of a line and a byte column, both from 0, kept
// inside the line and at the start of a character.
func (f *File) FromUTF8(line, column int) int {
	span := f.EditorLine(line)
	offset := min(span.Start+max(column, 0), span.End)
	for offset > span.Start && offset < span.End && !utf8.RuneStart(f.Text[offset]) {
		offset--
	}
	return offset
}

// FromPosition is the offset of a line and column as people count them.
func (f *File) FromPosition(p Position) int {
	span := f.LineSpan(p.Line - 1)
	characters := 1
	for i := range f.Text[span.Start:span.End] {
		if characters == p.Column {
			return span.Start + i
		}
		characters++
	}
	return span.End
}

// Common is how many bytes two texts share at their beginnings and, of what is left, at
// their ends.
func Common(a, b string) (head, tail int) {
	const step = 512 // compared at once
	n := min(len(a), len(b))
	for head+step <= n && a[head:head+step] == b[head:head+step] {
		head += step
	}
	for head < n && a[head] == b[head] {
		head++
	}
	n -= head
	for tail+step <= n && a[len(a)-tail-step:len(a)-tail] == b[len(b)-tail-step:len(b)-tail] {
		tail += step
	}
	for tail < n && a[len(a)-tail-1] == b[len(b)-tail-1] {
		tail++
	}
	return head, tail
}

// CommonLines is how many bytes of whole lines two texts share at their beginnings and, of
// what is left, at their ends.
func CommonLines(a, b string) (head, tail int) {
	head, tail = Common(a, b)
	head = strings.LastIndexByte(b[:head], '\n') + 1
	rest := b[len(b)-tail:]
	if i := strings.IndexByte(rest, '\n'); i >= 0 {
		return head, len(rest) - i - 1
	}
	return head, 0
}

func utf16Width(r rune) int {
	if r >= 0x10000 {
		return 2
	}
	return 1
}

func utf16Len(s string) int {
	for i := range len(s) {
		if s[i] >= utf8.RuneSelf {
			n := i
			for _, r := range s[i:] {
				n += utf16Width(r)
			}
			return n
		}
	}
	return len(s)
}
