package cutlist

import (
	"bufio"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"sewable/lang/cloth"
	"sewable/lang/english"
)

// Text writes a list for the cutting table: for each fabric what to buy, the cuts
// in the order in which they are made, and what every piece is for; asked why, also where the fabric goes and whether less would do.
func Text(out io.Writer, l *cloth.List, why bool) error {
	b := bufio.NewWriter(out)
	w := words{l.Unit, l.Kits}
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
		fmt.Fprintf(b, "\n%s, %s wide\n", called(f), w.wide(f.Width))
		buy := "Buy " + w.buy(f.Buy)
		if why {
			buy += " " + spent(f, w)
		}
		for _, line := range wrap(buy, 98) {
			fmt.Fprintf(b, "  %s\n", line)
		}
		for _, line := range steps(f, severalQuilts(l), w) {
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
	for _, line := range wrap(totals(l, w, why), 100) {
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
		out = append(out, fmt.Sprintf("%s%s  %8s, %s wide", name, strings.Repeat(" ", wide-utf8.RuneCountInString(name)), w.buy(f.Buy), w.wide(f.Width)))
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

// steps are the cuts of one fabric, in order. What takes its whole width is said to be of a quilt where there are several.
func steps(f *cloth.FabricList, several bool, w words) (out []string) {
	n := 0
	step := func(format string, args ...any) {
		n++
		out = append(out, fmt.Sprintf("%d. ", n)+fmt.Sprintf(format, args...))
	}
	for _, x := range f.Whole {
		what := x.What
		if several {
			what += " of " + x.Of
		}
		if x.What != "backing" {
			step("Cut %s, %s wide (%s)", english.Count(x.Count, "WOF strip", "WOF strips"), w.length(x.Height), what)
			continue
		}
		then := ""
		if n := x.Count / max(w.kits, 1); n > 1 {
			then = ", and sew them together side by side"
			if w.kits > 1 {
				then = fmt.Sprintf(", and sew %d together side by side for each kit", n)
			}
		}
		step("Cut %s, %s long (%s)%s", english.Count(x.Count, "WOF length", "WOF lengths"), w.length(x.Height), what, then)
	}
	for _, s := range f.Plan.Strips {
		if s.Height > f.Width && s.Height > cloth.DefaultRuler {
			step("Cut %s, %s long; along its length:", english.Count(s.Count, "WOF length", "WOF lengths"), w.length(s.Height))
		} else {
			step("Cut %s, %s wide; from %s:", english.Count(s.Count, "WOF strip", "WOF strips"), w.length(s.Height), each(s.Count))
		}
		for _, g := range s.Segments {
			out = append(out, "   "+segmentLine(f, g, s.Height, w))
		}
	}
	return out
}

// severalQuilts says whether a list is for more than one setting.
func severalQuilts(l *cloth.List) bool {
	for _, q := range l.Order.Quilts {
		if q.Of != l.Order.Quilts[0].Of {
			return true
		}
	}
	return false
}

func each(n int) string {
	if n == 1 {
		return "it"
	}
	return "each"
}

// segmentLine says what is cut from part of a strip that is so high: every cut, in the order in which
// they are made, with what comes of it.
func segmentLine(f *cloth.FabricList, g cloth.Segment, high float64, w words) string {
	subcut := func(n int, length float64) string {
		return fmt.Sprintf("subcut %s %s %s", count(n), w.length(length), plural(n, "segment"))
	}
	first := g.Rows[0]
	if len(g.Rows) == 1 && first.Count == 1 && len(first.Runs) == 1 {
		u := first.Runs[0]
		along, up := lies(&f.Pieces[u.Wanted], u)
		s := subcut(g.Count*u.Count, along)
		if up < high-1e-6 {
			s += ", trim to " + w.length(up)
		}
		return s + ": " + pieces(f, g.Count*u.Count, u, w)
	}
	s := subcut(g.Count, g.Length)
	if len(g.Rows) == 1 && first.Count == 1 {
		return s + "; crosscut " + each(g.Count) + " " + crosscuts(f, first.Runs, w)
	}
	var rows []string
	long := false
	for _, r := range g.Rows {
		if len(r.Runs) == 1 && r.Runs[0].Count == 1 {
			rows = append(rows, pieces(f, r.Count, r.Runs[0], w))
			continue
		}
		long = true
		row := fmt.Sprintf("%s %s %s", count(r.Count), w.length(r.Height), plural(r.Count, "row"))
		if len(r.Runs) == 1 {
			u := r.Runs[0]
			along, _ := lies(&f.Pieces[u.Wanted], u)
			row += fmt.Sprintf(", then crosscut every %s: %s", w.length(along), pieces(f, r.Count*u.Count, u, w))
		} else {
			row += ", then crosscut " + each(r.Count) + " " + crosscuts(f, r.Runs, w)
		}
		rows = append(rows, row)
	}
	from := "; from " + each(g.Count) + " cut "
	if long {
		return s + from + strings.Join(rows, "; ")
	}
	return s + from + english.List(rows)
}

// crosscuts are the cuts along a row: "every 5 1/4 in for five d (5 1/4 × 1 3/4 in) and at 7 in for one b (…)".
func crosscuts(f *cloth.FabricList, runs []cloth.Run, w words) string {
	var out []string
	for _, u := range runs {
		at := "at"
		if u.Count > 1 {
			at = "every"
		}
		along, _ := lies(&f.Pieces[u.Wanted], u)
		out = append(out, fmt.Sprintf("%s %s for %s", at, w.length(along), pieces(f, u.Count, u, w)))
	}
	return english.List(out)
}

// pieces is so many of one size: "three b (4 × 2 1/2 in)", "one a (9 1/4 in square, then cut twice diagonally)".
func pieces(f *cloth.FabricList, n int, u cloth.Run, w words) string {
	p := &f.Pieces[u.Wanted]
	s := w.size(p)
	switch p.Form {
	case cloth.HalfSquare:
		s = w.by(p.Along, p.Along) + ", then cut once diagonally"
	case cloth.QuarterSquare:
		s = w.by(p.Along, p.Along) + ", then cut twice diagonally"
	}
	return fmt.Sprintf("%s %s (%s)", count(n), letter(u.Wanted), s)
}

// numbers are written out where another number follows.
var numbers = [...]string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}

func count(n int) string {
	if n < len(numbers) {
		return numbers[n]
	}
	return strconv.Itoa(n)
}

func plural(n int, one string) string {
	if n == 1 {
		return one
	}
	return one + "s"
}

// lies is how far a piece reaches along its strip and up it.
func lies(p *cloth.Piece, u cloth.Run) (along, up float64) {
	if u.Turned {
		return p.Across, p.Along
	}
	return p.Along, p.Across
}

// pieceLine says what one size is for: "a  cut 2: 4 × 2 1/4 in (Raft A1, A3)".
func pieceLine(f *cloth.FabricList, i int, w words) string {
	p := &f.Pieces[i]
	return fmt.Sprintf("%s  cut %s: %s — %s", letter(i), w.cuts(p), w.whole(p), w.uses(p))
}

// cuts is how many are cut: of triangles the squares.
func (w words) cuts(p *cloth.Piece) string {
	if p.Form.PerSquare() > 1 {
		return english.Count(p.Cuts, "square", "squares")
	}
	return strconv.Itoa(p.Cuts)
}

// whole is how a piece is cut, and how many of the triangles are used where some are left over.
func (w words) whole(p *cloth.Piece) string {
	s := w.size(p)
	if c := w.cutting(p); c != "" {
		s += ", " + c
	}
	if all := p.Cuts * p.Form.PerSquare(); all > p.Count {
		s += fmt.Sprintf("; use %d of the %d triangles", p.Count, all)
	}
	return s
}

// totals are the whole list in two sentences. What is bought is the sum of what is bought of each
// fabric; asked why, that less would not do is said where it is shown of every one.
func totals(l *cloth.List, w words, why bool) string {
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
	s := fmt.Sprintf("Total: %s, %s, %s, %s.", english.Count(l.Count(), "piece", "pieces"), english.Count(strips, "strip", "strips"),
		english.Count(len(l.Fabrics), "fabric", "fabrics"), w.buy(buy))
	if why && least > buy-1 {
		s += " No layout of these pieces uses less."
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
	s = strings.ReplaceAll(s, " × ", glue+"×"+glue)
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
