package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"sewable/lang/english"
	"sewable/lang/visible"
	"sewable/lint"
	"sewable/lint/baseline"
	"sewable/lint/output"
)

// baselineCmd is a command of its own, so that nothing that a lint run is given by
// mistake can make it forget findings.
type baselineCmd struct {
	File   string   `arg:"" help:"The baseline to write."`
	Paths  []string `arg:"" optional:"" default:"." help:"Files and folders."`
	Add    bool     `help:"Also record findings that are new."`
	Config string   `placeholder:"FILE" help:"Use only this settings file."`
	cacheFlags
}

// Help is what `sewable baseline --help` says at length.
func (baselineCmd) Help() string {
	return `A baseline is a list of known findings to ignore: "sewable lint --baseline FILE" reports only new ones.

The first run records all findings. After that the list only gets shorter: findings that are fixed are dropped, and new ones are
recorded only with --add. What cannot be read or sewn is never recorded: fix it, or keep the file out with "exclude" in sewable.toml.
Entries for files outside the given paths are kept.`
}

// Run writes the baseline.
func (c baselineCmd) Run(ctx context.Context, s streams) error {
	old, err := baseline.Read(c.File)
	first := errors.Is(err, fs.ErrNotExist)
	if err != nil && !first {
		return err
	}
	if first {
		old = &baseline.List{Path: c.File}
	}
	found, linted, err := c.lint(ctx, s)
	if err != nil {
		return err
	}
	held := old.Hold(found.Findings, linted)
	next := old.Next(held, c.Add || first)
	if text := next.String(); first || !old.Reads(text) {
		if err := writeText(c.File, text); err != nil {
			return err
		}
	}
	_, err = fmt.Fprintln(s.out, c.sum(held, next, first))
	return err
}

func (c baselineCmd) lint(ctx context.Context, s streams) (*lint.Result, []string, error) {
	l := lintCmd{Paths: c.Paths, Config: c.Config, cacheFlags: c.cacheFlags}
	o, err := lintOptions(c.Config)
	if err != nil {
		return nil, nil, err
	}
	found, paths, err := l.files(ctx, s, o)
	if err == nil && len(found.Failures) > 0 {
		err = found.Failures[0]
	}
	if err != nil {
		return nil, nil, err
	}
	return found, append(paths, settingsPaths(o)...), nil
}

// sum says what became of the baseline.
func (c baselineCmd) sum(held baseline.Held, next *baseline.List, first bool) string {
	let := 0
	for _, e := range next.Entries {
		let += e.Count
	}
	words := []string{english.Count(let, "finding", "findings") + " recorded"}
	if mended := countStale(held.Stale); mended > 0 {
		words = append(words, fmt.Sprintf("%d fixed and dropped", mended))
	}
	n := len(held.New) - countMandatory(held.New)
	switch {
	case n == 0 || first:
	case c.Add:
		words = append(words, fmt.Sprintf("%d new added", n))
	default:
		words = append(words, fmt.Sprintf("%d new, not recorded (--add records them)", n))
	}
	if n := countMandatory(held.New); n > 0 {
		words = append(words, fmt.Sprintf("%d cannot be recorded (what cannot be read or sewn has to be fixed)", n))
	}
	return visible.Text(c.File) + ": " + strings.Join(words, ", ")
}

func countStale(entries []baseline.Entry) (n int) {
	for _, e := range entries {
		n += e.Count
	}
	return n
}

func countMandatory(findings []lint.Finding) (n int) {
	for _, f := range findings {
		if f.Mandatory {
			n++
		}
	}
	return n
}

// settingsPaths are the settings files that were used.
func settingsPaths(o lint.Options) (paths []string) {
	for _, f := range o.Config.Files() {
		paths = append(paths, f.Source.Path)
	}
	return paths
}

// maxStale is how many stale entries are said one by one.
const maxStale = 10

// ignoreKnown takes out the findings that the baseline lists, and says which entries are stale.
func ignoreKnown(s streams, list *baseline.List, found *lint.Result, linted []string) {
	held := list.Hold(found.Findings, linted)
	found.Findings, found.Known = held.New, len(held.Known)
	for i, e := range held.Refused {
		if i == maxStale {
			fmt.Fprintf(s.err, "%s: and %d more have no effect\n", visible.Text(list.Path), len(held.Refused)-i)
			break
		}
		fmt.Fprintf(s.err, "%s:%d: no effect: %s cannot be put in a baseline. Fix it\n", visible.Text(list.Path), e.Line, output.Plain(e.Words()))
	}
	for i, e := range held.Stale {
		if i == maxStale {
			fmt.Fprintf(s.err, "%s: and %d more are stale\n", visible.Text(list.Path), len(held.Stale)-i)
			break
		}
		fmt.Fprintf(s.err, "%s:%d: stale: %s is fixed or changed\n", visible.Text(list.Path), e.Line, output.Plain(e.Words()))
	}
	if len(held.Stale) > 0 {
		fmt.Fprintf(s.err, "%s: to drop stale entries, run: sewable baseline %[1]s\n", visible.Text(list.Path))
	}
}
