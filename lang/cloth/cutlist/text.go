package cutlist

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"regexp"
	"strings"
	"unicode/utf8"

	"sewable/lang/cloth"
	"sewable/lang/english"
)

// Text writes a list for the cutting table: for each fabric what to buy, the cuts
// in the order in which they are made, and what every piece is for.
func Text(out io.Writer, l *cloth.List) error {
	b := bufio.NewWriter(out)
	w := words{l.Unit}
	fmt.Fprintf(b, "Cut list: %s\n", title(l))
	for _, fault := range l.Faults {
		fmt.Fprintf(b, "CANNOT BE SEWN. %s\n", fault)
	}
	for _, n := range notes(l, w) {
		fmt.Fprintln(b, n)
	}
	fmt.Fprint(b, "\nTo buy\n")
	for _, line := range shopping(l, w) {
		fmt.Fprintf(b, "  %s\n", line)
	}
	for i := range l.Fabrics {
		f := &l.Fabrics[i]
		fmt.Fprintf(b, "\n%s, %s wide\n", called(f), w.length(f.Width))
		for _, line := range wrap(fmt.Sprintf("Buy %s %s", w.buy(f.Buy), spent(f, w)), 98) {
			fmt.Fprintf(b, "  %s\n", line)
		}
		for _, line := range steps(f, l.Kits, w) {
			sub := "  "
			if rest, ok := strings.CutPrefix(line, "   "); ok {
				line, sub = rest, "     "
			}
			for _, line := range wrap(line, 98) {
				fmt.Fprintf(b, "%s%s\n", sub, line)
			}
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
	fmt.Fprintln(b)
	for _, line := range wrap(totals(l, w), 100) {
		fmt.Fprintln(b, line)
	}
	fmt.Fprintln(b, Caution)
	return b.Flush()
}

// shopping is a line for each fabric: its name, its width, the length to buy.
func shopping(l *cloth.List, w words) (out []string) {
	wide := 0
	for i := range l.Fabrics {
		wide = max(wide, utf8.RuneCountInString(called(&l.Fabrics[i])))
	}
	for i := range l.Fabrics {
		f := &l.Fabrics[i]
		name := called(f)
		out = append(out, fmt.Sprintf("%s%s  %8s, %s wide", name, strings.Repeat(" ", wide-utf8.RuneCountInString(name)), w.buy(f.Buy), w.length(f.Width)))
	}
	return out
}

// spent says how much of what is bought is used, whether less would do, and where it goes.
func spent(f *cloth.FabricList, w words) string {
	s := fmt.Sprintf("(uses %s of length, plus %s for squaring up).", w.length(f.Used), w.length(f.Squaring))
	switch {
	case f.Used <= f.Least+1e-6:
		s += " No layout uses less."
	case f.Least > f.Bound*1.01:
		s += fmt.Sprintf(" No layout uses less than %s.", w.least(f.Least))
	}
	pieces, ends, offcuts := f.Shares()
	if pieces == 100 {
		return s
	}
	s += fmt.Sprintf(" Pieces use %s of it", percent(pieces))
	if ends > 0 {
		s += fmt.Sprintf("; strip ends %s", percent(ends))
	}
	if offcuts > 0 {
		s += fmt.Sprintf("; offcuts %s", percent(offcuts))
	}
	return s + "."
}

// steps are the cuts of one fabric, in order.
func steps(f *cloth.FabricList, kits int, w words) (out []string) {
	n := 0
	step := func(format string, args ...any) {
		n++
		out = append(out, fmt.Sprintf("%d. ", n)+fmt.Sprintf(format, args...))
	}
	for _, x := range f.Whole {
		one, many, then := "strip", "strips", ""
		if x.What == "backing" {
			one, many = "length", "lengths"
			if n := x.Count / kits; n > 1 {
				then = ", and sew them together side by side"
				if kits > 1 {
					then = fmt.Sprintf(", and sew %d together side by side for each kit", n)
				}
			}
		}
		step("Cut %s of %s for the %s of %s, the whole width of the fabric%s", english.Count(x.Count, one, many), w.length(x.Height), x.What, x.Of, then)
	}
	for _, s := range f.Plan.Strips {
		if s.Height > f.Width && s.Height > cloth.DefaultRuler {
			step("Cut %s of %s and, along its length:", english.Count(s.Count, "length", "lengths"), w.length(s.Height))
		} else {
			step("Cut %s %s wide%s:", english.Count(s.Count, "strip", "strips"), w.length(s.Height), each(s.Count))
		}
		for _, g := range s.Segments {
			out = append(out, segmentLine(f, g, s.Height, w))
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

// segmentLine says what is cut from part of a strip that is so high: where the cuts lie,
// which side of a piece lies along the strip, and what is trimmed. One size standing
// alone needs no part.
func segmentLine(f *cloth.FabricList, g cloth.Segment, high float64, w words) string {
	if len(g.Rows) == 1 && g.Rows[0].Count == 1 && len(g.Rows[0].Runs) == 1 {
		u := g.Rows[0].Runs[0]
		along, up := lies(&f.Pieces[u.Wanted], u)
		s := "   " + pieces(f, g.Count*u.Count, u, w)
		if math.Abs(along-up) < 1e-6 && !f.Pieces[u.Wanted].Keeps {
			return s // a square says it all
		}
		s += ": subcut at " + w.length(along)
		if up < high-1e-6 {
			s += fmt.Sprintf(" and trim to %s", w.length(up))
		}
		return s
	}
	var rows []string
	for _, r := range g.Rows {
		var runs []string
		for _, u := range r.Runs {
			s := pieces(f, u.Count, u, w)
			if along, _ := lies(&f.Pieces[u.Wanted], u); u.Count > 1 {
				s += fmt.Sprintf(", a cut every %s", w.length(along))
			}
			runs = append(runs, s)
		}
		rows = append(rows, fmt.Sprintf("%s %s high of %s", english.Count(r.Count, "row", "rows"), w.length(r.Height), strings.Join(runs, " and ")))
	}
	return fmt.Sprintf("   %s: subcut at %s, then %s", english.Count(g.Count, "part", "parts"), w.length(g.Length), strings.Join(rows, "; "))
}

// pieces is so many of one size: "3 × b, 4 by 2 1/2 in".
func pieces(f *cloth.FabricList, n int, u cloth.Run, w words) string {
	return fmt.Sprintf("%d × %s, %s", n, letter(u.Wanted), w.size(&f.Pieces[u.Wanted]))
}

// lies is how far a piece reaches along its strip and up it.
func lies(p *cloth.Piece, u cloth.Run) (along, up float64) {
	if u.Turned {
		return p.Across, p.Along
	}
	return p.Along, p.Across
}

// pieceLine says what one size is for.
func pieceLine(f *cloth.FabricList, i int, w words) string {
	p := &f.Pieces[i]
	s := fmt.Sprintf("%s  %d of %s", letter(i), p.Cuts, w.size(p))
	if c := w.cutting(p); c != "" {
		s += fmt.Sprintf(", %s: %s", c, english.Count(p.Count, "piece", "pieces"))
	}
	return s + ": " + w.uses(p)
}

// totals are the whole list in two sentences. What is bought is the sum of what is bought of each
// fabric; that less would not do is said where it is shown of every one.
func totals(l *cloth.List, w words) string {
	strips := 0
	var buy, least float64
	for i := range l.Fabrics {
		f := &l.Fabrics[i]
		strips += f.Plan.StripCount()
		for _, x := range f.Whole {
			strips += x.Count
		}
		buy, least = buy+f.Buy, least+cloth.Purchase(f.Least, f.Squaring, l.Unit)
	}
	s := fmt.Sprintf("In all %s from %s of %s: buy %s.", english.Count(l.Count(), "piece", "pieces"), english.Count(strips, "strip", "strips"),
		english.Count(len(l.Fabrics), "fabric", "fabrics"), w.buy(buy))
	if least > buy-1 {
		s += " No layout uses less."
	}
	return s
}

// inMeasure is a space inside "2 1/4 in", where no line ends.
var inMeasure = regexp.MustCompile(`(\d) (\d+/\d+|in|ft|yd|mm|cm|m|sq)\b`)

// place is a place in the block, which no line ends in either.
var place = regexp.MustCompile(`\([-\d./ ]+, [-\d./ ]+\)`)

// wrap breaks a line at spaces, but not inside a measure or a place, its continuation set in.
func wrap(s string, width int) []string {
	const glue = "\u00a0"
	s = place.ReplaceAllStringFunc(s, func(m string) string { return strings.ReplaceAll(m, " ", glue) })
	for range 2 { // 2 1/4 in has two spaces
		s = inMeasure.ReplaceAllString(s, "$1"+glue+"$2")
	}
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
	lines = append(lines, line)
	for i := range lines {
		lines[i] = strings.ReplaceAll(lines[i], glue, " ")
	}
	return lines
}
