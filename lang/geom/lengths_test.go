package geom

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// 1 in = 25.4 mm exactly: Federal Register, "Refinement of Values for the Yard
// and the Pound", 1 July 1959.
func TestAnInchIs25Point4Millimetres(t *testing.T) {
	assert.Equal(t, 25.4, Inches.Hairs()/Millimetres.Hairs())
	assert.Equal(t, Frac(254, 10), Inches.Num().Div(Millimetres.Num()))
	assert.Equal(t, 10.0, Centimetres.Hairs()/Millimetres.Hairs())
	assert.Equal(t, 0.2, Hair/Millimetres.Hairs(), "a hair is 0.2 mm")
}

func TestLengthsAreShownAsPeopleWriteThem(t *testing.T) {
	for _, c := range []struct {
		inches     float64
		in, mm, cm string
	}{
		{2.25, "2 1/4 in", "57.2 mm", "5.72 cm"},
		{0.25, "1/4 in", "6.4 mm", "0.64 cm"},
		{6, "6 in", "152.4 mm", "15.24 cm"},
		{0, "0 in", "0 mm", "0 cm"},
		{5.5, "5 1/2 in", "139.7 mm", "13.97 cm"},
		{1.0 / 3, "1/3 in", "8.5 mm", "0.85 cm"},
		{7 + 11.0/12, "7 11/12 in", "201.1 mm", "20.11 cm"},
		{1.0 / 64, "1/64 in", "0.4 mm", "0.04 cm"},
		{3.5 - 1e-9, "3 1/2 in", "88.9 mm", "8.89 cm"},
		{-0.5, "-1/2 in", "-12.7 mm", "-1.27 cm"},
		{-2.25, "-2 1/4 in", "-57.2 mm", "-5.72 cm"},
		{math.Sqrt(2), "1.41 in", "35.9 mm", "3.59 cm"},
		{2.1273, "2.13 in", "54 mm", "5.4 cm"},
		{0.2, "0.20 in", "5.1 mm", "0.51 cm"},
		{0.0061, "0.006 in", "0.2 mm", "0.02 cm"},
		{0.0001, "under 0.001 in", "under 0.1 mm", "under 0.01 cm"},
		{-0.0001, "under 0.001 in", "under 0.1 mm", "under 0.01 cm"},
		{-1e-9, "0 in", "0 mm", "0 cm"},
	} {
		assert.Equal(t, c.in, FormatExact(c.inches*Inch, Inches))
		assert.Equal(t, c.mm, FormatExact(c.inches*Inch, Millimetres))
		assert.Equal(t, c.cm, FormatExact(c.inches*Inch, Centimetres))
	}
}

func TestPlacesAndAreas(t *testing.T) {
	assert.Equal(t, "(2.12, 5 1/2)", FormatPlace(Point{1.5 * math.Sqrt2 * Inch, 5.5 * Inch}, Inches))
	assert.Equal(t, "1.5 sq in", FormatArea(1.5*Inch*Inch, Inches))
	assert.Equal(t, "0.004 sq in", FormatArea(0.0041*Inch*Inch, Inches))
	assert.Equal(t, "9.68 sq cm", FormatArea(1.5*Inch*Inch, Millimetres))
	assert.Equal(t, "0 sq in", FormatArea(0, Inches))
	for squareMM, want := range map[float64]string{
		0:           "0 sq mm",
		0.3:         "0.3 sq mm",
		12:          "12 sq mm",
		99.4:        "99 sq mm",
		99.6:        "1 sq cm",
		100:         "1 sq cm",
		516.1:       "5.16 sq cm",
		999.6:       "10 sq cm",
		5161:        "51.6 sq cm",
		9996:        "100 sq cm",
		34_800:      "348 sq cm",
		999_949:     "9999 sq cm",
		999_960:     "1 sq m",
		1_254_000:   "1.25 sq m",
		-34_800:     "-348 sq cm",
		123_456_789: "123.46 sq m",
	} {
		assert.Equal(t, want, FormatArea(squareMM*Millimetre*Millimetre, Millimetres), squareMM)
	}
	assert.Equal(t, "0.25 sq cm", FormatArea(25*Millimetre*Millimetre, Centimetres))
	assert.Equal(t, "348 sq cm", FormatArea(34_800*Millimetre*Millimetre, Centimetres))
	assert.NotPanics(t, func() { FormatArea(math.NaN(), Millimetres); FormatArea(math.Inf(1), Centimetres) })
}

func TestNumbersAreTypedInTheFilesUnit(t *testing.T) {
	for _, c := range []struct {
		hairs  float64
		in, mm string
	}{
		{2.5 * Inch, "2 1/2", "63.5"},
		{-0.25 * Inch, "-1/4", "-6.35"},
		{Inch / 3, "1/3", "8 7/15"},
		{Inch / 7, "1/7", "3 22/35"},
		{0.2 * Inch, "0.2", "5.08"},
		{0.1234 * Inch, "0.1234", "3.13436"},
		{100 * Millimetre, "3.93700787", "100"},
		{math.Sqrt2 * Inch, "1.41421356", "35.9210245"},
		{0, "0", "0"},
		{-1e-12, "0", "0"},
	} {
		assert.Equal(t, c.in, FormatNumber(c.hairs, Inches))
		assert.Equal(t, c.mm, FormatNumber(c.hairs, Millimetres))
	}
	assert.Equal(t, "(3, 5 1/2)", FormatPoint(Point{3 * Inch, 5.5 * Inch}, Inches))
}

// read reads a number as the language does: decimals, fractions, mixed numbers.
func read(t *rapid.T, s string) float64 {
	sign := 1.0
	if strings.HasPrefix(s, "-") {
		sign, s = -1, s[1:]
	}
	sum := 0.0
	for _, part := range strings.Fields(s) {
		n, d, isFraction := strings.Cut(part, "/")
		v, err := strconv.ParseFloat(n, 64)
		if err == nil && isFraction {
			var w float64
			w, err = strconv.ParseFloat(d, 64)
			v /= w
		}
		if err != nil {
			t.Fatalf("%q does not read as a number: %v", s, err)
		}
		sum += v
	}
	return sign * sum
}

func TestTypedNumbersReadAsTheSameLength(t *testing.T) {
	units := rapid.SampledFrom([]Unit{Inches, Millimetres, Centimetres})
	lengths := rapid.OneOf(
		rapid.Float64Range(-1270, 1270),
		rapid.Float64Range(-1.27e6, 1.27e6),
		rapid.Float64Range(-1, 1),
		rapid.Map(rapid.IntRange(-5000, 5000), func(n int) float64 { return float64(n) * Inch / 16 }),
		rapid.Map(rapid.IntRange(-5000, 5000), func(n int) float64 { return float64(n) * Inch / 48 }),
	)
	rapid.Check(t, func(t *rapid.T) {
		u, hairs := units.Draw(t, "unit"), lengths.Draw(t, "hairs")
		typed := FormatNumber(hairs, u)
		if got := read(t, typed) * u.Hairs(); math.Abs(got-hairs) > 1e-6 {
			t.Fatalf("%v hairs are typed %s, which reads as %v", hairs, typed, got)
		}
		// What is shown is right to the digits it has.
		shown := strings.TrimSuffix(FormatExact(hairs, u), " "+u.String())
		if tol := 0.0051 * Inch; !strings.HasPrefix(shown, "under") && math.Abs(read(t, shown)*u.Hairs()-hairs) > tol {
			t.Fatalf("%v hairs are shown as %s", hairs, shown)
		}
	})
}

func TestFormattingWhatIsNoLength(t *testing.T) {
	for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e300} {
		assert.NotPanics(t, func() {
			Format(x, Inches)
			FormatExact(x, Millimetres)
			FormatNumber(x, Inches)
			FormatArea(x, Centimetres)
		})
	}
}

func TestRounding(t *testing.T) {
	quarter := Inch / 4
	assert.Equal(t, 2.25*Inch, RoundUp(2.01*Inch, quarter))
	assert.Equal(t, 2.25*Inch, RoundUp(2.25*Inch, quarter), "a step stays")
	assert.Equal(t, 2.25*Inch, RoundUp(2.25*Inch+1e-9, quarter), "and so does one with noise")
	assert.Equal(t, 2.5*Inch, RoundUp(2.25*Inch+0.01, quarter))
	assert.Equal(t, -2*Inch, RoundUp(-2.1*Inch, quarter))
	assert.Equal(t, 2.25*Inch, RoundTo(2.3*Inch, quarter))
	assert.Equal(t, 7.0, RoundUp(7, 0), "no step, no rounding")
}

func TestUnitNames(t *testing.T) {
	for _, u := range []Unit{Inches, Millimetres, Centimetres} {
		got, ok := UnitNamed(u.String())
		assert.True(t, ok)
		assert.Equal(t, u, got)
	}
	_, ok := UnitNamed("yd")
	assert.False(t, ok)
}
