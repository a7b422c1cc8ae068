package output

import (
	"strings"
	"unicode/utf8"

	"github.com/rivo/uniseg"

	"sewable/lang/visible"
	"sewable/lint"
)

const (
	tabStop  = 4
	ellipsis = "…"
)

// cell is one character as a reader sees it, combining marks included.
type cell struct {
	text  string
	width int // columns of the terminal
	runes int // characters as positions count them
}

// excerpt is the line of a finding, and carets for the row below it, both at
// most width columns wide. Both are empty when there is no line to show.
func excerpt(f lint.Finding, width int) (line, carets string) {
	if strings.TrimSpace(f.Line) == "" {
		return "", ""
	}
	f.Start.Column, f.End.Column = f.Start.Column-f.Left, f.End.Column-f.Left
	if line, carets, ok := ascii(f, width); ok {
		return line, carets
	}
	return celled(f, width)
}

// ascii is excerpt for what most lines are: printable ASCII that has room, one column a byte.
func ascii(f lint.Finding, width int) (line, carets string, ok bool) {
	n := len(f.Line)
	for i := range n {
		if c := f.Line[i]; c < ' ' || c > '~' {
			return "", "", false
		}
	}
	if len(commandsIn(f.Line)) > 0 {
		return "", "", false
	}
	at := func(column int) int { return max(0, min(column-1, n)) }
	from, to := at(f.Start.Column), n
	if f.End.Line == f.Start.Line {
		to = at(f.End.Column)
	}
	to = max(to, from+1)
	lead := min(from, n-len(strings.TrimLeft(f.Line, " ")))
	if n-lead > width {
		return "", "", false
	}
	return strings.TrimRight(f.Line[lead:], " "), strings.Repeat(" ", from-lead) + strings.Repeat("^", to-from), true
}

// celled is excerpt for any line.
func celled(f lint.Finding, width int) (line, carets string) {
	all := cells(f.Line)
	from, to := span(f, all)
	lead := 0 // indentation is not shown: the excerpt has its own
	for lead < from && strings.TrimSpace(all[lead].text) == "" {
		lead++
	}
	all, from, to = all[lead:], from-lead, to-lead
	left, right := window(all, from, to, width)

	var l, c strings.Builder
	if left > 0 {
		l.WriteString(ellipsis)
		c.WriteString(" ")
	}
	for i := left; i < right; i++ {
		l.WriteString(all[i].text)
		mark := " "
		if from <= i && i < to {
			mark = "^"
		}
		c.WriteString(strings.Repeat(mark, all[i].width))
	}
	if right < len(all) {
		l.WriteString(ellipsis)
	}
	if to > len(all) { // just behind the last character
		c.WriteString("^")
	}
	return strings.TrimRight(l.String(), " "), strings.TrimRight(c.String(), " ")
}

// cells splits a line into what stands in one place each. Tabs become spaces
// up to the next stop; what would act on a reader is shown; what the log of a CI system would take for a command gets a space in it.
func cells(line string) []cell {
	out := make([]cell, 0, len(line))
	column, state := 0, -1
	commands, whole := commandsIn(line), len(line)
	if len(commands) == 0 && strings.IndexFunc(line, func(r rune) bool { return r < ' ' || r > '~' }) < 0 {
		for i := range len(line) {
			out = append(out, cell{line[i : i+1], 1, 1})
		}
		return out
	}
	for line != "" {
		var text string
		var width int
		text, line, width, state = uniseg.FirstGraphemeClusterInString(line, state)
		c := cell{text, width, utf8.RuneCountInString(text)}
		switch {
		case text == "\t":
			c.width = tabStop - column%tabStop
			c.text = strings.Repeat(" ", c.width)
		case visible.Text(text) != text:
			c.text = visible.Text(text)
			c.width = uniseg.StringWidth(c.text)
		case width == 0: // a combining mark with nothing to stand on
			c.text, c.width = "◌"+text, 1
		}
		if len(commands) > 0 && commands[0] <= whole-len(line) {
			c.text, c.width, commands = c.text+" ", c.width+1, commands[1:]
		}
		column += c.width
		out = append(out, c)
	}
	return out
}

// span turns the columns of a finding into cells [from, to), one at least.
// An end past the last cell stands for the place behind the line.
func span(f lint.Finding, all []cell) (from, to int) {
	at := func(column int) int { // the cell that holds the character
		n := 1
		for i, c := range all {
			if n += c.runes; column < n {
				return i
			}
		}
		return len(all)
	}
	from, to = at(f.Start.Column), len(all)
	if f.End.Line == f.Start.Line {
		to = at(f.End.Column)
		if f.End.Column > 1 && f.End.Column > f.Start.Column {
			to = at(f.End.Column-1) + 1
		}
	}
	return from, max(to, from+1)
}

// window picks the cells [left, right) to show when the line is too long:
// from a little before the place, as far as there is room.
func window(all []cell, from, to, width int) (left, right int) {
	total := 0
	for _, c := range all {
		total += c.width
	}
	if total <= width {
		return 0, len(all)
	}
	room := max(width-2, len("<U+10FFFF>")) // for an ellipsis at both ends
	right = min(from, len(all))
	left = right
	lead := room / 3 // a third of the room stands before the place, which has to fit
	if right < len(all) {
		lead = min(lead, room-all[right].width)
	}
	for before := 0; left > 0; left-- {
		if before += all[left-1].width; before > lead {
			break
		}
	}
	used := 0
	for i := left; i < right; i++ {
		used += all[i].width
	}
	for right < len(all) && used+all[right].width <= room {
		used += all[right].width
		right++
	}
	for left > 0 && used+all[left-1].width <= room {
		left--
		used += all[left].width
	}
	return left, right
}
