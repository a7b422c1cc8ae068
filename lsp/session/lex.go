package session

import (
	"sort"
	"strings"
	"sync"

	"sewable/lang/source"
	"sewable/lang/syntax"
)

// lexed is the tokens of a text.
type lexed struct {
	sync.Mutex
	done   bool
	tokens []syntax.Token
}

// Lex gives the tokens of the file. No token goes past the end of its line, so after
// an edit only the lines that differ are cut anew.
func (f *File) Lex() []syntax.Token {
	before := f.previous()
	f.lex.Lock()
	defer f.lex.Unlock()
	if f.lex.done {
		return f.lex.tokens
	}
	text := f.Text().Text
	f.lex.tokens, f.lex.done = nil, true
	if before != nil {
		if old, ok := before.lexedAlready(); ok {
			f.lex.tokens = relex(before.Text().Text, old, text)
			return f.lex.tokens
		}
	}
	f.lex.tokens = syntax.Tokens(text)
	return f.lex.tokens
}

func (f *File) lexedAlready() ([]syntax.Token, bool) {
	f.lex.Lock()
	defer f.lex.Unlock()
	return f.lex.tokens, f.lex.done
}

// relex cuts the lines of a text that are not those of the old one.
func relex(old string, tokens []syntax.Token, text string) []syntax.Token {
	head, tail := unchanged(old, text)
	delta := len(text) - len(old)
	first := sort.Search(len(tokens), func(i int) bool { return tokens[i].Start >= head })
	last := sort.Search(len(tokens), func(i int) bool { return tokens[i].Start >= len(old)-tail })
	cut := syntax.Tokens(text[head : len(text)-tail])
	out := make([]syntax.Token, 0, first+len(cut)+len(tokens)-last)
	for _, t := range tokens[:first] {
		t.Text = text[t.Start:t.End] // hold on to no old text
		out = append(out, t)
	}
	for _, t := range cut {
		t.Span = t.Span.Shift(head)
		out = append(out, t)
	}
	for _, t := range tokens[last:] {
		t.Span = t.Span.Shift(delta)
		t.Text = text[t.Start:t.End]
		out = append(out, t)
	}
	return out
}

// unchanged is how many bytes of whole lines two texts share at their beginnings and,
// of what is left, at their ends.
func unchanged(old, text string) (head, tail int) {
	head, tail = source.Common(old, text)
	head = strings.LastIndexByte(text[:head], '\n') + 1
	rest := text[len(text)-tail:]
	if i := strings.IndexByte(rest, '\n'); i >= 0 {
		return head, len(rest) - i - 1
	}
	return head, 0
}
