package lsp

import (
	"os"
	"path/filepath"
	"slices"
	"strings"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"sewable/lang/files"
	"sewable/lang/source"
	"sewable/lint"
	"sewable/lsp/session"
)

// languageID is how editors name the language of a document.
const languageID = "sewable"

// didOpen and its like are done in the order they arrive. They cost next to
// nothing: a snapshot works out nothing before it is asked.

func (s *Server) didOpen(p *protocol.DidOpenTextDocumentParams) {
	d := p.TextDocument
	path := s.path(d.URI)
	if isSettings(path) {
		return // read from disk, as the command does
	}
	if filepath.Ext(path) != lint.Extension && d.LanguageID != languageID {
		return
	}
	s.session.Open(&session.Document{
		Path: path, URI: strings.Clone(string(d.URI)), Version: d.Version,
		Text: source.New(path, strings.Clone(d.Text)),
	})
	s.changed(path)
}

func (s *Server) didChange(p *protocol.DidChangeTextDocumentParams) {
	path := s.path(p.TextDocument.URI)
	_, open := s.session.Change(path, p.TextDocument.Version, func(f *source.File) string {
		for _, c := range p.ContentChanges {
			f = source.New(f.Path, s.edited(f, c))
		}
		return f.Text
	})
	if !open {
		if filepath.Ext(path) == lint.Extension {
			s.log.Warn("a document that is not open was changed", "uri", p.TextDocument.URI)
		}
		return
	}
	s.changed(path)
	s.previews.typed(path, p.ContentChanges)
}

// edited is the text after one change. A range outside the text is moved to
// the nearest place inside.
func (s *Server) edited(f *source.File, change protocol.TextDocumentContentChangeEvent) string {
	switch c := change.(type) {
	case *protocol.TextDocumentContentChangeWholeDocument:
		return strings.Clone(c.Text)
	case *protocol.TextDocumentContentChangePartial:
		at := s.encoding.Span(f, c.Range)
		var b strings.Builder
		b.Grow(len(f.Text) - at.Len() + len(c.Text))
		b.WriteString(f.Text[:at.Start])
		b.WriteString(c.Text)
		b.WriteString(f.Text[at.End:])
		return b.String()
	}
	return f.Text
}

func (s *Server) didClose(p *protocol.DidCloseTextDocumentParams) {
	path := s.path(p.TextDocument.URI)
	at := s.session.Snapshot()
	d := at.Document(path)
	if d == nil {
		return
	}
	s.session.Close(path)
	s.changed(path)
	s.diagnostics.closed(d)
	s.workspace.closed(path)
}

// didSave catches up with what changed on disk behind the back of editors that
// cannot watch files.
func (s *Server) didSave(*protocol.DidSaveTextDocumentParams) {
	if !s.client.watches {
		s.session.Reload()
		s.changed("")
		s.workspace.again()
	}
}

func (s *Server) didChangeWatchedFiles(p *protocol.DidChangeWatchedFilesParams) {
	var paths []string
	folders := false
	for _, c := range p.Changes {
		path := s.path(c.URI)
		folders = folders || c.Type != protocol.FileChangeTypeChanged && s.isFolder(path)
		paths = append(paths, path)
	}
	s.diskChanged(paths, folders)
}

func (s *Server) didRenameFiles(p *protocol.RenameFilesParams) {
	var paths []string
	for from, to := range movesOf(p) {
		paths = append(paths, from, to)
	}
	s.diskChanged(paths, slices.ContainsFunc(paths, s.isFolder))
}

func (s *Server) didDeleteFiles(p *protocol.DeleteFilesParams) {
	var paths []string
	for _, f := range p.Files {
		paths = append(paths, s.path(uri.URI(f.URI)))
	}
	s.diskChanged(paths, slices.ContainsFunc(paths, s.isFolder))
}

// diskChanged heeds files that changed, came or went. With folders, there may be others
// among them that nobody names.
func (s *Server) diskChanged(paths []string, folders bool) {
	if folders || slices.ContainsFunc(paths, isSettings) {
		s.session.Reload()
		s.changed("")
		s.workspace.again()
		return
	}
	s.session.Disk(paths)
	s.changed("")
	s.workspace.touched(paths...)
}

// isFolder reports whether a path is a folder, or was one that held something of interest.
func (s *Server) isFolder(path string) bool {
	if filepath.Ext(path) == lint.Extension || isSettings(path) {
		return false
	}
	if info, err := os.Stat(path); err == nil {
		return info.IsDir()
	}
	at := s.session.Snapshot()
	within := func(p string) bool { return p != path && files.Inside(p, path) }
	for p := range s.workspace.remembered() {
		if within(p) {
			return true
		}
	}
	for _, f := range at.Config().Files() {
		if within(files.Absolute(f.Source.Path)) {
			return true
		}
	}
	for _, d := range at.Documents() {
		if slices.ContainsFunc(session.Uses(at.Open(d.Path).Model()), within) {
			return true
		}
	}
	return false
}

func (s *Server) didChangeFolders(p *protocol.DidChangeWorkspaceFoldersParams) {
	s.workspace.setFolders(p.Event.Added, p.Event.Removed)
}

// changed makes everything follow a new snapshot: work on the text before it
// ends, findings are worked out anew.
func (s *Server) changed(path string) {
	if path != "" {
		s.fresh.changed(path)
		s.workspace.edited(path)
	}
	s.diagnostics.wake(path)
	s.previews.wake()
}

func isSettings(path string) bool { return strings.HasSuffix(path, lint.SettingsName) }

// uriOf names a file as the editor does when it has it open.
func uriOf(at *session.Snapshot, path string) uri.URI {
	if d := at.Document(path); d != nil {
		return uri.URI(d.URI)
	}
	return uri.File(path)
}

var notifications = map[string]func(*Server, []byte) error{
	protocol.MethodInitialized:                        notification(func(s *Server, _ *protocol.InitializedParams) { s.initialized() }),
	protocol.MethodTextDocumentDidOpen:                notification((*Server).didOpen),
	protocol.MethodTextDocumentDidChange:              notification((*Server).didChange),
	protocol.MethodTextDocumentDidClose:               notification((*Server).didClose),
	protocol.MethodTextDocumentDidSave:                notification((*Server).didSave),
	protocol.MethodWorkspaceDidChangeWatchedFiles:     notification((*Server).didChangeWatchedFiles),
	protocol.MethodWorkspaceDidRenameFiles:            notification((*Server).didRenameFiles),
	protocol.MethodWorkspaceDidDeleteFiles:            notification((*Server).didDeleteFiles),
	protocol.MethodWorkspaceDidChangeWorkspaceFolders: notification((*Server).didChangeFolders),
	protocol.MethodWorkspaceDidChangeConfiguration:    notification((*Server).didChangeConfiguration),
	methodCursor:            notification((*Server).cursorMoved),
	protocol.MethodSetTrace: notification((*Server).setTrace),
	protocol.MethodWindowWorkDoneProgressCancel: notification((*Server).cancelProgress),
}
