package fonts

import (
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// Arabic letters change shape beside each other. The shapes have characters of
// their own (The Unicode Standard, Arabic Presentation Forms-A and -B), which a
// face has as it has letters; which one stands where is chapter 9.2 of the
// standard: a letter joins to the one before it when that one joins forward.

// forms are the shapes of a letter: isolated, final, initial, medial. A letter
// without the last two joins to the one before it alone. 0 is none.
type forms [4]rune

// joining are the letters with shapes, and the shapes of lam with an alef behind it.
var joining = sync.OnceValues(func() (map[rune]forms, map[rune]forms) {
	letters, withLam := map[rune]forms{}, map[rune]forms{}
	const lam = 'ل'
	for _, block := range [...][2]rune{{0xfb50, 0xfbb1}, {0xfbd3, 0xfbe7}, {0xfbfc, 0xfbff}, {0xfe80, 0xfefc}} {
		for shape := block[0]; shape <= block[1]; shape++ { // the shapes of a letter follow each other
			of := []rune(norm.NFKC.String(string(shape)))
			to := letters
			if len(of) == 2 && of[0] == lam {
				of, to = of[1:], withLam
			}
			if len(of) != 1 || of[0] == shape {
				continue
			}
			is := to[of[0]]
			for i := range is {
				if is[i] == 0 {
					is[i] = shape
					break
				}
			}
			to[of[0]] = is
		}
	}
	return letters, withLam
})

// joined is a text with its Arabic letters in the shapes they have beside each
// other, still in the order in which it is read.
func joined(text string) string {
	if !strings.ContainsFunc(text, func(r rune) bool { return r >= 0x600 && r < 0x780 }) {
		return text
	}
	letters, withLam := joining()
	runes := []rune(norm.NFC.String(text))
	const tatweel, joiner, nonJoiner = 'ـ', '\u200d', '\u200c'
	forward := func(r rune) bool { return letters[r][2] != 0 || r == tatweel || r == joiner }
	backward := func(r rune) bool { return letters[r][1] != 0 || r == tatweel || r == joiner }
	// next is the letter behind a place; marks above and below do not part letters.
	next := func(i int) int {
		for i++; i < len(runes) && unicode.Is(unicode.Mn, runes[i]); i++ {
		}
		return i
	}
	var out strings.Builder
	joins := false // the letter before joins forward
	for i := 0; i < len(runes); i++ {
		r := runes[i]
		is, n := letters[r], next(i)
		switch {
		case unicode.Is(unicode.Mn, r):
			out.WriteRune(r)
			continue
		case r == joiner || r == nonJoiner:
			joins = r == joiner
			continue
		case r == 'ل' && n == i+1 && n < len(runes) && withLam[runes[n]][0] != 0:
			pair := withLam[runes[n]]
			out.WriteRune(shape(pair, joins, false, r))
			i, joins = n, false
			continue
		}
		on := forward(r) && n < len(runes) && backward(runes[n])
		out.WriteRune(shape(is, joins && backward(r), on, r))
		joins = on
	}
	return out.String()
}

// shape is the shape of a letter that joins to the one before it, to the one
// behind it, or both; the letter itself where no face has the shape.
func shape(is forms, before, behind bool, letter rune) rune {
	i := 0
	if behind {
		i += 2
	}
	if before {
		i++
	}
	if r := is[i]; r != 0 && Wide.Has(r) {
		return r
	}
	return letter
}

// Missing are the letters of a text that no face has, each once: a box is drawn
// in the place of each.
func Missing(text string) string {
	var out strings.Builder
	for _, run := range Runs(text, false) {
		for _, r := range run.Text {
			if !run.Face.Has(r) && unicode.IsPrint(r) && !strings.ContainsRune(out.String(), r) && utf8.ValidRune(r) {
				out.WriteRune(r)
			}
		}
	}
	return out.String()
}
