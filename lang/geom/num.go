package geom

import (
	"math"
	"math/big"
	"math/bits"
)

// Num is a number: an exact fraction while numerator and denominator fit 63
// bits, the nearest float64 after that. Exactness never comes back by
// itself, and no operation fails: dividing by zero gives an infinite or
// undefined float, which IsFinite tells apart.
//
// The zero value is the exact number 0.
type Num struct {
	n int64   // numerator, when exact
	d int64   // denominator less one, when exact (so that the zero value is 0/1)
	f float64 // the value, when inexact
	x bool    // inexact
}

// Int is the exact whole number n.
func Int(n int64) Num { return Frac(n, 1) }

// Frac is the exact fraction n/d in lowest terms; not finite when d is zero.
func Frac(n, d int64) Num {
	switch {
	case d == 0:
		return Float(float64(n) / float64(d))
	case n == math.MinInt64 || d == math.MinInt64: // has no opposite
		return fromRat(big.NewRat(n, d))
	}
	if d < 0 {
		n, d = -n, -d
	}
	if g := gcd(n, d); g > 1 {
		n, d = n/g, d/g
	}
	return Num{n: n, d: d - 1}
}

// Float is the inexact number f.
func Float(f float64) Num { return Num{f: f, x: true} }

// Float64 is the nearest float64.
func (a Num) Float64() float64 {
	const safe = 1 << 53 // whole numbers up to here are floats
	switch {
	case a.x:
		return a.f
	case a.d == 0:
		return float64(a.n)
	case -safe <= a.n && a.n <= safe && a.d < safe:
		return float64(a.n) / float64(a.d+1)
	}
	f, _ := a.rat().Float64()
	return f
}

// Exact gives the fraction in lowest terms, and whether the number is one.
func (a Num) Exact() (n, d int64, ok bool) { return a.n, a.d + 1, !a.x }

// IsFinite is false for what division by zero leaves behind.
func (a Num) IsFinite() bool { return !a.x || !math.IsInf(a.f, 0) && !math.IsNaN(a.f) }

// Sign is -1, 0 or 1.
func (a Num) Sign() int {
	f := a.f
	if !a.x {
		f = float64(a.n)
	}
	switch {
	case f < 0:
		return -1
	case f > 0:
		return 1
	}
	return 0
}

// Neg is -a.
func (a Num) Neg() Num {
	if a.x {
		return Float(-a.f)
	}
	a.n = -a.n
	return a
}

// Abs is a without its sign.
func (a Num) Abs() Num {
	if a.Sign() < 0 {
		return a.Neg()
	}
	return a
}

// Add is a + b.
func (a Num) Add(b Num) Num {
	if a.x || b.x {
		return Float(a.Float64() + b.Float64())
	}
	ad, bd := a.d+1, b.d+1
	if ad == bd {
		if s, ok := addInt(a.n, b.n); ok {
			return Frac(s, ad)
		}
	}
	g := gcd(ad, bd)
	l, ok1 := mulInt(a.n, bd/g)
	r, ok2 := mulInt(b.n, ad/g)
	d, ok3 := mulInt(ad/g, bd)
	if ok1 && ok2 && ok3 {
		if s, ok := addInt(l, r); ok {
			return Frac(s, d)
		}
	}
	return fromRat(a.rat().Add(a.rat(), b.rat()))
}

// Sub is a - b.
func (a Num) Sub(b Num) Num { return a.Add(b.Neg()) }

// Mul is a · b. The exact 0 makes any finite product an exact 0.
func (a Num) Mul(b Num) Num {
	if a == (Num{}) && b.IsFinite() || b == (Num{}) && a.IsFinite() {
		return Num{}
	}
	if a.x || b.x {
		return Float(a.Float64() * b.Float64())
	}
	// Cross-cancelled, the product fits whenever its lowest terms do.
	g, h := gcd(a.n, b.d+1), gcd(b.n, a.d+1)
	n, ok1 := mulInt(a.n/g, b.n/h)
	d, ok2 := mulInt((a.d+1)/h, (b.d+1)/g)
	if ok1 && ok2 {
		return Num{n: n, d: d - 1}
	}
	return fromRat(a.rat().Mul(a.rat(), b.rat()))
}

// Div is a / b; not finite when b is zero.
func (a Num) Div(b Num) Num {
	if a.x || b.x || b.n == 0 {
		return Float(a.Float64() / b.Float64())
	}
	n, d := b.d+1, b.n
	if d < 0 {
		n, d = -n, -d
	}
	return a.Mul(Num{n: n, d: d - 1})
}

// Sqrt is the square root of a: exact for the fractions whose numerator and
// denominator are squares, not a number below zero.
func (a Num) Sqrt() Num {
	if !a.x && a.n >= 0 {
		n, ok1 := sqrtInt(a.n)
		d, ok2 := sqrtInt(a.d + 1)
		if ok1 && ok2 {
			return Num{n: n, d: d - 1}
		}
	}
	return Float(math.Sqrt(a.Float64()))
}

// Cmp is -1, 0 or 1 as a is less than, equal to or greater than b. It is exact
// for exact numbers; what is not a number compares as equal.
func (a Num) Cmp(b Num) int {
	if a.x || b.x {
		return Float(a.Float64() - b.Float64()).Sign()
	}
	if s := a.Sign(); s <= 0 || b.Sign() <= 0 {
		if t := b.Sign(); s != t {
			return max(-1, min(1, s-t))
		}
		a, b = b.Neg(), a.Neg() // both negative, or both zero
	}
	lh, ll := bits.Mul64(uint64(a.n), uint64(b.d)+1)
	rh, rl := bits.Mul64(uint64(b.n), uint64(a.d)+1)
	switch {
	case lh < rh || lh == rh && ll < rl:
		return -1
	case lh > rh || ll > rl:
		return 1
	}
	return 0
}

// rat and fromRat are the long way round, for results whose terms pass 63 bits
// on the way.
func (a Num) rat() *big.Rat { return big.NewRat(a.n, a.d+1) }

func fromRat(r *big.Rat) Num {
	if n, d := r.Num(), r.Denom(); d.IsInt64() && n.IsInt64() && n.Int64() != math.MinInt64 {
		return Num{n: n.Int64(), d: d.Int64() - 1}
	}
	f, _ := r.Float64()
	return Float(f)
}

// sqrtInt is the whole root of n ≥ 0, and whether n is its square.
func sqrtInt(n int64) (int64, bool) {
	r := int64(math.Sqrt(float64(n)))
	for r*r > n || r > 3037000499 { // the root of the largest int64
		r--
	}
	for r < 3037000499 && (r+1)*(r+1) <= n {
		r++
	}
	return r, r*r == n
}

func gcd(a, b int64) int64 {
	if a < 0 {
		a = -a
	}
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

func addInt(a, b int64) (int64, bool) {
	s := a + b
	return s, (s > a) == (b > 0) && s != math.MinInt64
}

func mulInt(a, b int64) (int64, bool) {
	ua, ub := uint64(max(a, -a)), uint64(max(b, -b))
	hi, lo := bits.Mul64(ua, ub)
	if hi != 0 || lo > math.MaxInt64 {
		return 0, false
	}
	if (a < 0) != (b < 0) {
		return -int64(lo), true
	}
	return int64(lo), true
}
