// Package near finds the name that somebody probably meant.
package near

import (
	"strings"
	"unicode/utf8"

	"github.com/hbollon/go-edlib"
)

// Nearest is the known name that lies nearest to the one typed, or "" when
// none is near: more than a third of its characters, and one at the least,
// would have to change, or all of them. Two neighbours exchanged are one change;
// upper and lower case count as the same. Of equally near names it takes the first
// in alphabetical order.
func Nearest(typed string, known []string) string {
	best, least := "", max(1, utf8.RuneCountInString(typed)/3)
	lower := strings.ToLower(typed)
	for _, name := range known {
		if name == typed {
			continue
		}
		other := strings.ToLower(name)
		if apart(lower, other) > least {
			continue
		}
		d := edlib.OSADamerauLevenshteinDistance(lower, other)
		if d < utf8.RuneCountInString(name) && (d < least || d == least && (best == "" || name < best)) {
			best, least = name, d
		}
	}
	return best
}

// apart is a number of changes that two names lie apart at the least: as many as
// one has letters that the other lacks. It is counted in no time, and most names that are not
// near are told by it.
func apart(a, b string) int {
	var more [32]int // by the last bits of a letter: letters that share them only make less
	for _, r := range a {
		more[r%32]++
	}
	for _, r := range b {
		more[r%32]--
	}
	onlyA, onlyB := 0, 0
	for _, n := range more {
		onlyA += max(n, 0)
		onlyB += max(-n, 0)
	}
	return max(onlyA, onlyB)
}
