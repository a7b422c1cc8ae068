package files

import (
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"unicode/utf8"
)

// place is where a folder really is, and the root of what is inside; both without links.
type place struct{ dir, root string }

func (g *Gate) place(dir string) (place, error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if at, ok := g.places[dir]; ok {
		return at, nil
	}
	named := dir
	if wd, real, ok := standing(); ok && Inside(dir, wd) { // what she stands in is hers, however she came there
		rel, _ := filepath.Rel(wd, dir)
		named = filepath.Join(real, rel)
	}
	real, err := filepath.EvalSymlinks(named)
	if err != nil {
		return place{}, err // not remembered: it may come
	}
	root, err := rootOf(named)
	if err != nil {
		return place{}, err
	}
	at := place{real, root}
	if g.places == nil {
		g.places = map[string]place{}
	}
	g.places[dir] = at
	return at, nil
}

// rootOf is the root, without links, of a folder that may be reached through links. It is sought along the path as it is named,
// so that a link to a folder, even to the root of another repository, does not lead out of the repository that holds the
// link. Where none holds it, it is the root in which the folder really is.
func rootOf(dir string) (string, error) {
	root, ok := Repository(dir)
	if !ok {
		root = Root(dir)
	}
	real, err := filepath.EvalSymlinks(root)
	switch {
	case err != nil:
		return "", err
	case !ok:
		return Root(real), nil
	case real == root || root == filepath.Dir(root):
		return real, nil
	}
	outer, ok := Repository(filepath.Dir(root))
	if !ok {
		return real, nil
	}
	if outer, err = filepath.EvalSymlinks(outer); err == nil && !Inside(real, outer) {
		real = outer
	}
	return real, err
}

// standing is the folder in which the person stands, as she came there and as it is without links.
func standing() (wd, real string, ok bool) {
	wd, err := os.Getwd()
	if err != nil {
		return "", "", false
	}
	real, err = filepath.EvalSymlinks(wd)
	return wd, real, err == nil
}

// over are the folders that a person named and that hold a folder.
func (g *Gate) over(dir string) (out []string) {
	g.mu.Lock()
	defer g.mu.Unlock()
	for _, root := range g.given {
		if Inside(dir, root) {
			out = append(out, root)
		}
	}
	return out
}

// Root is the root of the repository in which a folder lies: the nearest folder upwards with a .git, else the highest with a
// sewable.toml, else the folder itself.
func Root(dir string) string {
	if root, ok := marked(dir); ok {
		return root
	}
	return dir
}

// settings is the name of a file that marks a root.
const settings = "sewable.toml"

// marked is Root where something says that it is one.
func marked(dir string) (root string, ok bool) {
	if root, ok := Repository(dir); ok {
		return root, true
	}
	for at := dir; at != filepath.Dir(at); at = filepath.Dir(at) {
		if Exists(filepath.Join(at, settings)) {
			root, ok = at, true
		}
	}
	return root, ok
}

// Repository is the nearest folder upwards with a .git, which is a file in a worktree and a submodule; false when there is none.
func Repository(dir string) (string, bool) {
	for at := dir; ; at = filepath.Dir(at) {
		if Exists(filepath.Join(at, ".git")) {
			return at, true
		}
		if at == filepath.Dir(at) {
			return "", false
		}
	}
}

// Exists reports whether there is something of that name, a link that leads nowhere included.
func Exists(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

// Inside reports whether a path is a folder or lies in it; both are absolute.
func Inside(path, root string) bool {
	rel, err := filepath.Rel(root, path)
	return err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator))
}

// Holds reports whether a path stays below a root after the links of both are resolved, there or not.
func Holds(root, path string) bool {
	to, _, err := resolve(path)
	if err != nil {
		return false
	}
	if to == path && Inside(path, root) {
		return !gits(path, root)
	}
	real, err := filepath.EvalSymlinks(root)
	if err != nil {
		return false
	}
	_, ok := under(to, real)
	return ok
}

// under gives a path below a root, spelled from the root, and whether it is there: what git keeps for itself is not. Where
// letter case does not count, or a folder has a second name, the system is asked whether two folders are one.
func under(path, root string) (string, bool) {
	real, ok := below(path, root)
	return real, ok && !gits(real, root)
}

// gits reports whether a path below a root is git's own, such as .git/config, in which checkouts keep credentials, or
// .git/hooks, whose files git runs. No commit can hold such a file, but one can hold a link to it. On Windows
// the names of devices are no files either.
func gits(path, root string) bool { return noFile(path, root, runtime.GOOS == "windows") }

func noFile(path, root string, windows bool) bool {
	rel, err := filepath.Rel(root, path)
	return err == nil && slices.ContainsFunc(split(rel), func(name string) bool { return gitsName(name) || windows && odd(name) })
}

func below(path, root string) (string, bool) {
	if Inside(path, root) {
		return path, true
	}
	is, err := os.Stat(root)
	if err != nil {
		return "", false
	}
	for at := filepath.Dir(path); ; at = filepath.Dir(at) {
		if info, err := os.Stat(at); err == nil && os.SameFile(info, is) {
			rel, err := filepath.Rel(at, path)
			return filepath.Join(root, rel), err == nil
		}
		if at == filepath.Dir(at) {
			return "", false
		}
	}
}

// Absolute is a path from the root of the disk, cleaned.
func Absolute(path string) string {
	abs, err := filepath.Abs(filepath.FromSlash(path))
	if err != nil { // the working folder is gone
		return filepath.Clean(path)
	}
	return abs
}

// maxLinks is how many links are followed from one path, as many as Linux does (path_resolution(7)).
const maxLinks = 40

// follow resolves the links of a path that a person named. A link that is inside a repository may not lead out of it, nor to
// what git keeps for itself.
func follow(path string) (string, error) {
	at, passed, err := resolve(path)
	if err != nil {
		return "", err
	}
	for _, dir := range passed {
		if root, ok := marked(dir); ok {
			if _, ok := under(at, root); !ok {
				return "", ErrOutside
			}
			if !kindred(path, at) {
				return "", ErrOther
			}
		}
	}
	return at, nil
}

// kindred reports whether a path may lead to a file: one with the same ending, and for settings of the same name.
func kindred(path, to string) bool {
	if IsFolder(to) {
		return true
	}
	if strings.EqualFold(filepath.Ext(path), filepath.Ext(settings)) {
		return strings.EqualFold(filepath.Base(path), filepath.Base(to))
	}
	return strings.EqualFold(filepath.Ext(path), filepath.Ext(to))
}

// resolve gives the path without links, and the folders of the links on the way. It starts where the person is: what she
// stands in is hers, however she came there. What is not there, or is no path (`pipe:[17]`, to which
// /dev/stdin leads), is given as it is named.
func resolve(path string) (at string, passed []string, err error) {
	at, names := start(path)
	if wd, real, ok := standing(); ok && Inside(path, wd) {
		rest, _ := filepath.Rel(wd, path)
		at, names = real, split(rest)
	}
	for len(names) > 0 {
		name := names[0]
		names = names[1:]
		if name == ".." {
			at = filepath.Dir(at)
			continue
		}
		next := filepath.Join(at, name)
		to, is := leadsTo(next)
		if !is {
			at = next
			continue
		}
		if passed = append(passed, at); len(passed) > maxLinks {
			return "", nil, errLoop
		}
		rest := split(to)
		if filepath.IsAbs(to) {
			at, rest = start(to)
		}
		names = append(rest, names...)
	}
	return at, passed, nil
}

// start parts an absolute path into the root of the disk and the names below it.
func start(path string) (root string, names []string) {
	disk := filepath.VolumeName(path)
	return disk + string(filepath.Separator), split(path[len(disk):])
}

// leadsTo is where a link leads. A junction of Windows is one, though Go calls it irregular.
func leadsTo(path string) (string, bool) {
	info, err := os.Lstat(path)
	if err != nil || !isLink(info.Mode()) {
		return "", false
	}
	to, err := os.Readlink(path)
	return to, err == nil
}

func isLink(mode fs.FileMode) bool { return mode&(fs.ModeSymlink|fs.ModeIrregular) != 0 }

// split gives the names in a path.
func split(path string) (names []string) {
	for name := range strings.FieldsFuncSeq(path, func(r rune) bool { return r < utf8.RuneSelf && os.IsPathSeparator(uint8(r)) }) {
		if name != "." {
			names = append(names, name)
		}
	}
	return names
}
