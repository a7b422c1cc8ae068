package cutlist

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"sewable/lang/cloth"
)

// Markdown writes a list as a page with tables. Asked why, the first also says where the fabric goes.
func Markdown(out io.Writer, l *cloth.List, why bool) error {
	b := bufio.NewWriter(out)
	w := words{l.Unit, l.Kits}
	fmt.Fprintf(b, "# Cut list: %s\n\n", plain(title(l)))
	for _, fault := range l.Faults {
		fmt.Fprintf(b, "**Cannot be sewn.** %s\n\n", plain(fault))
	}
	for _, n := range notes(l, w) {
		fmt.Fprintf(b, "%s\n\n", plain(n))
	}
	fmt.Fprint(b, "| fabric | width | buy |")
	if why {
		fmt.Fprint(b, " used | no less than | in pieces | ends of strips | offcuts |\n| --- | --- | --- | --- | --- | ---: | ---: | ---: |\n")
	} else {
		fmt.Fprint(b, "\n| --- | --- | --- |\n")
	}
	for i := range l.Fabrics {
		f := &l.Fabrics[i]
		pieces, ends, offcuts := f.Shares()
		fmt.Fprintf(b, "| %s | %s | %s |", plain(called(f)), w.wide(f.Width), w.buy(f.Buy))
		if why {
			fmt.Fprintf(b, " %s | %s | %s | %s | %s |", w.length(f.Used), w.least(f.Least), percent(pieces), percent(ends), percent(offcuts))
		}
		fmt.Fprintln(b)
	}
	for i := range l.Fabrics {
		f := &l.Fabrics[i]
		fmt.Fprintf(b, "\n## %s\n\n", plain(called(f)))
		for _, line := range steps(f, severalQuilts(l), w) {
			if rest, sub := strings.CutPrefix(line, "   "); sub {
				line = "   - " + rest
			}
			fmt.Fprintln(b, plain(line))
		}
		if len(f.Pieces) == 0 {
			continue
		}
		fmt.Fprintf(b, "\n| piece | cut | size | pieces | for |\n| --- | ---: | --- | ---: | --- |\n")
		for j := range f.Pieces {
			p := &f.Pieces[j]
			fmt.Fprintf(b, "| %s | %s | %s | %d | %s |\n", letter(j), w.cuts(p), w.whole(p), p.Count, plain(w.uses(p)))
		}
	}
	fmt.Fprintf(b, "\n%s\n\n%s\n", totals(l, w, why), Caution)
	return b.Flush()
}

// plain keeps a designer's words from being read as Markdown.
func plain(s string) string {
	return strings.NewReplacer(`\`, `\\`, "|", `\|`, "*", `\*`, "_", `\_`, "<", "&lt;", "`", "\\`", "[", `\[`).Replace(s)
}
