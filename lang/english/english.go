// Package english puts counts and lists the way people say them.
package english

import (
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
