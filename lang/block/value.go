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
func (b *builder) value(s *scope, it *syntax.Item, e syntax.Expr, w where) (Value, bool) {
	if n, ok := e.(*syntax.Number); ok && n.Unit == syntax.Bare { // by far the most
		return Value{Num: n.Value, Unit: b.file.Unit}, true
	}
	return evaluator{
		unit: b.file.Unit,
		name: func(n syntax.Name) (Value, bool) { return b.let(s, it, n, w) },
		fail: func(at source.Span, cause Cause) { b.noValue(it.Abs(at), cause, "", w) },
	}.value(e)
}

// let gives the value of a name.
func (b *builder) let(s *scope, it *syntax.Item, n syntax.Name, w where) (Value, bool) {
	at := it.Abs(n.Span)
	d, ok := find(s, n.Text, letsOf)
	if !ok {
		b.unknown(s, at, "let", n.Text, names(s, letsOf), w)
		return Value{}, false
	}
	b.use(at, &d.let.Named)
	if d.state == busy {
		b.noValue(at, RefersToItself, n.Text, w)
	}
	return d.let.Value, b.settleLet(d)
}

// settleLet works a let out, once.
func (b *builder) settleLet(d *letDef) bool {
	if d.state == fresh {
		d.state = busy
		v, ok := b.value(d.scope, d.let.Item, d.expr, d.where)
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
func (b *builder) length(s *scope, it *syntax.Item, e syntax.Expr, w where) (geom.Num, bool) {
	v, ok := b.value(s, it, e, w)
	if !ok {
		return geom.Num{}, false
	}
	n := v.Hairs()
	if f := n.Float64(); !n.IsFinite() || f > maxLength || f < -maxLength {
		b.problem(Problem{Kind: OverLimit, At: it.Abs(e.At())}, w)
		return geom.Num{}, false
	}
	return n, true
}

// size works an expression out as a length that is more than nothing.
func (b *builder) size(s *scope, it *syntax.Item, e syntax.Expr, w where) (geom.Num, bool) {
	n, ok := b.length(s, it, e, w)
	if ok && n.Sign() <= 0 {
		return n, b.noValue(it.Abs(e.At()), NotALength, "", w)
	}
	return n, ok
}

// ratio works an expression out as a plain number: a ratio or an angle.
func (b *builder) ratio(s *scope, it *syntax.Item, e syntax.Expr, w where) (geom.Num, bool) {
	v, ok := b.value(s, it, e, w)
	if ok && v.Length {
		return geom.Num{}, b.noValue(it.Abs(e.At()), NotARatio, "", w)
	}
	return v.Num, ok
}

// noValue records that something cannot be worked out; it is always false.
func (b *builder) noValue(at source.Span, cause Cause, name string, w where) bool {
	b.problem(Problem{Kind: NoValue, At: at, Cause: cause, Name: name}, w)
	return false
}
