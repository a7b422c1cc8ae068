package review

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"sewable/lang/compare"
	"sewable/lang/english"
	"sewable/lint"
)

// Todo says in a sentence what to cut and to print anew.
func (b Block) Todo() string {
	switch {
	case b.Before == nil:
		pieces := "its one piece"
		if n := len(b.Patches); n != 1 {
			pieces = fmt.Sprintf("all %d pieces", n)
		}
		return sentence("new: cut " + pieces + " and print " + sectionsNow(b.Sections))
	case b.After == nil:
		return "gone: none of it is needed any more."
	}
	var does []string
	if cut := b.recut(); cut != "" {
		does = append(does, cut)
	}
	var keep, gone []string
	for _, p := range b.Patches {
		switch {
		case p.After == nil:
			gone = append(gone, p.Before.Label)
		case p.Before != nil && p.Recut == compare.Trim:
			keep = append(keep, p.After.Label)
		}
	}
	switch {
	case b.Unread.After:
		does = append(does, "what else to recut is not known until it can be read")
	case len(does) == 0:
		does = append(does, "nothing to recut")
	}
	if len(keep) > 0 {
		does = append(does, "keep "+labels(keep)+": already large enough")
	}
	if len(gone) > 0 {
		does = append(does, labels(gone)+" "+map[bool]string{true: "is", false: "are"}[len(gone) == 1]+" no longer needed")
	}
	if b.Paper.Any() {
		does = append(does, "reprint "+b.Paper.Words())
	}
	return sentence(strings.Join(does, "; "))
}

// recut names the pieces that are to be cut, by fabric.
func (b Block) recut() string {
	var fabrics []string
	by := map[string][]string{}
	for _, p := range b.Patches {
		if p.After == nil || p.Recut != compare.Anew {
			continue
		}
		name := fabricOf(p.After)
		if by[name] == nil {
			fabrics = append(fabrics, name)
		}
		by[name] = append(by[name], p.After.Label)
	}
	var out []string
	for _, f := range fabrics {
		out = append(out, labels(by[f])+" from "+f)
	}
	if len(out) == 0 {
		return ""
	}
	return "cut " + english.List(out)
}

// sectionsNow names the sections of a new block.
func sectionsNow(sections []compare.Section) string {
	var names []string
	for _, s := range sections {
		if s.After != nil && !s.Unread {
			names = append(names, s.After.Name)
		}
	}
	switch len(names) {
	case 0:
		return "nothing"
	case 1:
		return "section " + names[0]
	}
	return "sections " + english.List(names)
}

// labels joins labels; three or more that follow each other are a range.
func labels(all []string) string {
	var out []string
	for i := 0; i < len(all); {
		name, n := split(all[i])
		j := i + 1
		for ; j < len(all) && n > 0; j++ {
			if other, m := split(all[j]); other != name || m != n+j-i {
				break
			}
		}
		if j-i >= 3 {
			out = append(out, all[i]+" to "+all[j-1])
		} else {
			out = append(out, all[i:j]...)
		}
		i = j
	}
	return english.List(out)
}

func split(label string) (section string, number int) {
	section = strings.TrimRight(label, "0123456789")
	fmt.Sscanf(label[len(section):], "%d", &number) // nothing to scan leaves 0
	return section, number
}

// sentence ends words with a full stop.
func sentence(s string) string { return s + "." }

// Headline is the whole report in a few sentences, in the order of Groups.
func (r *Report) Headline() string {
	if len(r.Blocks)+len(r.Quilts)+len(r.Files)+len(r.Loosened)+len(r.Unjudged) == 0 {
		if len(r.Respelt) > 0 {
			return "No change to the sewn blocks; only the source text changed."
		}
		return "No change to the sewn blocks."
	}
	var out []string
	say := func(format string, args ...any) { out = append(out, upper(fmt.Sprintf(format, args...))+".") }
	if len(r.Loosened) > 0 {
		hidden, lowered := 0, 0
		for _, l := range r.Loosened {
			hidden, lowered = hidden+len(l.Hides), lowered+len(l.Lowers)
		}
		var does []string
		if hidden > 0 {
			does = append(does, "silences "+english.Count(hidden, "finding", "findings"))
		}
		if lowered > 0 {
			does = append(does, "lowers "+english.Count(lowered, "finding", "findings"))
		}
		if len(does) == 0 {
			does = append(does, "loosens the checks")
		}
		say("this change %s", english.List(does))
	}
	if found := r.levels(); found != "" {
		say("new findings: %s", found)
		if slices.ContainsFunc(r.allNew(), func(f lint.Finding) bool { return f.Level == lint.Error && f.Block != "" }) {
			say("a block with an error cannot be sewn as it is written")
		}
	}
	unjudged := len(r.unjudgedLines())
	if unjudged > 0 {
		say("%s not judged", english.Count(unjudged, "place is", "places are"))
	}
	states := map[string]int{}
	pieces, cut, paper := 0, 0, 0
	for _, it := range r.items() {
		if it.block != nil {
			states[it.state]++
		}
		if it.pieces > 0 {
			pieces, cut = pieces+it.pieces, cut+1
		}
		if it.paper.Any() {
			paper++
		}
	}
	var what []string
	for _, c := range []struct {
		n         int
		one, many string
	}{{states[""], "block changes", "blocks change"}, {states["new"], "block is new", "blocks are new"},
		{states["gone"], "block is gone", "blocks are gone"}, {len(r.Quilts), "quilt changes", "quilts change"}} {
		if c.n > 0 {
			what = append(what, english.Count(c.n, c.one, c.many))
		}
	}
	if len(what) == 0 {
		what = append(what, "no block changes")
	}
	say("%s", english.List(what))
	switch {
	case pieces > 0:
		say("recut %s of %s", english.Count(pieces, "piece", "pieces"), english.Count(cut, "block", "blocks"))
	case unjudged > 0:
		say("what to recut is not known until everything can be read")
	case states[""] > 0:
		say("nothing to recut")
	}
	if paper > 0 {
		say("reprint paper of %s", english.Count(paper, "block or quilt", "blocks and quilts"))
	}
	return strings.Join(out, " ")
}

// upper begins with a capital letter.
func upper(s string) string {
	first, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToUpper(first)) + s[n:]
}

// count counts the new findings of a level.
func (r *Report) count(l lint.Level) int {
	n := 0
	for _, f := range r.allNew() {
		if f.Level == l {
			n++
		}
	}
	return n
}

func (r *Report) allNew() []lint.Finding {
	var out []lint.Finding
	for _, b := range r.Blocks {
		out = append(out, b.New...)
	}
	for _, q := range r.Quilts {
		out = append(out, q.New...)
	}
	for _, f := range r.Files {
		out = append(out, f.New...)
	}
	return out
}

func (r *Report) levels() string {
	var out []string
	for _, l := range []struct {
		level     lint.Level
		one, many string
	}{{lint.Error, "error", "errors"}, {lint.Warning, "warning", "warnings"}, {lint.Hint, "hint", "hints"}} {
		if n := r.count(l.level); n > 0 {
			out = append(out, english.Count(n, l.one, l.many))
		}
	}
	return english.List(out)
}

// Asides are what else is to be said of the whole report.
func (r *Report) Asides() []string {
	var out []string
	if n := len(r.Respelt); n > 0 {
		out = append(out, fmt.Sprintf("Only the source text changed: %s.", english.List(first(r.Respelt, maxNamed))))
	}
	out = append(out, r.movedByFolder()...)
	if len(r.Skipped) > 0 {
		out = append(out, fmt.Sprintf("Repositories of their own, unchanged and not checked: %s.", english.List(first(r.Skipped, maxNamed))))
	}
	return out
}

// maxNamed is how many things are named one by one.
const maxNamed = 12

func first(all []string, n int) []string {
	if len(all) <= n {
		return all
	}
	return append(slices.Clone(all[:n]), fmt.Sprintf("%d more", len(all)-n))
}
