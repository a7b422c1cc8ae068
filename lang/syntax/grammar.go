package syntax

import (
	"errors"
	"reflect"
	"strconv"
	"sync"
	"unicode"
	"unicode/utf8"

	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"

	"sewable/lang/source"
)

// reader reads the statements of one form; node is the type whose tags are its grammar.
type reader struct {
	node reflect.Type
	read func(*parser) (Statement, *fault)
}

// tagged reads a statement by the tags of its type, and checks it. The library's parser is built
// when the first statement of its kind is met.
func tagged[T any, S interface {
	*T
	Statement
}](checks ...func(*T) *fault) reader {
	built := sync.OnceValue(func() *participle.Parser[T] { return participle.MustBuild[T](grammarOptions...) })
	options := sync.OnceValue(func() []*term { return grammarOf(reflect.TypeFor[T]()).options() })
	return reader{reflect.TypeFor[T](), func(p *parser) (Statement, *fault) {
		node, err := built().ParseFromLexer(p.lex)
		if err != nil {
			return nil, p.faultOf(err)
		}
		if f := p.onceEach(options()); f != nil {
			return nil, f
		}
		for _, check := range checks {
			if f := check(node); f != nil {
				return S(node), f
			}
		}
		return S(node), nil
	}}
}

// byHand reads a statement by a method that reads what follows the first word.
func byHand[T any](read func(*parser) (Statement, *fault)) reader {
	return reader{reflect.TypeFor[T](), func(p *parser) (Statement, *fault) {
		p.lex.Next()
		node, f := read(p)
		if (f == nil || f.read) && !p.peek().EOF() {
			f = p.unexpected()
		}
		return node, f
	}}
}

var grammarOptions = []participle.Option{
	participle.Lexer(definition{}),
	participle.ParseTypeWith(func(lex *lexer.PeekingLexer) (Expr, error) {
		t := lex.Peek()
		if k := kindOf(t); k != KindNumber && k != KindName && t.Value != "(" && t.Value != "-" {
			return nil, participle.NextMatch
		}
		x, f := (&parser{lex: lex}).expr()
		return x, asError(f)
	}),
	participle.ParseTypeWith(func(lex *lexer.PeekingLexer) (Point, error) {
		if !startsPoint(lex.Peek()) {
			return nil, participle.NextMatch
		}
		x, f := (&parser{lex: lex}).point()
		return x, asError(f)
	}),
}

// asError keeps a missing fault from becoming an error that is not nil.
func asError(f *fault) error {
	if f == nil {
		return nil
	}
	return f
}

// The leaves below read themselves. Each says "no match" when its first token is not
// there, so that the library tries what else may come.

// Parse reads a name, for the library.
func (n *Name) Parse(lex *lexer.PeekingLexer) error { return leaf(n, lex, KindName, (*parser).name) }

// Parse reads a string, for the library.
func (n *Text) Parse(lex *lexer.PeekingLexer) error { return leaf(n, lex, KindString, (*parser).text) }

// Parse reads a color, for the library.
func (n *Colour) Parse(lex *lexer.PeekingLexer) error {
	return leaf(n, lex, KindColour, (*parser).colour)
}

// Parse reads a whole number, for the library.
func (n *Whole) Parse(lex *lexer.PeekingLexer) error {
	return leaf(n, lex, KindNumber, (*parser).whole)
}

// Parse reads the way a copy is placed, for the library.
func (n *Transform) Parse(lex *lexer.PeekingLexer) error {
	return leaf(n, lex, KindWord, (*parser).transform)
}

// Parse reads a block of a fill, for the library.
func (n *Cell) Parse(lex *lexer.PeekingLexer) error { return leaf(n, lex, KindString, (*parser).cell) }

func leaf[T any](into *T, lex *lexer.PeekingLexer, first Kind, read func(*parser) (T, *fault)) error {
	if kindOf(lex.Peek()) != first {
		return participle.NextMatch
	}
	node, f := read(&parser{lex: lex})
	if f != nil {
		return f
	}
	*into = node
	return nil
}

func (p *parser) colour() (Colour, *fault) {
	t := p.lex.Next()
	hex := []byte(t.Value)
	if len(hex) == len("#rgb") {
		hex = []byte{'#', hex[1], hex[1], hex[2], hex[2], hex[3], hex[3]}
	}
	for i, c := range hex {
		hex[i] = byte(unicode.ToLower(rune(c)))
	}
	return Colour{string(hex), spanOf(t)}, nil
}

// transform reads
//
//	Transform = "mirrored" "across" Line | "turned" Expr "about" Point | "moved" "(" Expr "," Expr ")" .
func (p *parser) transform() (t Transform, f *fault) {
	start := p.peek().Pos.Offset
	switch {
	case p.accept("mirrored"):
		if f = p.want("across"); f != nil {
			return t, f
		}
		line, f := p.line()
		if f != nil {
			return t, f
		}
		t.Mirrored = &line
	case p.accept("turned"):
		if t.Turned, f = p.expr(); f != nil {
			return t, f
		}
		if f = p.want("about"); f != nil {
			return t, f
		}
		if t.About, f = p.point(); f != nil {
			return t, f
		}
	case p.accept("moved"):
		if t.Moved, f = p.pair(nil); f != nil {
			return t, f
		}
	default:
		return t, p.unexpected()
	}
	t.Span = p.from(start)
	return t, nil
}

// cell reads
//
//	Cell = Text { Name | "turned" Expr | "mirrored" } .
//
// with each part once.
func (p *parser) cell() (c Cell, f *fault) {
	if c.Block, f = p.text(); f != nil {
		return c, f
	}
	for {
		t := p.peek()
		again := false
		switch {
		case kindOf(t) == KindName:
			again = c.Colourway != nil
			p.lex.Next()
			c.Colourway = &Name{t.Value, spanOf(t)}
		case p.accept("turned"):
			again = c.Turned != nil
			if c.Turned, f = p.expr(); f != nil {
				return c, f
			}
		case p.accept("mirrored"):
			again = c.Mirrored
			c.Mirrored = true
		default:
			return c, nil
		}
		if again {
			f := twice(t.Value, spanOf(t))
			if kindOf(t) == KindName {
				f.message = "unexpected second colorway " + t.Value + " for one block"
			}
			return c, f
		}
	}
}

// onceEach is at fault when an option comes twice; the library takes options in
// any order and does not count them.
func (p *parser) onceEach(options []*term) *fault {
	for _, option := range options {
		seen := false
		for i := lexer.RawCursor(0); i < p.lex.RawCursor(); i++ {
			t := &p.lex.Range(i, i+1)[0]
			if !option.is(t) {
				continue
			}
			switch {
			case !seen:
				seen = true
			case kindOf(t) == KindString:
				return &fault{at: spanOf(t), message: "unexpected second title"}
			case kindOf(t) == KindColour:
				return &fault{at: spanOf(t), message: "unexpected second color"}
			default:
				return twice(t.Value, spanOf(t))
			}
		}
	}
	return nil
}

// faultOf is the fault that a leaf found, or else where the library stopped.
func (p *parser) faultOf(err error) *fault {
	var f *fault
	if errors.As(err, &f) {
		return f
	}
	var at participle.Error
	if !errors.As(err, &at) {
		return &fault{message: "this line cannot be read"} // cannot happen: the library returns its own errors
	}
	start := at.Position().Offset
	return &fault{at: source.Span{Start: start, End: start}, unexpected: true}
}

// checkCopy is at fault when the sections and those that they copy are not as many.
func checkCopy(c *Copy) *fault {
	if len(c.Names) != len(c.Of) {
		at := c.Names[0].Span.Cover(c.Of[len(c.Of)-1].Span)
		return &fault{at: at, message: strconv.Itoa(len(c.Names)) + " before `=` and " + strconv.Itoa(len(c.Of)) + " after it: each new section copies one"}
	}
	for _, name := range c.Names {
		if f := sectionName(name); f != nil {
			return f
		}
	}
	return nil
}

func checkSection(s *Section) *fault { return sectionName(s.Name) }

// sectionName is at fault for a name that ends in a digit. The statement is
// read nevertheless: everything that names the section goes on working.
func sectionName(name Name) *fault {
	if last, _ := utf8.DecodeLastRuneInString(name.Text); unicode.IsDigit(last) {
		return &fault{at: name.Span, read: true,
			message: "a section's name may not end in a digit: labels are section and number, like C4",
			detail:  "choose another name than " + name.Text}
	}
	return nil
}

// checkJoin is at fault when a join is pressed toward neither of the two that it joins.
func checkJoin(j *Join) *fault {
	if to := j.PressToward; to != nil && to.Text != j.A.Text && to.Text != j.B.Text {
		return &fault{at: to.Span, message: "a join is pressed toward one of the two sections it names",
			detail: "say `press toward " + j.A.Text + "` or `press toward " + j.B.Text + "`"}
	}
	return nil
}
