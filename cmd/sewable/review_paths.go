package main

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"sewable/lint/history"
)

// split takes BASE..HEAD and BASE...HEAD apart; what stands behind them is paths.
func (c *reviewCmd) split() bool {
	base, head, ok := strings.Cut(c.Base, "...")
	c.MergeBase = c.MergeBase || ok
	if !ok {
		if base, head, ok = strings.Cut(c.Base, ".."); !ok {
			return false
		}
	}
	if c.Head != "" {
		c.Paths = append([]string{c.Head}, c.Paths...)
	}
	c.Base, c.Head = base, head
	return true
}

// sort takes what stands behind BASE for the first path, if it is no revision; unknown says that
// it is none.
func (c *reviewCmd) sort(ctx context.Context, repo *history.Repo) (second string, unknown error) {
	if c.split() || c.Head == "" {
		return "", nil
	}
	second = c.Head
	if _, unknown = repo.Resolve(ctx, c.Head); unknown != nil {
		c.Head, c.Paths = "", append([]string{c.Head}, c.Paths...)
	}
	return second, unknown
}

// path is a path as it is given, in the folder of --repo.
func (c reviewCmd) path(given string) string {
	if filepath.IsAbs(given) {
		return given
	}
	return filepath.Join(c.Repo, given)
}

// within are the paths from the root. What stands behind BASE has to be either a revision or a path.
func (c reviewCmd) within(before, after *history.Tree, second string, unknown error) ([]string, error) {
	find := func(given string) (rel string, inside, there bool) {
		abs, err := filepath.Abs(c.path(given))
		if err != nil {
			return "", false, false
		}
		rel, inside = after.Rel(abs)
		under := func(file string) bool { return history.Under(file, rel) }
		return rel, inside, inside && (slices.ContainsFunc(before.Paths(), under) || slices.ContainsFunc(after.Paths(), under))
	}
	if _, _, there := find(second); second != "" && unknown == nil && there {
		return nil, fmt.Errorf("%s is both a revision and a path: write ./%[1]s for the path, or %s..%[1]s for the revision", second, c.Base)
	}
	var out []string
	for i, given := range c.Paths {
		rel, inside, there := find(given)
		switch {
		case there:
			out = append(out, rel)
		case i == 0 && unknown != nil:
			return nil, fmt.Errorf("%w, and there is no file or folder with that name", unknown)
		case !inside:
			return nil, fmt.Errorf("%s is not in the repository", given)
		default:
			return nil, fmt.Errorf("%s: neither side has such a file or folder", given)
		}
	}
	return out, nil
}
