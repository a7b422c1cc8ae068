package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"runtime/debug"
	"slices"
	"strings"

	"sewable/lang/block"
	"sewable/lang/files"
	"sewable/lang/syntax"
	"sewable/lint"
	"sewable/lint/baseline"
	"sewable/lint/history"
	"sewable/lint/output"
	"sewable/lint/rules"
)

type lintCmd struct {
	Paths []string `arg:"" optional:"" default:"." help:"Files, folders, or - for standard input."`
	formFlags
	Level string `enum:"hint,warning,error" default:"hint" help:"Lowest severity shown: hint, warning or error."`
	pickFlags
	changeFlags
	FailOn    string `enum:"error,warning,hint,never" default:"error" help:"Exit with 1 if there is a finding of this severity or above: error, warning, hint, or never."`
	Counts    bool   `name:"statistics" help:"Instead of the findings, count them by rule."`
	ShowFiles bool   `help:"Only list the files that would be checked."`
	Config    string `placeholder:"FILE" help:"Use only this settings file."`
	StdinName string `placeholder:"PATH" help:"File name to report for standard input. Default: stdin.block."`
	Baseline  string `placeholder:"FILE" help:"Ignore the findings in this baseline (\"sewable baseline\" writes one)."`
	NewFrom   string `placeholder:"REV" help:"Report only findings that are new since this git revision; REV... means since the merge base with REV."`
	Shard     shard  `placeholder:"K/N" help:"Check only the Kth of N parts of about equal size: 2/8."`
	cacheFlags
}

// Help is what `sewable lint --help` says at length.
func (lintCmd) Help() string {
	return `Exit codes: 0 no errors, 1 errors found, 2 the run failed, 130 stopped by Ctrl-C.

Settings come from the nearest sewable.toml in or above each file's folder. "sewable rules" lists the rules.

  sewable lint --format github -o sarif=lint.sarif -o junit=lint.xml`
}

// Run lints the paths.
func (c lintCmd) Run(ctx context.Context, s streams) error {
	if _, err := c.forms(); err != nil {
		return err
	}
	if err := c.check(); err != nil {
		return err
	}
	var let *baseline.List
	if c.Baseline != "" {
		var err error
		if let, err = baseline.Read(c.Baseline); errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("%w; to create it, run: sewable baseline %s", err, c.Baseline)
		} else if err != nil {
			return err
		}
	}
	o, err := lintOptions(c.Config)
	if err != nil {
		return err
	}
	var repo *history.Repo
	var commit string
	if c.NewFrom != "" {
		if repo, commit, err = c.since(ctx); err != nil {
			return err
		}
	}
	look := func(first bool) (output.Report, error) {
		r := output.Report{Part: string(c.Shard)}
		if text, ok, err := c.stdin(ctx, s); err != nil {
			return r, err
		} else if ok {
			name := cmp.Or(c.StdinName, "stdin.block")
			if r.Paths, _ = s.included([]string{name}, nil, o.Config); len(r.Paths) > 0 {
				r.Result = lint.Text(name, text, o)
			} else if r.Result, err = lint.Run(ctx, nil, o); err != nil {
				return r, err
			}
		} else if r.Result, r.Paths, err = c.files(ctx, s, o); err != nil {
			return r, err
		}
		if let != nil {
			linted := slices.Clone(r.Paths)
			if c.Shard.first() {
				linted = append(linted, settingsPaths(o)...)
			}
			to := s
			if first {
				to.err = io.Discard // said at the end
			}
			ignoreKnown(to, let, r.Result, linted)
		}
		if repo != nil {
			if err := newOnly(ctx, repo, commit, r.Result); err != nil {
				return r, err
			}
		}
		c.pick(r.Result)
		r.Findings = least(r.Findings, c.Level)
		return r, nil
	}
	if c.ShowFiles {
		return c.showFiles(s, o)
	}
	if c.changes() {
		r, err := look(true)
		if err != nil {
			return err
		}
		if err := c.change(ctx, s, r.Result, r.Paths, o); err != nil || c.Diff {
			return err
		}
		o.Loader = block.NewLoader(syntax.NewReader(), o.Config.Gate().Block) // what was read has changed
	}
	r, err := look(false)
	if err != nil {
		return err
	}
	return c.report(s, r)
}

// lintOptions are what a command lints with: every rule, and the settings beside
// the files, or those of one file alone.
func lintOptions(config string) (lint.Options, error) {
	gate := new(files.Gate)
	o := lint.Options{
		Rules:  rules.All,
		Config: lint.NewConfig(rules.All).Through(gate),
		Loader: block.NewLoader(syntax.NewReader(), gate.Block),
	}
	if config == "" {
		return o, nil
	}
	err := name(gate, config)
	if err == nil {
		o.Config, err = lint.FixedConfig(config, rules.All, gate)
	}
	return o, err
}

// open opens the one file that is named on the command line.
func open(o lint.Options, path string) (*block.File, error) {
	if err := name(o.Config.Gate(), path); err != nil {
		return nil, err
	}
	return o.Loader.Open(path)
}

// readNamed reads the one block file that is named on the command line.
func readNamed(gate *files.Gate, path string) (string, error) {
	if err := name(gate, path); err != nil {
		return "", err
	}
	return gate.Block(path)
}

// name lets in what is named on the command line.
func name(gate *files.Gate, path string) error {
	if _, err := gate.Name(path); err != nil {
		return &files.Error{Path: path, Err: files.Bare(err)}
	}
	return nil
}

// stdin reads standard input when that is what is to be linted.
func (c lintCmd) stdin(ctx context.Context, s streams) (text string, ok bool, err error) {
	if !slices.Contains(c.Paths, "-") {
		if c.StdinName != "" {
			return "", false, errors.New("--stdin-name only works with - (standard input)")
		}
		return "", false, nil
	}
	if len(c.Paths) > 1 {
		return "", false, errors.New("- means standard input and cannot be combined with other paths")
	}
	if c.changes() {
		return "", false, errors.New("--fix, --apply and --add-accepts cannot be used with standard input")
	}
	text, err = readStdin(ctx, s)
	return text, true, err
}

func (c lintCmd) files(ctx context.Context, s streams, o lint.Options) (*lint.Result, []string, error) {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(300) // a run is short and keeps little: a tenth of the time for some 50 MB
	}
	kept, err := c.cacheFlags.open(s)
	if err != nil {
		return nil, nil, err
	}
	paths, err := lint.FindFiles(c.Paths, o.Config)
	if err != nil {
		return nil, nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, nil, err
	}
	o.NoSettings = !c.Shard.first()
	paths, excluded := s.included(paths, c.Paths, o.Config)
	if len(paths) == 0 && !excluded { // a slip in a path must not pass for a clean repository
		return nil, nil, fmt.Errorf("there are no block files in %s", strings.Join(c.Paths, ", "))
	}
	if paths, err = c.Shard.of(paths, o.Config); err != nil {
		return nil, nil, err
	}
	line := startProgress(s.raw.err, func(n int64) string { return fmt.Sprintf("%d of %d files", n, len(paths)) })
	defer line.stop()
	o.Progress = line.reach
	found, err := runCached(ctx, s, kept, paths, o)
	return found, paths, err
}

// report writes what was found, down to the least level.
func (c lintCmd) report(s streams, r output.Report) error {
	write := c.write
	if c.Counts {
		write = func(s streams, r output.Report) error { return output.Counts(s.out, r.Result, rules.All) }
	}
	if err := write(s, r); err != nil {
		return err
	}
	if len(r.Failures) > 0 {
		return r.Failures[0]
	}
	if l, ok := lint.ParseLevel(c.FailOn); ok && slices.ContainsFunc(r.Findings, func(f lint.Finding) bool { return f.Level >= l }) {
		return errFound
	}
	return nil
}
