package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"runtime/debug"
	"slices"
	"strings"

	"sewable/lang/block"
	"sewable/lang/syntax"
	"sewable/lint"
	"sewable/lint/output"
	"sewable/lint/rules"
)

type lintCmd struct {
	Paths     []string `arg:"" optional:"" default:"." help:"Files, folders, or - for standard input."`
	Format    string   `enum:"text,json" default:"text" help:"text or json."`
	Level     string   `enum:"hint,warning,error" default:"hint" help:"The least level shown: hint, warning or error."`
	Fix       bool     `help:"Do the fixes that are certain, and write the files."`
	Config    string   `placeholder:"FILE" help:"Take the settings from this file alone."`
	StdinName string   `placeholder:"PATH" help:"The path that standard input stands in for." default:"stdin.block"`
}

// Help is what `sewable lint --help` says at length.
func (lintCmd) Help() string {
	return `Exit codes: 0 clean, 1 findings at error level, 2 the run itself failed, 130 stopped by Ctrl-C.

Settings are in the nearest sewable.toml upwards from each file. "sewable rules" lists the rules.`
}

// Run lints the paths.
func (c lintCmd) Run(ctx context.Context, s streams) error {
	o, err := lintOptions(c.Config)
	if err != nil {
		return err
	}
	var result *lint.Result
	if text, ok, err := c.stdin(ctx, s); err != nil {
		return err
	} else if ok {
		result = lint.Text(c.StdinName, text, o)
	} else if result, err = c.files(ctx, s, o); err != nil {
		return err
	}
	return c.report(s, result)
}

// lintOptions are what a command lints with: every rule, and the settings beside
// the files, or those of one file alone.
func lintOptions(config string) (lint.Options, error) {
	o := lint.Options{
		Rules:  rules.All,
		Config: lint.NewConfig(rules.All),
		Loader: block.NewLoader(syntax.NewReader(), nil),
	}
	var err error
	if config != "" {
		o.Config, err = lint.FixedConfig(config, rules.All)
	}
	return o, err
}

// stdin reads standard input when that is what is to be linted.
func (c lintCmd) stdin(ctx context.Context, s streams) (text string, ok bool, err error) {
	if !slices.Contains(c.Paths, "-") {
		return "", false, nil
	}
	if len(c.Paths) > 1 {
		return "", false, errors.New("- stands for standard input and goes with no other path")
	}
	if c.Fix {
		return "", false, errors.New("--fix writes files, and standard input is none")
	}
	text, err = readStdin(ctx, s)
	return text, true, err
}

func (c lintCmd) files(ctx context.Context, s streams, o lint.Options) (*lint.Result, error) {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(300) // a run is short and keeps little: a tenth of the time for some 50 MB
	}
	paths, err := lint.FindFiles(c.Paths, o.Config)
	if err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if len(paths) == 0 { // a slip in a path must not pass for a clean repository
		return nil, fmt.Errorf("there is no block file in %s", strings.Join(c.Paths, ", "))
	}
	if c.Fix {
		if err := fix(ctx, s, paths, o); err != nil {
			return nil, err
		}
		o.Loader = block.NewLoader(syntax.NewReader(), nil) // used files may have changed
	}
	line := startProgress(s.err, len(paths))
	defer line.stop()
	o.Progress = line.reach
	return lint.Run(ctx, paths, o)
}

// fix mends the files one by one and says what it did. A file that cannot be
// read or written is reported by the lint run that follows, or here.
func fix(ctx context.Context, s streams, paths []string, o lint.Options) error {
	for _, path := range paths {
		if err := ctx.Err(); err != nil {
			return err
		}
		text, err := block.ReadFile(path)
		if err != nil {
			continue // the lint run says so
		}
		o.Loader = block.NewLoader(syntax.NewReader(), nil) // the file before may be one that this one uses
		mended := lint.Mend(path, text, o)
		for _, f := range mended.Refused {
			fmt.Fprintf(s.err, "%s: not fixed, since that would bring: %s [%s]\n", path, f.Message, f.Rule)
		}
		if len(mended.Fixes) == 0 {
			continue
		}
		if err := lint.WriteFile(path, text, mended.Text); err != nil {
			return err
		}
		for _, f := range mended.Fixes {
			fmt.Fprintf(s.err, "%s: fixed: %s\n", path, f.Title)
		}
	}
	return nil
}

// report writes what was found, down to the least level.
func (c lintCmd) report(s streams, r *lint.Result) error {
	found := r.Count(lint.Error) > 0
	least, _ := lint.ParseLevel(c.Level)
	r.Findings = slices.DeleteFunc(r.Findings, func(f lint.Finding) bool { return f.Level < least })
	var err error
	if c.Format == "json" {
		err = output.JSON(s.out, r)
	} else {
		err = output.Text(s.out, r, styleOf(s.out))
	}
	switch {
	case err != nil:
		return err
	case len(r.Failures) > 0:
		return r.Failures[0]
	case found:
		return errFound
	}
	return nil
}
