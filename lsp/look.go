package lsp

import (
	"context"
	"encoding/json"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"sewable/lang/query"
	"sewable/lang/source"
	"sewable/lsp/session"
)

func (s *Server) inlayHint(_ context.Context, d document, p *protocol.InlayHintParams) (any, error) {
	out := []protocol.InlayHint{}
	left := true
	for _, h := range query.Hints(d.ask(), d.enc.Span(d.Text(), p.Range), s.settings.now().wants) {
		x := protocol.InlayHint{Position: d.enc.Position(d.Text(), h.At), Label: protocol.String(h.Text), PaddingLeft: &left}
		if h.Tooltip != "" {
			x.Tooltip = protocol.String(h.Tooltip)
		}
		out = append(out, x)
	}
	return out, nil
}

func (s *Server) codeLens(ctx context.Context, d document, _ *protocol.CodeLensParams) (any, error) {
	out := []protocol.CodeLens{}
	if shown := s.settings.now().Lenses; shown != nil && !*shown {
		return out, nil
	}
	lenses := query.Lenses(d.askErrors(ctx))
	if ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	for _, l := range lenses {
		x := protocol.CodeLens{Range: d.enc.Range(d.Text(), l.At)}
		if l.Later {
			x.Data = anyOf(lensAsked{string(d.uri), d.version(), l.At, l.Text})
		} else {
			x.Command = protocol.Command{Title: l.Text}
		}
		out = append(out, x)
	}
	return out, nil
}

// lensAsked is what the lens of a large block carries: its cloth is worked out when the
// editor shows it.
type lensAsked struct {
	URI     string      `json:"uri"`
	Version int32       `json:"version"`
	At      source.Span `json:"at"`
	Text    string      `json:"text"`
}

func (s *Server) resolveLens(_ context.Context, at *session.Snapshot, x *protocol.CodeLens) (any, error) {
	var a lensAsked
	if json.Unmarshal(x.Data, &a) != nil || a.URI == "" {
		return x, nil
	}
	d, err := s.named(at, uri.URI(a.URI))
	if err != nil {
		return nil, err
	}
	x.Command = protocol.Command{Title: a.Text}
	if d.version() == a.Version {
		x.Command.Title += query.LensCloth(d.ask(), a.At)
	}
	return x, nil
}

var foldKinds = map[query.FoldKind]protocol.FoldingRangeKind{
	query.FoldBody: protocol.FoldingRangeKindRegion, query.FoldComment: protocol.FoldingRangeKindComment, query.FoldUse: protocol.FoldingRangeKindImports,
}

func (s *Server) foldingRange(_ context.Context, d document, _ *protocol.FoldingRangeParams) (any, error) {
	out := []protocol.FoldingRange{}
	for _, f := range query.Folds(d.ask()) {
		r := d.enc.Range(d.Text(), f.At)
		if r.Start.Line == r.End.Line {
			continue
		}
		x := protocol.FoldingRange{StartLine: r.Start.Line, EndLine: r.End.Line, Kind: foldKinds[f.Kind]}
		switch {
		case !s.client.lineFolding:
			x.StartCharacter, x.EndCharacter = &r.Start.Character, &r.End.Character
		case f.Kind == query.FoldBody:
			x.EndLine-- // the brace stays in sight
		}
		out = append(out, x)
	}
	return out, nil
}

func (s *Server) selectionRange(_ context.Context, d document, p *protocol.SelectionRangeParams) (any, error) {
	out := make([]protocol.SelectionRange, 0, len(p.Positions))
	for _, at := range p.Positions {
		var outer *protocol.SelectionRange
		spans := query.Selections(d.ask(), d.offset(at))
		for i := len(spans) - 1; i >= 0; i-- {
			outer = &protocol.SelectionRange{Range: d.enc.Range(d.Text(), spans[i]), Parent: outer}
		}
		out = append(out, *outer)
	}
	return out, nil
}

func (s *Server) documentColor(_ context.Context, d document, _ *protocol.DocumentColorParams) (any, error) {
	out := []protocol.ColorInformation{}
	for _, c := range query.Colours(d.ask()) {
		out = append(out, protocol.ColorInformation{
			Range: d.enc.Range(d.Text(), c.At), Color: protocol.Color{Red: c.Red, Green: c.Green, Blue: c.Blue, Alpha: 1},
		})
	}
	return out, nil
}

func (s *Server) colorPresentation(_ context.Context, _ document, p *protocol.ColorPresentationParams) (any, error) {
	hex := query.Hex(p.Color.Red, p.Color.Green, p.Color.Blue)
	return []protocol.ColorPresentation{{Label: hex, TextEdit: protocol.TextEdit{Range: p.Range, NewText: hex}}}, nil
}

func (s *Server) linkedEditing(_ context.Context, d document, p *protocol.LinkedEditingRangeParams) (any, error) {
	spans := query.Linked(d.ask(), d.offset(p.Position))
	if len(spans) == 0 {
		return nil, nil
	}
	pattern := `[\p{L}][\p{L}\p{M}\p{Nd}_]*`
	return &protocol.LinkedEditingRanges{Ranges: d.ranges(spans), WordPattern: &pattern}, nil
}

func (d document) ranges(spans []source.Span) []protocol.Range {
	out := make([]protocol.Range, len(spans))
	for i, at := range spans {
		out[i] = d.enc.Range(d.Text(), at)
	}
	return out
}
