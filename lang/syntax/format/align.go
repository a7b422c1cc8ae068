package format

import (
	"strings"
	"unicode/utf8"

	"github.com/rivo/uniseg"

	"sewable/lang/syntax"
)

// align writes the text of every line: it lines up bands of the same kind on
// lines that follow each other, then the comments at the ends of lines.
func align(lines []line) {
	for i := range lines {
		lines[i].text = ""
	}
	for start := 0; start < len(lines); start++ {
		if n := runOf(lines[start:], 0); n > 0 {
			alignBands(lines[start:start+n], 0)
			start += n - 1
		}
	}
	for start := 0; start < len(lines); start++ {
		widest, n := 0, 0
		for n < len(lines)-start && lines[start+n].comment != "" {
			l := &lines[start+n]
			if n > 0 && (l.nests() || lines[start].nests()) {
				break // a comment at a brace stands for itself
			}
			widest = max(widest, 2*l.indent+width(l.text))
			n++
		}
		for i := start; i < start+n; i++ {
			l := &lines[i]
			if l.text != "" {
				l.text += spaces(widest-2*l.indent-width(l.text)) + "  "
			}
			l.text += l.comment
		}
		start += max(n, 1) - 1
	}
}

// nests reports whether a line opens or closes a body.
func (l *line) nests() bool { return l.item.Kind == syntax.Opens || l.item.Kind == syntax.Closes }

// runOf counts the lines, from the first on, whose band number at is lined up
// together: they are of one kind and no cell is much wider than another in
// its column. A line of its own gives 1, a line without such a band 0.
func runOf(lines []line, at int) int {
	if len(lines[0].columns) <= at {
		return 0
	}
	first := lines[0].columns[at]
	if first.kind == "" {
		return 1
	}
	least, most := make([]int, len(first.cells)), make([]int, len(first.cells))
	for n, l := range lines {
		if l.indent != lines[0].indent || len(l.columns) <= at || l.columns[at].kind != first.kind {
			return n
		}
		for c, cell := range l.padded(at) {
			w := width(cell)
			if w == 0 {
				continue
			}
			if most[c] == 0 {
				least[c], most[c] = w, w
			}
			if max(most[c], w)-min(least[c], w) > first.most {
				return n
			}
			least[c], most[c] = min(least[c], w), max(most[c], w)
		}
	}
	return len(lines)
}

// padded are the cells of a band that something stands behind on its line.
func (l *line) padded(at int) []string {
	cells := l.columns[at].cells
	if at+1 < len(l.columns) {
		return cells
	}
	last := len(cells) - 1
	for last > 0 && cells[last] == "" {
		last--
	}
	return cells[:last]
}

// alignBands writes the bands from number at on for a run of lines that agree in the
// bands before it and in the kind of this one.
func alignBands(lines []line, at int) {
	widths := make([]int, len(lines[0].columns[at].cells))
	for _, l := range lines {
		for c, cell := range l.padded(at) {
			widths[c] = max(widths[c], width(cell))
		}
	}
	for i := range lines {
		l := &lines[i]
		b := l.columns[at]
		text := l.text
		for c, cell := range b.cells {
			if widths[c] == 0 && cell == "" {
				continue
			}
			if text != "" && c > 0 || at > 0 && text != "" {
				text += " "
			}
			pad := spaces(widths[c] - width(cell))
			if c == b.right {
				text += pad + cell
			} else {
				text += cell + pad
			}
		}
		if at+1 == len(l.columns) {
			text = strings.TrimRight(text, " ")
		}
		l.text = text
	}
	for start := 0; start < len(lines); {
		n := runOf(lines[start:], at+1)
		if n > 0 {
			alignBands(lines[start:start+n], at+1)
		}
		start += max(n, 1)
	}
}

func spaces(n int) string { return strings.Repeat(" ", max(0, n)) }

// width is how many columns a text takes; characters of East Asian scripts take two.
func width(text string) int {
	for i := range len(text) {
		if text[i] >= utf8.RuneSelf {
			return uniseg.StringWidth(text)
		}
	}
	return len(text)
}
