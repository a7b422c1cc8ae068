package lsp

import (
	"context"
	"encoding/base64"
	"fmt"
	"strings"

	"go.lsp.dev/protocol"

	"sewable/lang/cloth"
	"sewable/lang/query"
	"sewable/lint"
)

// Pictures draws. It is set once the drawings exist; without it hovers have none.
type Pictures interface {
	// SVG draws a block with a patch or section lit, and says in words what is to be seen.
	SVG(p *query.Picture) (svg []byte, alt string, err error)
	// Text draws the same with Braille dots, so many cells wide.
	Text(p *query.Picture, width int) (string, error)
}

// ask is the document as package query sees it.
func (d document) ask() *query.File {
	s := d.Settings()
	return &query.File{
		File:   d.Model(),
		Sewing: d.Sewing,
		Lex:    d.Lex,
		Cloth: cloth.Options{
			Step:      s.Step.Float64(),
			Placement: cloth.Placement{Shift: s.Shift.Float64(), Turn: s.Turn.Float64()},
			Outer:     s.Grain == lint.AlongOuter,
		},
		Paper: query.Paper{
			Name:  s.Paper.Name,
			Width: s.Paper.Width.Float64() - 2*s.Margin.Float64(), Height: s.Paper.Height.Float64() - 2*s.Margin.Float64(),
		},
	}
}

func (d document) offset(p protocol.Position) int { return d.enc.Offset(d.Text(), p) }

func (s *Server) hover(_ context.Context, d document, p *protocol.HoverParams) (any, error) {
	h := query.Hover(d.ask(), d.offset(p.Position))
	if h == nil {
		return nil, nil
	}
	at := d.enc.Range(d.Text(), h.At)
	return &protocol.Hover{Contents: s.markup(h), Range: &at}, nil
}

// mostPicture is how large a drawing may be before it is encoded: an editor shows
// a hover of over 100,000 characters as letters.
const mostPicture = 70_000

func (s *Server) markup(h *query.HoverText) *protocol.MarkupContent {
	if !s.client.markdown {
		return &protocol.MarkupContent{Kind: protocol.MarkupKindPlainText, Value: plain(h)}
	}
	return &protocol.MarkupContent{Kind: protocol.MarkupKindMarkdown, Value: s.markdown(h)}
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

func (s *Server) markdown(h *query.HoverText) string {
	var b strings.Builder
	fmt.Fprintf(&b, "**%s**", escape(h.Title))
	if swatch := s.swatch(h.Swatch); swatch != "" {
		b.WriteString(" " + swatch)
	}
	b.WriteString("\n")
	if h.Code != "" {
		fmt.Fprintf(&b, "\n```sewable\n%s\n```\n", h.Code)
	}
	for _, t := range h.Text {
		fmt.Fprintf(&b, "\n%s\n", escape(t))
	}
	if len(h.Facts) > 0 {
		b.WriteString("\n| | |\n| --- | --- |\n")
	}
	for _, f := range h.Facts {
		fmt.Fprintf(&b, "| %s | %s |\n", escape(f.Name), escape(f.Value))
	}
	if picture := s.picture(h.Picture); picture != "" {
		b.WriteString("\n" + picture + "\n")
	}
	return strings.TrimRight(b.String(), "\n")
}

// escape keeps words from being read as marks.
func escape(s string) string {
	return strings.NewReplacer(`\`, `\\`, "*", `\*`, "_", `\_`, "|", `\|`, "<", "&lt;", "\n", " ").Replace(s)
}

// swatch is a fabric's colour, as an image where the editor shows images.
func (s *Server) swatch(hex string) string {
	switch {
	case hex == "":
		return ""
	case s.shows() != "image":
		return "`" + hex + "`"
	}
	svg := fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" width="14" height="14"><rect width="14" height="14" fill="%s" stroke="#888"/></svg>`, hex)
	return fmt.Sprintf("![%s](data:image/svg+xml;base64,%s) `%s`", hex, base64.StdEncoding.EncodeToString([]byte(svg)), hex)
}

// shows is how the editor shows pictures: as it was set, else images where they are
// known to be shown.
func (s *Server) shows() string {
	if p := s.settings.now().Pictures; p != "" {
		return p
	}
	name := strings.ToLower(s.client.name)
	for _, known := range []string{"visual studio code", "vscode", "code - oss", "vscodium", "zed"} {
		if strings.Contains(name, known) {
			return "image"
		}
	}
	return "text"
}

// picture is a drawing of the block, small enough for a hover.
func (s *Server) picture(p *query.Picture) string {
	draw := s.options.Pictures
	if p == nil || draw == nil || p.Block.Broken {
		return ""
	}
	switch s.shows() {
	case "image":
		svg, alt, err := draw.SVG(p)
		if err == nil && len(svg) <= mostPicture {
			return fmt.Sprintf("![%s](data:image/svg+xml;base64,%s)", escape(alt), base64.StdEncoding.EncodeToString(svg))
		}
		fallthrough
	case "text":
		if text, err := draw.Text(p, 32); err == nil {
			return "```text\n" + strings.TrimRight(text, "\n") + "\n```"
		}
	}
	return ""
}
