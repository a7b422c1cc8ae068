package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"

	"github.com/aymanbagabas/go-udiff"

	"sewable/lang/files"
	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lang/syntax/format"
	"sewable/lang/visible"
	"sewable/lint"
	"sewable/lint/rules"
)

type fmtCmd struct {
	Paths []string `arg:"" optional:"" default:"-" help:"Files, folders, or - for standard input."`
	Check bool     `help:"List files that are not formatted; exit 1 if there are any."`
	Diff  bool     `help:"Show what would change."`
	Write bool     `help:"Write the files. Without it no file is changed."`
}

// Run formats the paths. Without a flag the formatted text of one file is
// printed.
func (c fmtCmd) Run(ctx context.Context, s streams) error {
	if slices.Contains(c.Paths, "-") {
		return c.stdin(ctx, s)
	}
	config := lint.NewConfig(rules.All)
	paths, err := lint.FindFiles(c.Paths, config)
	if err != nil {
		return err
	}
	toRead := !c.Check && !c.Diff && !c.Write // somebody looks at one file
	if !toRead {
		paths, _ = s.included(paths, c.Paths, config)
	}
	if len(paths) > 1 && toRead {
		return fmt.Errorf("%d files: add --check, --diff or --write", len(paths))
	}
	changed, failed := false, false
	for _, path := range paths {
		if err := ctx.Err(); err != nil {
			return err
		}
		differs, err := c.file(s, config.Gate(), path)
		if err != nil {
			fail(s, err)
			failed = true
		}
		changed = changed || differs
	}
	if failed {
		return errExit(exitFailed)
	}
	return c.verdict(changed)
}

func (c fmtCmd) file(s streams, gate *files.Gate, path string) (differs bool, err error) {
	text, err := gate.Block(path)
	if err != nil {
		return false, err
	}
	return c.one(s, path, text, func(formatted string) error { return gate.Rewrite(path, text, formatted, files.Block) })
}

func (c fmtCmd) stdin(ctx context.Context, s streams) error {
	if len(c.Paths) > 1 {
		return errors.New("- means standard input and cannot be combined with other paths")
	}
	if c.Write {
		return errors.New("--write cannot be used with standard input")
	}
	text, err := readStdin(ctx, s)
	if err != nil {
		return err
	}
	differs, err := c.one(s, "stdin.block", text, nil)
	if err != nil {
		return err
	}
	return c.verdict(differs)
}

// one formats one text and does what the flags ask. It reports whether the
// text was not formatted. A name or a difference is printed when it is written.
func (c fmtCmd) one(s streams, path, text string, write func(string) error) (differs bool, err error) {
	formatted, err := formatText(path, text)
	if err != nil {
		return false, err
	}
	differs = formatted != text
	switch {
	case !c.Check && !c.Diff && !c.Write:
		_, err = io.WriteString(s.text(), formatted)
		return differs, err
	case !differs:
		return false, nil
	}
	if c.Write {
		if err := write(formatted); err != nil {
			return true, err
		}
	}
	if c.Diff {
		if err := s.diff(path, " (formatted)", text, formatted); err != nil {
			return true, err
		}
	} else if _, err := fmt.Fprintln(s.out, visible.Text(path)); err != nil {
		return true, err
	}
	return true, nil
}

// diff writes what differs between a file's text and what becomes of it. A diff is to be read, so it is shown
// line by line, to a pipe too: the text itself is there for programs.
func (s streams) diff(path, becomes, text, after string) error {
	path = visible.Text(path)
	_, err := io.WriteString(s.out, udiff.Unified(path, path+becomes, text, after))
	return err
}

// formatText formats a text. One in which nothing can be read is refused: it may be anything.
func formatText(path, text string) (string, error) {
	tree := syntax.Parse(source.New(path, text))
	for _, e := range tree.Errors {
		if e.Kind == syntax.NotText || e.Kind == syntax.Limit && e.Item.Stmt.Len() == 0 {
			return "", fmt.Errorf("%s: %s", path, e.Message)
		}
	}
	if format.Foreign(tree) {
		return "", fmt.Errorf("%s: not formatted, because no line of it can be read; `sewable lint` says why", path)
	}
	return format.Format(tree), nil
}

// verdict ends a check.
func (c fmtCmd) verdict(changed bool) error {
	if c.Check && changed {
		return errFound
	}
	return nil
}
