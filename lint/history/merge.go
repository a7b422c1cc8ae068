package history

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// Merged is what merging two commits gives.
type Merged struct {
	*Tree
	Conflicts []string // files that git cannot merge by itself; they hold its marks

	scratch string
}

// Close ends what reads the tree, and takes away what was made for it.
func (m *Merged) Close() {
	m.Tree.Close()
	os.RemoveAll(m.scratch)
}

// Merge gives the files as they will be when two commits are merged. Neither the
// working tree nor the repository is written to: what is new lies in a
// temporary folder until Close. Merge drivers of the configuration are not run; their
// files are merged as text.
func (r *Repo) Merge(ctx context.Context, ours, theirs string) (*Merged, error) {
	scratch, err := os.MkdirTemp("", "sewable-merge-")
	if err != nil {
		return nil, err
	}
	m, err := r.merge(ctx, scratch, ours, theirs)
	if err != nil {
		os.RemoveAll(scratch)
		return nil, err
	}
	m.scratch = scratch
	return m, nil
}

func (r *Repo) merge(ctx context.Context, scratch, ours, theirs string) (*Merged, error) {
	if _, err := r.MergeBase(ctx, ours, theirs); err != nil {
		return nil, err
	}
	objects, err := r.git(ctx, "rev-parse", "--path-format=absolute", "--git-path", "objects")
	if err != nil {
		return nil, err
	}
	with := *r
	with.env = slices.Clone(r.env)
	others := strings.TrimSuffix(string(objects), "\n")
	for _, v := range r.env { // a hook's own
		if name, value, _ := strings.Cut(v, "="); name == "GIT_ALTERNATE_OBJECT_DIRECTORIES" {
			others += string(filepath.ListSeparator) + value
		}
	}
	with.env = append(with.env, "GIT_OBJECT_DIRECTORY="+scratch, "GIT_ALTERNATE_OBJECT_DIRECTORIES="+others)
	drivers, err := r.drivers(ctx)
	if err != nil {
		return nil, err
	}
	merging := with
	merging.env = settled(with.env, drivers, "git merge-file -q --marker-size=%L %A %O %B")
	out, err := merging.git(ctx, "-c", "merge.renormalize=false", "merge-tree", "--write-tree", "-z", "--name-only", "--no-messages", ours, theirs)
	var failed *gitError
	if errors.As(err, &failed) && failed.code != 1 { // 1: there are conflicts
		if failed.code == 129 {
			version, _ := r.git(ctx, "version")
			return nil, fmt.Errorf("this git is too old to try a merge: %s; version 2.38 or newer is needed", strings.TrimSpace(string(version)))
		}
		failed.command = "merge-tree"
		return nil, err
	} else if err != nil && failed == nil {
		return nil, err
	}
	names := strings.Split(strings.TrimSuffix(string(out), "\x00"), "\x00")
	t, err := with.tree(ctx, names[0], "", with.env)
	if err != nil {
		return nil, err
	}
	m := &Merged{Tree: t, Conflicts: names[1:]}
	slices.Sort(m.Conflicts)
	m.Conflicts = slices.Compact(m.Conflicts)
	return m, nil
}

// drivers are the settings that name a command to merge files with.
func (r *Repo) drivers(ctx context.Context) ([]string, error) {
	out, err := r.git(ctx, "config", "-z", "--name-only", "--get-regexp", `^merge\..*\.driver$`)
	if failed := (*gitError)(nil); errors.As(err, &failed) && failed.code == 1 {
		return nil, nil // there are none
	}
	return strings.FieldsFunc(string(out), func(c rune) bool { return c == 0 }), err
}

// settled is an environment in which some settings of git have a value, whatever the
// configuration says. The option -c could not name a setting with an equals sign in it.
func settled(env, names []string, value string) []string {
	const count = "GIT_CONFIG_COUNT"
	env = slices.Clone(env)
	n := 0
	for _, v := range env { // those of the user stay
		if text, ok := strings.CutPrefix(v, count+"="); ok {
			n, _ = strconv.Atoi(text)
		}
	}
	for _, name := range names {
		env = append(env, fmt.Sprintf("GIT_CONFIG_KEY_%d=%s", n, name), fmt.Sprintf("GIT_CONFIG_VALUE_%d=%s", n, value))
		n++
	}
	return append(env, fmt.Sprintf("%s=%d", count, n))
}
