package syntax

import (
	"io"

	"github.com/alecthomas/participle/v2/lexer"
)

// definition gives participle the language's own tokens. Comments are left
// out: they belong to the splitter.
type definition struct{}

// tokenType is the kind as participle counts them: its own begin at -1.
func tokenType(k Kind) lexer.TokenType { return -2 - lexer.TokenType(k) }

func kindOf(t *lexer.Token) Kind { return Kind(-2 - t.Type) }

// Symbols names the kinds for struct tags.
func (definition) Symbols() map[string]lexer.TokenType {
	return map[string]lexer.TokenType{
		"EOF": lexer.EOF, "Bad": tokenType(KindBad), "Word": tokenType(KindWord), "Name": tokenType(KindName),
		"Number": tokenType(KindNumber), "String": tokenType(KindString), "Colour": tokenType(KindColour),
		"Punctuation": tokenType(KindPunctuation),
	}
}

// Lex reads everything and cuts it into tokens.
func (d definition) Lex(name string, r io.Reader) (lexer.Lexer, error) {
	text, err := io.ReadAll(r)
	if err != nil {
		return nil, err
	}
	return d.LexString(name, string(text))
}

// LexString cuts a text into tokens.
func (definition) LexString(_ string, text string) (lexer.Lexer, error) {
	return &stream{text: text}, nil
}

// stream is a text and how far it has been cut.
type stream struct {
	text string
	at   int
}

// Next is the next token that is not a comment.
func (s *stream) Next() (lexer.Token, error) {
	for {
		kind, start, end := next(s.text, s.at)
		s.at = end
		switch {
		case start == len(s.text):
			return lexer.EOFToken(lexer.Position{Offset: start}), nil
		case kind != KindComment:
			return lexer.Token{Type: tokenType(kind), Value: s.text[start:end], Pos: lexer.Position{Offset: start}}, nil
		}
	}
}

// tokens is a token buffer that is used for one statement after the other.
// A PeekingLexer can only be filled once, but Range hands out its own array:
// filled with place holders, it serves any number of statements.
type tokens struct {
	lex  *lexer.PeekingLexer
	room []lexer.Token // all of lex
}

// placeholders is a lexer of so many tokens of no meaning.
type placeholders int

func (n *placeholders) Next() (lexer.Token, error) {
	if *n--; *n < 0 {
		return lexer.EOFToken(lexer.Position{}), nil
	}
	return lexer.Token{Type: tokenType(KindBad)}, nil
}

// grow makes room for n tokens and the end.
func (b *tokens) grow(n int) {
	count := placeholders(n)
	lex, err := lexer.Upgrade(&count)
	if err != nil {
		panic(err) // place holders cannot fail
	}
	kept := b.room
	b.lex, b.room = lex, lex.Range(0, lexer.RawCursor(n+1))
	copy(b.room, kept)
}

// load cuts a statement into tokens and rewinds. It returns their number, how
// many of them are numbers and opening parentheses, and the first token that
// is bad or too long for a name, if any.
func (b *tokens) load(text string) (n, numbers, parentheses int, bad *lexer.Token) {
	if b.lex == nil {
		b.grow(250)
	}
	badAt := -1
	for i := 0; ; {
		kind, start, end := next(text, i)
		if n == len(b.room)-1 {
			b.grow(4 * len(b.room))
		}
		t := &b.room[n]
		t.Pos.Offset = start
		if start == len(text) {
			t.Type, t.Value = lexer.EOF, ""
			break
		}
		i = end
		switch kind {
		case KindComment:
			continue
		case KindNumber:
			numbers++
		case KindPunctuation:
			if text[start] == '(' {
				parentheses++
			}
		case KindBad:
			if badAt < 0 {
				badAt = n
			}
		case KindName:
			if badAt < 0 && end-start > MaxNameLength && tooLong(text[start:end]) {
				badAt = n
			}
		}
		t.Type, t.Value = tokenType(kind), text[start:end]
		n++
	}
	b.lex.LoadCheckpoint(lexer.Checkpoint{})
	if badAt >= 0 {
		bad = &b.room[badAt]
	}
	return n, numbers, parentheses, bad
}
