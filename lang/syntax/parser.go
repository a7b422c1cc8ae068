package syntax

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/alecthomas/participle/v2/lexer"

	"sewable/lang/source"
)

// The limits of a statement.
const (
	// MaxStatement is the most bytes of a statement.
	MaxStatement = 256 << 10
	// MaxNameLength is the most characters of a name.
	MaxNameLength = 200
	// MaxDepth is how deep parentheses and point forms may nest.
	MaxDepth = 100
	// MaxWhole is the greatest whole number: of patches, rows, columns.
	MaxWhole = 10_000
	// MaxTerms is the most terms of one sum or product.
	MaxTerms = 1000
)

func tooLong(name string) bool { return utf8.RuneCountInString(name) > MaxNameLength }

// parser reads the tokens of one statement by recursive descent: what is
// hot or common to many statements. The grammar of the statements themselves
// is in the tags of nodes.go.
//
// A method that finds something else than it wants notes a fault and what it has got. After the first fault
// the tokens are at their end, so that whatever is still wanted ends too.
type parser struct {
	lex   *lexer.PeekingLexer
	form  *StatementInfo // the statement that is read; nil within a leaf of the library
	place Place
	depth int
	fault *fault // the first

	placing bool // the line that is read next ends a change of place

	// One array each for all numbers and pairs of the statement.
	numbers []Number
	pairs   []Pair
}

// fault is an Error before its place in the file is known; the span is
// relative to the statement.
type fault struct {
	at      source.Span
	kind    ErrorKind
	message string
	detail  string // empty: what the statement needs
	name    string

	unexpected bool // explain says what was expected instead
	read       bool // the statement can be read nevertheless
}

// Error makes a fault an error for participle's sake; nobody reads it.
func (f *fault) Error() string { return f.message }

func spanOf(t *lexer.Token) source.Span {
	return source.Span{Start: t.Pos.Offset, End: t.Pos.Offset + len(t.Value)}
}

// peek is the token that comes next; at the end it is the EOF token.
func (p *parser) peek() *lexer.Token { return p.lex.Peek() }

// is reports whether the next token is this word or punctuation.
func (p *parser) is(text string) bool { return p.lex.Peek().Value == text }

// accept takes the next token when it is this word or punctuation.
func (p *parser) accept(text string) bool {
	if p.lex.Peek().Value == text {
		p.lex.Next()
		return true
	}
	return false
}

// after takes this word or punctuation, or is at fault.
func (p *parser) after(text string) *parser {
	if !p.accept(text) {
		p.unexpected()
	}
	return p
}

// before is the token before the next one, nil at the start.
func (p *parser) before() *lexer.Token {
	if at := p.lex.RawCursor(); at > 0 {
		return &p.lex.Range(at-1, at)[0]
	}
	return nil
}

// end is the offset behind the token read last.
func (p *parser) end() int {
	if t := p.before(); t != nil {
		return spanOf(t).End
	}
	return 0
}

// from is the span from an offset to the token read last.
func (p *parser) from(start int) source.Span { return source.Span{Start: start, End: p.end()} }

// fail notes a fault, if it is the first.
func (p *parser) fail(f *fault) {
	if p.fault == nil {
		p.fault, p.lex = f, atEnd
	}
}

// atEnd has no tokens, and so never moves.
var atEnd, _ = lexer.Upgrade(new(placeholders))

// unexpected notes that the grammar does not have the next token here. What it has is worked out
// from the grammar when it is to be said: see explain.
func (p *parser) unexpected() { p.fail(&fault{at: spanOf(p.peek()), unexpected: true}) }

// wrong notes what is wrong with the next token.
func (p *parser) wrong(message string) {
	t := p.peek()
	if before := p.before(); t.EOF() && before != nil {
		t = before
	}
	p.fail(&fault{at: spanOf(t), message: message})
}

// show names a token in a sentence.
func show(t *lexer.Token) string {
	switch kindOf(t) {
	case KindName, KindNumber, KindColour, KindString:
		return strings.Trim(quote(t.Value), "`")
	}
	return quote(t.Value)
}

func reserved(t *lexer.Token) *fault {
	return &fault{
		at: spanOf(t), kind: ReservedWord, name: t.Value,
		message: fmt.Sprintf("`%s` is a word of the language and cannot be a name", t.Value),
		detail:  "choose another name, for example my_" + t.Value,
	}
}

// token takes the next token when it is of this kind, or is at fault.
func (p *parser) token(k Kind) *lexer.Token {
	t := p.peek()
	if kindOf(t) != k {
		p.unexpected()
		return &noToken
	}
	return p.lex.Next()
}

var noToken lexer.Token

func (p *parser) name() Name {
	t := p.token(KindName)
	return Name{t.Value, spanOf(t)}
}

func (p *parser) text() Text {
	t := p.token(KindString)
	if t == &noToken {
		return Text{}
	}
	value := t.Value[1 : len(t.Value)-1]
	if strings.IndexByte(value, '\\') < 0 {
		return Text{value, spanOf(t)}
	}
	var s strings.Builder
	for i := 0; i < len(value); i++ {
		if value[i] == '\\' {
			i++
			if value[i] != '"' && value[i] != '\\' {
				at := t.Pos.Offset + i
				_, size := utf8.DecodeRuneInString(value[i:])
				p.fail(&fault{at: source.Span{Start: at, End: at + 1 + size},
					message: "in quotes a backslash comes before `\"` or another backslash only; write `\\\\` for one backslash"})
			}
		}
		s.WriteByte(value[i])
	}
	return Text{s.String(), spanOf(t)}
}

// whole reads a whole number.
func (p *parser) whole() Whole {
	t := p.peek()
	switch {
	case kindOf(t) != KindNumber || digitsEnd(t.Value, 0) < len(t.Value):
		p.unexpected()
		return Whole{}
	case len(t.Value) > MaxDigits || digits(t.Value) > MaxWhole:
		p.fail(&fault{at: spanOf(t), kind: Limit, message: "a whole number is at most 10,000", detail: show(t) + " is too large"})
		return Whole{}
	}
	p.lex.Next()
	return Whole{int(digits(t.Value)), spanOf(t)}
}

// deeper counts a level of nesting; every call that succeeds needs a p.depth--.
func (p *parser) deeper() bool {
	if p.depth++; p.depth <= MaxDepth {
		return true
	}
	p.fail(&fault{at: spanOf(p.peek()), kind: Limit, message: "parentheses and point forms nest at most 100 deep",
		detail: "give the inner part a name with `let` or `point`"})
	return false
}
