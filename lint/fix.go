package lint

import (
	"cmp"
	"slices"
	"strings"
)

// maxRounds bounds the mending of one text: a fix may bring another finding
// with a certain fix to light, but not for ever.
const maxRounds = 20

// Mended is what became of a text.
type Mended struct {
	Text  string
	Fixes []Fix // those done, in order; none when the text is as it was
	// Refused holds the findings that the mended text would have had and the
	// text as it was had not. The text is then left as it was.
	Refused []Finding
}

// Mending says which findings are mended, and by which fixes.
type Mending struct {
	Reported []Finding // nil: all; else only these, wherever they are after a fix
	Unsafe   bool      // also by a fix that is not certain: the first of a finding that has no certain one
}

// wants gives those findings of a round that are to be mended.
func (m Mending) wants(now []Finding) []Finding {
	if m.Reported == nil {
		return now
	}
	var out []Finding
	for i, j := range Match(m.Reported, now, nil) {
		if j >= 0 {
			out = append(out, now[i])
		}
	}
	return out
}

// fixOf is the fix that is done of a finding; -1 for none.
func (m Mending) fixOf(f Finding, path, text string) int {
	i := slices.IndexFunc(f.Fixes, func(x Fix) bool { return x.Certain && inside(x, path, text) })
	if i < 0 && m.Unsafe {
		i = slices.IndexFunc(f.Fixes, func(x Fix) bool { return inside(x, path, text) })
	}
	return i
}

// Mend does the certain fixes of a text, again and again until none is left.
// Fixes that overlap wait for the next round. A fix that reaches into
// another file is left to its user: it could not be taken back as one.
func Mend(path, text string, o Options, how Mending) Mended {
	o = o.complete()
	before := o.look(path, text)
	out, now := Mended{Text: text}, before
	seen := map[string]bool{text: true}
	for range maxRounds {
		next, done := applyFixes(path, out.Text, how.wants(now), how)
		if len(done) == 0 || seen[next] {
			break
		}
		seen[next] = true
		out.Text, out.Fixes = next, append(out.Fixes, done...)
		now = o.look(path, next)
	}
	if worse := added(before, now); len(worse) > 0 {
		return Mended{Text: text, Refused: worse}
	}
	return out
}

// look gives the findings of a text.
func (o Options) look(path, text string) []Finding {
	findings, _ := o.lint(o.Loader.OpenText(path, text))
	return findings
}

// applyFixes does the first fix of each finding that is to be done, as far as they do
// not overlap.
func applyFixes(path, text string, findings []Finding, how Mending) (string, []Fix) {
	var edits []Edit
	var done []Fix
	for _, f := range findings {
		i := how.fixOf(f, path, text)
		if i < 0 {
			continue
		}
		if with := append(slices.Clone(edits), f.Fixes[i].Edits...); !Overlap(with) {
			edits, done = with, append(done, f.Fixes[i])
		}
	}
	return Apply(text, edits), done
}

// inside reports whether a fix stays in the file.
func inside(x Fix, path, text string) bool {
	for _, e := range x.Edits {
		if e.File != path || e.Span.Start < 0 || e.Span.Start > e.Span.End || e.Span.End > len(text) {
			return false
		}
	}
	return true
}

// Overlap reports whether two edits touch the same bytes, or put text at the
// same place, where nobody could say which comes first.
func Overlap(edits []Edit) bool {
	sorted := inOrder(edits)
	for i := 1; i < len(sorted); i++ {
		a, b := sorted[i-1].Span, sorted[i].Span
		if b.Start < a.End || a == b || a.Start == b.Start && a.Len() == 0 {
			return true
		}
	}
	return false
}

// Apply does edits that do not overlap.
func Apply(text string, edits []Edit) string {
	var b strings.Builder
	at := 0
	for _, e := range inOrder(edits) {
		b.WriteString(text[at:e.Span.Start])
		b.WriteString(e.New)
		at = e.Span.End
	}
	b.WriteString(text[at:])
	return b.String()
}

func inOrder(edits []Edit) []Edit {
	sorted := slices.Clone(edits)
	slices.SortStableFunc(sorted, func(a, b Edit) int {
		return cmp.Or(cmp.Compare(a.Span.Start, b.Span.Start), cmp.Compare(a.Span.End, b.Span.End))
	})
	return sorted
}

// added are the findings that came with a change. Places move when a text is
// changed, so what counts is how many findings of a level a rule has in a section. What
// matters less than a finding that the block had before was only silenced by that one.
func added(before, after []Finding) []Finding {
	type where struct {
		rule, block, section string
		level                Level
	}
	of := func(f Finding) where { return where{f.Rule, f.Block, f.Section, f.Level} }
	had := map[where]int{}
	worst := map[string]Level{}
	for _, f := range before {
		had[of(f)]++
		worst[f.Block] = max(worst[f.Block], f.Level)
	}
	var out []Finding
	for _, f := range after {
		if had[of(f)]--; had[of(f)] < 0 && f.Level >= worst[f.Block] {
			out = append(out, f)
		}
	}
	return out
}
