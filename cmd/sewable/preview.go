package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"sewable/lang/files"
	"sewable/lint"
	"sewable/lint/rules"
	"sewable/lsp/preview"
)

type previewCmd struct {
	Path   string `arg:"" name:"file" help:"A file."`
	Config string `placeholder:"FILE" help:"Use only this settings file."`
}

// Help is what `sewable preview --help` says at length.
func (previewCmd) Help() string {
	return `Prints the address of a page that shows the file, redrawn whenever it, a file it uses or sewable.toml is saved, until
Ctrl-C. Only this computer can open the page, and only with its full address. Clicking a patch prints its
FILE:LINE:COLUMN here.`
}

// Run shows the file until it is stopped, which is how a preview ends.
func (c previewCmd) Run(ctx context.Context, s streams) error {
	if files.IsFolder(c.Path) {
		return fmt.Errorf("%s is a folder; a preview shows one file", c.Path)
	}
	server, err := preview.Start(preview.Options{Goto: func(path string, line, column int) string {
		place := fmt.Sprintf("%s:%d:%d", filepath.ToSlash(path), line, column)
		fmt.Fprintln(s.out, place)
		return place
	}})
	if err != nil {
		return err
	}
	defer server.Close()
	page, err := server.Page(c.Path)
	if err != nil {
		return err
	}
	err = page.Follow(ctx, preview.Following{
		Rules: rules.All,
		Config: func() (*lint.Config, error) {
			o, err := lintOptions(c.Config)
			return o.Config, err
		},
		Begun: func() { fmt.Fprintf(s.out, "%s\nCtrl-C ends the preview.\n", page.URL()) },
	})
	if errors.Is(err, context.Canceled) {
		return nil
	}
	return err
}
