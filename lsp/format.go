package lsp

import (
	"context"

	"github.com/aymanbagabas/go-udiff"
	"go.lsp.dev/protocol"

	"sewable/lang/source"
	"sewable/lang/syntax/format"
)

// formatting lays the whole file out. What the editor says of tabs is not
// heeded: a file looks the same wherever it was formatted.
func (s *Server) formatting(_ context.Context, d document, _ *protocol.DocumentFormattingParams) (any, error) {
	return d.formatted(source.Span{Start: 0, End: len(d.Text().Text)}), nil
}

func (s *Server) rangeFormatting(_ context.Context, d document, p *protocol.DocumentRangeFormattingParams) (any, error) {
	return d.formatted(d.enc.Span(d.Text(), p.Range)), nil
}

func (s *Server) rangesFormatting(_ context.Context, d document, p *protocol.DocumentRangesFormattingParams) (any, error) {
	out := []protocol.TextEdit{}
	last := -1
	for _, r := range p.Ranges {
		at := d.enc.Span(d.Text(), r)
		if at.Start < last {
			continue // the editor sends them in order; what overlaps is laid out already
		}
		edits := d.formatted(at)
		out = append(out, edits...)
		last = d.Text().EditorLine(int(r.End.Line)).End
	}
	return out, nil
}

// onTypeFormatting lays out what a line break or a brace has ended.
func (s *Server) onTypeFormatting(_ context.Context, d document, p *protocol.DocumentOnTypeFormattingParams) (any, error) {
	line := int(p.Position.Line)
	switch {
	case p.Ch == "\n" && line > 0:
		return d.formatted(d.Text().EditorLine(line - 1)), nil
	case p.Ch == "}":
		return d.formatted(d.Text().EditorLine(line)), nil
	}
	return []protocol.TextEdit{}, nil
}

// formatted is the layout of the lines that touch a span, as small edits: one for
// each run of lines that changes, so that cursors and marks elsewhere stay.
func (d document) formatted(at source.Span) []protocol.TextEdit {
	text := d.Text().Text
	replace, laid := format.FormatRange(d.Model().Tree, at)
	return d.lineEdits(replace, text[replace.Start:replace.End], laid)
}

func (d document) lineEdits(at source.Span, old, new string) []protocol.TextEdit {
	out := []protocol.TextEdit{}
	for _, c := range udiff.Lines(old, new) {
		out = append(out, protocol.TextEdit{
			Range:   d.enc.Range(d.Text(), source.Span{Start: at.Start + c.Start, End: at.Start + c.End}),
			NewText: c.New,
		})
	}
	return out
}
