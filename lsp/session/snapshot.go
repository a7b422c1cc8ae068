package session

import (
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"sewable/lang/block"
	"sewable/lang/source"
	"sewable/lint"
)

// Snapshot is a moment. Its methods may be called from several goroutines.
type Snapshot struct {
	Number uint64

	world
	session *Session
	docs    map[string]*Document

	mu    sync.Mutex
	files map[string]*File // of open documents, as far as they were asked for
}

// world is what a File draws from. A File holds on to it for as long as it
// lives, and so not to a snapshot: that would hold the other files of its moment, and
// they theirs, without end.
type world struct {
	loader *block.Loader
	config *lint.Config
	of     *Session
}

// reading gives the editor's text before the disk's.
func reading(docs map[string]*Document, config *lint.Config) func(path string) (string, error) {
	return func(path string) (string, error) {
		if d := docs[path]; d != nil {
			return d.Text.Text, nil
		}
		return config.Gate().Block(path)
	}
}

// Document is an open document, nil when the path is not open.
func (s *Snapshot) Document(path string) *Document { return s.docs[path] }

// Documents are the open documents, by path.
func (s *Snapshot) Documents() []*Document {
	docs := make([]*Document, 0, len(s.docs))
	for _, d := range s.docs {
		docs = append(docs, d)
	}
	slices.SortFunc(docs, func(a, b *Document) int { return strings.Compare(a.Path, b.Path) })
	return docs
}

// Config finds the settings of files.
func (s *Snapshot) Config() *lint.Config { return s.config }

// Rules are the rules of the session.
func (s *Snapshot) Rules() []*lint.Rule { return s.session.rules }

// File is a file of this moment. That of an open document is kept; any other
// is read from disk and lives as long as the caller holds it. The error is one
// of reading.
func (s *Snapshot) File(path string) (*File, error) {
	d := s.docs[path]
	if d == nil {
		text, err := s.config.Gate().Block(path)
		if err != nil {
			return nil, err
		}
		return &File{Path: path, world: s.world, text: source.New(filepath.ToSlash(path), text)}, nil
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	f := s.files[path]
	if f == nil {
		f = &File{Path: path, Doc: d, world: s.world}
		s.files[path] = f
	}
	return f, nil
}

// Open is the File of an open document, nil when the path is not open.
func (s *Snapshot) Open(path string) *File {
	if s.docs[path] == nil {
		return nil
	}
	f, _ := s.File(path)
	return f
}

// Text is the text of a file, open or not.
func (s *Snapshot) Text(path string) (*source.File, error) {
	if d := s.docs[path]; d != nil {
		return d.Text, nil
	}
	text, err := s.config.Gate().Block(path)
	if err != nil {
		return nil, err
	}
	return source.New(filepath.ToSlash(path), text), nil
}
