package lsp

import (
	"strings"
)

// lineChange puts text in the place of the bytes from–to of the old text.
type lineChange struct {
	from, to int
	text     string
}

// lineChanges are the runs of lines that differ. Formatting mostly keeps the
// number of lines: then line stands against line; else what lies between the common
// beginning and end is one change.
func lineChanges(old, new string) []lineChange {
	a, b := strings.SplitAfter(old, "\n"), strings.SplitAfter(new, "\n")
	var out []lineChange
	if len(a) == len(b) {
		at := 0
		for i := range a {
			if a[i] != b[i] {
				if n := len(out); n > 0 && out[n-1].to == at {
					out[n-1].to += len(a[i])
					out[n-1].text += b[i]
				} else {
					out = append(out, lineChange{at, at + len(a[i]), b[i]})
				}
			}
			at += len(a[i])
		}
		return out
	}
	start := 0
	for start < len(a) && start < len(b) && a[start] == b[start] {
		start++
	}
	end := 0
	for end < len(a)-start && end < len(b)-start && a[len(a)-1-end] == b[len(b)-1-end] {
		end++
	}
	length := func(lines []string) (n int) {
		for _, l := range lines {
			n += len(l)
		}
		return n
	}
	from := length(a[:start])
	return append(out, lineChange{from, from + length(a[start:len(a)-end]), strings.Join(b[start:len(b)-end], "")})
}
