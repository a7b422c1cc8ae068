package main

import (
	"context"
	"fmt"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/show"
	"sewable/lang/syntax"
	"sewable/lint"
	"sewable/lint/rules"
)

type showCmd struct {
	Path  string `arg:"" name:"file" help:"A file, or - for standard input."`
	Alone bool   `help:"Read no other file: the fabrics of used files are taken by name."`
}

// Help says how git is told to use it.
func (showCmd) Help() string {
	return `Writes a file as it is understood, one thing a line, in a set order, with every number worked out: files that mean the same give
the same text, however they are spelled. git diff, log -p and show compare these texts once two lines are there. In .gitattributes:

  *.block diff=sewable

and in the configuration, since git takes no commands from a repository:

  git config --global diff.sewable.textconv "sewable show --alone"

git hands an older file over by itself, in a temporary folder; with --alone both sides are read the same way.`
}

// Run writes the text of a file.
func (c showCmd) Run(ctx context.Context, s streams) error {
	config := lint.NewConfig(rules.All)
	path, text, err := c.Path, "", error(nil)
	if path == "-" {
		path, c.Alone = "standard input", true
		text, err = readStdin(ctx, s)
	} else {
		text, err = readNamed(config.Gate(), path)
	}
	if err != nil {
		return err
	}
	f, unread := show.Open(path, text, c.Alone, syntax.NewReader(), config.Gate().Block)
	_, err = fmt.Fprint(s.out, show.Text(f, unread, func(f *block.File) cloth.Options {
		if unread {
			return lint.DefaultSettings(f.Unit).Cutting()
		}
		return config.For(f.Source.Path).For(f.Unit).Cutting()
	}))
	return err
}
