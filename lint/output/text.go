package output

import (
	"bufio"
	"fmt"
	"io"
	"slices"
	"text/tabwriter"

	"github.com/muesli/termenv"

	"sewable/lang/english"
	"sewable/lint"
)

// Style says how text is written.
type Style struct {
	Profile termenv.Profile // termenv.Ascii for no colour
	Width   int             // cells in a row; longer source lines are cut. 0: as a page, 100
	Most    int             // how many findings are written; the others are counted. 0: all
	Rest    string          // what lists them all, as in "`sewable lint` lists them all"
}

const indent = "    "

// Text writes findings for people: the place, the level, what is wrong and
// the rule; the line with carets under the place; what else has to do with it;
// what would fix it. The last line sums up.
func Text(w io.Writer, r *lint.Result, s Style) error {
	b := bufio.NewWriter(w)
	p := painter{s.Profile}
	if s.Width <= 0 {
		s.Width = 100
	}
	possible := 0
	for i, f := range r.Findings {
		if s.Most > 0 && i == s.Most {
			fmt.Fprintf(b, "… and %s more; %s\n", english.Count(len(r.Findings)-i, "finding", "findings"), s.Rest)
			break
		}
		fmt.Fprintf(b, "%s: %s: %s %s\n",
			p.bold(Plain(f.Place.String())), p.level(f.Level), Plain(f.Message), p.faint("["+f.Rule+"]"))
		if line, carets := excerpt(f, s.Width-len(indent)); line != "" {
			fmt.Fprintf(b, "%s%s\n%s%s\n", indent, line, indent, p.colour(f.Level, carets))
		}
		for _, other := range f.Related {
			fmt.Fprintf(b, "%s%s: %s\n", indent, Plain(other.Place.String()), Plain(other.Message))
		}
		for _, fix := range f.Fixes {
			mark := fixMark(fix)
			if !fix.Certain {
				possible++
				mark = fmt.Sprintf("possible fix %d:", possible)
			}
			fmt.Fprintf(b, "%s%s %s\n", indent, p.faint(mark), Plain(fix.Title))
		}
	}
	if len(r.Findings) > 0 {
		fmt.Fprintln(b)
	}
	fmt.Fprintln(b, Summary(r))
	return b.Flush()
}

// Summary is the result in one line.
func Summary(r *lint.Result) string {
	counted := fmt.Sprintf("%s, %s: ", english.Count(r.Files, "file", "files"), english.Count(r.Blocks, "block", "blocks"))
	var found []string
	for _, l := range []struct {
		level     lint.Level
		one, many string
	}{
		{lint.Error, "error", "errors"}, {lint.Warning, "warning", "warnings"}, {lint.Hint, "hint", "hints"},
	} {
		if n := r.Count(l.level); n > 0 {
			found = append(found, english.Count(n, l.one, l.many))
		}
	}
	said := english.List(found)
	if said == "" {
		said = "no findings"
	}
	if r.Known > 0 {
		said += "; " + english.Count(r.Known, "known finding", "known findings") + " ignored"
	}
	return counted + said
}

// painter puts colour on words. Colours come from the terminal's own sixteen,
// which its owner has made readable.
type painter struct{ profile termenv.Profile }

func (p painter) bold(s string) string  { return p.profile.String(s).Bold().String() }
func (p painter) faint(s string) string { return p.profile.String(s).Faint().String() }

func (p painter) level(l lint.Level) string { return p.colour(l, l.String()) }

func (p painter) colour(l lint.Level, s string) string {
	colour := map[lint.Level]termenv.ANSIColor{
		lint.Error: termenv.ANSIRed, lint.Warning: termenv.ANSIYellow, lint.Hint: termenv.ANSICyan,
	}[l]
	return p.profile.String(s).Foreground(p.profile.Convert(colour)).Bold().String()
}

// PossibleFixes are the fixes that are not certain, in the order in which Text numbers them from 1.
func PossibleFixes(r *lint.Result) (out []lint.Fix) {
	for _, f := range r.Findings {
		for _, fix := range f.Fixes {
			if !fix.Certain {
				out = append(out, fix)
			}
		}
	}
	return out
}

// Counts writes how many findings each rule has, most first, and the result in one line.
func Counts(w io.Writer, r *lint.Result, rules []*lint.Rule) error {
	count := map[string]int{}
	for _, f := range r.Findings {
		count[f.Rule]++
	}
	listed := slices.DeleteFunc(slices.Clone(rules), func(r *lint.Rule) bool { return count[r.Name] == 0 })
	slices.SortStableFunc(listed, func(a, b *lint.Rule) int { return count[b.Name] - count[a.Name] })
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, r := range listed {
		fmt.Fprintf(t, "%d\t%s\t%s\n", count[r.Name], r.Name, r.Title)
	}
	if err := t.Flush(); err != nil {
		return err
	}
	if len(listed) > 0 {
		fmt.Fprintln(w)
	}
	_, err := fmt.Fprintln(w, Summary(r))
	return err
}
