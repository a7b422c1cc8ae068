package main

import (
	"context"
	"errors"
	"path/filepath"
	"slices"
	"strings"

	"sewable/lang/source"
	"sewable/lint"
	"sewable/lint/history"
	"sewable/lint/review"
	"sewable/lint/rules"
)

// newOnly leaves the findings that came since a revision: those that "sewable review" calls
// new, and those of files that git knows nothing of.
func newOnly(ctx context.Context, repo *history.Repo, commit string, r *lint.Result) error {
	after, err := repo.WorkingTree(ctx)
	if err != nil {
		return err
	}
	defer after.Close()
	before, err := repo.Tree(ctx, commit)
	if err != nil {
		return err
	}
	defer before.Close()
	change, err := review.Found(ctx, before, after, rules.All)
	if err != nil {
		return err
	}
	if len(change.Failures) > 0 {
		return change.Failures[0]
	}
	type key struct {
		file, rule, message string
		at                  source.Span
	}
	keyOf := func(f lint.Finding) key {
		return key{lint.FromRoot(f.File, repo.Root), f.Rule, f.Message, f.Span}
	}
	came := map[key]bool{}
	add := func(found review.Findings) {
		for _, f := range found.New {
			f.File = filepath.Join(repo.Root, filepath.FromSlash(f.File))
			came[keyOf(f)] = true
		}
	}
	for _, b := range change.Blocks {
		add(b.Findings)
	}
	for _, q := range change.Quilts {
		add(q.Findings)
	}
	for _, f := range change.Files {
		add(f.Findings)
	}
	all := len(r.Findings)
	r.Findings = slices.DeleteFunc(r.Findings, func(f lint.Finding) bool {
		k := keyOf(f)
		return !came[k] && after.Has(k.file)
	})
	r.Known += all - len(r.Findings)
	return nil
}

// since finds the repository and the commit that --new-from names: "main", or "main..." for the commit at which
// the one that is checked out parted from it.
func (c lintCmd) since(ctx context.Context) (*history.Repo, string, error) {
	switch {
	case slices.Contains(c.Paths, "-"):
		return nil, "", errors.New("--new-from cannot be used with standard input")
	case c.Config != "":
		return nil, "", errors.New("--new-from uses each revision's own sewable.toml, so it cannot be combined with --config")
	}
	repo, err := history.Open(ctx, ".")
	if err != nil {
		return nil, "", err
	}
	name, parted := strings.CutSuffix(c.NewFrom, "...")
	commit, err := repo.Resolve(ctx, name)
	if err == nil && parted {
		var head string
		if head, err = repo.Resolve(ctx, "HEAD"); err == nil {
			commit, err = repo.MergeBase(ctx, commit, head)
		}
	}
	return repo, commit, err
}
