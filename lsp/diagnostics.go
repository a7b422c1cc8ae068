package lsp

import (
	"context"
	"fmt"
	"hash/fnv"
	"maps"
	"slices"
	"sync"
	"sync/atomic"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"sewable/lang/files"
	"sewable/lang/source"
	"sewable/lint"
	"sewable/lsp/convert"
	"sewable/lsp/session"
	"sewable/lsp/wire"
)

// diagnostics sends what the rules find in open documents. One goroutine
// follows the session: it takes the document edited last first, gives up as soon as a newer
// text is there, and waits for nothing. Editors that ask for diagnostics themselves
// are sent none.
type diagnostics struct {
	s    *Server
	bell chan struct{}
	busy atomic.Int32 // documents still to be answered, see workspace

	first  sync.Once
	opened chan struct{} // closed when there was a document

	mu     sync.Mutex
	recent []string                 // paths, the one edited last at the end
	sent   map[string]*session.File // what was sent last, by path
	stop   context.CancelCauseFunc  // of the work on working
	work   *session.File

	settingsLock sync.Mutex
	settings     *lint.Config                  // whose files were checked last
	told         map[string]*lint.SettingsFile // what was sent last, by path
}

func newDiagnostics(s *Server) *diagnostics {
	return &diagnostics{s: s, bell: make(chan struct{}, 1), opened: make(chan struct{}), sent: map[string]*session.File{}, told: map[string]*lint.SettingsFile{}}
}

// wake makes it look at the session again; path was edited, if it is not empty.
func (d *diagnostics) wake(path string) {
	d.mu.Lock()
	if path != "" {
		d.recent = append(slices.DeleteFunc(d.recent, func(p string) bool { return p == path }), path)
	}
	if d.work != nil && d.s.session.Snapshot().Open(d.work.Path) != d.work {
		d.stop(wire.ErrContentModified)
	}
	d.mu.Unlock()
	d.busy.Store(1)
	if path != "" {
		d.first.Do(func() { close(d.opened) })
	}
	select {
	case d.bell <- struct{}{}:
	default:
	}
}

func (d *diagnostics) run(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-d.bell:
		}
		for ctx.Err() == nil {
			at := d.s.session.Snapshot()
			f := d.next(at)
			if f == nil {
				break
			}
			d.do(ctx, at, f)
		}
		d.busy.Store(0)
		d.checkSettings()
	}
}

// next is an open document whose findings were not sent yet.
func (d *diagnostics) next(at *session.Snapshot) *session.File {
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, path := range slices.Backward(d.recent) {
		if f := at.Open(path); f != nil && d.sent[path] != f {
			return f
		}
	}
	return nil
}

func (d *diagnostics) do(ctx context.Context, at *session.Snapshot, f *session.File) {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	d.mu.Lock()
	d.work, d.stop = f, cancel
	d.mu.Unlock()
	items, err := d.s.diagnosticsOf(ctx, at, f) // asked or sent: worked out while the editor thinks
	d.s.conn.Wait()
	d.mu.Lock()
	defer d.mu.Unlock()
	d.work = nil
	if err != nil || d.s.session.Snapshot().Open(f.Path) != f {
		return // there is a newer text
	}
	d.sent[f.Path] = f
	if !d.s.client.pull {
		d.s.publish(f.Doc, items)
	}
}

// last is the document that was opened or edited last; empty when none is open.
func (d *diagnostics) last() string {
	d.mu.Lock()
	defer d.mu.Unlock()
	if len(d.recent) == 0 {
		return ""
	}
	return d.recent[len(d.recent)-1]
}

// closed takes back what was sent of a document that the editor no longer has.
func (d *diagnostics) closed(doc *session.Document) {
	d.mu.Lock()
	defer d.mu.Unlock()
	delete(d.sent, doc.Path)
	d.recent = slices.DeleteFunc(d.recent, func(p string) bool { return p == doc.Path })
	if !d.s.client.pull {
		d.s.conn.Post(protocol.MethodTextDocumentPublishDiagnostics,
			&protocol.PublishDiagnosticsParams{URI: uri.URI(doc.URI), Diagnostics: []protocol.Diagnostic{}})
	}
}

// unlessOpen does something about a file on disk while no diagnostics of its document can go
// out; not at all when the document is open.
func (d *diagnostics) unlessOpen(path string, do func()) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.s.session.Snapshot().Document(path) == nil {
		do()
	}
}

func (s *Server) publish(doc *session.Document, items []protocol.Diagnostic) {
	p := &protocol.PublishDiagnosticsParams{URI: uri.URI(doc.URI), Diagnostics: items}
	if s.client.versions {
		p.Version = protocol.NewOptional(doc.Version)
	}
	s.conn.Post(protocol.MethodTextDocumentPublishDiagnostics, p)
}

// checkSettings sends what is wrong with the settings files, once for each reading of
// them, and takes back what was sent of those that are gone.
func (d *diagnostics) checkSettings() {
	if d.s.client.pull {
		return
	}
	d.settingsLock.Lock()
	defer d.settingsLock.Unlock()
	at := d.s.session.Snapshot()
	if d.settings != at.Config() {
		d.settings = at.Config()
		for path := range d.told {
			d.settings.For(path) // reads it, where it still is
		}
	}
	gone := maps.Clone(d.told)
	for _, f := range d.settings.Files() {
		path := files.Absolute(f.Source.Path)
		delete(gone, path)
		if d.told[path] != f {
			d.told[path] = f
			d.sendSettings(path, d.s.wrongSettings(at, f))
		}
	}
	for path := range gone {
		delete(d.told, path)
		d.sendSettings(path, []protocol.Diagnostic{})
	}
}

func (d *diagnostics) sendSettings(path string, items []protocol.Diagnostic) {
	d.s.conn.Notify(protocol.MethodTextDocumentPublishDiagnostics,
		&protocol.PublishDiagnosticsParams{URI: convert.URI(path), Diagnostics: items})
}

// diagnosticsOf are the findings of a file as the protocol has them.
func (s *Server) diagnosticsOf(ctx context.Context, at *session.Snapshot, f *session.File) ([]protocol.Diagnostic, error) {
	findings, failures, err := f.Findings(ctx)
	if err != nil {
		return nil, err
	}
	for _, x := range failures {
		s.log.Error(x.Error(), "stack", x.Stack)
	}
	c := converter{s: s, at: at, own: f.Text()}
	shown, left := mostSevere(findings, maxFindings)
	items := c.diagnostics(shown)
	if left > 0 {
		items = append(items, leftOut(left))
	}
	return items, nil
}

// converter turns findings of one file into diagnostics.
type converter struct {
	s     *Server
	at    *session.Snapshot
	own   *source.File
	texts map[string]*source.File // of other files, by path as the findings name it
}

// textOf is the text of a file that a finding names; nil when it is gone.
func (c *converter) textOf(path string) *source.File {
	if path == c.own.Path {
		return c.own
	}
	if f, ok := c.texts[path]; ok {
		return f
	}
	if c.texts == nil {
		c.texts = map[string]*source.File{}
	}
	f, _ := c.at.Text(files.Absolute(path))
	c.texts[path] = f
	return f
}

func (c *converter) location(p lint.Place) (protocol.Location, bool) {
	f := c.textOf(p.File)
	if f == nil {
		return protocol.Location{}, false
	}
	return protocol.Location{
		URI:   uriOf(c.at, files.Absolute(p.File)),
		Range: c.s.encoding.Range(f, p.Span),
	}, true
}

var severities = map[lint.Level]protocol.DiagnosticSeverity{
	lint.Error:   protocol.DiagnosticSeverityError,
	lint.Warning: protocol.DiagnosticSeverityWarning,
	lint.Hint:    protocol.DiagnosticSeverityInformation,
}

const sourceName = "sewable"

func (c *converter) diagnostics(findings []lint.Finding) []protocol.Diagnostic {
	out := make([]protocol.Diagnostic, 0, len(findings))
	for _, f := range findings {
		d := protocol.Diagnostic{
			Range:    c.s.encoding.Range(c.own, f.Span),
			Severity: severities[f.Level],
			Code:     protocol.String(f.Rule),
			Source:   protocol.NewOptional(sourceName),
			Message:  protocol.String(f.Message),
			Data:     diagnosticData(f),
		}
		if c.s.client.codeDescription {
			d.CodeDescription.Href = c.s.rulePage(f.Rule)
		}
		if f.Unused && c.s.client.unused {
			d.Tags = protocol.NewDiagnosticTags(protocol.DiagnosticTagUnnecessary)
			if f.Level == lint.Hint {
				d.Severity = protocol.DiagnosticSeverityHint // faded, and no more
			}
		}
		if c.s.client.related {
			for _, r := range f.Related {
				if at, ok := c.location(r.Place); ok {
					d.RelatedInformation = append(d.RelatedInformation, protocol.DiagnosticRelatedInformation{Location: at, Message: r.Message})
				}
			}
		}
		out = append(out, d)
	}
	return out
}

// diagnosticData is what a code action needs to find the finding again, in the
// server's own state and not in what the editor remembers.
func diagnosticData(f lint.Finding) protocol.LSPAny {
	if len(f.Fixes) == 0 {
		return nil
	}
	titles := make([]string, len(f.Fixes))
	for i, x := range f.Fixes {
		titles[i] = x.Title
	}
	return anyOf(map[string]any{"rule": f.Rule, "fixes": titles})
}

// resultID names a list of diagnostics by what is in it.
func resultID(items []protocol.Diagnostic) string {
	h := fnv.New64a()
	var buf []byte
	for i := range items {
		buf, _ = protocol.AppendMarshal(buf[:0], &items[i])
		h.Write(buf)
	}
	return fmt.Sprintf("%d.%x", len(items), h.Sum64())
}
