package lsp

import (
	"cmp"
	"context"
	"slices"

	"go.lsp.dev/protocol"

	"sewable/lang/query"
	"sewable/lsp/session"
)

// symbolKinds are the nearest that the protocol has: an editor shows them as icons.
var symbolKinds = [...]protocol.SymbolKind{
	query.SymbolBlock:     protocol.SymbolKindClass,
	query.SymbolSection:   protocol.SymbolKindStruct,
	query.SymbolPatch:     protocol.SymbolKindField,
	query.SymbolFabric:    protocol.SymbolKindEnumMember,
	query.SymbolPoint:     protocol.SymbolKindConstant,
	query.SymbolSeam:      protocol.SymbolKindInterface,
	query.SymbolLet:       protocol.SymbolKindVariable,
	query.SymbolColourway: protocol.SymbolKindEnum,
	query.SymbolSetting:   protocol.SymbolKindPackage,
	query.SymbolNotch:     protocol.SymbolKindKey,
	query.SymbolSize:      protocol.SymbolKindEnum,
}

func (s *Server) documentSymbol(_ context.Context, d document, _ *protocol.DocumentSymbolParams) (any, error) {
	outline := query.Outline(d.ask())
	if s.client.hierarchical {
		return protocol.DocumentSymbolSlice(d.symbols(outline, d.enc.Walk(d.Text()))), nil
	}
	flat := protocol.SymbolInformationSlice{}
	var add func(list []query.Symbol, in string)
	add = func(list []query.Symbol, in string) {
		for _, x := range list {
			info := protocol.SymbolInformation{Location: protocol.Location{URI: d.uri, Range: d.enc.Range(d.Text(), x.At)}}
			info.Name, info.Kind = shownName(x.Name), symbolKinds[x.Kind]
			if in != "" {
				info.ContainerName = &in
			}
			flat = append(flat, info)
			add(x.Children, x.Name)
		}
	}
	add(outline, "")
	return flat, nil
}

// symbols are those of an outline. Their places are asked for as they come in the text, which
// is the least work.
func (d document) symbols(list []query.Symbol, place func(int) protocol.Position) []protocol.DocumentSymbol {
	out := make([]protocol.DocumentSymbol, len(list))
	for i, x := range list {
		s := &out[i]
		s.Name, s.Kind = shownName(x.Name), symbolKinds[x.Kind]
		s.Range.Start = place(x.At.Start)
		s.SelectionRange = protocol.Range{Start: place(x.NameAt.Start), End: place(x.NameAt.End)}
		if x.Detail != "" {
			s.Detail = &x.Detail
		}
		if len(x.Children) > 0 {
			s.Children = d.symbols(x.Children, place)
		}
		s.Range.End = place(x.At.End)
	}
	return out
}

// shownName is a name that is never empty, as the protocol asks.
func shownName(name string) string {
	if name == "" {
		return "(no title)"
	}
	return name
}

// indexSymbols are what a file adds to the search by name.
func (s *Server) indexSymbols(at *session.Snapshot, f *session.File) []protocol.WorkspaceSymbol {
	d := document{File: f, at: at, enc: s.encoding}
	u := uriOf(at, f.Path)
	var out []protocol.WorkspaceSymbol
	for _, x := range query.Index(d.ask()) {
		w := protocol.WorkspaceSymbol{Location: &protocol.Location{URI: u, Range: s.encoding.Range(f.Text(), x.NameAt)}}
		w.Name, w.Kind = shownName(x.Name), symbolKinds[x.Kind]
		if x.In != "" {
			in := x.In
			w.ContainerName = &in
		}
		out = append(out, w)
	}
	return out
}

// maxSymbols is how many an editor is sent; whoever wants others types more.
const maxSymbols = 200

func (s *Server) workspaceSymbol(ctx context.Context, at *session.Snapshot, p *protocol.WorkspaceSymbolParams) (any, error) {
	type hit struct {
		score float64
		of    protocol.WorkspaceSymbol
	}
	var hits []hit
	look := func(list []protocol.WorkspaceSymbol) {
		for _, x := range list {
			if score := query.Match(p.Query, x.Name); score > 0 {
				hits = append(hits, hit{score, x})
			}
		}
	}
	for path, r := range s.workspace.remembered() {
		if at.Document(path) == nil {
			look(r.symbols)
		}
	}
	for _, doc := range at.Documents() {
		if err := ctx.Err(); err != nil {
			return nil, context.Cause(ctx)
		}
		look(s.indexSymbols(at, at.Open(doc.Path)))
	}
	slices.SortFunc(hits, func(a, b hit) int {
		return cmp.Or(cmp.Compare(b.score, a.score), cmp.Compare(a.of.Name, b.of.Name),
			cmp.Compare(a.of.Location.(*protocol.Location).URI, b.of.Location.(*protocol.Location).URI))
	})
	out := protocol.WorkspaceSymbolSlice{}
	for _, h := range hits[:min(len(hits), maxSymbols)] {
		out = append(out, h.of)
	}
	if p.PartialResultToken != nil {
		sent := out
		s.partial(p.PartialResultToken, func() any { return sent }, func() {})()
		return protocol.WorkspaceSymbolSlice{}, nil
	}
	return out, nil
}
