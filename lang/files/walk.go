package files

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
)

// Name lets in a file or folder that a person names, and reports whether it is a folder. The error is of one that is not
// there, and of a folder that is refused; that a file is refused is said when it is read.
func (g *Gate) Name(path string) (folder bool, err error) {
	abs := Absolute(path)
	info, err := os.Stat(abs)
	if err != nil {
		return false, err
	}
	if info.IsDir() {
		real, err := follow(abs)
		if err != nil {
			return false, err
		}
		g.give(real)
		return true, nil
	}
	if _, err := follow(filepath.Dir(abs)); err != nil {
		return false, err
	}
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.typed == nil {
		g.typed = map[string]bool{}
	}
	g.typed[abs] = true
	return false, nil
}

// Give lets in what is in a folder that a person has opened in an editor, however she came there.
func (g *Gate) Give(folder string) {
	if real, err := filepath.EvalSymlinks(folder); err == nil {
		g.give(real)
	}
}

func (g *Gate) give(real string) {
	g.mu.Lock()
	defer g.mu.Unlock()
	if !slices.Contains(g.given, real) {
		g.given = append(g.given, real)
	}
}

// Walk is filepath.WalkDir, but for a root that is a link: it is followed.
func Walk(root string, visit fs.WalkDirFunc) error {
	info, err := os.Lstat(root)
	if err != nil || info.Mode().IsDir() {
		return filepath.WalkDir(root, visit)
	}
	real, err := filepath.EvalSymlinks(root)
	if err != nil {
		return visit(root, nil, err)
	}
	return filepath.WalkDir(real, func(path string, entry fs.DirEntry, err error) error {
		rel, failed := filepath.Rel(real, path)
		if failed != nil {
			return failed
		}
		return visit(filepath.Join(root, rel), entry, err)
	})
}

// Unlisted is why a folder cannot be listed; nil for one that can and for whatever is no folder.
func Unlisted(path string) error {
	switch info, err := os.Lstat(path); {
	case errors.Is(err, fs.ErrNotExist) || errors.Is(err, fs.ErrPermission):
		return nil
	case err != nil: // its name is too long: a walk does not come to files of such a name
		return err
	case !info.IsDir():
		return nil
	}
	f, err := os.Open(path)
	if err == nil {
		_, err = f.ReadDir(1)
		f.Close()
	}
	if err == io.EOF {
		return nil
	}
	return err
}

// IsFolder reports whether a path is a folder, or a link to one.
func IsFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}
