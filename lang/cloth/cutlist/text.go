package cutlist

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"sewable/lang/cloth"
)

// Text writes a list for the cutting table: for each fabric what to buy, the cuts
// in the order in which they are made, and what every piece is for.
func Text(out io.Writer, l *cloth.List) error {
	b := bufio.NewWriter(out)
	w := words{l.Unit}
	fmt.Fprintf(b, "Cut list: %s\n", title(l))
	for _, n := range notes(l, w) {
		fmt.Fprintln(b, n)
	}
	for i := range l.Fabrics {
		f := &l.Fabrics[i]
		fmt.Fprintf(b, "\n%s, %s wide\n", called(f), w.length(f.Width))
		for _, line := range wrap(fmt.Sprintf("Buy %s. %s", w.buy(f.Buy), spent(f, w)), 98) {
			fmt.Fprintf(b, "  %s\n", line)
		}
		for _, line := range steps(f, w) {
			fmt.Fprintf(b, "  %s\n", line)
		}
		if len(f.Pieces) > 0 {
			fmt.Fprintln(b, "  Pieces")
		}
		for j := range f.Pieces {
			for _, line := range wrap(pieceLine(f, j, w), 96) {
				fmt.Fprintf(b, "    %s\n", line)
			}
		}
	}
	fmt.Fprintf(b, "\n%s\n%s\n", totals(l, w), Caution)
	return b.Flush()
}

// spent says how much cloth is used and where it goes.
func spent(f *cloth.FabricList, w words) string {
	s := fmt.Sprintf("%s of its length is used, and %s more squares up the end.", w.length(f.Used), w.length(f.Squaring))
	pieces, ends, offcuts := f.Shares()
	if pieces > 0.995 {
		return s
	}
	s += fmt.Sprintf(" The pieces alone would fill %s (%s)", w.rough(f.Bound), percent(pieces))
	if ends >= 0.005 {
		s += fmt.Sprintf("; %s is left as ends of strips", percent(ends))
	}
	if offcuts >= 0.005 {
		s += fmt.Sprintf("; %s is offcuts", percent(offcuts))
	}
	return s + "."
}

// steps are the cuts of one fabric, in order.
func steps(f *cloth.FabricList, w words) (out []string) {
	n := 0
	step := func(format string, args ...any) {
		n++
		out = append(out, fmt.Sprintf("%d. ", n)+fmt.Sprintf(format, args...))
	}
	for _, x := range f.Whole {
		one, many := "strip", "strips"
		if x.What == "backing" {
			one, many = "length", "lengths"
		}
		step("Cut %s of %s for the %s of %s, the whole width of the cloth", count(x.Count, one, many), w.length(x.Height), x.What, x.Of)
	}
	for _, s := range f.Plan.Strips {
		if s.Height > f.Width && s.Height > cloth.DefaultRuler {
			step("Cut %s of %s and, along its length:", count(s.Count, "length", "lengths"), w.length(s.Height))
		} else {
			step("Cut %s %s wide%s:", count(s.Count, "strip", "strips"), w.length(s.Height), each(s.Count))
		}
		for _, g := range s.Segments {
			out = append(out, segmentLines(f, g, w)...)
		}
	}
	return out
}

func each(n int) string {
	if n == 1 {
		return ", from it"
	}
	return ", from each"
}

// segmentLines say what is cut from part of a strip. One size standing alone needs no
// more than its count.
func segmentLines(f *cloth.FabricList, g cloth.Segment, w words) []string {
	if len(g.Rows) == 1 && g.Rows[0].Count == 1 && len(g.Rows[0].Runs) == 1 {
		u := g.Rows[0].Runs[0]
		return []string{fmt.Sprintf("   %d × %s, %s", g.Count*u.Count, letter(u.Wanted), w.size(&f.Pieces[u.Wanted]))}
	}
	var rows []string
	for _, r := range g.Rows {
		var runs []string
		for _, u := range r.Runs {
			runs = append(runs, fmt.Sprintf("%d × %s, %s", u.Count, letter(u.Wanted), w.size(&f.Pieces[u.Wanted])))
		}
		s := strings.Join(runs, " and ")
		if r.Count > 1 {
			s = fmt.Sprintf("%d rows of %s", r.Count, s)
		}
		rows = append(rows, s)
	}
	return []string{fmt.Sprintf("   %s %s long: %s", count(g.Count, "part", "parts"), w.length(g.Length), strings.Join(rows, "; "))}
}

// pieceLine says what one size is for.
func pieceLine(f *cloth.FabricList, i int, w words) string {
	p := &f.Pieces[i]
	s := fmt.Sprintf("%s  %d of %s", letter(i), p.Cuts, w.size(p))
	if c := cutting(p); c != "" {
		s += fmt.Sprintf(", %s: %s", c, count(p.Count, "piece", "pieces"))
	}
	return s + ": " + uses(p)
}

// totals is one line for the whole list.
func totals(l *cloth.List, w words) string {
	pieces, strips := 0, 0
	for i := range l.Fabrics {
		f := &l.Fabrics[i]
		strips += f.Plan.StripCount()
		for _, p := range f.Pieces {
			pieces += p.Count
		}
		for _, x := range f.Whole {
			strips += x.Count
		}
	}
	return fmt.Sprintf("In all %s from %s of %s.", count(pieces, "piece", "pieces"), count(strips, "strip", "strips"), count(len(l.Fabrics), "fabric", "fabrics"))
}

// wrap breaks a line at spaces, its continuation set in.
func wrap(s string, width int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Split(s, " ") {
		if n := len([]rune(line)) + 1 + len([]rune(word)); line != "" && n > width {
			lines = append(lines, line)
			line = "     " + word
			continue
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}
