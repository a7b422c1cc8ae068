// Package english puts counts and lists the way people say them.
package english

import (
	"slices"
	"strconv"
	"strings"
)

// Count is a number of things: "1 patch", "3 patches".
func Count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// Thousands is a number with commas: "20,000".
func Thousands(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	return s
}

// List is all of some words: "C1, C2 and C3".
func List(words []string) string { return join(words, " and ") }

// Choice is one of some words: "letter or a4".
func Choice(words []string) string { return join(words, " or ") }

func join(words []string, last string) string {
	n := len(words) - 1
	if n < 1 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:n], ", ") + last + words[n]
}

// Runs are numbers in few words: 1–4, 7, 9.
func Runs(n []int) string {
	n = slices.Compact(slices.Sorted(slices.Values(n)))
	var out []string
	for i := 0; i < len(n); {
		k := i
		for k+1 < len(n) && n[k+1] == n[k]+1 {
			k++
		}
		switch {
		case k > i+1:
			out = append(out, strconv.Itoa(n[i])+"–"+strconv.Itoa(n[k]))
		case k == i+1:
			out = append(out, strconv.Itoa(n[i]), strconv.Itoa(n[k]))
		default:
			out = append(out, strconv.Itoa(n[i]))
		}
		i = k + 1
	}
	return strings.Join(out, ", ")
}
