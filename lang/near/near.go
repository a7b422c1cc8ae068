// Package near finds the name that somebody probably meant.
package near

import (
	"slices"
	"strings"

	"github.com/hbollon/go-edlib"
)

// Nearest is the known name that lies nearest to the one typed, or "" when
// none is near: more than a third of its characters, and one at the least,
// would have to change, or all of them. Two neighbours exchanged are one change;
// upper and lower case count as the same. Of equally near names it takes the first
// in alphabetical order.
func Nearest(typed string, known []string) string {
	best, least := "", 1+max(1, len([]rune(typed))/3)
	lower := strings.ToLower(typed)
	known = slices.Clone(known)
	slices.Sort(known)
	for _, name := range known {
		if name == typed {
			continue
		}
		if d := edlib.OSADamerauLevenshteinDistance(lower, strings.ToLower(name)); d < least && d < len([]rune(name)) {
			best, least = name, d
		}
	}
	return best
}
