package lsp

import (
	"context"

	"go.lsp.dev/protocol"

	"sewable/lang/files"
	"sewable/lint"
	"sewable/lsp/session"
)

// diagnostic answers an editor that asks for the diagnostics of a document. A
// result is named by its content, so that the same result is never sent twice.
func (s *Server) diagnostic(ctx context.Context, d document, p *protocol.DocumentDiagnosticParams) (any, error) {
	of := s.diagnosticsOf
	if !isBlock(d.at, d.Path) {
		of = s.settingsDiagnostics
	}
	items, err := of(ctx, d.at, d.File)
	if err != nil {
		return nil, err
	}
	id := resultID(items)
	if p.PreviousResultID != nil && *p.PreviousResultID == id {
		r := &protocol.RelatedUnchangedDocumentDiagnosticReport{}
		r.Kind, r.ResultID = string(protocol.DocumentDiagnosticReportKindUnchanged), id
		return r, nil
	}
	r := &protocol.RelatedFullDocumentDiagnosticReport{}
	r.Kind, r.ResultID, r.Items = string(protocol.DocumentDiagnosticReportKindFull), &id, items
	return r, nil
}

// settingsDiagnostics are what is wrong with a settings file as it lies on disk, if
// it holds for anything.
func (s *Server) settingsDiagnostics(_ context.Context, at *session.Snapshot, f *session.File) ([]protocol.Diagnostic, error) {
	settings := at.Config().For(f.Path)
	if settings.Source == nil || files.Absolute(settings.Source.Path) != f.Path {
		return []protocol.Diagnostic{}, nil
	}
	return s.wrongSettings(at, settings), nil
}

func (s *Server) wrongSettings(at *session.Snapshot, f *lint.SettingsFile) []protocol.Diagnostic {
	findings, _ := lint.CheckSettings(f, at.Rules())
	c := converter{s: s, at: at, own: f.Source}
	return c.diagnostics(findings)
}

// workspaceDiagnostic answers for every file of the workspace: open ones from
// their text, the others from the background run, which it waits for, and the settings
// files that were read for them.
func (s *Server) workspaceDiagnostic(ctx context.Context, at *session.Snapshot, p *protocol.WorkspaceDiagnosticParams) (any, error) {
	known := map[string]string{}
	for _, r := range p.PreviousResultIds {
		known[s.path(r.URI)] = r.Value
	}
	var items []protocol.WorkspaceDocumentDiagnosticReport
	flush := s.partial(p.PartialResultToken, func() any {
		return &protocol.WorkspaceDiagnosticReportPartialResult{Items: items}
	}, func() { items = nil })
	add := func(path string, version *int32, found []protocol.Diagnostic, id string) {
		u := uriOf(at, path)
		if was, ok := known[path]; ok && was == id {
			r := &protocol.WorkspaceUnchangedDocumentDiagnosticReport{URI: u, Version: version}
			r.Kind, r.ResultID = string(protocol.DocumentDiagnosticReportKindUnchanged), id
			items = append(items, r)
		} else {
			r := &protocol.WorkspaceFullDocumentDiagnosticReport{URI: u, Version: version}
			r.Kind, r.ResultID, r.Items = string(protocol.DocumentDiagnosticReportKindFull), &id, found
			items = append(items, r)
		}
		delete(known, path)
		if len(items) >= 100 {
			flush()
		}
	}
	for _, doc := range at.Documents() {
		found, err := s.diagnosticsOf(ctx, at, at.Open(doc.Path))
		if err != nil {
			return nil, err
		}
		add(doc.Path, &doc.Version, found, resultID(found))
	}
	results, err := s.workspace.finished(ctx)
	if err != nil {
		return nil, err
	}
	for path, r := range results {
		if at.Document(path) == nil {
			add(path, nil, r.diagnostics, r.id)
		}
	}
	now := s.session.Snapshot() // that of the run may be younger than the request
	for _, f := range now.Config().Files() {
		found := s.wrongSettings(now, f)
		add(files.Absolute(f.Source.Path), nil, found, resultID(found))
	}
	for path := range known { // gone, or in the workspace no longer
		add(path, nil, []protocol.Diagnostic{}, "gone")
	}
	flush()
	if items == nil {
		items = []protocol.WorkspaceDocumentDiagnosticReport{}
	}
	return &protocol.WorkspaceDiagnosticReport{Items: items}, nil
}
