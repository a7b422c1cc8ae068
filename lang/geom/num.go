package geom

import (
	"math"
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
func Int(n int64) Num { return Num{n: n} }

// Frac is the exact fraction n/d in lowest terms; d must not be zero.
func Frac(n, d int64) Num {
	if d == 0 || n == math.MinInt64 || d == math.MinInt64 {
		return Float(float64(n) / float64(d))
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
	switch {
	case a.x:
		return a.f
	case a.d == 0:
		return float64(a.n)
	}
	return float64(a.n) / float64(a.d+1)
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

// Add is a + b.
func (a Num) Add(b Num) Num {
	if !a.x && !b.x {
		if a.d == b.d {
			if s, ok := addInt(a.n, b.n); ok {
				return Frac(s, a.d+1)
			}
		}
		l, ok1 := mulInt(a.n, b.d+1)
		r, ok2 := mulInt(b.n, a.d+1)
		s, ok3 := addInt(l, r)
		d, ok4 := mulInt(a.d+1, b.d+1)
		if ok1 && ok2 && ok3 && ok4 {
			return Frac(s, d)
		}
	}
	return Float(a.Float64() + b.Float64())
}

// Sub is a - b.
func (a Num) Sub(b Num) Num { return a.Add(b.Neg()) }

// Mul is a · b.
func (a Num) Mul(b Num) Num {
	if !a.x && !b.x {
		// Cross-cancel first: the product then fits whenever its lowest terms do.
		an, ad, bn, bd := a.n, a.d+1, b.n, b.d+1
		if g := gcd(an, bd); g > 1 {
			an, bd = an/g, bd/g
		}
		if g := gcd(bn, ad); g > 1 {
			bn, ad = bn/g, ad/g
		}
		n, ok1 := mulInt(an, bn)
		d, ok2 := mulInt(ad, bd)
		if ok1 && ok2 {
			return Frac(n, d)
		}
	}
	return Float(a.Float64() * b.Float64())
}

// Div is a / b; not finite when b is zero.
func (a Num) Div(b Num) Num {
	if !b.x && b.n != 0 {
		n, d := b.d+1, b.n
		if d < 0 {
			n, d = -n, -d
		}
		return a.Mul(Num{n: n, d: d - 1})
	}
	return Float(a.Float64() / b.Float64())
}

// Cmp is -1, 0 or 1 as a is less than, equal to or greater than b.
func (a Num) Cmp(b Num) int { return a.Sub(b).Sign() }

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
