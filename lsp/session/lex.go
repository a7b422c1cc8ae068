package session

import (
	"slices"
	"strings"
	"sync"

	"sewable/lang/source"
	"sewable/lang/syntax"
)

// lexed is the tokens of a text, line by line.
type lexed struct {
	sync.Mutex
	lines [][]syntax.Piece // nil until they are cut
}

// Lex gives the tokens of every line of the file. After an edit only the lines that differ are
// cut anew.
func (f *File) Lex() [][]syntax.Piece {
	before := f.previous()
	f.lex.Lock()
	defer f.lex.Unlock()
	if f.lex.lines != nil {
		return f.lex.lines
	}
	text := f.Text().Text
	if before != nil {
		if old := before.lexedAlready(); old != nil {
			f.lex.lines = relex(before.Text().Text, old, text)
			return f.lex.lines
		}
	}
	f.lex.lines = syntax.Lines(text)
	return f.lex.lines
}

func (f *File) lexedAlready() [][]syntax.Piece {
	f.lex.Lock()
	defer f.lex.Unlock()
	return f.lex.lines
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
