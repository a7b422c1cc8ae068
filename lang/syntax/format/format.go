// Package format lays out a block file.
//
// It moves nothing and spells nothing anew: it indents by nesting, puts one
// space between tokens, lines up what a reader compares (names and `=`,
// patch numbers, fabrics and corners, titles and colours, comments at the
// ends of lines), leaves at most one blank line, and keeps the file's line
// ends. What cannot be read stays as it was typed. Formatting twice is
// formatting once.
package format

import (
	"strings"

	"sewable/lang/source"
	"sewable/lang/syntax"
)

// Format gives the text of a tree, laid out.
func Format(t *syntax.Tree) string {
	if Foreign(t) {
		return t.File.Text
	}
	mark, _ := cutMark(t.File.Text)
	var s strings.Builder
	s.WriteString(mark)
	for _, l := range layOut(t) {
		l.print(&s, lineBreak(t.File.Text))
	}
	return s.String()
}

// FormatRange lays out the lines that touch a span as Format would. It gives
// the span of whole lines to replace, and their new text.
func FormatRange(t *syntax.Tree, span source.Span) (replace source.Span, text string) {
	if Foreign(t) {
		return source.Span{Start: span.Start, End: span.Start}, ""
	}
	replace = wholeLines(t.File.Text, span)
	touched := func(raw source.Span) bool { return raw.Start < replace.End && raw.End > replace.Start }
	for grown := true; grown; { // a statement may run on, and lines may be shared
		grown = false
		syntax.Walk(t.Items, func(item *syntax.Item) bool {
			if more := replace.Cover(wholeLines(t.File.Text, item.Raw)); touched(item.Raw) && more != replace {
				replace, grown = more, true
			}
			return true
		})
	}
	var s strings.Builder
	if mark, _ := cutMark(t.File.Text); replace.Start == 0 {
		s.WriteString(mark)
	}
	for _, l := range layOut(t) {
		if touched(l.item.Raw) {
			l.print(&s, lineBreak(t.File.Text))
		}
	}
	return replace, s.String()
}

// wholeLines widens a span to the lines it touches, line breaks included.
func wholeLines(text string, s source.Span) source.Span {
	s.Start = strings.LastIndexByte(text[:s.Start], '\n') + 1
	if s.End > s.Start && text[s.End-1] == '\n' {
		return s
	}
	if n := strings.IndexByte(text[s.End:], '\n'); n >= 0 {
		return source.Span{Start: s.Start, End: s.End + n + 1}
	}
	return source.Span{Start: s.Start, End: len(text)}
}

// Foreign reports whether no line of a file can be read: it is of another kind, and Format leaves it as it is.
func Foreign(t *syntax.Tree) bool {
	unreadable, read := false, false
	syntax.Walk(t.Items, func(item *syntax.Item) bool {
		unreadable = unreadable || item.Kind == syntax.Unreadable
		read = read || item.Node != nil
		return !read
	})
	return unreadable && !read
}

// cutMark parts a byte order mark from what follows.
func cutMark(text string) (mark, rest string) {
	const byteOrderMark = "\ufeff"
	if rest, found := strings.CutPrefix(text, byteOrderMark); found {
		return byteOrderMark, rest
	}
	return "", text
}

// lineBreak is the way the first line ends.
func lineBreak(text string) string {
	if n := strings.IndexByte(text, '\n'); n > 0 && text[n-1] == '\r' {
		return "\r\n"
	}
	return "\n"
}

func (l *line) print(s *strings.Builder, lineBreak string) {
	switch {
	case l.asTyped != "":
		s.WriteString(strings.ReplaceAll(l.asTyped, "\n", lineBreak))
	case l.text != "":
		s.WriteString(strings.Repeat("  ", l.indent) + l.text)
	}
	s.WriteString(lineBreak)
}
