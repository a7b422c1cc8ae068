package lint

import (
	"context"
	"fmt"
	"runtime/debug"
	"slices"
	"sync"
	"sync/atomic"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/near"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// Failure is a rule that broke down. It is a fault of the rule and says
// nothing about the file; the run goes on and ends as failed.
type Failure struct {
	File, Rule string
	Cause      string
	Stack      string
}

func (f Failure) Error() string {
	return fmt.Sprintf("%s: internal error in the rule %s: %s", f.File, f.Rule, f.Cause)
}

// PanicThrough lets a rule that breaks down take the program with it. Tests
// set it: what cannot happen is answered in use, and loud in tests.
var PanicThrough bool

// File checks one file that has been read: every rule that is not off, then
// the accepts. The findings come in order of place.
func File(f *block.File, rules []*Rule, settings *Settings) ([]Finding, []Failure) {
	findings, failures, _ := FileWith(context.Background(), f, rules, settings, 1)
	return findings, failures
}

// FileWith is File for an editor, which checks a file again after every edit: so many
// workers take the rules between them, and the work stops between two rules, with the
// context's cause, when the context ends.
func FileWith(ctx context.Context, f *block.File, rules []*Rule, settings *Settings, workers int) ([]Finding, []Failure, error) {
	return fileWith(ctx, f, rules, settings, workers, false)
}

// fileWith is FileWith; keep says that findings that are accepted stay, marked as such.
func fileWith(ctx context.Context, f *block.File, rules []*Rule, settings *Settings, workers int, keep bool) ([]Finding, []Failure, error) {
	c := check{path: f.Source.Path}
	accepted := accepts(f.Tree, rules, settings)
	sizes := f.InSizes()
	pass := func(c *check, r *Rule, level Level) *Pass {
		c.pass = Pass{File: f, Settings: settings, rule: r, level: level, src: f.Source, keep: keep, out: c.pass.out[:0]}
		return &c.pass
	}
	if len(f.Source.Text) < worthSharing {
		workers = 1
	}
	c.share(ctx, rules, workers, func(c *check, r *Rule) {
		if level := settings.level(r); r.Run != nil && (level != Off || r.Mandatory != "") {
			p := pass(c, r, level)
			p.hides = of(accepted, r) // nobody else's, so that it may count them
			before, hides := len(c.findings), p.hides
			c.run(p, func() { r.Run(p) })
			var inSizes []Finding
			for _, f := range sizes {
				in := check{path: c.path}
				p := pass(&in, r, level)
				p.File, p.size, p.hides = f, f.Blocks[0].Size, hides
				in.run(p, func() { r.Run(p) })
				inSizes = append(inSizes, in.findings...)
				c.failures = append(c.failures, in.failures...)
			}
			c.findings = append(c.findings, onlyInSizes(c.findings[before:], inSizes)...)
		}
	})
	if ctx.Err() != nil {
		return nil, nil, context.Cause(ctx)
	}
	if slices.ContainsFunc(c.findings, func(f Finding) bool { return f.Level == Error && f.Accepted == "" }) {
		for i := range accepted {
			accepted[i].Asleep = true
		}
	}
	for _, r := range rules {
		if level := settings.level(r); r.Accepts != nil && level != Off {
			p := pass(&c, r, level)
			c.run(p, func() { r.Accepts(p, accepted) })
		}
	}
	slices.SortFunc(c.findings, compare)
	return c.findings, c.failures, nil
}

// worthSharing is how many bytes a file has whose rules are shared out: the rules of a
// small file are done before a second worker begins.
const worthSharing = 25_000

// share lets several workers take the rules between them. What is found is put
// together in the order of the rules.
func (c *check) share(ctx context.Context, rules []*Rule, workers int, do func(*check, *Rule)) {
	if workers == 1 {
		for _, r := range rules {
			if ctx.Err() == nil {
				do(c, r)
			}
		}
		return
	}
	parts := make([]check, len(rules))
	var next atomic.Int64
	var done sync.WaitGroup
	for range workers {
		done.Go(func() {
			for i := int(next.Add(1)) - 1; i < len(rules) && ctx.Err() == nil; i = int(next.Add(1)) - 1 {
				parts[i].path = c.path
				do(&parts[i], rules[i])
			}
		})
	}
	done.Wait()
	n := 0
	for _, part := range parts {
		n += len(part.findings)
	}
	c.findings = slices.Grow(c.findings, n)
	for _, part := range parts {
		c.findings = append(c.findings, part.findings...)
		c.failures = append(c.failures, part.failures...)
	}
}

// CheckSettings checks one settings file.
func CheckSettings(f *SettingsFile, rules []*Rule) ([]Finding, []Failure) {
	c := check{path: f.Source.Path}
	settings := f.For(geom.Inches)
	for _, r := range rules {
		p := &Pass{Settings: settings, rule: r, level: settings.level(r), src: f.Source}
		if r.Settings != nil && p.level != Off {
			c.run(p, func() { r.Settings(p, f) })
		}
	}
	slices.SortFunc(c.findings, compare)
	return c.findings, c.failures
}

// check gathers what the rules of one file say.
type check struct {
	path     string
	findings []Finding
	failures []Failure
	pass     Pass // of the rule that is at work
}

// run lets one rule do its work. What a rule reported before it broke down
// is kept.
func (c *check) run(p *Pass, rule func()) {
	defer func() { c.findings = p.findings(c.findings) }()
	if !PanicThrough {
		defer func() {
			if cause := recover(); cause != nil {
				c.failures = append(c.failures, Failure{c.path, p.rule.Name, fmt.Sprint(cause), string(debug.Stack())})
			}
		}()
	}
	rule()
}

// Accepted is an accept of a file and what became of it.
type Accepted struct {
	*syntax.Accept
	Of      *Rule // nil when it is unknown
	Hidden  int   // how many findings it hid
	Refused int   // how many mandatory findings it would have hidden
	Unknown bool  // no rule has that name
	// Asleep: the rule did not run, or an error of the file may have silenced it, so
	// that nothing can be said about an accept that hides nothing.
	Asleep bool
	Near   string // for an unknown name, the nearest one there is; may be empty
}

// accepts are the accepts of a file, before any rule ran. An accept covers the
// findings of its rule that start in its scope; two that cover the same finding both
// count as used. What is mandatory stays.
func accepts(tree *syntax.Tree, rules []*Rule, settings *Settings) []Accepted {
	if tree == nil || len(tree.Accepts) == 0 {
		return nil
	}
	known := map[string]*Rule{}
	names := make([]string, 0, len(rules))
	for _, r := range rules {
		known[r.Name] = r
		names = append(names, r.Name)
	}
	out := make([]Accepted, len(tree.Accepts))
	for i, a := range tree.Accepts {
		x := Accepted{Accept: a}
		if r := known[a.Rule]; r == nil {
			x.Unknown, x.Near = true, near.Nearest(a.Rule, names)
		} else {
			x.Of, x.Asleep = r, settings.level(r) == Off
		}
		out[i] = x
	}
	return out
}

// of are the accepts of one rule.
func of(accepted []Accepted, r *Rule) []*Accepted {
	var out []*Accepted
	for i := range accepted {
		if accepted[i].Rule == r.Name {
			out = append(out, &accepted[i])
		}
	}
	return out
}

func covers(s source.Span, offset int) bool { return s.Start <= offset && offset < s.End }
