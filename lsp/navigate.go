package lsp

import (
	"context"
	"path/filepath"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"sewable/lang/block"
	"sewable/lang/files"
	"sewable/lang/query"
	"sewable/lang/source"
)

func (s *Server) definition(_ context.Context, d document, p *protocol.DefinitionParams) (any, error) {
	from, to := query.Definition(d.ask(), d.offset(p.Position))
	return s.places(d, from, to), nil
}

func (s *Server) declaration(_ context.Context, d document, p *protocol.DeclarationParams) (any, error) {
	from, to := query.Definition(d.ask(), d.offset(p.Position))
	return s.places(d, from, to), nil
}

func (s *Server) typeDefinition(_ context.Context, d document, p *protocol.TypeDefinitionParams) (any, error) {
	from, to := query.TypeDefinition(d.ask(), d.offset(p.Position))
	return s.places(d, from, to), nil
}

// places are locations, or links with the statement they lead to where the
// editor can show it.
func (s *Server) places(d document, from source.Span, to []query.Place) any {
	if len(to) == 0 {
		return nil
	}
	if !s.client.links {
		var out protocol.LocationSlice
		for _, at := range to {
			out = append(out, d.location(at))
		}
		return out
	}
	origin := d.enc.Range(d.Text(), from)
	var out protocol.DefinitionLinkSlice
	for _, at := range to {
		whole := query.Statement(d.ask(), at)
		out = append(out, protocol.DefinitionLink{
			OriginSelectionRange: &origin, TargetURI: d.location(at).URI,
			TargetRange: d.enc.Range(at.File, whole.Span), TargetSelectionRange: d.enc.Range(at.File, at.Span),
		})
	}
	return out
}

func (d document) location(at query.Place) protocol.Location {
	return protocol.Location{
		URI:   uriOf(d.at, files.Absolute(filepath.FromSlash(at.File.Path))),
		Range: d.enc.Range(at.File, at.Span),
	}
}

// references looks through every file that draws from the one with the declaration.
func (s *Server) references(ctx context.Context, d document, p *protocol.ReferenceParams) (any, error) {
	named := query.Target(d.ask(), d.offset(p.Position))
	if named == nil {
		return nil, nil
	}
	key := query.KeyOf(named)
	found := []protocol.Location{}
	flush := s.partial(p.PartialResultToken, func() any { return protocol.LocationSlice(found) }, func() { found = []protocol.Location{} })
	for _, path := range s.filesWith(ctx, d, named) {
		if err := ctx.Err(); err != nil {
			return nil, context.Cause(ctx)
		}
		m := d.ModelOf(path)
		if m == nil {
			f, err := d.at.File(path)
			if err != nil {
				continue
			}
			m = f.Model()
		}
		u, place := uriOf(d.at, path), d.enc.Walk(m.Source)
		for _, at := range query.References(m, key, p.Context.IncludeDeclaration) {
			found = append(found, protocol.Location{URI: u, Range: protocol.Range{Start: place(at.Start), End: place(at.End)}})
		}
		if len(found) >= 50 {
			flush()
		}
	}
	if p.PartialResultToken != nil && len(found) > 0 {
		flush()
	}
	return protocol.LocationSlice(found), nil
}

// filesWith are the files in which a thing may be named: the one that declares it
// and, where it can be used elsewhere, those that use that.
func (s *Server) filesWith(ctx context.Context, d document, named *block.Named) []string {
	home := files.Absolute(filepath.FromSlash(named.At.File.Path))
	files := []string{home}
	if query.IsShared(named) {
		files = append(files, s.workspace.usersOf(ctx, d.at, home)...)
	}
	return files
}

func (s *Server) documentHighlight(_ context.Context, d document, p *protocol.DocumentHighlightParams) (any, error) {
	out := []protocol.DocumentHighlight{}
	for _, h := range query.Highlights(d.ask(), d.offset(p.Position)) {
		kind := protocol.DocumentHighlightKindRead
		if h.Write {
			kind = protocol.DocumentHighlightKindWrite
		}
		out = append(out, protocol.DocumentHighlight{Range: d.enc.Range(d.Text(), h.At), Kind: kind})
	}
	return out, nil
}

func (s *Server) documentLink(_ context.Context, d document, _ *protocol.DocumentLinkParams) (any, error) {
	out := []protocol.DocumentLink{}
	for _, l := range query.Links(d.ask()) {
		var to uri.URI = d.location(query.Place{File: l.To}).URI
		out = append(out, protocol.DocumentLink{Range: d.enc.Range(d.Text(), l.At), Target: &to})
	}
	return out, nil
}
