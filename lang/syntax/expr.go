package syntax

import (
	"strings"

	"github.com/alecthomas/participle/v2/lexer"

	"sewable/lang/geom"
	"sewable/lang/source"
)

// expr reads a number, a name, or arithmetic over them, whose grammar is in nodes.go.
func (p *parser) expr() Expr { return p.terms("+-", func() Expr { return p.terms("*/", p.factor) }) }

// terms reads terms with operators between them.
func (p *parser) terms(operators string, term func() Expr) Expr {
	x := term()
	for terms := 1; ; terms++ {
		op := p.peek()
		if len(op.Value) != 1 || strings.IndexByte(operators, op.Value[0]) < 0 || !p.spacedMinus(op) {
			return x
		}
		if terms == MaxTerms {
			p.fail(&fault{at: spanOf(op), kind: Limit, message: "a sum or a product has at most 1,000 terms"})
			return nil
		}
		p.lex.Next()
		y := term()
		if p.fault != nil {
			return nil
		}
		x = &Binary{X: x, Y: y, Op: op.Value[0], Span: x.At().Cover(y.At())}
	}
}

func (p *parser) factor() Expr {
	t := p.peek()
	start := t.Pos.Offset
	switch k := kindOf(t); {
	case k == KindNumber:
		return p.number()
	case k == KindName:
		p.lex.Next()
		return &Ref{Name{t.Value, spanOf(t)}}
	case t.Value != "-" && t.Value != "(":
		p.unexpected()
		return nil
	case !p.deeper():
		return nil
	}
	p.lex.Next()
	var x Expr
	if t.Value == "-" {
		x = &Negative{X: p.factor(), Span: p.from(start)}
	} else {
		inner := p.expr()
		p.after(")")
		x = &Paren{X: inner, Span: p.from(start)}
	}
	p.depth--
	return x
}

// number reads a literal with its unit; the next token is one.
func (p *parser) number() *Number {
	t := p.lex.Next()
	var value geom.Num
	if n := len(t.Value); n <= 4 && digitsEnd(t.Value, 0) == n {
		value = geom.Int(digits(t.Value))
	} else {
		var problem string
		var kind ErrorKind
		if value, problem, kind = numberValue(t.Value); problem != "" {
			p.fail(&fault{at: spanOf(t), kind: kind, message: problem})
		}
	}
	var n *Number
	if len(p.numbers) > 0 {
		n, p.numbers = &p.numbers[0], p.numbers[1:]
	} else {
		n = new(Number)
	}
	n.Value, n.Span = value, spanOf(t)
	if u := p.peek(); kindOf(u) == KindWord {
		if unit, ok := units[u.Value]; ok {
			p.lex.Next()
			n.Unit, n.Span.End = unit, spanOf(u).End
		}
	}
	if most := maxIn[n.Unit]; value.Float64() > most {
		p.fail(tooLarge(n.Span))
	}
	return n
}

var units = map[string]Unit{"in": Inches, "mm": Millimetres, "cm": Centimetres}

// maxIn is the greatest number in each unit: 10,000 in. A bare number gets
// the benefit of the doubt here: Parse knows the unit of the file.
var maxIn = [...]float64{
	Bare: MaxInches * geom.Inch / geom.Millimetre, Inches: MaxInches,
	Millimetres: MaxInches * geom.Inch / geom.Millimetre, Centimetres: MaxInches * geom.Inch / geom.Centimetre,
}

func tooLarge(at source.Span) *fault {
	return &fault{at: at, kind: Limit, message: "a number is at most 10,000 in"}
}

// spacedMinus is at fault, and false, for 3-1 and 3 -1: between two numbers, only 3 - 1
// cannot be taken for a mixed number such as 3-1/4.
func (p *parser) spacedMinus(op *lexer.Token) bool {
	if op.Value != "-" {
		return true
	}
	at := p.lex.RawCursor()
	around := p.lex.Range(at-1, at+2)
	left, right := &around[0], &around[2]
	if k := kindOf(left); k != KindNumber && !(k == KindWord && units[left.Value] != Bare) || kindOf(right) != KindNumber {
		return true
	}
	if spanOf(left).End < op.Pos.Offset && op.Pos.Offset+1 < right.Pos.Offset {
		return true
	}
	p.fail(&fault{at: spanOf(op), message: "between numbers a minus needs a space on both sides: " + left.Value + " - " + right.Value})
	return false
}
