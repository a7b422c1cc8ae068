package geom

import (
	"math"
	"strings"
)

// Rounding says which way a length goes to a mark of the ruler.
type Rounding uint8

// The roundings: a measurement goes to the nearest mark; what is cut or bought, up, so that it is
// never too small; what is to spare, down, so that nobody counts on more than there is.
const (
	Nearest Rounding = iota
	Up
	Down
)

// Mark is the distance of the marks on a ruler: 1/16 in, 1 mm.
func Mark(u Unit) float64 {
	if units[u].metric {
		return Millimetre
	}
	return Inch / 16
}

// FineMark is half of that, for what is to spare: 1/32 in, 0.5 mm.
func FineMark(u Unit) float64 { return Mark(u) / 2 }

// Round is the length at a mark, which lie a step apart. A length within a millionth of a hair of
// a mark is on it.
func Round(hairs, step float64, r Rounding) float64 {
	const within = 1e-6
	switch {
	case !(step > 0):
		return hairs
	case r == Up:
		return math.Ceil((hairs-within)/step) * step
	case r == Down:
		return math.Floor((hairs+within)/step) * step
	}
	return math.Round(hairs/step) * step
}

// FormatRuler is a length on a ruler, with its unit: "2 5/16 in", "57 mm". A length that is not
// nothing but would round to it is "under 1/16 in".
func FormatRuler(hairs float64, u Unit, r Rounding) string {
	return formatMark(hairs, Mark(u), u, r)
}

// FormatFine is the same on the fine marks: "9/32 in", "57.5 mm".
func FormatFine(hairs float64, u Unit, r Rounding) string {
	return formatMark(hairs, FineMark(u), u, r)
}

func formatMark(hairs, mark float64, u Unit, r Rounding) string {
	x := Round(hairs, mark, r)
	if x == 0 && math.Abs(hairs) > 1e-6 {
		return "under " + FormatExact(mark, u)
	}
	return FormatExact(x, u)
}

// Format is a length as a quilter reads it, with its unit: as it is where a ruler has it, down to the fine
// marks, else at the nearest mark: "2 1/4 in", "2 13/16 in". What is smaller than a fine mark is to the digit: "0.020 in".
// Metric lengths are as they are.
func Format(hairs float64, u Unit) string {
	if units[u].metric || math.Abs(hairs) < FineMark(u) || math.Abs(Round(hairs, FineMark(u), Nearest)-hairs) < 1e-6 {
		return FormatExact(hairs, u)
	}
	return FormatExact(Round(hairs, Mark(u), Nearest), u)
}

// FormatApart are two lengths that differ, so that the reader sees it: to the digit where a ruler does not tell
// them apart.
func FormatApart(a, b float64, u Unit) (string, string) {
	x, y := Format(a, u), Format(b, u)
	if x == y {
		return FormatExact(a, u), FormatExact(b, u)
	}
	return x, y
}

// FormatLong is a length of fabric: in metric files centimeters, as it is sold, from ten on.
func FormatLong(hairs float64, u Unit) string {
	if u == Millimetres && hairs >= 10*Centimetre {
		return FormatExact(Round(hairs, Millimetre, Nearest), Centimetres)
	}
	return Format(hairs, u)
}

// FormatSize is a size, its unit said once: "3 1/2 × 4 in".
func FormatSize(w, h float64, u Unit) string { return size(Format(w, u), Format(h, u), u) }

// FormatCut is a size as it is cut, never less than that.
func FormatCut(along, across float64, u Unit) string {
	return size(FormatRuler(along, u, Up), FormatRuler(across, u, Up), u)
}

func size(w, h string, u Unit) string { return strings.TrimSuffix(w, " "+u.String()) + " × " + h }

// FormatMargin is what is to spare, never more than there is: "9/32 in", "under 1/32 in",
// "nothing"; below nothing, how much is missing, never less than that: "1/16 in short", and what is
// under a mark to the digit: "0.010 in short".
func FormatMargin(hairs float64, u Unit) string {
	switch {
	case hairs < -1e-6 && hairs > -FineMark(u):
		return FormatExact(-hairs, u) + " short"
	case hairs < -1e-6:
		return FormatFine(-hairs, u, Up) + " short"
	case hairs <= 1e-6:
		return "nothing"
	}
	return FormatFine(hairs, u, Down)
}
