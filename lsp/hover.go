package lsp

import (
	"context"
	"fmt"
	"strings"

	"go.lsp.dev/protocol"

	"sewable/lang/block"
	"sewable/lang/query"
	"sewable/lint"
)

// ask is the document as package query sees it.
func (d document) ask() *query.File {
	s := d.Settings()
	width, height := s.Printable()
	return &query.File{
		File:  d.Model(),
		Lex:   d.Lex,
		Cloth: s.Cutting(),
		Read:  d.Read,
		Paper: query.Paper{Name: s.Paper.Name, Width: width, Height: height},
	}
}

func (d document) offset(p protocol.Position) int { return d.enc.Offset(d.Text(), p) }

// askErrors is ask with what the linter finds. The work stops when the context ends.
func (d document) askErrors(ctx context.Context) *query.File {
	f := d.ask()
	f.Errors = func(b *block.Block) int {
		findings, _, err := d.Findings(ctx)
		if err != nil {
			return 0 // nobody hears the answer
		}
		return lint.ErrorsOf(findings, f.File, b)
	}
	return f
}

func (s *Server) hover(ctx context.Context, d document, p *protocol.HoverParams) (any, error) {
	h := query.Hover(d.askErrors(ctx), d.offset(p.Position))
	if ctx.Err() != nil {
		return nil, context.Cause(ctx)
	}
	if h == nil {
		return nil, nil
	}
	at := d.enc.Range(d.Text(), h.At)
	return &protocol.Hover{Contents: s.markup(d, h), Range: &at}, nil
}

func (s *Server) markup(d document, h *query.HoverText) *protocol.MarkupContent {
	if !s.client.markdown {
		return &protocol.MarkupContent{Kind: protocol.MarkupKindPlainText, Value: plain(h)}
	}
	return &protocol.MarkupContent{Kind: protocol.MarkupKindMarkdown, Value: s.markdown(h, s.picture(d, h.Picture))}
}

func plain(h *query.HoverText) string {
	var b strings.Builder
	b.WriteString(h.Title + "\n")
	if h.Code != "" {
		b.WriteString("\n" + h.Code + "\n")
	}
	for _, t := range h.Text {
		b.WriteString("\n" + t + "\n")
	}
	if len(h.Facts) > 0 {
		b.WriteString("\n")
	}
	for _, f := range h.Facts {
		fmt.Fprintf(&b, "%s: %s\n", f.Name, f.Value)
	}
	return strings.TrimRight(b.String(), "\n")
}

func (s *Server) markdown(h *query.HoverText, picture string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "**%s**", escape(h.Title))
	if swatch := s.swatch(h.Swatch); swatch != "" {
		b.WriteString(" " + swatch)
	}
	b.WriteString("\n")
	// An editor that shows images cuts a hover off at some height: the first fact and what is
	// to be seen come first there. Dots are words among words, and come last.
	facts := h.Facts
	if picture != "" && s.shows() == "image" {
		if len(facts) > 0 {
			fmt.Fprintf(&b, "\n%s **%s**\n", escape(facts[0].Name), escape(facts[0].Value))
			facts = facts[1:]
		}
		b.WriteString("\n" + picture + "\n")
		picture = ""
	}
	if h.Code != "" {
		fmt.Fprintf(&b, "\n```sewable\n%s\n```\n", h.Code)
	}
	for _, t := range h.Text {
		fmt.Fprintf(&b, "\n%s\n", escape(t))
	}
	if len(facts) > 0 {
		b.WriteString("\n| | |\n| --- | --- |\n")
	}
	for _, f := range facts {
		fmt.Fprintf(&b, "| %s | %s |\n", escape(f.Name), escape(f.Value))
	}
	if picture != "" {
		b.WriteString("\n" + picture + "\n")
	}
	return strings.TrimRight(b.String(), "\n")
}

// escape keeps words from being read as marks.
func escape(s string) string { return marks.Replace(s) }

var marks = strings.NewReplacer(`\`, `\\`, "*", `\*`, "_", `\_`, "|", `\|`, "<", "&lt;", "\n", " ")
