package query

import (
	"unicode"
)

// Match says how well a name fits what somebody types to find it: 0 when the
// characters are not all there in their order, else more for characters that
// begin words, follow each other or have the case typed, and less for a long name.
func Match(typed, name string) float64 {
	if typed == "" {
		return 0.001
	}
	want, have := []rune(typed), []rune(name)
	if len(want) > len(have) {
		return 0
	}
	// best[j] is the best score of the characters so far with the last one at j.
	best := make([]float64, len(have))
	last := make([]float64, len(have))
	for i, w := range want {
		best, last = last, best
		top := 0.0 // the best of the character before, anywhere to the left
		for j, h := range have {
			best[j] = 0
			if unicode.ToLower(w) == unicode.ToLower(h) && (i == 0 || top > 0) {
				score := 1.0
				if w == h {
					score += 0.1
				}
				if j == 0 || !isLetter(have[j-1]) || unicode.IsUpper(h) && !unicode.IsUpper(have[j-1]) {
					score += 1
				}
				base := top
				if i > 0 && j > 0 && last[j-1] > 0 {
					base = max(base, last[j-1]+0.8)
				}
				best[j] = base + score
			}
			if i > 0 {
				top = max(top, last[j])
			}
		}
	}
	most := 0.0
	for _, b := range best {
		most = max(most, b)
	}
	if most == 0 {
		return 0
	}
	return most/float64(len(want)) - 0.001*float64(len(have))
}

func isLetter(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }
