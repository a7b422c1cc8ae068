package syntax

import (
	"github.com/alecthomas/participle/v2/lexer"

	"sewable/lang/geom"
	"sewable/lang/source"
)

// expr reads
//
//	Expr    = Product { ( "+" | "-" ) Product } .
//	Product = Factor { ( "*" | "/" ) Factor } .
//	Factor  = "-" Factor | Number [ "in" | "mm" | "cm" ] | Name | "(" Expr ")" .
func (p *parser) expr() (Expr, *fault) {
	x, f := p.product()
	for terms := 1; f == nil; terms++ {
		op := p.peek()
		if op.Value != "+" && op.Value != "-" {
			return x, nil
		}
		if f := p.spacedMinus(op); f != nil {
			return nil, f
		}
		if terms == MostTerms {
			return nil, tooManyTerms(op)
		}
		p.lex.Next()
		var y Expr
		if y, f = p.product(); f == nil {
			x = &Binary{X: x, Y: y, Op: op.Value[0], Span: x.At().Cover(y.At())}
		}
	}
	return nil, f
}

func (p *parser) product() (Expr, *fault) {
	x, f := p.factor()
	for terms := 1; f == nil; terms++ {
		op := p.peek()
		if op.Value != "*" && op.Value != "/" {
			return x, nil
		}
		if terms == MostTerms {
			return nil, tooManyTerms(op)
		}
		p.lex.Next()
		var y Expr
		if y, f = p.factor(); f == nil {
			x = &Binary{X: x, Y: y, Op: op.Value[0], Span: x.At().Cover(y.At())}
		}
	}
	return nil, f
}

func tooManyTerms(op *lexer.Token) *fault {
	return &fault{at: spanOf(op), kind: Limit, message: "a sum or a product has at most 1,000 terms"}
}

func (p *parser) factor() (Expr, *fault) {
	t := p.peek()
	switch kindOf(t) {
	case KindNumber:
		n, f := p.number()
		if f != nil {
			return nil, f
		}
		return n, nil
	case KindName:
		p.lex.Next()
		return &Ref{Name{t.Value, spanOf(t)}}, nil
	case KindPunctuation:
		if t.Value != "-" && t.Value != "(" {
			break
		}
		if f := p.deeper(); f != nil {
			return nil, f
		}
		p.lex.Next()
		start := t.Pos.Offset
		if t.Value == "-" {
			x, f := p.factor()
			if f != nil {
				return nil, f
			}
			p.depth--
			return &Negative{X: x, Span: p.from(start)}, nil
		}
		x, f := p.expr()
		if f != nil {
			return nil, f
		}
		if f := p.want(")"); f != nil {
			return nil, f
		}
		p.depth--
		return &Paren{X: x, Span: p.from(start)}, nil
	}
	return nil, p.unexpected()
}

// number reads a literal with its unit; the next token is one.
func (p *parser) number() (*Number, *fault) {
	t := p.lex.Next()
	var value geom.Num
	if n := len(t.Value); n <= 4 && digitsEnd(t.Value, 0) == n {
		value = geom.Int(digits(t.Value))
	} else {
		var problem string
		var kind ErrorKind
		if value, problem, kind = numberValue(t.Value); problem != "" {
			return nil, &fault{at: spanOf(t), kind: kind, message: problem}
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
	if most := mostIn[n.Unit]; value.Float64() > most {
		return nil, tooLarge(n.Span)
	}
	return n, nil
}

var units = map[string]Unit{"in": Inches, "mm": Millimetres, "cm": Centimetres}

// mostIn is the greatest number in each unit: 10,000 in. A bare number gets
// the benefit of the doubt here: Parse knows the unit of the file.
var mostIn = [...]float64{
	Bare: MostInches * geom.Inch / geom.Millimetre, Inches: MostInches,
	Millimetres: MostInches * geom.Inch / geom.Millimetre, Centimetres: MostInches * geom.Inch / geom.Centimetre,
}

func tooLarge(at source.Span) *fault {
	return &fault{at: at, kind: Limit, message: "a number is at most 10,000 in"}
}

// spacedMinus is at fault for 3-1 and 3 -1: between two numbers, only 3 - 1
// cannot be taken for a mixed number such as 3-1/4.
func (p *parser) spacedMinus(op *lexer.Token) *fault {
	if op.Value != "-" {
		return nil
	}
	at := p.lex.RawCursor()
	around := p.lex.Range(at-1, at+2)
	left, right := &around[0], &around[2]
	if k := kindOf(left); k != KindNumber && !(k == KindWord && units[left.Value] != Bare) || kindOf(right) != KindNumber {
		return nil
	}
	if spanOf(left).End < op.Pos.Offset && op.Pos.Offset+1 < right.Pos.Offset {
		return nil
	}
	return &fault{at: spanOf(op), kind: Malformed,
		message: "between numbers a minus needs a space on both sides: " + left.Value + " - " + right.Value}
}
