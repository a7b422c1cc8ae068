package lsp

import (
	"context"
	"encoding/json"
	"fmt"
	"path/filepath"
	"sync"
	"sync/atomic"
	"time"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"sewable/lang/source"
	"sewable/lsp/preview"
	"sewable/lsp/session"
)

// previewCommand opens the preview of a document: the one whose URI is its argument,
// else the one that was opened or edited last. It answers the address.
const previewCommand = "sewable.preview"

// methodCursor is a notification of our own, with textDocument and position as a
// hover has them: the cursor stands there. An editor that sends it is believed alone;
// of any other it is known from what it asks, and from where it types.
const methodCursor = "sewable/cursor"

// atCursor are the requests that editors send of the place where the cursor is.
var atCursor = map[string]bool{
	protocol.MethodTextDocumentDocumentHighlight:    true,
	protocol.MethodTextDocumentCodeAction:           true,
	protocol.MethodTextDocumentHover:                true,
	protocol.MethodTextDocumentSignatureHelp:        true,
	protocol.MethodTextDocumentCompletion:           true,
	protocol.MethodTextDocumentSelectionRange:       true,
	protocol.MethodTextDocumentLinkedEditingRange:   true,
	protocol.MethodTextDocumentPrepareRename:        true,
	protocol.MethodTextDocumentReferences:           true,
	protocol.MethodTextDocumentPrepareCallHierarchy: true,
}

// previews are the pages that show documents as they are typed. One goroutine follows
// the session, after the diagnostics: whoever types waits for neither.
type previews struct {
	s    *Server
	bell chan struct{}
	on   atomic.Bool // there is a page

	mu     sync.Mutex
	server *preview.Server
	pages  map[string]*preview.Page
	shown  map[string]*session.File
	cursor *cursor // that is not lit yet
	told   bool    // the editor says where its cursor is
	stop   context.CancelFunc
}

// cursor is a place in a document as it was when the editor said so.
type cursor struct {
	path string
	at   *session.Snapshot
	find func(*source.File) int // its offset
}

func newPreviews(s *Server) *previews {
	return &previews{
		s: s, bell: make(chan struct{}, 1), pages: map[string]*preview.Page{}, shown: map[string]*session.File{}, stop: func() {},
	}
}

func (s *Server) executeCommand(ctx context.Context, at *session.Snapshot, p *protocol.ExecuteCommandParams) (any, error) {
	if p.Command != previewCommand {
		return nil, jsonrpc2.NewError(jsonrpc2.InvalidParams, "the server knows no command "+p.Command)
	}
	path, err := s.wanted(p.Arguments)
	if err != nil {
		return nil, err
	}
	if _, err := at.Text(path); err != nil {
		return nil, jsonrpc2.NewError(jsonrpc2.InvalidParams, "there is no file "+path)
	}
	page, err := s.previews.open(path)
	if err != nil {
		return nil, err
	}
	external := true
	if !s.showDocument(ctx, &protocol.ShowDocumentParams{URI: uri.URI(page.URL()), External: &external}) {
		s.say("The preview of %s is at %s", filepath.Base(path), page.URL())
	}
	return anyOf(page.URL()), nil
}

// wanted is the document that a preview is asked for.
func (s *Server) wanted(arguments []protocol.LSPAny) (string, error) {
	if len(arguments) == 0 {
		if path := s.diagnostics.last(); path != "" {
			return path, nil
		}
		return "", jsonrpc2.NewError(jsonrpc2.InvalidParams, "no open document can be previewed")
	}
	var text string
	if json.Unmarshal(arguments[0], &text) != nil || text == "" {
		return "", jsonrpc2.NewError(jsonrpc2.InvalidParams, previewCommand+" takes the URI of a document")
	}
	u, err := uri.Parse(text)
	if err != nil {
		return "", jsonrpc2.NewError(jsonrpc2.InvalidParams, err.Error())
	}
	return s.path(u), nil
}

// showDocument has the editor show something; false when it cannot, or does not.
func (s *Server) showDocument(ctx context.Context, p *protocol.ShowDocumentParams) bool {
	if !s.client.showDocument {
		return false
	}
	ctx, cancel := context.WithTimeout(ctx, 5*time.Second)
	defer cancel()
	var result protocol.ShowDocumentResult
	return s.conn.Call(ctx, protocol.MethodWindowShowDocument, p, &result) == nil && result.Success
}

func (s *Server) say(format string, args ...any) {
	s.conn.Notify(protocol.MethodWindowShowMessage, &protocol.ShowMessageParams{
		Type: protocol.MessageTypeInfo, Message: fmt.Sprintf(format, args...),
	})
}

// open gives the page of a document.
func (p *previews) open(path string) (*preview.Page, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.server == nil {
		server, err := preview.Start(preview.Options{Goto: p.goTo, Log: p.s.log})
		if err != nil {
			return nil, err
		}
		p.server = server
		go p.run(p.s.ctx)
	}
	page, err := p.server.Page(path)
	if err != nil {
		return nil, err
	}
	p.pages[path] = page
	p.on.Store(true)
	p.ring()
	return page, nil
}

// close ends the pages.
func (p *previews) close() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.on.Store(false)
	if p.server != nil {
		_ = p.server.Close()
	}
}

// goTo is called by a page when a patch is clicked.
func (p *previews) goTo(path string, line, column int) string {
	at := p.s.session.Snapshot()
	text, err := at.Text(path)
	if err != nil {
		return "The file no longer exists."
	}
	place := p.s.encoding.Position(text, text.FromPosition(source.Position{Line: line, Column: column}))
	focus := true
	if p.s.showDocument(p.s.ctx, &protocol.ShowDocumentParams{
		URI: uriOf(at, path), TakeFocus: &focus, Selection: &protocol.Range{Start: place, End: place},
	}) {
		return fmt.Sprintf("The editor shows line %d.", line)
	}
	p.s.say("%s:%d:%d", path, line, column)
	return fmt.Sprintf("It is line %d; this editor cannot be moved there.", line)
}

// wake makes it look at the session again.
func (p *previews) wake() {
	if !p.on.Load() {
		return
	}
	p.mu.Lock()
	p.stop() // the work on an older text
	p.mu.Unlock()
	p.ring()
}

func (p *previews) ring() {
	select {
	case p.bell <- struct{}{}:
	default:
	}
}

// maxWait is how long a preview waits for the diagnostics at most.
const maxWait = 250 * time.Millisecond

func (p *previews) run(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-p.bell:
		}
		for start := time.Now(); p.s.diagnostics.busy.Load() > 0 && time.Since(start) < maxWait; {
			time.Sleep(500 * time.Microsecond)
		}
		p.show(ctx)
		p.light()
	}
}

// show shows every page its document as it is now.
func (p *previews) show(ctx context.Context) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	p.mu.Lock()
	p.stop = cancel
	at := p.s.session.Snapshot()
	pages := make([]*preview.Page, 0, len(p.pages))
	for _, page := range p.pages {
		pages = append(pages, page)
	}
	p.mu.Unlock()
	for _, page := range pages {
		f, err := at.File(page.Path)
		switch {
		case err != nil:
			page.Show(preview.Moment{Why: err.Error()})
			continue
		case p.shown[page.Path] == f:
			continue
		}
		findings, _, err := f.Findings(ctx)
		if err != nil {
			return // there is a newer text, and the bell has rung for it
		}
		page.Show(preview.Moment{File: document{File: f}.ask(), Findings: findings})
		p.shown[page.Path] = f
	}
}

// light lights what the cursor means.
func (p *previews) light() {
	p.mu.Lock()
	c := p.cursor
	p.cursor = nil
	var page *preview.Page
	if c != nil {
		page = p.pages[c.path]
	}
	p.mu.Unlock()
	if page == nil {
		return
	}
	if f := c.at.Open(c.path); f != nil {
		page.Light(preview.LitAt(document{File: f}.ask(), c.find(f.Text())))
	}
}

// point notes where the cursor is. It costs next to nothing: it is called where
// messages are taken.
func (p *previews) point(path string, find func(*source.File) int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.pages[path] != nil {
		p.cursor = &cursor{path, p.s.session.Snapshot(), find}
		p.ring()
	}
}

// heard looks whether a request tells where the cursor is.
func (p *previews) heard(method string, params []byte) {
	if !p.on.Load() || !atCursor[method] || p.isTold() {
		return
	}
	var said struct {
		TextDocument protocol.TextDocumentIdentifier `json:"textDocument"`
		Position     *protocol.Position              `json:"position"`
		Range        *protocol.Range                 `json:"range"`
		Positions    []protocol.Position             `json:"positions"`
	}
	if json.Unmarshal(params, &said) != nil {
		return
	}
	switch {
	case said.Position != nil:
	case said.Range != nil:
		said.Position = &said.Range.End
	case len(said.Positions) > 0:
		said.Position = &said.Positions[0]
	default:
		return
	}
	p.pointAt(said.TextDocument.URI, *said.Position)
}

func (p *previews) pointAt(u uri.URI, at protocol.Position) {
	p.point(p.s.path(u), func(f *source.File) int { return p.s.encoding.Offset(f, at) })
}

func (p *previews) isTold() bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.told
}

// typed notes that the cursor is behind what was typed last.
func (p *previews) typed(path string, changes []protocol.TextDocumentContentChangeEvent) {
	if !p.on.Load() || len(changes) == 0 || p.isTold() {
		return
	}
	if c, ok := changes[len(changes)-1].(*protocol.TextDocumentContentChangePartial); ok {
		start, length := c.Range.Start, len(c.Text)
		p.point(path, func(f *source.File) int { return min(len(f.Text), p.s.encoding.Offset(f, start)+length) })
	}
}

// cursorParams are those of methodCursor.
type cursorParams = protocol.TextDocumentPositionParams

func (s *Server) cursorMoved(c *cursorParams) {
	p := s.previews
	p.mu.Lock()
	p.told = true
	p.mu.Unlock()
	if p.on.Load() {
		p.pointAt(c.TextDocument.URI, c.Position)
	}
}
