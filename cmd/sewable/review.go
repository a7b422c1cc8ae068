package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"

	"sewable/lint/history"
	"sewable/lint/review"
	"sewable/lint/rules"
)

type reviewCmd struct {
	Base      string   `arg:"" help:"Revision to compare with: main, v2, HEAD~3. BASE...HEAD compares with their merge base."`
	Head      string   `arg:"" optional:"" help:"Revision to look at. Default: the working tree."`
	Paths     []string `arg:"" name:"path" optional:"" help:"Look only at files under these paths."`
	MergeBase bool     `help:"Compare with the merge base: only the changes on HEAD, not those made on BASE since they diverged."`
	Kits      copies   `default:"1" help:"Number of kits packed: how many pieces to recut, and how much fabric."`
	FailOn    []string `enum:"silenced,errors,found,unjudged,recut,reprint" default:"errors" placeholder:"WHAT" help:"Exit with 1 if the change has any of these: silenced (findings hidden, checks loosened), errors (new ones), found (new warnings or hints), unjudged, recut, reprint. Separated by commas. Default: errors."`
	Repo      string   `default:"." placeholder:"FOLDER" help:"A folder of the repository. Default: this one."`
	Format    string   `enum:"text,markdown,html,json," default:"" help:"text, markdown (a comment for a pull request), html (a page with drawings) or json. Default: from the name of -o."`
	Out       string   `short:"o" placeholder:"FILE" help:"File to write; its name ends in .txt, .md, .html or .json."`
}

// Help explains what is compared, and what is done with the answer.
func (reviewCmd) Help() string {
	return `Shows what a change does to the sewn blocks, first things first: what it silences or loosens, new errors and warnings, what cannot
be judged, the pieces to recut, the paper to reprint, and the rest, once for each cause. Patches are matched by their shape and place, so renaming a section, moving
lines or spelling a number differently changes nothing. Blocks that changed only through a used file or a sewable.toml are
included.

With paths, only the files under them are compared. A name that is not a revision is a path:

  sewable review main blocks/boats

The exit code is 1 if the change adds an error, or what --fail-on names. In a pull request:

  sewable review --merge-base origin/main HEAD -o review.md`
}

var reviewExts = map[string]string{
	".txt": "text", ".text": "text", ".md": "markdown", ".markdown": "markdown", ".html": "html", ".htm": "html", ".json": "json",
}

// Run compares two revisions, or one and the working tree. It ends as found when the
// change brings an error.
func (c reviewCmd) Run(ctx context.Context, s streams) error {
	format, err := c.format()
	if err != nil {
		return err
	}
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(300) // as lint does
	}
	repo, err := history.Open(ctx, c.Repo)
	if err != nil {
		return err
	}
	second, unknown := c.sort(ctx, repo)
	before, after, err := c.trees(ctx, repo)
	if err != nil {
		return err
	}
	defer before.Close()
	defer after.Close()
	paths, err := c.within(before, after, second, unknown)
	if err != nil {
		return err
	}
	r, err := review.Run(ctx, before, after, rules.All, paths)
	if err != nil {
		return err
	}
	if len(r.Failures) > 0 {
		return r.Failures[0]
	}
	r.Base, r.Head, r.Kits = c.Base, c.Head, int(c.Kits)
	if c.Head == "" {
		r.Head = "the working tree"
	}
	if c.MergeBase {
		r.Base = "its merge base with " + c.Base
	}
	write := map[string]func(io.Writer) error{
		"text":     func(w io.Writer) error { return review.Text(w, r, styleOf(w).Profile) },
		"markdown": func(w io.Writer) error { return review.Markdown(w, r) },
		"html":     func(w io.Writer) error { return review.HTML(w, r) },
		"json":     func(w io.Writer) error { return review.JSON(w, r) },
	}[format]
	if c.Out == "" {
		err = write(s.raw.out)
	} else {
		var out bytes.Buffer
		if err = write(&out); err == nil {
			err = writeBytes(c.Out, out.Bytes())
		}
	}
	if err == nil && slices.ContainsFunc(c.FailOn, r.Has) {
		err = errFound
	}
	return err
}

// format is the form that is asked for.
func (c reviewCmd) format() (string, error) {
	if c.Format != "" {
		return c.Format, nil
	}
	if c.Out == "" {
		return "text", nil
	}
	if f, ok := reviewExts[strings.ToLower(filepath.Ext(c.Out))]; ok {
		return f, nil
	}
	return "", fmt.Errorf("-o %s: the name must end in .txt, .md, .html or .json, or add --format", c.Out)
}

// trees opens both sides.
func (c reviewCmd) trees(ctx context.Context, repo *history.Repo) (before, after *history.Tree, err error) {
	base, err := repo.Resolve(ctx, c.Base)
	if err != nil {
		return nil, nil, err
	}
	head := ""
	if c.Head != "" {
		if head, err = repo.Resolve(ctx, c.Head); err != nil {
			return nil, nil, err
		}
	}
	if c.MergeBase {
		other := head
		if other == "" {
			if other, err = repo.Resolve(ctx, "HEAD"); err != nil {
				return nil, nil, err
			}
		}
		if base, err = repo.MergeBase(ctx, base, other); err != nil {
			return nil, nil, err
		}
	}
	if head == "" {
		after, err = repo.WorkingTree(ctx)
	} else {
		after, err = repo.Tree(ctx, head)
	}
	if err != nil {
		return nil, nil, err
	}
	if before, err = repo.Tree(ctx, base); err != nil {
		after.Close()
		return nil, nil, err
	}
	return before, after, nil
}

type mergeCheckCmd struct {
	Theirs string `arg:"" name:"branch" help:"The branch to merge."`
	Ours   string `arg:"" name:"into" optional:"" default:"HEAD" help:"Branch to merge it into. Default: HEAD."`
	Repo   string `default:"." placeholder:"FOLDER" help:"A folder of the repository. Default: this one."`
	Format string `enum:"text,json" default:"text" help:"text or json."`
}

// Help explains what a merge can break.
func (mergeCheckCmd) Help() string {
	return `Merges two branches in memory, without touching any file, and reports what is wrong in the merged blocks but right on both
branches: two changes that are fine alone and wrong together, such as a patch made larger on one and its neighbor on the other.

The exit code is 1 if there is such an error, or a conflict. Needs git 2.38 or newer.`
}

// Run tries a merge.
func (c mergeCheckCmd) Run(ctx context.Context, s streams) error {
	repo, err := history.Open(ctx, c.Repo)
	if err != nil {
		return err
	}
	var sides [2]*history.Tree
	for i, rev := range []string{c.Ours, c.Theirs} {
		commit, err := repo.Resolve(ctx, rev)
		if err != nil {
			return err
		}
		if sides[i], err = repo.Tree(ctx, commit); err != nil {
			return err
		}
		defer sides[i].Close()
	}
	merged, err := repo.Merge(ctx, sides[0].Commit, sides[1].Commit)
	if err != nil {
		return err
	}
	defer merged.Close()
	r, err := review.Merge(ctx, sides[0], sides[1], merged, rules.All)
	if err != nil {
		return err
	}
	if len(r.Failures) > 0 {
		return r.Failures[0]
	}
	r.Ours, r.Theirs = c.Ours, c.Theirs
	if c.Format == "json" {
		err = review.MergeJSON(s.out, r)
	} else {
		err = review.MergeText(s.raw.out, r, styleOf(s.raw.out))
	}
	switch {
	case err != nil:
		return err
	case !r.Sound():
		return errFound
	}
	return nil
}
