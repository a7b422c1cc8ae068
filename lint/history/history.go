// Package history reads a git repository through the installed git: its
// commits, its working tree, and what changed between two of them.
//
//	Open      the repository that a folder lies in
//	Resolve   what a person calls a revision → a commit
//	Tree      the files of a commit, or of the working tree
//	Changes   the files that differ between two trees, renames found
//	Merge     the files as they will be when two commits are merged
//
// A tree stands in for a folder: its Loader and its Config resolve `use` and
// sewable.toml as they were at that time.
//
// Nothing that a repository's configuration names is run: no hook, filter, external
// diff, text conversion, merge driver, file monitor or transport. What differs
// between two trees is found by the names git gives to contents (their hashes), so
// that it is the same for a commit and for the working tree. Nothing is
// written to the repository.
package history

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

// Repo is a repository. All methods may be called from several goroutines.
type Repo struct {
	// Root is the absolute path of the folder whose files are kept. A bare
	// repository has none: there it is the folder of the repository, as if the
	// files lay in it.
	Root    string
	Bare    bool
	Shallow bool // a clone without its older commits

	dir    string   // where git is run
	gitDir string   // the .git folder
	env    []string // what git is run with
	hash   string   // sha1 or sha256
}

// Open finds the repository that a folder lies in.
func Open(ctx context.Context, dir string) (*Repo, error) {
	if _, err := exec.LookPath("git"); err != nil {
		return nil, errors.New("git is not installed, or not in the PATH; the history of the files is read through it")
	}
	abs, err := filepath.Abs(dir)
	if err != nil {
		return nil, err
	}
	if info, err := os.Stat(abs); err != nil || !info.IsDir() {
		return nil, fmt.Errorf("%s is not a folder", dir)
	}
	r := &Repo{dir: abs, env: environment(os.Environ())}
	err = r.look(ctx)
	var failed *gitError
	if errors.As(err, &failed) && failed.says("not a git repository") && os.Getenv("GIT_DIR") != "" {
		r.env = append(r.env, kept("GIT_DIR", "GIT_WORK_TREE", "GIT_COMMON_DIR")...)
		err = r.look(ctx)
	}
	switch {
	case err == nil:
	case !errors.As(err, &failed):
		return nil, err
	case failed.says("dubious ownership"):
		return nil, fmt.Errorf("git does not trust %s, since it belongs to somebody else; if you do: git config --global --add safe.directory %[1]s", shown(abs))
	case failed.says("not a git repository"):
		return nil, fmt.Errorf("%s is not in a git repository", shown(abs))
	default:
		return nil, err
	}
	if same(os.Getenv("GIT_DIR"), r.gitDir) { // run by a hook of this repository
		r.env = append(r.env, kept("GIT_INDEX_FILE", "GIT_OBJECT_DIRECTORY", "GIT_ALTERNATE_OBJECT_DIRECTORIES", "GIT_QUARANTINE_PATH")...)
	}
	return r, nil
}

// look asks git where the repository is and of what kind.
func (r *Repo) look(ctx context.Context) error {
	out, err := r.git(ctx, "rev-parse", "--is-inside-work-tree", "--is-shallow-repository", "--show-object-format", "--absolute-git-dir")
	if err != nil {
		return err
	}
	lines := strings.SplitN(strings.TrimSuffix(string(out), "\n"), "\n", 4)
	if len(lines) < 4 {
		return errors.New("this git is too old; version 2.25 or newer is needed")
	}
	r.Bare, r.Shallow, r.hash, r.gitDir = lines[0] != "true", lines[1] == "true", lines[2], lines[3]
	r.Root = r.gitDir
	if !r.Bare {
		if out, err = r.git(ctx, "rev-parse", "--show-toplevel"); err != nil {
			return err
		}
		r.Root = strings.TrimSuffix(string(out), "\n")
	}
	r.Root = filepath.FromSlash(r.Root)
	if real, err := filepath.EvalSymlinks(r.dir); err == nil { // git tells real paths
		if rel, err := filepath.Rel(r.Root, real); err == nil && !leaves(rel) && !r.Bare {
			r.Root = up(r.dir, rel)
		}
	}
	return nil
}

// up is the folder from which rel leads to dir: the root, by the path
// that the user took, which may go through links.
func up(dir, rel string) string {
	if rel == "." {
		return dir
	}
	for range strings.Count(filepath.ToSlash(rel), "/") + 1 {
		dir = filepath.Dir(dir)
	}
	return dir
}

func leaves(rel string) bool {
	return rel == ".." || strings.HasPrefix(rel, ".."+string(filepath.Separator))
}

// spoken are the variables that speak of one repository, or change what git
// answers. A hook sets them for its own repository; which one is meant here is
// told by the folder.
var spoken = []string{
	"GIT_DIR", "GIT_WORK_TREE", "GIT_COMMON_DIR", "GIT_INDEX_FILE", "GIT_PREFIX", "GIT_NAMESPACE",
	"GIT_OBJECT_DIRECTORY", "GIT_ALTERNATE_OBJECT_DIRECTORIES", "GIT_QUARANTINE_PATH", "GIT_SHALLOW_FILE", "GIT_GRAFT_FILE",
	"GIT_LITERAL_PATHSPECS", "GIT_GLOB_PATHSPECS", "GIT_NOGLOB_PATHSPECS", "GIT_ICASE_PATHSPECS",
	"GIT_EXTERNAL_DIFF", "GIT_DIFF_OPTS", "GIT_INTERNAL_SUPER_PREFIX", "GIT_PAGER", "LC_ALL", "LANGUAGE",
}

func environment(from []string) []string {
	env := slices.DeleteFunc(slices.Clone(from), func(v string) bool {
		name, _, _ := strings.Cut(v, "=")
		return slices.Contains(spoken, name)
	})
	return append(env, "LC_ALL=C", "GIT_OPTIONAL_LOCKS=0", "GIT_TERMINAL_PROMPT=0", "GIT_NO_LAZY_FETCH=1",
		"GIT_ALLOW_PROTOCOL=none") // which no configuration can change, as it can protocol.allow
}

// kept are variables of this process as they are, relative paths made absolute:
// git is run in another folder.
func kept(names ...string) []string {
	var out []string
	for _, name := range names {
		value := os.Getenv(name)
		if value == "" {
			continue
		}
		if name != "GIT_ALTERNATE_OBJECT_DIRECTORIES" { // a list; git gives absolute paths in it
			if abs, err := filepath.Abs(value); err == nil {
				value = abs
			}
		}
		out = append(out, name+"="+value)
	}
	return out
}

// same reports whether two paths are one folder.
func same(a, b string) bool {
	if a == "" {
		return false
	}
	x, err1 := os.Stat(a)
	y, err2 := os.Stat(b)
	return err1 == nil && err2 == nil && os.SameFile(x, y)
}

// command is a call of git that runs nothing else.
func (r *Repo) command(ctx context.Context, args ...string) *exec.Cmd {
	all := []string{
		"--no-pager", "--literal-pathspecs",
		"-c", "core.fsmonitor=false", "-c", "core.hooksPath=" + os.DevNull, "-c", "core.untrackedCache=false",
		"-c", "submodule.recurse=false",
	}
	cmd := exec.CommandContext(ctx, "git", append(all, args...)...)
	cmd.Dir, cmd.Env = r.dir, r.env
	return cmd
}

// git runs git and gives what it prints.
func (r *Repo) git(ctx context.Context, args ...string) ([]byte, error) {
	cmd := r.command(ctx, args...)
	var out, said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &said
	if err := cmd.Run(); err != nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		return out.Bytes(), &gitError{args[0], said.String(), cmd.ProcessState.ExitCode(), err}
	}
	return out.Bytes(), nil
}

// gitError is a call of git that failed.
type gitError struct {
	command, said string
	code          int
	err           error
}

func (e *gitError) says(words string) bool { return strings.Contains(e.said, words) }

func (e *gitError) Unwrap() error { return e.err }

// Error is the first thing that git says.
func (e *gitError) Error() string {
	for line := range strings.Lines(e.said) {
		line = strings.TrimSpace(line)
		if line != "" && !strings.HasPrefix(line, "warning:") && !strings.HasPrefix(line, "hint:") {
			return fmt.Sprintf("git %s: %s", e.command, strings.TrimPrefix(strings.TrimPrefix(line, "fatal: "), "error: "))
		}
	}
	return fmt.Sprintf("git %s: %v", e.command, e.err)
}

// Resolve gives the commit that a person means by a revision: a branch, a tag, a
// hash, HEAD~2. The error says what to do when the clone is shallow.
func (r *Repo) Resolve(ctx context.Context, rev string) (string, error) {
	unknown := fmt.Errorf("there is no revision %q in this repository", rev)
	if rev == "" || strings.HasPrefix(rev, "-") || strings.ContainsAny(rev, "\x00\n") {
		return "", unknown
	}
	out, err := r.git(ctx, "rev-parse", "--verify", "--quiet", rev+"^{commit}")
	var failed *gitError
	switch {
	case err == nil:
		return strings.TrimSpace(string(out)), nil
	case !errors.As(err, &failed):
		return "", err
	case r.Shallow:
		return "", fmt.Errorf("there is no revision %q in this clone, which is shallow: git fetch --unshallow gets the older commits", rev)
	}
	return "", unknown
}

// MergeBase gives the commit at which two commits parted.
func (r *Repo) MergeBase(ctx context.Context, a, b string) (string, error) {
	out, err := r.git(ctx, "merge-base", a, b)
	var failed *gitError
	switch {
	case err == nil:
		return strings.TrimSpace(string(out)), nil
	case !errors.As(err, &failed) || failed.code != 1:
		return "", err
	case r.Shallow:
		return "", fmt.Errorf("the merge base of %s and %s is not in this clone, which is shallow: git fetch --unshallow gets the older commits", short(a), short(b))
	}
	return "", fmt.Errorf("%s and %s have no commit in common", short(a), short(b))
}

// short is a commit as people read it.
func short(commit string) string {
	if len(commit) > 10 {
		return commit[:10]
	}
	return commit
}

// shown is the path a person reads.
func shown(abs string) string { return filepath.ToSlash(abs) }
