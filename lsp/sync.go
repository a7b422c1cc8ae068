package lsp

import (
	"strings"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"sewable/lang/source"
	"sewable/lint"
	"sewable/lsp/session"
)

// didOpen and its like are done in the order they arrive. They cost next to
// nothing: a snapshot works out nothing before it is asked.

func (s *Server) didOpen(p *protocol.DidOpenTextDocumentParams) {
	d := p.TextDocument
	path := s.path(d.URI)
	if isSettings(path) {
		return // read from disk, as the command does
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
		if !isSettings(path) {
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
	s.tokens.forget(path)
	s.changed(path)
	s.diagnostics.closed(d)
	s.workspace.touched(path)
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
	for _, c := range p.Changes {
		paths = append(paths, s.path(c.URI))
	}
	s.diskChanged(paths)
}

func (s *Server) diskChanged(paths []string) {
	s.session.Disk(paths)
	s.changed("")
	for _, p := range paths {
		if isSettings(p) {
			s.workspace.again()
			return
		}
	}
	s.workspace.touched(paths...)
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
	protocol.MethodWorkspaceDidChangeWorkspaceFolders: notification((*Server).didChangeFolders),
	protocol.MethodWorkspaceDidChangeConfiguration:    notification((*Server).didChangeConfiguration),
	methodCursor:            notification((*Server).cursorMoved),
	protocol.MethodSetTrace: notification((*Server).setTrace),
	protocol.MethodWindowWorkDoneProgressCancel: notification((*Server).cancelProgress),
}
