package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"

	"sewable/lint/history"
	"sewable/lint/review"
	"sewable/lint/rules"
)

type reviewCmd struct {
	Base      string   `arg:"" help:"The revision to compare with: main, v2, HEAD~3. BASE...HEAD compares with where the two parted."`
	Head      string   `arg:"" optional:"" help:"The revision to look at; left out, the files as they are now."`
	Paths     []string `arg:"" name:"path" optional:"" help:"Look at the files under these paths alone."`
	MergeBase bool     `help:"Compare with the commit at which BASE and HEAD parted: what HEAD brings, without what BASE has got since."`
	Repo      string   `default:"." placeholder:"FOLDER" help:"A folder of the repository; left out, this one."`
	Format    string   `enum:"text,markdown,html,json," default:"" help:"text, markdown (a comment for a pull request), html (a page with drawings) or json; left out, as the name of -o ends."`
	Out       string   `short:"o" placeholder:"FILE" help:"The file to write, whose name ends in .txt, .md, .html or .json."`
}

// Help explains what is compared, and what is done with the answer.
func (reviewCmd) Help() string {
	return `Says what a change does to the sewn blocks: the pieces to cut anew, the foundations to print anew, the cloth needed,
and the findings that are new, gone and still there. Patches are matched by what they are, so a section with another letter,
moved lines and another spelling change nothing. Blocks that changed only through a used file or a sewable.toml are there too.

With paths, only the files under them are looked at. A name that is no revision is a path:

  sewable review main blocks/boats

Ends with 1 when the change brings a finding at error level. In a pull request:

  sewable review --merge-base origin/main HEAD -o review.md`
}

var reviewExts = map[string]string{
	".txt": "text", ".text": "text", ".md": "markdown", ".markdown": "markdown", ".html": "html", ".htm": "html", ".json": "json",
}

// Run compares two revisions, or one and the working folder. It ends as found when the
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
	r.Base, r.Head = c.Base, c.Head
	if c.Head == "" {
		r.Head = "the working folder"
	}
	if c.MergeBase {
		r.Base = "where it parted from " + c.Base
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
	if err == nil && r.NewErrors() > 0 {
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
	return "", fmt.Errorf("-o %s: the name has to end in .txt, .md, .html or .json, or --format has to be given", c.Out)
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
	Ours   string `arg:"" name:"into" optional:"" default:"HEAD" help:"The branch to merge it into; left out, HEAD."`
	Repo   string `default:"." placeholder:"FOLDER" help:"A folder of the repository; left out, this one."`
	Format string `enum:"text,json" default:"text" help:"text or json."`
}

// Help explains what a merge can break.
func (mergeCheckCmd) Help() string {
	return `Merges two branches as a try, without touching any file, and says what is wrong with the merged blocks that is wrong on
neither branch: two changes that are each sound and together are not, such as a patch drawn larger here and its neighbour there.

Ends with 1 when there is such a finding at error level, or a conflict. It needs git 2.38 or newer.`
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
