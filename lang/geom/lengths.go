package geom

import (
	"math"
	"strconv"
	"strings"
)

// Unit is a unit of length that people write.
type Unit uint8

// The units. The zero value is the inch.
const (
	Inches Unit = iota
	Millimetres
	Centimetres
)

var units = [...]struct {
	name   string
	hairs  float64
	places int  // decimals when a length is shown
	least  int  // decimals when it is small
	metric bool // written in decimals rather than fractions
}{
	Inches:      {"in", Inch, 2, 3, false},
	Millimetres: {"mm", Millimetre, 1, 1, true},
	Centimetres: {"cm", Centimetre, 2, 2, true},
}

// UnitNamed is the unit written "in", "mm" or "cm".
func UnitNamed(name string) (Unit, bool) {
	for u, is := range units {
		if is.name == name {
			return Unit(u), true
		}
	}
	return 0, false
}

// String is the unit as it is written after a number.
func (u Unit) String() string { return units[u].name }

// Hairs is the length of one unit, a whole number of hairs.
func (u Unit) Hairs() float64 { return units[u].hairs }

// Num is the length of one unit in hairs, exact.
func (u Unit) Num() Num { return Int(int64(units[u].hairs)) }

// FormatExact is a length to the digit, with its unit, for what is compared or typed back: "2 1/4 in",
// "2.13 in", "57.2 mm". Inches are a fraction when they are one (within a
// millionth of an inch), else rounded to two decimals, or three below a tenth; what would round to nothing is "under
// 0.001 in".
func FormatExact(hairs float64, u Unit) string {
	return formatShort(hairs, u) + " " + u.String()
}

// FormatPlace is a point as a quilter reads it and types it back, rounded like FormatExact:
// "(2.13, 5 1/2)".
func FormatPlace(p Point, u Unit) string {
	return "(" + formatCoordinate(p.X, u) + ", " + formatCoordinate(p.Y, u) + ")"
}

// formatCoordinate is formatShort, but what rounds to nothing is 0.
func formatCoordinate(hairs float64, u Unit) string {
	if math.Abs(hairs/u.Hairs()) < smallest(u) {
		return "0"
	}
	return trimZeros(formatShort(hairs, u))
}

// FormatArea is an area, given in square hairs, with its unit: "1.5 sq in", "187 sq in". Metric areas are
// in the unit that people say: up to 100 sq mm in that, up to 10,000 sq cm in
// that, then "1.25 sq m".
func FormatArea(area float64, u Unit) string {
	if units[u].metric {
		return formatMetric(area, u)
	}
	inches := area / (u.Hairs() * u.Hairs())
	places := 2
	if size := math.Abs(inches); size >= 99.95 {
		places = 0
	} else if size >= 9.995 {
		places = 1
	}
	return formatArea(inches, places) + " sq " + u.String()
}

func formatMetric(area float64, u Unit) string {
	cm := area / (Centimetre * Centimetre)
	size := math.Abs(cm)
	switch {
	case size < 0.995 && u == Millimetres:
		return formatArea(100*cm, 0) + " sq mm"
	case size < 9.995:
		return formatArea(cm, 2) + " sq cm"
	case size < 99.95:
		return formatArea(cm, 1) + " sq cm"
	case size < 9999.5:
		return formatArea(cm, 0) + " sq cm"
	}
	return formatArea(cm/10_000, 2) + " sq m"
}

// formatArea is a number with so many decimals, or with as many as show the first digit that
// says something.
func formatArea(x float64, places int) string {
	for places < 6 && math.Abs(x)*math.Pow10(places) < 1 {
		places++
	}
	return trimZeros(decimal(x, places))
}

// FormatNumber is a length as it is typed in the language, where u is the
// file's unit: read again it gives the same length within a millionth of a
// hair. Inches are a ruler's fraction when they can be, then as few decimals
// as will do; other fractions come before more than four decimals.
func FormatNumber(hairs float64, u Unit) string {
	const within = 0.9e-6 // of the 1e-6 promised, the rest is for rounding
	x, tol := hairs/u.Hairs(), within/u.Hairs()
	if !finite(x) {
		return formatShort(hairs, u)
	}
	if !units[u].metric {
		if s, ok := fraction(x, tol, rulerDenominators); ok {
			return s
		}
	}
	for places := 0; places <= 4; places++ {
		if s := decimal(x, places); near(s, x, tol) {
			return s
		}
	}
	if s, ok := fraction(x, tol, otherDenominators); ok {
		return s
	}
	for places := 5; places <= 9; places++ {
		if s := decimal(x, places); near(s, x, tol) {
			return trimZeros(s)
		}
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

// FormatPoint is a point as it is typed in the language, see FormatNumber:
// "(3, 5 1/2)".
func FormatPoint(p Point, u Unit) string {
	return "(" + FormatNumber(p.X, u) + ", " + FormatNumber(p.Y, u) + ")"
}

// RoundUp is Round up.
func RoundUp(hairs, step float64) float64 { return Round(hairs, step, Up) }

// RoundTo is Round to the nearest.
func RoundTo(hairs, step float64) float64 { return Round(hairs, step, Nearest) }

func formatShort(hairs float64, u Unit) string {
	x := hairs / u.Hairs()
	switch {
	case math.IsNaN(x):
		return "no number of"
	case math.IsInf(x, 0):
		return "endlessly many"
	case hairs != 0 && math.Abs(x) < smallest(u):
		if math.Abs(x) <= 1e-6 {
			return "0"
		}
		return "under " + decimal(2*smallest(u), units[u].least)
	case units[u].metric:
		// Multiplied first: 2 1/4 in is 57.15 mm, which no float holds.
		p := math.Pow10(units[u].places)
		return trimZeros(decimal(math.Round(hairs*p/u.Hairs())/p, units[u].places))
	}
	if s, ok := fraction(x, 1e-6, rulerDenominators); ok {
		return s
	}
	if math.Abs(x) < 0.1 {
		return decimal(x, units[u].least)
	}
	return decimal(x, units[u].places)
}

// smallest is the least length, in units, that is not rounded to nothing.
func smallest(u Unit) float64 { return 0.5 * math.Pow10(-units[u].least) }

// The denominators on a quilter's ruler and in a pattern, and the rest.
var (
	rulerDenominators = []int{1, 2, 3, 4, 6, 8, 12, 16, 32, 64}
	otherDenominators = func() (ds []int) {
		for d := 3; d <= 64; d++ {
			ds = append(ds, d)
		}
		return ds
	}()
)

// fraction is x as a whole number and a fraction with one of the denominators.
func fraction(x, tol float64, denominators []int) (string, bool) {
	if math.Abs(x) > 1e9 {
		return "", false
	}
	sign, x := sign(x), math.Abs(x)
	for _, d := range denominators {
		n := math.Round(x * float64(d))
		if math.Abs(n/float64(d)-x) > tol {
			continue
		}
		whole, rest := int(n)/d, int(n)%d
		var s string
		switch {
		case rest == 0:
			s = strconv.Itoa(whole)
		case whole == 0:
			s = strconv.Itoa(rest) + "/" + strconv.Itoa(d)
		default:
			s = strconv.Itoa(whole) + " " + strconv.Itoa(rest) + "/" + strconv.Itoa(d)
		}
		if s == "0" {
			sign = ""
		}
		return sign + s, true
	}
	return "", false
}

func sign(x float64) string {
	if x < 0 {
		return "-"
	}
	return ""
}

// decimal is x with so many decimals, and never "-0".
func decimal(x float64, places int) string {
	s := strconv.FormatFloat(x, 'f', places, 64)
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-")
	}
	return s
}

func trimZeros(s string) string {
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// near says whether the decimal s reads as x.
func near(s string, x, tol float64) bool {
	v, err := strconv.ParseFloat(s, 64)
	return err == nil && math.Abs(v-x) <= tol
}

func finite(x float64) bool { return !math.IsInf(x, 0) && !math.IsNaN(x) }
