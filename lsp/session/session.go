// Package session holds what an editor has open and what is on disk, as
// snapshots that never change.
//
//	Session   the present; every event makes a new Snapshot
//	Snapshot  open documents, settings and used files at one moment
//	File      one file of a snapshot: its model, its sewing, its findings
//
// A File works out nothing before it is asked, and what it worked out stays:
// a new snapshot takes over the File of every document that the event does not
// touch. So two snapshots have the same File for a document exactly when
// nothing that could change its findings has happened between them.
//
// Files are named by absolute path. The package knows nothing of the protocol.
package session

import (
	"maps"
	"path/filepath"
	"sync"
	"sync/atomic"

	"sewable/lang/block"
	"sewable/lang/memo"
	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lint"
)

// Session is what is open and what is on disk, now.
type Session struct {
	rules  []*lint.Rule
	reader *syntax.Reader                // of documents and what they use
	scan   atomic.Pointer[syntax.Reader] // of files that are not open

	mu      sync.Mutex // held by whoever makes the next snapshot
	current atomic.Pointer[Snapshot]
}

// Document is an open document: its text is the editor's, not the disk's.
type Document struct {
	Path    string
	URI     string // as the editor names it
	Version int32
	Text    *source.File

	memory *memo.Store // of the document, whatever its text
	edited bool        // another text was there before
}

// New returns a session with nothing open.
func New(rules []*lint.Rule) *Session {
	s := &Session{rules: rules, reader: syntax.NewEditorReader()}
	s.Forget()
	docs, config := map[string]*Document{}, lint.NewConfig(rules)
	s.current.Store(&Snapshot{
		session: s, docs: docs, files: map[string]*File{},
		world: world{block.NewLoader(s.reader, reading(docs, config)), config, s},
	})
	return s
}

// Forget forgets the statements of files that are not open, which are many once a
// whole workspace has been read.
func (s *Session) Forget() { s.scan.Store(syntax.NewReader()) }

// Snapshot is the present.
func (s *Session) Snapshot() *Snapshot { return s.current.Load() }

// Open notes that the editor has a document.
func (s *Session) Open(d *Document) *Snapshot {
	return s.next(func(docs map[string]*Document) {
		if was := docs[d.Path]; was != nil {
			d.memory, d.edited = was.memory, true
		} else {
			d.memory = memo.New()
		}
		docs[d.Path] = d
	}, only(d.Path))
}

// Change gives an open document another text; edit makes it from the present
// one. It reports false when the document is not open.
func (s *Session) Change(path string, version int32, edit func(*source.File) string) (*Snapshot, bool) {
	s.mu.Lock()
	old := s.Snapshot().docs[path]
	s.mu.Unlock()
	if old == nil { // only the goroutine that takes messages changes documents
		return s.Snapshot(), false
	}
	return s.Open(&Document{Path: path, URI: old.URI, Version: version, Text: source.New(old.Text.Path, edit(old.Text))}), true
}

// Close notes that the disk counts again for a document.
func (s *Session) Close(path string) *Snapshot {
	return s.next(func(docs map[string]*Document) { delete(docs, path) }, only(path))
}

// Disk notes that files on disk have changed, come or gone.
func (s *Session) Disk(paths []string) *Snapshot {
	changed := map[string]bool{}
	for _, p := range paths {
		if filepath.Base(p) == lint.SettingsName || filepath.Base(p) == ".git" {
			return s.Reload()
		}
		changed[p] = true
	}
	return s.next(nil, func(path string) bool { return changed[path] })
}

// Reload forgets everything that was read from disk, the settings too.
func (s *Session) Reload() *Snapshot { return s.Configure(lint.NewConfig(s.rules)) }

// Configure takes the settings from elsewhere.
func (s *Session) Configure(config *lint.Config) *Snapshot {
	s.mu.Lock()
	defer s.mu.Unlock()
	old := s.Snapshot()
	next := &Snapshot{
		Number: old.Number + 1, session: s, docs: old.docs, files: map[string]*File{},
		world: world{block.NewLoader(s.reader, reading(old.docs, config)), config, s},
	}
	s.current.Store(next)
	return next
}

func only(path string) func(string) bool { return func(p string) bool { return p == path } }

// next makes the snapshot that follows the present one.
func (s *Session) next(change func(map[string]*Document), changed func(path string) bool) *Snapshot {
	s.mu.Lock()
	defer s.mu.Unlock()
	old := s.Snapshot()
	docs := old.docs
	if change != nil {
		docs = maps.Clone(old.docs)
		change(docs)
	}
	next := &Snapshot{
		Number: old.Number + 1, session: s, docs: docs, files: map[string]*File{},
		world: world{old.loader.Fork(reading(docs, old.config), changed), old.config, s},
	}
	old.mu.Lock()
	defer old.mu.Unlock()
	for path, f := range old.files {
		switch {
		case docs[path] == nil:
		case docs[path] == f.Doc && f.holds(changed):
			next.files[path] = f
		default:
			next.files[path] = &File{Path: path, Doc: docs[path], world: next.world}
		}
	}
	s.current.Store(next)
	return next
}
