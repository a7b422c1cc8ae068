package syntax

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/alecthomas/participle/v2/lexer"

	"sewable/lang/source"
)

// The limits of a statement.
const (
	// MostStatement is the most bytes of a statement.
	MostStatement = 256 << 10
	// MostNameLength is the most characters of a name.
	MostNameLength = 200
	// MostDepth is how deep parentheses and point forms may nest.
	MostDepth = 100
	// MostWhole is the greatest whole number: of patches, rows, columns.
	MostWhole = 10_000
	// MostTerms is the most terms of one sum or product.
	MostTerms = 1000
)

func tooLong(name string) bool { return utf8.RuneCountInString(name) > MostNameLength }

// parser reads the tokens of one statement by recursive descent: what is
// hot or common to many statements. The grammar of the statements themselves
// is in the tags of nodes.go.
//
// A method that finds something else than it wants returns a fault and leaves
// the tokens where it stopped.
type parser struct {
	lex   *lexer.PeekingLexer
	form  *StatementInfo // the statement that is read; nil within a participle leaf
	place Place
	depth int

	// One array each for all numbers and pairs of the statement.
	numbers []Number
	pairs   []Pair
}

// fault is an Error before its place in the file is known; the span is
// relative to the statement.
type fault struct {
	at      source.Span
	kind    ErrorKind
	message string // empty: the form sentence of the statement
	detail  string
	name    string
}

// Error makes a fault an error for participle's sake; nobody reads it.
func (f *fault) Error() string { return f.detail }

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

// want takes this word or punctuation, or is at fault.
func (p *parser) want(text, why string) *fault {
	if p.accept(text) {
		return nil
	}
	return p.expected("`"+text+"`", why)
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

// expected is the fault of a missing thing: "`)` was expected after 3, to
// close the point".
func (p *parser) expected(what, why string) *fault {
	t, before := p.peek(), p.before()
	f := &fault{at: spanOf(t), kind: Malformed}
	were := " was expected"
	if strings.HasPrefix(what, "words") || strings.HasPrefix(what, "corners") {
		were = " were expected"
	}
	f.detail = what + were
	if before != nil {
		f.detail += " after " + show(before)
	}
	if why != "" {
		f.detail += ", " + why
	}
	if !t.EOF() {
		f.detail += ", but " + show(t) + " stands there"
	} else if before != nil {
		f.at = spanOf(before)
	}
	return f
}

// show names a token in a sentence.
func show(t *lexer.Token) string {
	switch kindOf(t) {
	case KindName, KindNumber, KindColour, KindString:
		return strings.Trim(quote(t.Value), "`")
	}
	return quote(t.Value)
}

// expectedName is the fault of a missing name. A word of the language that
// stands there was either meant as the name, or it follows where the name was
// left out; follows says whether it may.
func (p *parser) expectedName(what string, follows func(word string) bool) *fault {
	t := p.peek()
	if t.EOF() || kindOf(t) != KindWord {
		return p.expected(what, "")
	}
	at := p.lex.RawCursor()
	if after := &p.lex.Range(at+1, at+2)[0]; after.Value != "=" && follows(t.Value) {
		f := p.expected(what, "")
		f.detail += ", and that is a word of the language"
		return f
	}
	return reserved(t)
}

func reserved(t *lexer.Token) *fault {
	return &fault{
		at: spanOf(t), kind: ReservedWord, name: t.Value,
		message: fmt.Sprintf("`%s` is a word of the language and cannot be a name", t.Value),
		detail:  "choose another name, for example my_" + t.Value,
	}
}

// followsName reports whether a word may stand behind a name of this statement.
func (p *parser) followsName(word string) bool {
	return p.followsPoint(word) || p.form.points && vocabulary[word].isPoint
}

// followsPoint reports whether a word may stand behind a point or a number.
func (p *parser) followsPoint(word string) bool {
	if p.form == nil || p.depth > 0 && slices.Contains(innerWords, word) {
		return true
	}
	if p.form.follow != nil {
		return slices.Contains(p.form.follow, word)
	}
	return slices.Contains(p.form.Words, word)
}

// innerWords stand inside the forms of a point.
var innerWords = []string{"by", "of", "meets", "across", "about"}

// name reads a name; what says which, as in "a fabric".
func (p *parser) name(what string) (Name, *fault) {
	t := p.peek()
	if kindOf(t) != KindName {
		return Name{}, p.expectedName(what, p.followsName)
	}
	p.lex.Next()
	return Name{t.Value, spanOf(t)}, nil
}

// text reads a string.
func (p *parser) text(what string) (Text, *fault) {
	t := p.peek()
	if kindOf(t) != KindString {
		return Text{}, p.expected(what, "")
	}
	p.lex.Next()
	value := t.Value[1 : len(t.Value)-1]
	if strings.IndexByte(value, '\\') < 0 {
		return Text{value, spanOf(t)}, nil
	}
	var s strings.Builder
	for i := 0; i < len(value); i++ {
		if value[i] == '\\' {
			i++
			if value[i] != '"' && value[i] != '\\' {
				at := t.Pos.Offset + i
				_, size := utf8.DecodeRuneInString(value[i:])
				return Text{}, &fault{at: source.Span{Start: at, End: at + 1 + size}, kind: Malformed,
					detail: "in quotes a backslash stands before `\"` or another backslash only; write `\\\\` for one backslash"}
			}
		}
		s.WriteByte(value[i])
	}
	return Text{s.String(), spanOf(t)}, nil
}

// whole reads a whole number.
func (p *parser) whole(what string) (Whole, *fault) {
	t := p.peek()
	if kindOf(t) != KindNumber || digitsEnd(t.Value, 0) < len(t.Value) {
		return Whole{}, p.expected(what, "")
	}
	if len(t.Value) > MostDigits || digits(t.Value) > MostWhole {
		return Whole{}, &fault{at: spanOf(t), kind: Limit, message: "a whole number is at most 10,000",
			detail: show(t) + " is too large"}
	}
	p.lex.Next()
	return Whole{int(digits(t.Value)), spanOf(t)}, nil
}

// deeper counts a level of nesting; every call that succeeds needs a p.depth--.
func (p *parser) deeper() *fault {
	if p.depth++; p.depth <= MostDepth {
		return nil
	}
	return &fault{at: spanOf(p.peek()), kind: Limit, message: "parentheses and point forms nest at most 100 deep",
		detail: "give the inner part a name with `let` or `point`"}
}

// done is at fault unless every token has been read.
func (p *parser) done() *fault {
	t := p.peek()
	if t.EOF() {
		return nil
	}
	if p.form.points && kindOf(t) == KindWord && !slices.Contains(p.form.Words, t.Value) && units[t.Value] == Bare {
		return reserved(t) // after points, probably the name of another
	}
	return &fault{at: spanOf(t), kind: Malformed, detail: show(t) + " is too much after " + show(p.before())}
}
