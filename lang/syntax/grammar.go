package syntax

import (
	"errors"
	"reflect"
	"strconv"
	"strings"
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

// byHand reads a statement by a method that reads what follows the first word. The fault that it returns
// is of a statement that can be read.
func byHand[T any](read func(*parser) (Statement, *fault)) reader {
	return reader{reflect.TypeFor[T](), func(p *parser) (Statement, *fault) {
		p.lex.Next()
		node, f := read(p)
		if !p.peek().EOF() {
			p.unexpected()
		}
		if p.fault != nil {
			return nil, p.fault
		}
		return node, f
	}}
}

var grammarOptions = []participle.Option{
	participle.Lexer(definition{}),
	participle.ParseTypeWith(func(lex *lexer.PeekingLexer) (Expr, error) {
		t := lex.Peek()
		k := kindOf(t)
		return part(lex, k == KindNumber || k == KindName || t.Value == "(" || t.Value == "-", (*parser).expr)
	}),
	participle.ParseTypeWith(func(lex *lexer.PeekingLexer) (Point, error) {
		return part(lex, startsPoint(lex.Peek()), (*parser).point)
	}),
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

// Parse reads a line, for the library.
func (n *Line) Parse(lex *lexer.PeekingLexer) (err error) {
	*n, err = part(lex, startsPoint(lex.Peek()), (*parser).line)
	return err
}

// Parse reads a change of place, for the library.
func (n *Transform) Parse(lex *lexer.PeekingLexer) (err error) {
	*n, err = part(lex, transforms[lex.Peek().Value], (*parser).transform)
	return err
}

// Parse reads a block of a fill, for the library.
func (n *Cell) Parse(lex *lexer.PeekingLexer) error { return leaf(n, lex, KindString, (*parser).cell) }

func leaf[T any](into *T, lex *lexer.PeekingLexer, first Kind, read func(*parser) T) (err error) {
	*into, err = part(lex, kindOf(lex.Peek()) == first, read)
	return err
}

// part reads a part of a statement for the library, if the next token may begin one.
func part[T any](lex *lexer.PeekingLexer, begins bool, read func(*parser) T) (node T, err error) {
	if !begins {
		return node, participle.NextMatch
	}
	p := &parser{lex: lex}
	if node = read(p); p.fault != nil {
		return node, p.fault
	}
	return node, nil
}

func (p *parser) colour() Colour {
	t := p.lex.Next()
	hex := strings.ToLower(t.Value)
	if len(hex) == len("#rgb") {
		hex = string([]byte{'#', hex[1], hex[1], hex[2], hex[2], hex[3], hex[3]})
	}
	return Colour{hex, spanOf(t)}
}

// transforms are the words with which a change of place begins.
var transforms = map[string]bool{"mirrored": true, "turned": true, "moved": true, scaled: true}

// scaled is a word only where a change of place may begin: see beginsScaled.
const scaled = "scaled"

// beginsScaled reports whether the next token is the word `scaled` after a line that may be complete:
// a point of that name has no number behind it.
func (p *parser) beginsScaled() bool {
	if !p.is(scaled) {
		return false
	}
	at := p.lex.RawCursor()
	behind := &p.lex.Range(at+1, at+2)[0]
	switch kindOf(behind) {
	case KindNumber:
		return true
	case KindName:
		return p.placing && !transforms[behind.Value]
	}
	return p.placing && behind.Value == "("
}

// transform reads a change of place, whose grammar is in nodes.go.
func (p *parser) transform() (t Transform) {
	start := p.peek().Pos.Offset
	switch {
	case p.accept("mirrored"):
		p.after("across").placing = true
		line := p.line()
		t.Mirrored = &line
	case p.accept("turned"):
		t.Turned, t.About = p.expr(), p.after("about").point()
	case p.accept("moved"):
		t.Moved = p.pair(nil)
	case p.accept(scaled):
		t.Scaled, t.Center = p.expr(), p.after("about").point()
	default:
		p.unexpected()
	}
	t.Span = p.from(start)
	return t
}

// cell reads a block of a fill, whose grammar is in nodes.go.
func (p *parser) cell() (c Cell) {
	for c.Block = p.text(); ; {
		t := p.peek()
		switch {
		case kindOf(t) == KindName && c.Names == nil:
			c.Names = append(c.Names, p.name())
			if kindOf(p.peek()) == KindName {
				c.Names = append(c.Names, p.name())
			}
		case kindOf(t) == KindName:
			p.fail(&fault{at: spanOf(t), message: "unexpected " + t.Value + ": a block has one size and one colorway, side by side"})
		case t.Value == "turned" && c.Turned == nil:
			c.Turned = p.after("turned").expr()
		case t.Value == "mirrored" && !c.Mirrored:
			c.Mirrored = p.accept("mirrored")
		case t.Value == "turned" || t.Value == "mirrored":
			p.fail(twice(t))
		default:
			return c
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
				return twice(t)
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
	if len(c.Made) > 1 && len(c.Beyond) > 0 {
		at := c.Beyond[0].Span.Cover(c.Beyond[len(c.Beyond)-1].Span)
		return &fault{at: at, message: "lines are those of one section", detail: "copy each section that has lines in a statement of its own"}
	}
	if len(c.Made) != len(c.Of) {
		at := c.Made[0].Name.Span.Cover(c.Of[len(c.Of)-1].Span)
		return &fault{at: at, message: strconv.Itoa(len(c.Made)) + " before `=` and " + strconv.Itoa(len(c.Of)) + " after it: each new section copies one"}
	}
	for _, made := range c.Made {
		if f := sectionName(made.Name); f != nil {
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
