package lsp

import (
	"encoding/base64"
	"fmt"
	"strings"

	"github.com/muesli/termenv"

	"sewable/lang/draw"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/svg"
	"sewable/lang/draw/term"
	"sewable/lang/geom"
	"sewable/lang/memo"
	"sewable/lang/query"
)

// maxPicture is how large a drawing may be before it is encoded: an editor shows
// a hover of over 100,000 characters as letters.
const maxPicture = 70_000

// Pictures in hovers are small, so that words are seen below them: a hover of VS Code is some 250
// dots high, which are 66 mm.
const (
	pictureSize  = 32 * geom.Millimetre
	pictureWidth = 32 // cells of a drawing in dots
)

// shows is how the editor shows pictures: as it was set, else as images where they are
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

// picture is a drawing of the block or section: an image where the editor shows
// them, else a drawing of dots. A text's picture is drawn once, however the mouse wanders.
func (s *Server) picture(d document, p *query.Picture) string {
	type key struct {
		query.Picture
		shows string
	}
	shows := s.shows()
	if p == nil || shows == "none" {
		return ""
	}
	return memo.Of(&d.Facts, key{*p, shows}, func() string { return drawn(p, shows) })
}

func drawn(p *query.Picture, shows string) string {
	d := drawing(p)
	if d == nil {
		return ""
	}
	if shows == "image" {
		if text := svg.Append(nil, d, svg.Options{Bare: true}); len(text) <= maxPicture {
			return image(d.Description, text)
		}
	}
	dots := term.Render(d, term.Options{Columns: pictureWidth, Profile: termenv.Ascii})
	return "```text\n" + strings.TrimRight(dots, "\n") + "\n```"
}

// maxDrawn is how many patches a block may have to be drawn as a whole: more are
// dust at this size, and take longer than somebody with a mouse waits.
const maxDrawn = 150

// drawing draws a section, or a block with a patch lit; of a large block the section
// that the patch is in.
func drawing(p *query.Picture) *ink.Drawing {
	section, patches := p.Section, 0
	for _, s := range p.Sewn.Sections {
		patches += len(s.Of.Patches)
	}
	if patches > maxDrawn && p.Patch != nil {
		section = p.Patch.Section
	}
	o := draw.Options{Size: pictureSize, Labels: draw.SectionLabels, Highlight: p.Patch}
	if section == nil {
		return draw.Block(p.Sewn, o)
	}
	o.Labels = draw.PatchLabels
	if s := p.Sewn.Section(section); s != nil {
		return draw.Section(s, o)
	}
	return nil
}

// image is an SVG as markdown has it. Its words are for those who do not see it.
func image(alt string, text []byte) string {
	return fmt.Sprintf("![%s](data:image/svg+xml;base64,%s)", escape(alt), base64.StdEncoding.EncodeToString(text))
}

// swatch is a fabric's colour.
func (s *Server) swatch(hex string) string {
	switch {
	case hex == "":
		return ""
	case s.shows() != "image":
		return "`" + hex + "`"
	}
	text := fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" width="14" height="14"><rect width="14" height="14" fill="%s" stroke="#888"/></svg>`, hex)
	return image(hex, []byte(text)) + " `" + hex + "`"
}
