package visible

import "unicode"

// invisible reports whether a character leaves no ink, by the derivation of Default_Ignorable_Code_Point
// (UAX #44, DerivedCoreProperties), and annotations. The marks of direction have a rule of their own.
func invisible(r rune) bool {
	switch {
	case r < 0x300 && r != softHyphen, isMark(r), 0x13430 <= r && r <= 0x13440:
		return false
	}
	return unicode.In(r, unicode.Other_Default_Ignorable_Code_Point, unicode.Variation_Selector) ||
		unicode.Is(unicode.Cf, r) && !unicode.Is(unicode.Prepended_Concatenation_Mark, r)
}

const (
	softHyphen     = 0x00AD
	zeroWidthSpace = 0x200B
	nonJoiner      = 0x200C
	joiner         = 0x200D
	vowelSeparator = 0x180E // of Mongolian
)

// A place is where a text is read: the last character that was kept and leaves ink, marks on it aside, and
// the last of all.
type place struct{ base, last rune }

// then goes on by one character, and reports whether it is shown: it acts, or leaves no ink and is not needed here.
func (p *place) then(r rune, acts bool) (shown bool) {
	switch {
	case acts || invisible(r) && !p.needs(r):
		*p = place{}
		return true
	case !invisible(r) && !unicode.Is(unicode.M, r):
		p.base = r
	}
	p.last = r
	return false
}

// needs reports whether a character that leaves no ink changes how people see the one before. Letters whose
// form never depends on one need none.
func (p *place) needs(r rune) bool {
	switch selector := unicode.Is(unicode.Variation_Selector, r); {
	case p.base == 0, invisible(p.last) && (selector || !unicode.Is(unicode.Variation_Selector, p.last)):
		return false
	case r == vowelSeparator || unicode.Is(unicode.Mongolian, r):
		return unicode.Is(unicode.Mongolian, p.base)
	case selector && r >= 0xE0100:
		return unicode.Is(unicode.Han, p.base)
	case selector && p.base < unicode.MaxASCII: // keycaps
		return r >= 0xFE0E && (unicode.IsDigit(p.base) || p.base == '#' || p.base == '*')
	case r == joiner || selector:
		return p.base > unicode.MaxASCII && !unicode.IsSpace(p.base) && !unicode.In(p.base, unicode.Latin, unicode.Greek, unicode.Cyrillic)
	case r == nonJoiner:
		return unicode.IsLetter(p.base) && !unicode.In(p.base, unicode.Latin, unicode.Greek, unicode.Cyrillic)
	case r == zeroWidthSpace:
		return unicode.In(p.base, unicode.Thai, unicode.Lao, unicode.Khmer, unicode.Myanmar)
	}
	return false
}
