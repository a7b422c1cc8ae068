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
	Alone bool   `help:"Do not open other files; show their fabrics by name only."`
}

// Help says how git is told to use it.
func (showCmd) Help() string {
	return `Prints a file in a normal form: one item a line, in a fixed order, with every number calculated. Files that mean the same give
the same text, however they are written. git diff, log -p and show compare these texts after two lines of setup. In .gitattributes:

  *.block diff=sewable

and in your git configuration, because git takes no commands from a repository:

  git config --global diff.sewable.textconv "sewable show --alone"

git passes an older version as a single file in a temporary folder; with --alone both sides are read the same way.`
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
