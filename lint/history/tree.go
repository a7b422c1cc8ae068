package history

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"sewable/lang/block"
	"sewable/lang/files"
	"sewable/lang/syntax"
	"sewable/lint"
)

// Tree is the files of a commit or of the working tree. Paths are from the
// root, with forward slashes.
type Tree struct {
	// Commit is empty for the working tree and for a merge.
	Commit string
	// Submodules are the folders that are repositories of their own. Their files
	// belong to another history and are not read.
	Submodules []string
	Pinned     map[string]string // the commits that the submodules are kept at, by folder

	repo    *Repo
	blobs   *blobs
	entries map[string]entry
	paths   []string // of the files, sorted
	working bool
	gate    files.Gate // of the working tree
}

// entry is a file: what kind, and the name of its content. A file on disk has
// no name until it is asked for.
type entry struct {
	link bool
	id   string
}

// Tree lists the files of a commit. Close it.
func (r *Repo) Tree(ctx context.Context, commit string) (*Tree, error) {
	return r.tree(ctx, commit, commit, r.env)
}

func (r *Repo) tree(ctx context.Context, name, commit string, env []string) (*Tree, error) {
	with := *r
	with.env = env
	out, err := with.git(ctx, "ls-tree", "-r", "-z", "--full-tree", name)
	if err != nil {
		return nil, err
	}
	t := &Tree{Commit: commit, repo: &with, entries: map[string]entry{}, Pinned: map[string]string{}}
	for line := range bytes.SplitSeq(out, []byte{0}) {
		head, path, ok := strings.Cut(string(line), "\t")
		if !ok {
			continue
		}
		fields := strings.Fields(head) // mode, type, name
		switch {
		case len(fields) < 3:
		case fields[1] == "commit":
			t.Submodules = append(t.Submodules, path)
			t.Pinned[path] = fields[2]
		default:
			t.entries[path] = entry{fields[0] == "120000", fields[2]}
		}
	}
	t.blobs = &blobs{repo: &with}
	t.sort()
	return t, nil
}

// WorkingTree lists the files of the working tree: those that git keeps and
// are there, and new ones that it does not ignore. Close it.
func (r *Repo) WorkingTree(ctx context.Context) (*Tree, error) {
	if r.Bare {
		return nil, fmt.Errorf("%s has no working tree; name the second revision too", shown(r.Root))
	}
	t := &Tree{repo: r, working: true, entries: map[string]entry{}, Pinned: map[string]string{}, blobs: &blobs{repo: r}}
	top := *r
	top.dir = r.Root
	kept, err := top.git(ctx, "ls-files", "-z", "-t", "--stage")
	if err != nil {
		return nil, err
	}
	for line := range bytes.SplitSeq(kept, []byte{0}) {
		head, path, ok := strings.Cut(string(line), "\t")
		fields := strings.Fields(head) // tag, mode, name, stage
		switch {
		case !ok || len(fields) < 4:
		case fields[1] == "160000":
			t.Submodules = append(t.Submodules, path)
			t.Pinned[path] = fields[2]
		case fields[0] == "S": // left out of a sparse checkout: as it is kept
			t.entries[path] = entry{fields[1] == "120000", fields[2]}
		default:
			t.add(path)
		}
	}
	others, err := top.git(ctx, "ls-files", "-z", "--others", "--exclude-standard")
	if err != nil {
		return nil, err
	}
	for path := range bytes.SplitSeq(others, []byte{0}) {
		if len(path) > 0 && path[len(path)-1] != '/' { // a folder: another repository
			t.add(string(path))
		}
	}
	t.sort()
	return t, nil
}

// add notes a file of the working tree, when it is there.
func (t *Tree) add(path string) {
	info, err := os.Lstat(t.abs(path))
	if err != nil || !info.Mode().IsRegular() && info.Mode()&fs.ModeSymlink == 0 {
		return
	}
	t.entries[path] = entry{link: info.Mode()&fs.ModeSymlink != 0}
}

func (t *Tree) sort() {
	for path := range t.entries {
		t.paths = append(t.paths, path)
	}
	slices.Sort(t.paths)
	slices.Sort(t.Submodules)
}

// Close ends the git that reads for the tree.
func (t *Tree) Close() { t.blobs.close() }

// Root is the absolute path that stands for the folder of the tree.
func (t *Tree) Root() string { return t.repo.Root }

// Working reports whether it is the working tree.
func (t *Tree) Working() bool { return t.working }

// Paths are all files, sorted.
func (t *Tree) Paths() []string { return t.paths }

// Has reports whether there is a file of that path.
func (t *Tree) Has(path string) bool {
	_, ok := t.entries[path]
	return ok
}

func (t *Tree) abs(path string) string { return filepath.Join(t.repo.Root, filepath.FromSlash(path)) }

// Abs is the absolute path that stands for a file of the tree.
func (t *Tree) Abs(path string) string { return t.abs(path) }

// Rel is the path from the root of an absolute path, and whether it lies below.
func (t *Tree) Rel(abs string) (string, bool) {
	rel, err := filepath.Rel(t.repo.Root, abs)
	if err != nil || leaves(rel) {
		return "", false
	}
	return filepath.ToSlash(rel), true
}

// maxLinks is how many links are followed one after the other.
const maxLinks = 10

// Read gives a file's text, one byte past the language's limit at most. A link
// is followed inside the tree; for one that leads elsewhere, the error is Refused.
func (t *Tree) Read(file string) (string, error) {
	for range maxLinks {
		e, ok := t.entries[file]
		switch {
		case !ok:
			return "", &files.Error{Path: file, Err: fs.ErrNotExist}
		case e.id == "" && !e.link:
			return t.gate.Block(t.abs(file))
		}
		text, err := t.content(file, e)
		if err != nil || !e.link {
			return text, err
		}
		to := path.Join(path.Dir(file), text)
		if path.IsAbs(text) || to == ".." || strings.HasPrefix(to, "../") {
			return "", &files.Error{Path: file, Err: files.ErrOutside}
		}
		file = to
	}
	return "", &files.Error{Path: file, Err: errors.New("it is a link that leads to more than 10 others")}
}

// content is what is kept under a path: for a link, where it leads.
func (t *Tree) content(path string, e entry) (string, error) {
	switch {
	case e.id != "":
		return t.blobs.read(e.id)
	case e.link:
		to, err := os.Readlink(t.abs(path))
		return filepath.ToSlash(to), err
	}
	return t.gate.Block(t.abs(path))
}

// Refused reports whether an error of reading is about one file, which is a link that leads out, say, and not about
// the repository: the others can be read.
func Refused(err error) bool {
	var of *files.Error
	return errors.As(err, &of)
}

// ReadAll reads many files, in no set order; those that cannot be read are passed by.
func (t *Tree) ReadAll(files []string, take func(file, text string)) {
	var kept, ids []string
	for _, f := range files {
		if e := t.entries[f]; e.id != "" && !e.link {
			kept, ids = append(kept, f), append(ids, e.id)
		} else if text, err := t.Read(f); err == nil {
			take(f, text)
		}
	}
	if len(ids) > 0 && t.blobs.readAll(ids, func(i int, text string) { take(kept[i], text) }) != nil {
		for _, f := range kept { // one by one: some are not there
			if text, err := t.Read(f); err == nil {
				take(f, text)
			}
		}
	}
}

// ReadAbs is Read by the absolute path that stands for a file.
func (t *Tree) ReadAbs(abs string) (string, error) {
	file, ok := t.Rel(abs)
	if !ok {
		return "", &files.Error{Path: abs, Err: fs.ErrNotExist}
	}
	return t.Read(file)
}

// Loader gives a loader of the tree's files. They are opened by Abs.
func (t *Tree) Loader(reader *syntax.Reader) *block.Loader {
	if t.working {
		return block.NewLoader(reader, t.gate.Block)
	}
	return block.NewLoader(reader, t.ReadAbs).Within(t.repo.Root)
}

// Config finds the settings of the tree's files.
func (t *Tree) Config(rules []*lint.Rule) *lint.Config {
	if t.working {
		return lint.NewConfig(rules).Through(&t.gate)
	}
	return lint.NewConfig(rules).Within(t.repo.Root, t.ReadAbs)
}

// BlockFiles are the block files below a folder of the tree ("." for all), but for
// those that are hidden or excluded by the settings.
func (t *Tree) BlockFiles(below string, config *lint.Config) []string {
	var out []string
	excluded := map[string]bool{".": false} // folders
	var skip func(dir string) bool
	skip = func(dir string) bool {
		s, known := excluded[dir]
		if !known {
			s = skip(path.Dir(dir)) || strings.HasPrefix(path.Base(dir), ".") || config.Excluded(t.abs(dir))
			excluded[dir] = s
		}
		return s
	}
	for _, p := range t.paths {
		if path.Ext(p) == lint.Extension && !strings.HasPrefix(path.Base(p), ".") && Under(p, below) &&
			!skip(path.Dir(p)) && !config.Excluded(t.abs(p)) {
			out = append(out, p)
		}
	}
	return out
}

// Under reports whether a path is a folder ("." for all) or lies below it.
func Under(p, folder string) bool {
	return folder == "." || folder == "" || p == folder || strings.HasPrefix(p, folder+"/")
}
