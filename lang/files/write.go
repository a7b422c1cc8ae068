package files

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
)

// The reasons why a file is not written.
var (
	errLeads    = errors.New("it is a link that leads out of the repository. To write there, name the file it leads to")
	errChanged  = errors.New("changed while it was being read; nothing was written")
	errReadOnly = errors.New("it may not be written to")
)

// Write writes a file that a person named, whole or not at all. A link stays a link: what it leads to is written. A pipe or a
// device is written to as it is.
func Write(path string, write func(io.Writer) error) error {
	err := writeNamed(Absolute(path), write)
	if err != nil {
		return fmt.Errorf("%s cannot be written: %w", path, unwritten(err))
	}
	return nil
}

func writeNamed(abs string, write func(io.Writer) error) error {
	real, err := follow(abs)
	if err != nil {
		return err
	}
	switch info, err := os.Stat(abs); {
	case err != nil:
		return replace(real, 0, write)
	case info.IsDir():
		return errFolder
	case info.Mode().IsRegular():
		return replace(real, info.Mode(), write)
	}
	f, err := os.OpenFile(abs, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	return errors.Join(write(f), f.Close())
}

// Log opens a file that a person named, to write to it bit by bit. Nobody else may read it.
func Log(path string) (*os.File, error) {
	real, err := follow(Absolute(path))
	if err != nil {
		return nil, fmt.Errorf("%s cannot be written: %w", path, unwritten(err))
	}
	return os.OpenFile(real, os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o600)
}

// Rewrite puts a new text in the place of a file, all of it or none. The file keeps its mode, and a link stays a link. It
// refuses when the file does not hold the old text any more, since somebody else has written
// it meanwhile, and when it is marked as not to be written to.
func (g *Gate) Rewrite(path, old, text string, k Kind) error {
	if err := g.rewrite(Absolute(path), old, text, k); err != nil {
		return fmt.Errorf("%s: %w", path, unwritten(err))
	}
	return nil
}

func (g *Gate) rewrite(abs, old, text string, k Kind) error {
	var real string
	var err error
	if g.isTyped(abs) {
		real, err = follow(abs)
	} else {
		_, real, err = g.inside(abs)
	}
	if err != nil {
		return err
	}
	info, err := os.Lstat(real)
	switch {
	case err != nil:
		return err
	case !info.Mode().IsRegular():
		return ErrNotAFile
	case info.Mode()&0o200 == 0:
		return errReadOnly
	}
	now, err := g.Read(abs, k)
	if err != nil {
		return err
	}
	if now != old {
		return errChanged
	}
	return replace(real, info.Mode(), func(w io.Writer) error {
		_, err := io.WriteString(w, text)
		return err
	})
}

// The names in the folder in which a file is written.
const (
	fresh  = "new"
	ignore = ".gitignore"
)

// replace writes a file, which is real, beside its place and moves it there. Mode is 0 for one that is not there yet.
//
// It is written in a folder of its own that tells git to ignore all of it: at no moment is there anything that
// `git add .` would take in, and no repository needs a setting for it.
func replace(real string, mode fs.FileMode, write func(io.Writer) error) (err error) {
	dir := filepath.Dir(real)
	sweep(dir)
	in, err := os.MkdirTemp(dir, Temporary+"*")
	if err != nil {
		return err
	}
	defer func() { // also when write panics
		if failed := os.RemoveAll(in); err == nil {
			err = failed
		}
	}()
	if err := os.WriteFile(filepath.Join(in, ignore), []byte("*\n"), 0o600); err != nil {
		return err
	}
	name := filepath.Join(in, fresh)
	f, err := os.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o666)
	if err != nil {
		return err
	}
	defer f.Close()
	lock(f)
	if err := write(f); err != nil {
		return err
	}
	if mode != 0 && runtime.GOOS != "windows" {
		if err := f.Chmod(mode.Perm()); err != nil {
			return err
		}
	}
	// Else a file could take its name before its content has reached the disk.
	if err := errors.Join(f.Sync(), f.Close()); err != nil {
		return err
	}
	return os.Rename(name, real)
}

// Folder makes a folder that a person named, unless it is there, and sees that it can be written to.
func Folder(path string) error {
	real, err := follow(Absolute(path))
	if err == nil {
		if info, failed := os.Stat(real); failed == nil && !info.IsDir() {
			return fmt.Errorf("%s: it is not a folder", path)
		}
		err = os.MkdirAll(real, 0o777)
	}
	if err == nil {
		var probe string
		if probe, err = os.MkdirTemp(real, Temporary+"*"); err == nil {
			err = os.Remove(probe)
		}
	}
	if err != nil {
		return fmt.Errorf("%s: %w", path, unwritten(err))
	}
	return nil
}

// unwritten says why a file was not written.
func unwritten(err error) error {
	if errors.Is(err, ErrOutside) {
		return errLeads
	}
	return Bare(err)
}

// isTemporary reports whether a name is one of a folder in which a file is written.
func isTemporary(name string) bool { return strings.HasPrefix(name, Temporary) }
