package syntax

import (
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	"sewable/lang/geom"
)

// The limits of a number.
const (
	// MaxDigits is the most digits that may follow each other in a number.
	MaxDigits = 12
	// MaxInches is the greatest number, in inches.
	MaxInches = 10_000
)

// vulgar are the fractions that are one character (Unicode, Number Forms and
// Latin-1 Supplement).
var vulgar = map[rune][2]int64{
	'¼': {1, 4}, '½': {1, 2}, '¾': {3, 4},
	'⅐': {1, 7}, '⅑': {1, 9}, '⅒': {1, 10}, '⅓': {1, 3}, '⅔': {2, 3},
	'⅕': {1, 5}, '⅖': {2, 5}, '⅗': {3, 5}, '⅘': {4, 5}, '⅙': {1, 6}, '⅚': {5, 6},
	'⅛': {1, 8}, '⅜': {3, 8}, '⅝': {5, 8}, '⅞': {7, 8}, '↉': {0, 3},
}

// VulgarFractions are the fractions that are one character, in one string.
func VulgarFractions() string { return string(slices.Sorted(maps.Keys(vulgar))) }

func isVulgar(r rune) bool { _, ok := vulgar[r]; return ok }

// vulgarEnd is the end of the one-character fraction at i, or i.
func vulgarEnd(text string, i int) int {
	if i < len(text) && classes[text[i]] == multi {
		if r, size := utf8.DecodeRuneInString(text[i:]); isVulgar(r) {
			return i + size
		}
	}
	return i
}

// digitsEnd is the end of the ASCII digits that begin at i.
func digitsEnd(text string, i int) int {
	for i < len(text) && classes[text[i]] == digit {
		i++
	}
	return i
}

// fractionEnd is the end of the fraction, 1/4 or ½, at i, or i. The parts
// of 1/4 are bare whole numbers without a space: 1/2.5 is none.
func fractionEnd(text string, i int) int {
	if end := vulgarEnd(text, i); end > i {
		return end
	}
	slash := digitsEnd(text, i)
	if slash == i || slash == len(text) || text[slash] != '/' {
		return i
	}
	end := digitsEnd(text, slash+1)
	if end == slash+1 || decimalsEnd(text, end) > end || vulgarEnd(text, end) > end {
		return i
	}
	return end
}

// decimalsEnd is the end of the point and digits at i, or i.
func decimalsEnd(text string, i int) int {
	if i < len(text) && text[i] == '.' {
		if end := digitsEnd(text, i+1); end > i+1 {
			return end
		}
	}
	return i
}

// number reads a number at i. What runs into letters other than a unit, or
// into a second point, is bad as a whole: 3sky, 1.2.3.
func number(text string, i int) (kind Kind, start, end int) {
	end = numberEnd(text, i)
	if end == len(text) {
		return KindNumber, i, end
	}
	switch c := classes[text[end]]; {
	case c == letter || c == multi || text[end] == '_':
		switch run := wordEnd(text, end); text[end:run] {
		case "", "in", "mm", "cm":
		default:
			return KindBad, i, run
		}
	case c == digit || decimalsEnd(text, end) > end:
		for end < len(text) && (text[end] == '.' || classes[text[end]] == digit) {
			end++
		}
		return KindBad, i, end
	}
	return KindNumber, i, end
}

// numberEnd is the end of the longest number at i.
func numberEnd(text string, i int) int {
	if end := fractionEnd(text, i); end > i {
		return end
	}
	whole := digitsEnd(text, i)
	if end := decimalsEnd(text, whole); end > whole {
		return end
	}
	if whole == len(text) {
		return whole
	}
	// A fraction may follow a whole number: 2½, 2-1/2, 2 1/2, 2 ½.
	switch c := text[whole]; {
	case c == '-':
		if end := fractionEnd(text, whole+1); end > whole+1 {
			return end
		}
	case c == ' ' || c == '\t':
		gap := whole + 1
		for gap < len(text) && (text[gap] == ' ' || text[gap] == '\t') {
			gap++
		}
		if end := fractionEnd(text, gap); end > gap {
			return end
		}
	case classes[c] == multi:
		return vulgarEnd(text, whole)
	}
	return whole
}

// numberValue reads the text of a number token. A problem is a sentence for
// the reader; its kind is Limit or Malformed.
func numberValue(text string) (value geom.Num, problem string, kind ErrorKind) {
	n := digitsEnd(text, 0)
	if n > MaxDigits {
		return tooManyDigits()
	}
	whole := digits(text[:n])
	if n == len(text) {
		return geom.Int(whole), "", 0
	}
	if text[n] == '.' {
		decimals := text[n+1:]
		if len(decimals) > MaxDigits {
			return tooManyDigits()
		}
		scale := int64(1)
		for range len(decimals) {
			scale *= 10
		}
		if whole > 1_000_000 { // keeps the numerator within 63 bits; past every limit anyway
			return geom.Int(whole), "", 0
		}
		return geom.Frac(whole*scale+digits(decimals), scale), "", 0
	}
	fraction := text
	if text[n] != '/' {
		fraction = strings.TrimLeft(text[n:], " \t-")
	} else {
		whole = 0
	}
	var top, bottom int64
	if slash := strings.IndexByte(fraction, '/'); slash >= 0 {
		if slash > MaxDigits || len(fraction)-slash-1 > MaxDigits {
			return tooManyDigits()
		}
		top, bottom = digits(fraction[:slash]), digits(fraction[slash+1:])
	} else {
		r, _ := utf8.DecodeRuneInString(fraction)
		top, bottom = vulgar[r][0], vulgar[r][1]
	}
	if bottom == 0 {
		return geom.Num{}, quote(text) + " divides by 0", Malformed
	}
	if whole > 1_000_000 {
		return geom.Int(whole), "", 0
	}
	return geom.Frac(whole*bottom+top, bottom), "", 0
}

func tooManyDigits() (geom.Num, string, ErrorKind) {
	return geom.Num{}, "a number has at most 12 digits in a row", Limit
}

func digits(text string) (n int64) {
	for i := range len(text) {
		n = 10*n + int64(text[i]-'0')
	}
	return n
}
