package query

import (
	"iter"
	"slices"
	"sort"
	"strings"

	"sewable/lang/block"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// TokenKind is what a piece of text is, for its colour.
type TokenKind uint8

// The kinds of token.
const (
	TokenKeyword TokenKind = iota
	TokenNumber
	TokenString
	TokenComment
	TokenOperator
	TokenColour
	TokenFabric
	TokenLet
	TokenPoint
	TokenSeam
	TokenSection
	TokenColourway
	TokenNotch
	TokenName // a name that means nothing
	TokenAccept
)

// Token is a piece of text on one line and what it is.
type Token struct {
	At       source.Span
	Kind     TokenKind
	Declares bool
}

var tokenOf = [...]TokenKind{
	block.KindFabric: TokenFabric, block.KindLet: TokenLet, block.KindPoint: TokenPoint, block.KindSeam: TokenSeam,
	block.KindSection: TokenSection, block.KindColourway: TokenColourway, block.KindBlock: TokenString, block.KindSetting: TokenString,
	block.KindSize: TokenColourway,
}

// Tokens are the tokens of some lines of the file, from one and before another, both counted from
// 0; names are those of the file. Brackets and commas are none.
func Tokens(f *File, names []Token, from, before int) iter.Seq[Token] {
	return func(yield func(Token) bool) {
		lines := f.lex()
		names := names[sort.Search(len(names), func(i int) bool { return names[i].At.Start >= f.Source.LineSpan(from).Start }):]
		for i := from; i < min(before, len(lines)); i++ {
			start := f.Source.LineSpan(i).Start
			for _, p := range lines[i] {
				at := source.Span{Start: start + int(p.Start), End: start + int(p.End)}
				for len(names) > 0 && names[0].At.Start < at.Start {
					names = names[1:]
				}
				if len(names) > 0 && names[0].At == at {
					if !yield(names[0]) {
						return
					}
					continue
				}
				if p.Kind == syntax.KindComment {
					for _, t := range commentTokens(f.Source.Text, at) {
						if !yield(t) {
							return
						}
					}
					continue
				}
				if kind, ok := plainKind(p.Kind, f.Source.Text[at.Start]); ok && !yield(Token{at, kind, false}) {
					return
				}
			}
		}
	}
}

// plainKind is what a token is when it is no name that means something.
func plainKind(k syntax.Kind, first byte) (TokenKind, bool) {
	switch k {
	case syntax.KindWord:
		return TokenKeyword, true
	case syntax.KindName:
		return TokenName, true
	case syntax.KindNumber:
		return TokenNumber, true
	case syntax.KindString:
		return TokenString, true
	case syntax.KindColour:
		return TokenColour, true
	case syntax.KindPunctuation:
		return TokenOperator, strings.IndexByte("=+-*/", first) >= 0
	}
	return 0, false
}

// Names are the names of the file that mean something and the words that are words only in their
// place, in order, once each.
func Names(f *File) []Token {
	out := make([]Token, 0, len(f.References())+64)
	for _, b := range f.Blocks {
		for _, n := range allNotches(b) {
			out = append(out, Token{n.NameAt.Span, TokenNotch, true})
		}
	}
	syntax.Walk(f.Tree.Items, func(it *syntax.Item) bool {
		for _, at := range it.Contextual(f.Source.Text) {
			out = append(out, Token{at, TokenKeyword, false})
		}
		_, section := it.Node.(*syntax.Section)
		return !section
	})
	for n := range declared(f.File) {
		out = append(out, Token{n.At.Span, tokenOf[n.Kind], true})
	}
	for _, r := range f.References() {
		out = append(out, Token{r.At, tokenOf[r.To.Kind], false})
	}
	slices.SortStableFunc(out, func(a, b Token) int { return a.At.Start - b.At.Start })
	return slices.CompactFunc(out, func(a, b Token) bool { return a.At.Start == b.At.Start })
}

func (f *File) lex() [][]syntax.Piece {
	if f.Lex != nil {
		return f.Lex()
	}
	return syntax.Lines(f.Source.Text)
}

// commentTokens parts `// accept rule: reason` where it says what it accepts.
func commentTokens(text string, at source.Span) []Token {
	body := text[at.Start:at.End]
	rest := strings.TrimLeft(body[2:], " \t")
	name, reason, ok := strings.Cut(strings.TrimPrefix(rest, "accept "), ":")
	if !ok || !strings.HasPrefix(rest, "accept ") || strings.ContainsAny(strings.TrimSpace(name), " \t") {
		return []Token{{At: at, Kind: TokenComment}}
	}
	colon := at.End - len(reason)
	return []Token{
		{At: source.Span{Start: at.Start, End: colon}, Kind: TokenAccept},
		{At: source.Span{Start: colon, End: at.End}, Kind: TokenComment},
	}
}
