package review

import (
	"cmp"
	"fmt"
	"path"
	"slices"
	"strings"

	"sewable/lang/english"
	"sewable/lang/geom"
	"sewable/lint"
	"sewable/lint/baseline"
	"sewable/lint/history"
)

// Loosened is one way in which the change makes the checks see or say less, and what that hides.
type Loosened struct {
	Kind   string // accept, level, limit, exclude or baseline
	File   string // where it is said
	Line   int    // from 1; 0 for a whole file
	What   string // in words
	Hides  []lint.Finding
	Lowers []lint.Finding // still shown, at a lower level
}

// Words say what was loosened, and how much that hides.
func (l Loosened) Words() string {
	at := fileName(l.File)
	if l.Line > 0 {
		at = fmt.Sprintf("%s:%d", at, l.Line)
	}
	s := at + ": " + l.What
	switch {
	case len(l.Hides)+len(l.Lowers) == 0 && l.Kind != "exclude":
		return s + ", which hides nothing now"
	case len(l.Hides) == 0 && len(l.Lowers) == 0:
		return s
	}
	var does []string
	if n := len(l.Hides); n > 0 {
		does = append(does, "hides "+english.Count(n, "finding", "findings"))
	}
	if n := len(l.Lowers); n > 0 {
		does = append(does, "lowers "+english.Count(n, "finding", "findings"))
	}
	if blocks := blocksOf(slices.Concat(l.Hides, l.Lowers)); len(blocks) > 0 {
		does[len(does)-1] += " in " + english.List(first(blocks, maxBlocks))
	}
	return s + "; " + english.List(does)
}

// maxBlocks is how many blocks one line names.
const maxBlocks = 4

// blocksOf are the blocks that findings are in, by title, each once.
func blocksOf(findings []lint.Finding) (out []string) {
	seen := map[string]bool{}
	for _, f := range findings {
		if f.Block != "" && !seen[f.Block] {
			seen[f.Block] = true
			out = append(out, quoted(f.Block))
		}
	}
	return out
}

// silenced are the findings of a pair that the change hides or lowers.
type silenced struct {
	accepted []lint.Finding // that are new among those accepted
	hidden   []lint.Finding // by the settings: as the old ones would have it
	lowered  []lint.Finding // likewise, and still shown at a lower level
	altered  []string       // the settings that changed for the file, in words
	excluded []lint.Finding // what would be found in a file that is not looked at any more
}

// silence works out what a pair hides.
func (f *filePair) silence(x, y *side) {
	if f.new == nil {
		return
	}
	f.quiet.accepted = newlyAccepted(f.old, f.new)
	defer f.prune()
	before := x.config.For(x.tree.Abs(cmp.Or(f.before, f.after)))
	altered := lint.AlteredIn(before, y.config.For(y.tree.Abs(f.after)), f.new.model.Unit, y.rules)
	if len(altered) == 0 {
		return
	}
	for _, a := range altered {
		f.quiet.altered = append(f.quiet.altered, fmt.Sprintf("%s %s", a.After.Path, fromTo(a.Before.Value, a.After.Value)))
	}
	as := lint.Model(f.new.model, lint.Options{Rules: y.rules, Config: lint.WithSettings(before), Loader: y.loader, Accepted: true})
	y.fromRoot(as.Findings)
	type key struct {
		rule       string
		start, end int
	}
	now := map[key]lint.Level{}
	for _, n := range slices.Concat(f.new.findings, f.new.accepted) {
		k := key{n.Rule, n.Span.Start, n.Span.End}
		now[k] = max(now[k], n.Level)
	}
	for _, was := range as.Findings {
		is, shown := now[key{was.Rule, was.Span.Start, was.Span.End}]
		switch {
		case was.Accepted != "":
		case !shown:
			f.quiet.hidden = append(f.quiet.hidden, was)
		case is < was.Level:
			f.quiet.lowered = append(f.quiet.lowered, was)
		}
	}
}

// prune takes what is silenced out of what is gone: it is still there.
func (f *filePair) prune() {
	type key struct {
		rule, section string
		patch         int
	}
	quiet := map[key]bool{}
	for _, q := range slices.Concat(f.quiet.accepted, f.quiet.hidden) {
		quiet[key{q.Rule, q.Section, q.Patch}] = true
	}
	of := func(found *Findings) {
		found.Gone = slices.DeleteFunc(found.Gone, func(g lint.Finding) bool { return quiet[key{g.Rule, g.Section, g.Patch}] })
	}
	of(&f.files)
	for i := range f.blocks {
		of(&f.blocks[i].Findings)
	}
	for i := range f.quilts {
		of(&f.quilts[i].Findings)
	}
}

// newlyAccepted are the accepted findings of a file that were not accepted before.
func newlyAccepted(old, new *opened) []lint.Finding {
	var before []lint.Finding
	if old != nil {
		before = slices.Clone(old.accepted)
		for i := range before {
			before[i].File = new.path
		}
	}
	var out []lint.Finding
	for i, j := range lint.Match(before, new.accepted, nil) {
		if j < 0 {
			out = append(out, new.accepted[i])
		}
	}
	return out
}

// loosen puts together what the change loosens.
func (r *Report) loosen(files []*filePair, x, y *side) error {
	r.loosenAccepts(files)
	r.loosenSettings(files, x, y)
	if err := r.loosenBaselines(x, y); err != nil {
		return err
	}
	weight := func(l Loosened) int {
		n := 0
		for _, f := range slices.Concat(l.Hides, l.Lowers) {
			n += map[lint.Level]int{lint.Error: 1_000_000, lint.Warning: 1000, lint.Hint: 1}[f.Level]
		}
		return n
	}
	slices.SortStableFunc(r.Loosened, func(a, b Loosened) int {
		return cmp.Or(cmp.Compare(weight(b), weight(a)), strings.Compare(a.File, b.File), a.Line-b.Line)
	})
	return nil
}

func (r *Report) loosenAccepts(files []*filePair) {
	for _, f := range files {
		at := map[string]int{} // by rule and reason, in r.Loosened
		for _, a := range f.quiet.accepted {
			key := a.Rule + "\x00" + a.Accepted
			i, ok := at[key]
			if !ok {
				i = len(r.Loosened)
				at[key] = i
				r.Loosened = append(r.Loosened, Loosened{Kind: "accept", File: f.after, Line: a.Start.Line,
					What: fmt.Sprintf("%s is accepted (%s)", a.Rule, a.Accepted)})
			}
			r.Loosened[i].Hides = append(r.Loosened[i].Hides, a)
		}
		if len(f.quiet.excluded) > 0 || f.excluded != "" {
			r.Loosened = append(r.Loosened, Loosened{Kind: "exclude", File: f.excluded, What: fileName(f.after) + " is excluded now and not checked any more", Hides: f.quiet.excluded})
		}
	}
}

// loosenSettings says what was loosened in settings files: a level by the findings of its rule, the limits that
// changed in one file together, since a finding does not say which of them it goes by.
func (r *Report) loosenSettings(files []*filePair, x, y *side) {
	type change struct{ before, after *lint.SettingsFile }
	said := map[change]map[string]*Loosened{}
	var all []*Loosened
	for _, f := range files {
		if f.new == nil || f.excluded != "" {
			continue
		}
		c := change{x.config.For(x.tree.Abs(cmp.Or(f.before, f.after))), y.config.For(y.tree.Abs(f.after))}
		by, ok := said[c]
		if !ok {
			by = map[string]*Loosened{}
			said[c] = by
			all = append(all, loosenedIn(c.before, c.after, y, by)...)
		}
		attach := func(findings []lint.Finding, to func(*Loosened) *[]lint.Finding) {
			for _, f := range findings {
				if l := cmp.Or(by[lint.LevelsTable+"."+f.Rule], by["limits"]); l != nil {
					*to(l) = append(*to(l), f)
				}
			}
		}
		attach(f.quiet.hidden, func(l *Loosened) *[]lint.Finding { return &l.Hides })
		attach(f.quiet.lowered, func(l *Loosened) *[]lint.Finding { return &l.Lowers })
	}
	for _, l := range all {
		if l.Kind != "settings" || len(l.Hides)+len(l.Lowers) > 0 {
			r.Loosened = append(r.Loosened, *l)
		}
	}
}

// loosenedIn lists what one settings file loosens against another, and fills by: level paths, and "limits" for all else.
func loosenedIn(before, after *lint.SettingsFile, y *side, by map[string]*Loosened) (out []*Loosened) {
	var limits []string
	rest := &Loosened{Kind: "settings"} // named only if it hides something
	where := func(l *Loosened, is lint.InForce) {
		switch {
		case is.File != nil:
			l.File, l.Line = lint.FromRoot(is.File.Path, y.tree.Root()), is.File.Position(is.At.Start).Line
		case l.File == "" && after.Source != nil:
			l.File = lint.FromRoot(after.Source.Path, y.tree.Root())
		case l.File == "":
			l.File = lint.SettingsName
		}
	}
	for _, a := range lint.AlteredIn(before, after, geom.Inches, y.rules) {
		words := fmt.Sprintf("%s %s", a.After.Path, fromTo(a.Before.Value, a.After.Value))
		_, level := strings.CutPrefix(a.After.Path, lint.LevelsTable+".")
		switch {
		case level && a.Loosened:
			l := &Loosened{Kind: "level", What: words}
			where(l, a.After)
			by[a.After.Path] = l
			out = append(out, l)
		case level || a.After.Path == "exclude":
		default:
			where(rest, a.After)
			limits = append(limits, words)
			if a.Loosened {
				rest.Kind = "limit"
			}
		}
	}
	if len(limits) > 0 {
		rest.What = english.List(limits)
		by["limits"] = rest
		out = append(out, rest)
	}
	return out
}

// loosenBaselines says which baselines list more than they did, and what.
func (r *Report) loosenBaselines(x, y *side) error {
	changes, err := history.Changes(x.tree, y.tree, func(p string) bool { return mayBeBaseline(p) && concerned(r.Paths, p) })
	if err != nil {
		return err
	}
	for _, c := range changes {
		if c.After == "" || c.Same {
			continue
		}
		is := baselineIn(y, c.After)
		if is == nil {
			continue
		}
		was := baselineIn(x, c.Before)
		if was == nil {
			was = &baseline.List{Path: c.After}
		}
		l := Loosened{Kind: "baseline", File: c.After}
		for _, e := range is.Beyond(was) {
			for range e.Count {
				l.Hides = append(l.Hides, lint.Finding{Place: lint.Place{File: path.Join(path.Dir(c.After), e.File)}, Rule: e.Rule, Block: e.Block, Section: e.Section, Patch: e.Patch, Level: y.levelOf(e.Rule)})
			}
		}
		if n := len(l.Hides); n > 0 {
			l.What = english.Count(n, "finding", "findings") + " added to this baseline"
			r.Loosened = append(r.Loosened, l)
		}
	}
	return nil
}

// baselineIn is a baseline of one side; nil when the file is none.
func baselineIn(s *side, p string) *baseline.List {
	if p == "" {
		return nil
	}
	text, err := s.tree.Read(p)
	if err != nil {
		return nil
	}
	list, err := baseline.Parse(p, text)
	if err != nil {
		return nil // a lint run with it says so
	}
	return list
}

// levelOf is the level that a rule has by itself.
func (s *side) levelOf(rule string) lint.Level {
	for _, r := range s.rules {
		if r.Name == rule {
			return r.Level
		}
	}
	return lint.Hint
}

// mayBeBaseline reports whether a file is looked into: a baseline is text, of no other kind.
func mayBeBaseline(p string) bool {
	return slices.Contains([]string{"", ".txt", ".list", ".baseline"}, path.Ext(p)) || strings.Contains(path.Base(p), "baseline")
}
