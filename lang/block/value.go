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

// value works an expression out. When it fails, the problem has been
// recorded (or what it hangs on is a problem already).
func (b *builder) value(s *scope, it *syntax.Item, e syntax.Expr, w where) (Value, bool) {
	switch e := e.(type) {
	case *syntax.Number:
		if e.Unit != syntax.Bare {
			return Value{Num: e.Value.Mul(lengthUnits[e.Unit].Num()), Length: true}, true
		}
		return Value{Num: e.Value, Unit: b.file.Unit}, true
	case *syntax.Ref:
		d, ok := find(s, e.Text, letsOf)
		if !ok {
			b.unknown(s, it.Abs(e.Span), "let", e.Text, names(s, letsOf), w)
			return Value{}, false
		}
		b.use(it.Abs(e.Span), &d.let.Named)
		if d.state == busy {
			b.noValue(it.Abs(e.Span), RefersToItself, e.Text, w)
		}
		if !b.settleLet(d) {
			return Value{}, false
		}
		return d.let.Value, true
	case *syntax.Paren:
		return b.value(s, it, e.X, w)
	case *syntax.Negative:
		v, ok := b.value(s, it, e.X, w)
		v.Num = v.Num.Neg()
		return v, ok
	case *syntax.Binary:
		x, okX := b.value(s, it, e.X, w)
		y, okY := b.value(s, it, e.Y, w)
		if !okX || !okY {
			return Value{}, false
		}
		return b.combine(it.Abs(e.At()), e.Op, x, y, w)
	}
	return Value{}, false
}

// combine does one step of arithmetic. A sum of a length and a bare number
// takes the number as a length; a product takes it as a ratio.
func (b *builder) combine(at source.Span, op byte, x, y Value, w where) (Value, bool) {
	lengths := x.Length || y.Length
	switch op {
	case '+', '-':
		if lengths || x.Unit != y.Unit {
			x, y = Value{Num: x.Hairs(), Length: true}, Value{Num: y.Hairs(), Length: true}
		}
		if op == '-' {
			y.Num = y.Num.Neg()
		}
		x.Num = x.Num.Add(y.Num)
		return x, true
	case '*':
		if x.Length && y.Length {
			return Value{}, b.noValue(at, AreaNotLength, "", w)
		}
		if y.Length {
			x, y = y, x
		}
		x.Num = x.Num.Mul(y.Num)
		return x, true
	}
	switch {
	case y.Num.Sign() == 0:
		return Value{}, b.noValue(at, DividedByZero, "", w)
	case x.Length && y.Length:
		return Value{Num: x.Num.Div(y.Num), Unit: b.file.Unit}, true
	case y.Length:
		return Value{}, b.noValue(at, AreaNotLength, "", w)
	}
	x.Num = x.Num.Div(y.Num)
	return x, true
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
