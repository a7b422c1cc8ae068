package block

import (
	"sewable/lang/geom"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// lengthUnits are the units that may follow a number.
var lengthUnits = map[syntax.Unit]geom.Unit{
	syntax.Inches:      geom.Inches,
	syntax.Millimetres: geom.Millimetres,
	syntax.Centimetres: geom.Centimetres,
}

// Hairs is the value as a length, in hairs.
func (v Value) Hairs() geom.Num {
	if v.Length {
		return v.Num
	}
	return v.Num.Mul(v.Unit.Num())
}

// letDef is a let being worked out.
type letDef struct {
	let   *Let
	expr  syntax.Expr
	scope *scope
	where where
	state state
}

// state is how far a name's value has come; asking for one that is busy
// means that it needs itself.
type state uint8

const (
	fresh state = iota
	busy
	done
	failed
)

// An evaluator works expressions out.
type evaluator struct {
	unit geom.Unit                         // of bare numbers
	name func(syntax.Name) (Value, bool)   // the value of a `let`
	fail func(at source.Span, cause Cause) // at is relative to the statement
}

// Evaluate works out a number for whoever asks about a text; name gives the
// values of its names.
func Evaluate(e syntax.Expr, unit geom.Unit, name func(syntax.Name) (Value, bool)) (Value, bool) {
	return evaluator{unit, name, func(source.Span, Cause) {}}.value(e)
}

func (v evaluator) value(e syntax.Expr) (Value, bool) {
	switch e := e.(type) {
	case *syntax.Number:
		if e.Unit != syntax.Bare {
			return Value{Num: e.Value.Mul(lengthUnits[e.Unit].Num()), Length: true}, true
		}
		return Value{Num: e.Value, Unit: v.unit}, true
	case *syntax.Ref:
		return v.name(e.Name)
	case *syntax.Paren:
		return v.value(e.X)
	case *syntax.Negative:
		x, ok := v.value(e.X)
		x.Num = x.Num.Neg()
		return x, ok
	case *syntax.Binary:
		x, okX := v.value(e.X)
		y, okY := v.value(e.Y)
		if !okX || !okY {
			return Value{}, false
		}
		z, cause := v.combine(e.Op, x, y)
		if cause != 0 {
			v.fail(e.Span, cause)
			return Value{}, false
		}
		return z, true
	}
	return Value{}, false
}

// combine does one step of arithmetic. A sum of a length and a bare number
// takes the number as a length; a product takes it as a ratio.
func (v evaluator) combine(op byte, x, y Value) (Value, Cause) {
	switch op {
	case '+', '-':
		if x.Length || y.Length || x.Unit != y.Unit {
			x, y = Value{Num: x.Hairs(), Length: true}, Value{Num: y.Hairs(), Length: true}
		}
		if op == '-' {
			y.Num = y.Num.Neg()
		}
		x.Num = x.Num.Add(y.Num)
		return x, 0
	case '*':
		if x.Length && y.Length {
			return Value{}, AreaNotLength
		}
		if y.Length {
			x, y = y, x
		}
		x.Num = x.Num.Mul(y.Num)
		return x, 0
	}
	switch {
	case y.Num.Sign() == 0:
		return Value{}, DividedByZero
	case x.Length && y.Length:
		return Value{Num: x.Num.Div(y.Num), Unit: v.unit}, 0
	case y.Length:
		return Value{}, AreaNotLength
	}
	x.Num = x.Num.Div(y.Num)
	return x, 0
}

// value works an expression out. When it fails, the problem has been
// recorded (or what it hangs on is a problem already).
func (m maker) value(e syntax.Expr) (Value, bool) {
	if n, ok := e.(*syntax.Number); ok && n.Unit == syntax.Bare { // by far the most
		return Value{Num: n.Value, Unit: m.unit()}, true
	}
	return evaluator{
		unit: m.unit(),
		name: func(n syntax.Name) (Value, bool) {
			v, ok := m.named(n, aLet)
			if !ok {
				return Value{}, false
			}
			return v.(Value), true
		},
		fail: func(at source.Span, cause Cause) { m.noValue(at, cause, "") },
	}.value(e)
}

// settleLet works a let out, once.
func (b *builder) settleLet(d *letDef) bool {
	if d.state == fresh {
		d.state = busy
		v, ok := b.at(d.scope, d.let.Item, d.where).value(d.expr)
		d.let.Broken = !ok
		if d.state = failed; ok {
			d.let.Value, d.state = v, done
		}
	}
	return d.state == done
}

// maxLength is the limit of every number, as a length: 10,000 in.
const maxLength = 10000 * geom.Inch

// length works an expression out as a length in hairs, of either sign.
func (m maker) length(e syntax.Expr) (geom.Num, bool) {
	v, ok := m.value(e)
	if !ok {
		return geom.Num{}, false
	}
	n := v.Hairs()
	if f := n.Float64(); !n.IsFinite() || f > maxLength || f < -maxLength {
		m.fail(e.At(), Problem{Kind: OverLimit})
		return geom.Num{}, false
	}
	return n, true
}

// size works an expression out as a length that is more than nothing.
func (m maker) size(e syntax.Expr) (geom.Num, bool) {
	n, ok := m.length(e)
	if ok && n.Sign() <= 0 {
		return n, m.noValue(e.At(), NotALength, "")
	}
	return n, ok
}

// ratio works an expression out as a plain number: a ratio or an angle.
func (m maker) ratio(e syntax.Expr) (geom.Num, bool) {
	v, ok := m.value(e)
	if ok && v.Length {
		return geom.Num{}, m.noValue(e.At(), NotARatio, "")
	}
	return v.Num, ok
}
