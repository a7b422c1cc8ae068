package syntax

import (
	"errors"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"
)

// grammar reads a statement by the tags of its type. The parser is built when
// the first statement of its kind is met.
func grammar[T any, S interface {
	*T
	Statement
}]() func(*parser) (Statement, *fault) {
	built := sync.OnceValue(func() *participle.Parser[T] { return participle.MustBuild[T](grammarOptions...) })
	return func(p *parser) (Statement, *fault) {
		node, err := built().ParseFromLexer(p.lex)
		if err != nil {
			return nil, p.faultOf(err)
		}
		if f := p.onceEach(); f != nil {
			return nil, f
		}
		return S(node), nil
	}
}

var grammarOptions = []participle.Option{
	participle.Lexer(definition{}),
	participle.ParseTypeWith(func(lex *lexer.PeekingLexer) (Expr, error) {
		t := lex.Peek()
		if k := kindOf(t); k != KindNumber && k != KindName && t.Value != "(" && t.Value != "-" {
			return nil, participle.NextMatch
		}
		x, f := (&parser{lex: lex}).expr("a number")
		return x, asError(f)
	}),
	participle.ParseTypeWith(func(lex *lexer.PeekingLexer) (Point, error) {
		if !startsPoint(lex.Peek()) {
			return nil, participle.NextMatch
		}
		x, f := (&parser{lex: lex}).point("a point")
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
// there, so that participle knows what was expected instead.

// Parse reads a name, for participle.
func (n *Name) Parse(lex *lexer.PeekingLexer) error {
	return leaf(n, lex, kindOf(lex.Peek()) == KindName, func(p *parser) (Name, *fault) { return p.name("a name") })
}

// Parse reads a string, for participle.
func (n *Text) Parse(lex *lexer.PeekingLexer) error {
	return leaf(n, lex, kindOf(lex.Peek()) == KindString, func(p *parser) (Text, *fault) { return p.text("words in quotes") })
}

// Parse reads a colour, for participle.
func (n *Colour) Parse(lex *lexer.PeekingLexer) error {
	return leaf(n, lex, kindOf(lex.Peek()) == KindColour, (*parser).colour)
}

// Parse reads a whole number, for participle.
func (n *Whole) Parse(lex *lexer.PeekingLexer) error {
	return leaf(n, lex, kindOf(lex.Peek()) == KindNumber, func(p *parser) (Whole, *fault) { return p.whole("a whole number") })
}

// Parse reads the way a copy is placed, for participle.
func (n *Transform) Parse(lex *lexer.PeekingLexer) error {
	return leaf(n, lex, kindOf(lex.Peek()) == KindWord, (*parser).transform)
}

// Parse reads a block of a fill, for participle.
func (n *Cell) Parse(lex *lexer.PeekingLexer) error {
	return leaf(n, lex, kindOf(lex.Peek()) == KindString, (*parser).cell)
}

func leaf[T any](into *T, lex *lexer.PeekingLexer, match bool, read func(*parser) (T, *fault)) error {
	if !match {
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
		if f = p.want("across", "before the line of the mirror"); f != nil {
			return t, f
		}
		line, f := p.line()
		if f != nil {
			return t, f
		}
		t.Mirrored = &line
	case p.accept("turned"):
		if t.Turned, f = p.expr("a number of degrees"); f != nil {
			return t, f
		}
		if f = p.want("about", "before the point that stays"); f != nil {
			return t, f
		}
		if t.About, f = p.point("the point that stays"); f != nil {
			return t, f
		}
	case p.accept("moved"):
		if t.Moved, f = p.pair(nil); f != nil {
			return t, f
		}
	default:
		return t, p.expected("`mirrored across`, `turned` or `moved`", "")
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
	if c.Block, f = p.text("the title of a block in quotes"); f != nil {
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
			if c.Turned, f = p.expr("a number of degrees"); f != nil {
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
				f.detail = "a second colourway, " + t.Value + ", stands behind one block"
			}
			return c, f
		}
	}
}

// onceEach is at fault when an option stands twice; the tags allow options in
// any order and cannot count them.
func (p *parser) onceEach() *fault {
	for _, word := range p.form.once {
		seen := false
		for i := lexer.RawCursor(0); i < p.lex.RawCursor(); i++ {
			t := &p.lex.Range(i, i+1)[0]
			same := t.Value == word
			switch word {
			case `"`:
				same = kindOf(t) == KindString
			case "#":
				same = kindOf(t) == KindColour
			}
			if same && seen {
				switch word {
				case `"`:
					return &fault{at: spanOf(t), kind: Malformed, detail: "a second title stands here"}
				case "#":
					return &fault{at: spanOf(t), kind: Malformed, detail: "a second colour stands here"}
				}
				return twice(word, spanOf(t))
			}
			seen = seen || same
		}
	}
	return nil
}

var nouns = map[string]string{
	"Name": "a name", "Swap": "a name", "Text": "words in quotes", "Colour": "a colour", "Whole": "a whole number", "Expr": "a number", "Point": "a point",
	"Transform": "`mirrored across`, `turned` or `moved`", "Cell": "the title of a block in quotes",
}

// firstPart is the first part of a piece of grammar: a quoted word or the name of a type.
var firstPart = regexp.MustCompile(`"(?:[^"\\]|\\.)*"|[A-Z][A-Za-z]*`)

// expectedParts finds what could have come next in a message of participle's:
// `unexpected token "x" (expected ("open" | ("toward" Name)))`.
func expectedParts(message string) (parts []string) {
	_, grammar, found := strings.Cut(message, " (expected ")
	if !found {
		return nil
	}
	if !strings.HasPrefix(grammar, "(") {
		return []string{firstPart.FindString(grammar)}
	}
	depth, quoted, start := 0, false, 0
	for i, c := range grammar {
		switch {
		case c == '"':
			quoted = !quoted
		case quoted:
		case c == '(':
			depth++
		case c == ')':
			depth--
		}
		if end := depth == 0; end || depth == 1 && c == '|' && !quoted {
			parts = append(parts, firstPart.FindString(grammar[start:i]))
			if start = i; end {
				break
			}
		}
	}
	return parts
}

// faultOf turns what participle says into the trade's words.
func (p *parser) faultOf(err error) *fault {
	var f *fault
	if errors.As(err, &f) {
		return f
	}
	var at participle.Error
	if !errors.As(err, &at) {
		return &fault{kind: Malformed} // cannot happen: participle returns its own errors
	}
	// Stand before the token in question, as a hand-written method would.
	p.lex.LoadCheckpoint(lexer.Checkpoint{})
	for t := p.lex.Peek(); !t.EOF() && t.Pos.Offset < at.Position().Offset; t = p.lex.Peek() {
		p.lex.Next()
	}
	parts := expectedParts(at.Message())
	switch {
	case len(parts) == 0:
		if f := p.done(); f != nil {
			return f
		}
		return p.expected("more", "")
	case len(parts) > 1:
		for i := range parts {
			parts[i] = p.noun(parts[i])
		}
		return p.expected(strings.Join(parts, " or "), "")
	case parts[0] == "Name" || parts[0] == "Swap":
		return p.expectedName(p.noun("Name"), p.followsName)
	case parts[0] == "Expr" || parts[0] == "Point":
		return p.expectedName(p.noun(parts[0]), p.followsPoint)
	}
	return p.expected(p.noun(parts[0]), "")
}

// noun says in the trade's words what a part of the grammar is.
func (p *parser) noun(part string) string {
	if word, err := strconv.Unquote(part); err == nil {
		return "`" + word + "`"
	}
	if (part == "Name" || part == "Swap") && p.form.noun != "" {
		return p.form.noun
	}
	return nouns[part]
}

var (
	sectionGrammar = grammar[Section]()
	copyGrammar    = grammar[Copy]()
)

func readSection(p *parser) (Statement, *fault) {
	node, f := sectionGrammar(p)
	if f != nil {
		return nil, f
	}
	return node, sectionName(node.(*Section).Name)
}

func readCopy(p *parser) (Statement, *fault) {
	node, f := copyGrammar(p)
	if f != nil {
		return nil, f
	}
	c := node.(*Copy)
	if len(c.Names) != len(c.Of) {
		at := c.Names[0].Span.Cover(c.Of[len(c.Of)-1].Span)
		return nil, &fault{at: at, kind: Malformed, detail: strconv.Itoa(len(c.Names)) + " before `=` and " +
			strconv.Itoa(len(c.Of)) + " after it: each new section copies one"}
	}
	for _, name := range c.Names {
		if f := sectionName(name); f != nil {
			return node, f
		}
	}
	return node, nil
}

// sectionName is at fault for a name that ends in a digit. The statement is
// read nevertheless: everything that names the section goes on working.
func sectionName(name Name) *fault {
	if last, _ := utf8.DecodeLastRuneInString(name.Text); unicode.IsDigit(last) {
		return &fault{at: name.Span, kind: Malformed,
			message: "a section's name may not end in a digit: labels are section and number, like C4",
			detail:  "choose another name than " + name.Text}
	}
	return nil
}

// readJoin reads a join, which is pressed toward one of the two that it joins.
func readJoin() func(*parser) (Statement, *fault) {
	read := grammar[Join]()
	return func(p *parser) (Statement, *fault) {
		s, f := read(p)
		if j, ok := s.(*Join); ok && f == nil && j.PressToward != nil &&
			j.PressToward.Text != j.A.Text && j.PressToward.Text != j.B.Text {
			return nil, &fault{at: j.PressToward.Span, message: "a join is pressed toward one of the two sections it names",
				detail: "say `press toward " + j.A.Text + "` or `press toward " + j.B.Text + "`"}
		}
		return s, f
	}
}
