package geom

import (
	"math"
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// The reference for fractions is math/big.Rat of the standard library.

// wholes are whole numbers of every size, the largest among them.
var wholes = rapid.OneOf(
	rapid.Int64Range(-300, 300),
	rapid.Int64Range(-1<<32, 1<<32),
	rapid.Int64(),
	rapid.SampledFrom([]int64{math.MaxInt64, math.MaxInt64 - 1, math.MinInt64 + 1, math.MinInt64, 1 << 62, 1 << 53, 1<<53 + 1}),
)

// drawFraction is a pair of a Num and the same number as a Rat.
func drawFraction(t *rapid.T, name string) (Num, *big.Rat) {
	n := wholes.Draw(t, name+" numerator")
	d := wholes.Filter(func(d int64) bool { return d != 0 }).Draw(t, name+" denominator")
	return Frac(n, d), big.NewRat(n, d)
}

// agrees holds a Num against the true value: exact when the lowest terms fit
// 63 bits, else the nearest float.
func agrees(t *rapid.T, got Num, want *big.Rat) {
	n, d, ok := got.Exact()
	nearest, _ := want.Float64()
	fits := want.Denom().IsInt64() && want.Num().IsInt64() && want.Num().Int64() != math.MinInt64
	if ok != fits {
		t.Fatalf("exact is %v, %v fits is %v", ok, want, fits)
	}
	if ok && (n != want.Num().Int64() || d != want.Denom().Int64()) {
		t.Fatalf("got %d/%d, want %v", n, d, want)
	}
	if got.Float64() != nearest {
		t.Fatalf("got %v, the nearest float to %v is %v", got.Float64(), want, nearest)
	}
	if got.Sign() != want.Sign() || !got.IsFinite() {
		t.Fatalf("sign %d of %v", got.Sign(), want)
	}
}

func TestArithmeticAgreesWithBigRat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, ra := drawFraction(t, "a")
		b, rb := drawFraction(t, "b")
		agrees(t, a, ra)
		_, _, exactA := a.Exact()
		_, _, exactB := b.Exact()
		if !exactA || !exactB {
			return // nothing is promised past the first rounding
		}
		agrees(t, a.Neg(), new(big.Rat).Neg(ra))
		agrees(t, a.Abs(), new(big.Rat).Abs(ra))
		agrees(t, a.Add(b), new(big.Rat).Add(ra, rb))
		agrees(t, a.Sub(b), new(big.Rat).Sub(ra, rb))
		agrees(t, a.Mul(b), new(big.Rat).Mul(ra, rb))
		if rb.Sign() != 0 {
			agrees(t, a.Div(b), new(big.Rat).Quo(ra, rb))
		}
		if got, want := a.Cmp(b), ra.Cmp(rb); got != want {
			t.Fatalf("Cmp is %d, want %d", got, want)
		}
	})
}

func TestSqrtAgreesWithBigInt(t *testing.T) {
	root := func(n int64) (int64, bool) {
		r := new(big.Int).Sqrt(big.NewInt(n))
		return r.Int64(), new(big.Int).Mul(r, r).Int64() == n
	}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64Range(0, math.MaxInt64).Draw(t, "n")
		if rapid.Bool().Draw(t, "a square") {
			r := rapid.Int64Range(0, 3037000499).Draw(t, "root")
			n = r * r
		}
		d := rapid.Int64Range(1, 1000).Draw(t, "d")
		a := Frac(n, d*d)
		num, den, _ := a.Exact()
		rn, ok1 := root(num)
		rd, ok2 := root(den)
		gotN, gotD, ok := a.Sqrt().Exact()
		if ok != (ok1 && ok2) || ok && (gotN != rn || gotD != rd) {
			t.Fatalf("the root of %d/%d came out as %d/%d, %v", num, den, gotN, gotD, ok)
		}
		if got, want := a.Sqrt().Float64(), math.Sqrt(a.Float64()); math.Abs(got-want) > 1e-15*want {
			t.Fatalf("%v, want %v", got, want)
		}
	})
}

func TestTheZeroNumIsExactZero(t *testing.T) {
	var zero Num
	n, d, ok := zero.Exact()
	assert.Equal(t, int64(0), n)
	assert.Equal(t, int64(1), d)
	assert.True(t, ok)
	assert.Equal(t, Int(0), zero)
	assert.Equal(t, Frac(3, 4), zero.Add(Frac(3, 4)))
	assert.Equal(t, Frac(0, -7), zero, "zero has one form")
}

func TestExactnessNeverComesBackByItself(t *testing.T) {
	half := Float(0.5)
	for name, a := range map[string]Num{
		"sum": half.Add(half), "difference": half.Sub(Int(2)), "product": half.Mul(Int(2)), "quotient": Int(1).Div(half), "root": Float(4).Sqrt(),
	} {
		_, _, ok := a.Exact()
		assert.False(t, ok, name)
	}
	assert.Equal(t, Int(0), half.Mul(Int(0)), "but nothing times anything is nothing")
	assert.False(t, Int(0).Mul(Float(math.Inf(1))).IsFinite(), "unless it is endless")
}

func TestDividingByZeroIsNotFinite(t *testing.T) {
	for name, a := range map[string]Num{
		"1/0": Int(1).Div(Int(0)), "0/0": Int(0).Div(Int(0)), "-1/0": Frac(-1, 0), "float": Float(2).Div(Int(0)), "on": Int(1).Div(Int(0)).Add(Int(1)), "root": Int(-1).Sqrt(),
	} {
		assert.False(t, a.IsFinite(), name)
	}
	assert.True(t, Frac(1, 3).IsFinite())
	assert.True(t, Float(1e300).IsFinite())
}

func TestMixedNumbersCompareAsFloats(t *testing.T) {
	assert.Equal(t, -1, Frac(1, 3).Cmp(Float(0.34)))
	assert.Equal(t, 1, Float(0.34).Cmp(Frac(1, 3)))
	assert.Equal(t, 0, Frac(1, 2).Cmp(Float(0.5)))
}

func BenchmarkNumAdd(b *testing.B) {
	x, y := Frac(127*9, 4), Frac(127*5, 8)
	for b.Loop() {
		x.Add(y)
	}
}
