// Package files is the door between Sewable and the disk. Everything that is read or written goes
// through it; cmd/boundary_test.go fails for a call that does not.
//
// A repository may come from somebody whom nobody knows, so it matters who named a path:
//
//	a person   on the command line or in an editor: any file, wherever it is; a pipe, which is read once
//	a walk     of a folder, or another file (`use`, sewable.toml, a baseline): a regular file inside the
//	           repository, or inside the folder that the person named, after links are resolved
//
// Whoever named it, a link that is itself inside a repository does not lead out of it, nor into .git, for reading or
// for writing: hooks and CI jobs put the names of changed files on the command line, and what such a link leads to
// is chosen by whoever made the change. Every file is bounded in size (kinds.go), and what is refused is
// refused before a byte of it is read. A link leads to a file of its own kind alone: beside the blocks of a repository lie
// files that hold secrets, and a link of any name could show them.
//
//	files.go    what is read: Gate, Read
//	kinds.go    how large each kind of file may be
//	names.go    what a path says by its text alone, on every system
//	place.go    where a path really is: links, repositories, roots
//	write.go    what is written: whole or not at all
//	leftover.go what a killed writer left behind
//
// Containment itself is os.Root, which no link or rename can get around, not even one that is made while
// a file is being opened.
package files

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"sync"

	"sewable/lang/source"
)

// The reasons why a file is refused. They come in an *Error.
var (
	ErrOutside  = errors.New("it is a link that leads out of the repository. To read it, name the file it leads to")
	ErrOther    = errors.New("it is a link to a file of another kind. To read that file, name it")
	ErrNotAFile = errors.New("it is not a file") // a folder, a device, a pipe that nobody named
	errPointer  = errors.New("it is a Git LFS pointer, not the file itself. Run `git lfs pull`")
	errFolder   = errors.New("it is a folder")
	errLoop     = errors.New("too many links")
)

// Error is why a file could not be read.
type Error struct {
	Path string // as it was named
	Err  error  // without the path
}

func (e *Error) Error() string { return e.Path + ": " + e.Err.Error() }

func (e *Error) Unwrap() error { return e.Err }

// A Gate lets files in. The zero Gate lets in what a walk or a file may name. Its methods may be called from
// several goroutines.
type Gate struct {
	mu     sync.Mutex
	typed  map[string]bool  // absolute paths of the files that a person named
	given  []string         // the folders that a person named, links resolved
	places map[string]place // of folders, by absolute path

	reading sync.Mutex
	pipes   map[string]string // what was read from pipes
}

// Read reads a file that a person named.
func Read(path string, k Kind) (string, error) {
	g := new(Gate)
	if _, err := g.Name(path); err != nil {
		return "", &Error{path, Bare(err)}
	}
	if IsFolder(path) {
		return "", &Error{path, errFolder}
	}
	return g.Read(path, k)
}

// Read reads a file. The error says why it is refused or cannot be read.
func (g *Gate) Read(path string, k Kind) (string, error) {
	text, err := g.read(path, k)
	if err != nil {
		return "", &Error{path, Bare(err)}
	}
	return text, nil
}

// Block reads a block file.
func (g *Gate) Block(path string) (string, error) { return g.Read(path, Block) }

func (g *Gate) read(path string, k Kind) (string, error) {
	abs := Absolute(path)
	if g.isTyped(abs) {
		return g.readTyped(abs, k)
	}
	f, err := g.open(abs)
	if err != nil {
		return "", err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return "", err
	}
	if !info.Mode().IsRegular() {
		return "", ErrNotAFile
	}
	return take(f, info.Size(), k)
}

func (g *Gate) isTyped(abs string) bool {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.typed[abs]
}

// open opens what may be named by anybody. It never waits, whatever is there.
func (g *Gate) open(abs string) (*os.File, error) {
	at, err := g.place(filepath.Dir(abs))
	if err != nil {
		return nil, err
	}
	if real := filepath.Join(at.dir, filepath.Base(abs)); Inside(real, at.root) && !gits(real, at.root) {
		switch info, err := os.Lstat(real); {
		case err != nil:
			return nil, err
		case info.Mode().IsRegular():
			return openIn(at.root, real)
		case !isLink(info.Mode()):
			return nil, ErrNotAFile
		}
	}
	root, real, err := g.inside(abs) // where a link leads is worked out first: it may be git's own
	if err != nil {
		return nil, err
	}
	return openIn(root, real)
}

// inside resolves the links of a path that a walk or a file names, and gives the root that holds it.
func (g *Gate) inside(abs string) (root, real string, err error) {
	if runtime.GOOS == "windows" && odd(filepath.Base(abs)) {
		return "", "", ErrNotAFile
	}
	at, err := g.place(filepath.Dir(abs))
	if err != nil {
		return "", "", err
	}
	to, _, err := resolve(filepath.Join(at.dir, filepath.Base(abs)))
	if err != nil {
		return "", "", err
	}
	for _, root := range append([]string{at.root}, g.over(at.dir)...) {
		if real, ok := under(to, root); ok {
			if !kindred(abs, real) {
				return "", "", ErrOther
			}
			return root, real, nil
		}
	}
	return "", "", ErrOutside
}

// openIn opens a file that is below a root; both are real paths.
func openIn(root, real string) (*os.File, error) {
	rel, err := filepath.Rel(root, real)
	if err != nil {
		return nil, err
	}
	r, err := os.OpenRoot(root)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	return r.OpenFile(rel, os.O_RDONLY|nonblock, 0)
}

// readTyped reads what a person named.
func (g *Gate) readTyped(abs string, k Kind) (string, error) {
	if _, err := follow(abs); err != nil {
		return "", err
	}
	info, err := os.Stat(abs)
	if err != nil {
		return "", err
	}
	if info.IsDir() {
		return "", errFolder
	}
	once := !info.Mode().IsRegular() // a pipe has nothing to say a second time
	if once {
		g.reading.Lock()
		defer g.reading.Unlock()
		if text, ok := g.pipes[abs]; ok {
			return text, nil
		}
	}
	f, err := os.Open(abs)
	if err != nil {
		return "", err
	}
	defer f.Close()
	text, err := take(f, info.Size(), k)
	if err == nil && once {
		if g.pipes == nil {
			g.pipes = map[string]string{}
		}
		g.pipes[abs] = text
	}
	return text, err
}

// take reads an open file of which somebody says that it has so many bytes.
func take(r io.Reader, size int64, k Kind) (string, error) {
	if size > k.Max && !k.past {
		return "", k.tooLarge()
	}
	text := make([]byte, min(size, k.Max)+1) // one more, to see whether it grew or is too long
	n, err := io.ReadFull(r, text)
	switch {
	case err == nil: // it grew while it was read, or did not say how long it is
		var rest []byte
		if rest, err = io.ReadAll(io.LimitReader(r, k.Max+1-int64(n))); err != nil {
			return "", err
		}
		text = append(text, rest...)
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		text = text[:n]
	default:
		return "", err
	}
	switch {
	case int64(len(text)) > k.Max && !k.past:
		return "", k.tooLarge()
	case !k.ownPointer && source.IsPointer(string(text)):
		return "", errPointer
	}
	return string(text), nil
}

// ReadAll reads a stream, such as standard input, of one kind.
func ReadAll(r io.Reader, k Kind) (string, error) { return take(r, 0, k) }

// Stays reports whether a path that a walk or a file names is inside, there or not: where only its name is used, or the
// system is asked about it.
func (g *Gate) Stays(path string) bool {
	_, _, err := g.inside(Absolute(path))
	return err == nil
}

// Bare takes the path off an error of the file system: it is said beside it.
func Bare(err error) error {
	if e := new(Error); errors.As(err, &e) {
		return e.Err
	}
	if e := new(fs.PathError); errors.As(err, &e) {
		return e.Err
	}
	if e := new(os.LinkError); errors.As(err, &e) {
		return e.Err
	}
	return err
}

// Temporary is how the names of folders begin in which files are written before they take their place. They
// begin with a dot, so that walks pass them by.
const Temporary = ".sewable-"
