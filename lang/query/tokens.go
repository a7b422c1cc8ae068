package query

import (
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
}

// Tokens are the tokens of a span of the file, in order. Brackets and commas are
// none.
func Tokens(f *File, in source.Span) []Token {
	names := f.names(in)
	text := f.Source.Text
	tokens := f.lex()
	first := sort.Search(len(tokens), func(i int) bool { return tokens[i].Start >= in.Start })
	last := sort.Search(len(tokens), func(i int) bool { return tokens[i].Start >= in.End })
	out := make([]Token, 0, max(0, last-first))
	for _, t := range tokens[first:max(first, last)] {
		for len(names) > 0 && names[0].At.Start < t.Start {
			names = names[1:]
		}
		if len(names) > 0 && names[0].At == t.Span {
			out = append(out, names[0])
			continue
		}
		switch t.Kind {
		case syntax.KindWord:
			out = append(out, Token{t.Span, TokenKeyword, false})
		case syntax.KindName:
			out = append(out, Token{t.Span, TokenName, false})
		case syntax.KindNumber:
			out = append(out, Token{t.Span, TokenNumber, false})
		case syntax.KindString:
			out = append(out, Token{t.Span, TokenString, false})
		case syntax.KindColour:
			out = append(out, Token{t.Span, TokenColour, false})
		case syntax.KindComment:
			out = append(out, commentTokens(text, t.Span)...)
		case syntax.KindPunctuation:
			if strings.Contains("=+-*/", t.Text) {
				out = append(out, Token{t.Span, TokenOperator, false})
			}
		}
	}
	return out
}

// names are the names of a span of the file that mean something, in order, once each.
func (f *File) names(in source.Span) []Token {
	out := make([]Token, 0, len(f.References))
	add := func(t Token) {
		if t.At.End >= in.Start && t.At.Start <= in.End {
			out = append(out, t)
		}
	}
	for _, b := range f.Blocks {
		for _, n := range allNotches(b) {
			add(Token{n.NameAt.Span, TokenNotch, true})
		}
	}
	for n := range declared(f.File) {
		add(Token{n.At.Span, tokenOf[n.Kind], true})
	}
	for _, r := range f.References {
		add(Token{r.At, tokenOf[r.To.Kind], false})
	}
	slices.SortStableFunc(out, func(a, b Token) int { return a.At.Start - b.At.Start })
	return slices.CompactFunc(out, func(a, b Token) bool { return a.At.Start == b.At.Start })
}

func (f *File) lex() []syntax.Token {
	if f.Lex != nil {
		return f.Lex()
	}
	return syntax.Tokens(f.Source.Text)
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
