package baseline

import (
	"path/filepath"

	"sewable/lang/files"
	"sewable/lint"
)

// Held is what became of the findings of a run beside a list.
type Held struct {
	New     []lint.Finding // those that no entry covers, and all that are mandatory
	Known   []lint.Finding // those that the baseline lists
	Stale   []Entry        // entries that cover less than they say, and by how many
	Refused []Entry        // entries for mandatory findings, which do not count, and for how many
	other   []Entry        // entries of files that were not looked at
}

// Hold matches findings with the list. Linted are the files that were looked at, settings
// files among them; of others nothing is known, and their entries are left as they are. An
// entry follows its finding into a renamed file and a block with another title, as lint.Match does.
func (l *List) Hold(findings []lint.Finding, linted []string) Held {
	var h Held
	looked := map[string]bool{}
	for _, path := range linted {
		looked[lint.FromRoot(path, l.root())] = true
	}
	var before []lint.Finding
	var from []int // the entry of each
	for i, e := range l.Entries {
		if !looked[e.File] && !l.gone(e.File) {
			h.other = append(h.other, e)
			continue
		}
		for range min(e.Count, len(findings)+1) { // more could not be matched
			f := lint.Finding{Place: lint.Place{File: e.File}, Rule: e.Rule, Block: e.Block, Section: e.Section, Patch: e.Patch}
			before = append(before, f.Listed(e.Statement))
			from = append(from, i)
		}
	}
	after := make([]lint.Finding, len(findings))
	for i, f := range findings {
		f.File = lint.FromRoot(f.File, l.root())
		after[i] = f
	}
	covered, refused := make([]int, len(l.Entries)), make([]int, len(l.Entries))
	for i, j := range lint.Match(before, after, l.gone) {
		switch {
		case j < 0:
			h.New = append(h.New, findings[i])
			continue
		case findings[i].Mandatory:
			refused[from[j]]++
			h.New = append(h.New, findings[i])
		default:
			h.Known = append(h.Known, findings[i])
		}
		covered[from[j]]++
	}
	for i, e := range l.Entries {
		if n := refused[i]; n > 0 {
			r := e
			r.Count = n
			h.Refused = append(h.Refused, r)
		}
		if n := e.Count - covered[i]; n > 0 && (looked[e.File] || l.gone(e.File)) {
			e.Count = n
			h.Stale = append(h.Stale, e)
		}
	}
	return h
}

// gone reports whether a file of the list is no longer there. Of one outside the repository nothing is known.
func (l *List) gone(file string) bool {
	path := filepath.FromSlash(file)
	if !filepath.IsAbs(path) {
		path = filepath.Join(l.root(), path)
	}
	return !files.Exists(path) && files.Holds(files.Root(files.Absolute(l.root())), files.Absolute(path))
}

// Next is the list as it is to be written after a run: without what has been mended; what is
// new is taken in when add is set.
func (l *List) Next(h Held, add bool) *List {
	findings := h.Known
	if add {
		findings = append(findings[:len(findings):len(findings)], h.New...)
	}
	next := Of(l.Path, findings)
	next.Entries = tidy(append(next.Entries, h.other...))
	return next
}
