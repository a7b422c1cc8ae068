package block

import (
	"errors"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"

	"sewable/lang/files"
	"sewable/lang/memo"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// Extension is how the name of a block file ends.
const Extension = ".block"

// A Loader opens block files and, through their `use` statements, the files
// they draw from. A used file is read and built once, whoever uses it. All
// methods may be called from several goroutines.
type Loader struct {
	reader *syntax.Reader
	read   func(path string) (string, error)
	within string // the root of everything, when one was named

	mu    sync.Mutex
	files map[string]*loaded // used files, by absolute path
	roots map[string]string  // folder → root of its repository
	links map[linkKey]Link   // that were followed
}

type loaded struct {
	readOnce  sync.Once
	tree      *syntax.Tree
	cause     Cause // why there is no tree
	buildOnce sync.Once
	file      atomic.Pointer[File] // nil until it is built
}

// NewLoader returns a Loader. The read function gives a file's text, so that
// an editor can put its unsaved text in front of the disk; nil means what any file may name, see files.Gate.
func NewLoader(reader *syntax.Reader, read func(path string) (string, error)) *Loader {
	if read == nil {
		read = new(files.Gate).Block
	}
	return &Loader{reader: reader, read: read, files: map[string]*loaded{}, roots: map[string]string{}, links: map[linkKey]Link{}}
}

// Within names the folder that no `use` may leave, and gives l. The disk is then
// not asked for it, nor for links: for texts that lie in no folder of the disk, such as
// those of an older commit.
func (l *Loader) Within(root string) *Loader {
	l.within = root
	return l
}

// Open reads a file and builds its model. The error is one of reading: a
// file that can be read has a model, whatever stands in it.
func (l *Loader) Open(path string) (*File, error) {
	text, err := l.read(path)
	if err != nil {
		return nil, err
	}
	return l.OpenText(path, text), nil
}

// OpenText builds the model of a text that stands in for the file at path.
func (l *Loader) OpenText(path, text string) *File {
	return l.Build(l.reader.Parse(source.New(filepath.ToSlash(path), text)))
}

// Build makes the model of a tree.
func (l *Loader) Build(tree *syntax.Tree) *File { return build(l, tree, nil) }

// BuildIn is Build for a text that is read again and again as it changes: what the model is made of
// is remembered in a store, and taken from there. The model is the one that Build makes. Whoever reads turns
// the store, once for each text.
func (l *Loader) BuildIn(m *memo.Store, tree *syntax.Tree) *File { return build(l, tree, m) }

// entry is the record of a used file, read on first asking.
func (l *Loader) entry(abs string) *loaded {
	l.mu.Lock()
	e := l.files[abs]
	if e == nil {
		e = &loaded{}
		l.files[abs] = e
	}
	l.mu.Unlock()
	e.readOnce.Do(func() {
		text, err := l.read(abs)
		switch {
		case err == nil:
			e.tree = l.reader.Parse(source.New(shown(abs), text))
		case errors.Is(err, files.ErrNotAFile):
			e.cause = UseNotAFile
		case errors.Is(err, files.ErrOutside):
			e.cause = UseOutside
		case errors.Is(err, files.ErrOther):
			e.cause = UseNotABlock
		default:
			e.cause = UseMissing
		}
	})
	return e
}

// use follows a `use` statement of the file at from. It gives nil and the
// cause when the path cannot be followed.
//
// A path by which the file would come back to itself is not followed, from
// any file; so what is followed has no cycle, and files that wait for each
// other's models cannot wait for ever.
func (l *Loader) use(from, path string) (*File, Cause) {
	link := l.link(from, path)
	if link.Cause != 0 {
		return nil, link.Cause
	}
	abs, self := link.To, files.Absolute(from)
	if abs == self || l.leadsTo(abs, self, map[string]bool{}) {
		return nil, UseCycle
	}
	e := l.entry(abs)
	if e.tree == nil {
		return nil, e.cause
	}
	e.buildOnce.Do(func() { e.file.Store(build(l, e.tree, nil)) })
	return e.file.Load(), 0
}

// linkKey is the folder of a file, as the file is named, and a path as a `use` has it.
type linkKey struct{ dir, path string }

// link is where a `use` of the file at from leads; the disk is asked once.
func (l *Loader) link(from, path string) Link {
	key := linkKey{filepath.Dir(from), path}
	l.mu.Lock()
	link, ok := l.links[key]
	l.mu.Unlock()
	if !ok {
		link = l.Follow(key.dir, path)
		l.mu.Lock()
		l.links[key] = link
		l.mu.Unlock()
	}
	return link
}

// resolve gives the absolute path that a `use` means, or why it may not be followed.
func (l *Loader) resolve(from, path string) (string, Cause) {
	if path == "" {
		return "", UseMissing
	}
	switch {
	case files.Rooted(path):
		return "", UseAbsolute
	case !files.Portable(path):
		return "", UseNotPortable
	case filepath.Ext(path) != Extension:
		return "", UseNotABlock // nobody would check what stands in it
	}
	dir := filepath.Dir(files.Absolute(from))
	abs := filepath.Join(dir, filepath.FromSlash(path))
	if !files.Inside(abs, l.root(dir)) {
		return "", UseOutside
	}
	if l.within != "" {
		return abs, 0
	}
	if !files.Holds(l.root(dir), abs) { // a link may lead out although its path does not
		return "", UseOutside
	}
	return abs, 0
}

// leadsTo reports whether following uses from one file reaches the other.
func (l *Loader) leadsTo(from, to string, seen map[string]bool) bool {
	if seen[from] {
		return false
	}
	seen[from] = true
	tree := l.entry(from).tree
	if tree == nil {
		return false
	}
	for _, item := range tree.Items {
		if use, ok := item.Node.(*syntax.Use); ok {
			next := l.link(from, use.Path.Value)
			if next.Cause == 0 && (next.To == to || l.leadsTo(next.To, to, seen)) {
				return true
			}
		}
	}
	return false
}

// root is the folder that no `use` below dir may leave.
func (l *Loader) root(dir string) string {
	if l.within != "" {
		return l.within
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	root, ok := l.roots[dir]
	if !ok {
		root = files.Root(dir)
		l.roots[dir] = root
	}
	return root
}

// shown is the path a person reads: from the working folder when the file is in it.
func shown(abs string) string {
	if wd, err := os.Getwd(); err == nil && files.Inside(abs, wd) {
		if rel, err := filepath.Rel(wd, abs); err == nil {
			return filepath.ToSlash(rel)
		}
	}
	return filepath.ToSlash(abs)
}
