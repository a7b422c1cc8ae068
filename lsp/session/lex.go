package session

import (
	"slices"
	"strings"

	"sewable/lang/memo"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// lexed is a text with the tokens of its lines; lastLexed is the file whose text it was.
type (
	lexed struct {
		text  string
		lines [][]syntax.Piece
	}
	lastLexed string
)

// Lex gives the tokens of every line of the file. After an edit only the lines that differ are
// cut again.
func (f *File) Lex() [][]syntax.Piece {
	type lines struct{}
	return memo.Of(&f.Facts, lines{}, func() [][]syntax.Piece {
		text := f.Text().Text
		return memo.In[lastLexed, lexed](f.Memory()).Replace(lastLexed(f.Path), func(before lexed) lexed {
			if before.lines == nil {
				return lexed{text, syntax.Lines(text)}
			}
			return lexed{text, relex(before.text, before.lines, text)}
		}).lines
	})
}

// relex cuts the lines of a text that are not those of the old one.
func relex(old string, lines [][]syntax.Piece, text string) [][]syntax.Piece {
	head, tail := source.CommonLines(old, text)
	first := strings.Count(text[:head], "\n")
	if tail == 0 {
		return slices.Concat(lines[:first], syntax.Lines(text[head:]))
	}
	cut := syntax.Lines(strings.TrimSuffix(text[head:len(text)-tail], "\n"))
	if head == len(text)-tail {
		cut = nil
	}
	last := strings.Count(text[len(text)-tail:], "\n") + 1
	return slices.Concat(lines[:first], cut, lines[len(lines)-last:])
}
