package guide

import (
	"io"

	"sewable/lang/draw"
	"sewable/lang/draw/hands"
	"sewable/lang/draw/sheet"
	"sewable/lang/draw/steps"
	"sewable/lang/draw/svg"
	"sewable/lang/draw/texts"
	"sewable/lang/geom"
)

// style is the look of the page: it follows the reader's light or dark, and
// prints. Pictures lie on paper in both.
const style = `:root{color-scheme:light dark;--ground:#fbfaf6;--text:#1b222b;--soft:#5a6470;--line:#d5d8da}
@media(prefers-color-scheme:dark){:root{--ground:#161b22;--text:#e8e6df;--soft:#a9b2bd;--line:#39424d}}
body{margin:0 auto;padding:1.5rem 1rem 4rem;max-width:60rem;background:var(--ground);color:var(--text);font:1rem/1.5 Go,system-ui,sans-serif}
h1{margin:0 0 .25rem;line-height:1.15}h2{margin:2.5rem 0 .5rem;padding-top:1rem;border-top:1px solid var(--line)}h3{margin:0;font-size:1rem}
p{margin:.25rem 0}.soft,.piece{color:var(--soft)}.care{font-weight:bold}ol,ul{list-style:none;margin:0;padding:0}
li{margin:1.5rem 0}.moves{display:flex;flex-wrap:wrap;gap:1rem;align-items:start}
.moves figure{margin:0;width:min-content;min-width:1.9in;break-inside:avoid}.moves .test{min-width:1.3in}
figure svg{display:block;background:#fff}.map{margin:1rem 0}figcaption{font-size:.9rem;line-height:1.35}figcaption p{margin:.15rem 0}
.remark{margin:1rem 0;padding:.5rem 1rem;border:2px solid var(--line)}.remark h2{margin:0;padding:0;border:0;font-size:1.1rem}
.alert{border-color:#9c1c1c;background:#9c1c1c;color:#fff;print-color-adjust:exact;-webkit-print-color-adjust:exact}
.legend li{display:flex;gap:.75rem;align-items:center;margin:.35rem 0}.legend svg{background:#fff}
.whole{max-width:22rem;margin:1rem 0;padding:.35rem;background:#fff;border:1px solid var(--line);border-radius:.25rem}.whole svg{width:100%;height:auto}
@media print{body{max-width:none;padding:0}h2,h3{break-after:avoid}}
`

// HTML writes guides as one page, for a screen.
func HTML(w io.Writer, patterns []sheet.Pattern, o Options) error {
	h := &page{}
	h.raw("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n")
	name := texts.GuideTitle
	if len(patterns) == 1 {
		name = texts.Fill(texts.GuideOf, "block", patterns[0].Block.Of.Name)
	}
	h.element("title", "", name)
	h.raw("<style>" + style + "</style>\n</head>\n<body>\n")
	for _, p := range patterns {
		if err := check(p); err != nil {
			return err
		}
		h.pattern(complete(p), o)
	}
	h.raw("</body>\n</html>\n")
	_, err := w.Write(h.b)
	return err
}

type page struct{ b []byte }

func (h *page) raw(s string) { h.b = append(h.b, s...) }

// element writes an element around text.
func (h *page) element(name, class, text string) {
	h.raw("<" + name)
	if class != "" {
		h.raw(` class="` + class + `"`)
	}
	h.raw(">")
	h.b = svg.AppendText(h.b, text)
	h.raw("</" + name + ">\n")
}

func (h *page) pattern(p sheet.Pattern, o Options) {
	h.raw("<main>\n")
	h.element("h1", "", p.Title())
	h.element("p", "soft", p.Under())
	for i, list := range p.Remarks() {
		class := "remark"
		if i == 0 && len(p.Faults) > 0 {
			class = "remark alert"
		}
		h.raw(`<section class="` + class + `">`)
		h.element("h2", "", list.Title)
		for _, text := range list.Texts {
			h.element("p", "", text)
		}
		h.raw("</section>\n")
	}
	h.element("h2", "", texts.CareTitle)
	for _, text := range texts.Cautions {
		h.element("p", "", text)
	}
	whole := draw.Options{Colourway: p.Colourway, Key: true}
	if p.Mirrored {
		whole.View = draw.Printed
	}
	if len(p.Block.Sections) > 1 {
		whole.Labels = draw.SectionLabels
	}
	h.raw(`<figure class="whole">`)
	h.b = svg.Append(h.b, draw.Block(p.Block, whole), svg.Options{Width: "100%", Height: "100%", Bare: true})
	h.raw("</figure>\n")
	if m := p.Map(3 * geom.Inch); m != nil {
		h.element("h2", "", texts.MapTitle)
		h.element("p", "", p.MapWords())
		h.raw(`<figure class="map">`)
		h.b = svg.Append(h.b, m, svg.Options{Bare: true})
		h.raw("</figure>\n")
	}
	h.element("h2", "", texts.LegendTitle)
	h.raw("<ul class=\"legend\">\n")
	for _, l := range hands.Legend() {
		h.raw("<li>")
		h.b = svg.Append(h.b, l.Picture, svg.Options{Bare: true})
		h.element("span", "", l.Words)
		h.raw("</li>\n")
	}
	h.raw("</ul>\n")
	h.element("p", "", texts.LegendAsShown)
	h.element("h2", "", texts.AdviceTitle)
	for _, text := range steps.Advice(p.Block.Of) {
		h.element("p", "", text)
	}
	for _, text := range p.Notes() {
		h.element("p", "", text)
	}
	for _, part := range Parts(p, o) {
		h.part(part)
	}
	h.raw("</main>\n")
}

func (h *page) part(part Part) {
	h.element("h2", "", part.Title)
	if part.Lead != "" {
		h.element("p", "care", part.Lead)
	}
	for _, text := range part.Notes {
		h.element("p", "", text)
	}
	h.raw("<ol>\n")
	for _, s := range part.Steps {
		h.raw("<li")
		if s.Of != nil {
			h.attr("data-patch", steps.Label(s.Of.Patch))
			if s.Of.Seam != nil {
				h.attr("data-edge", s.Of.Laid.Edge)
			}
		}
		h.raw(">\n")
		if s.Title != "" {
			h.element("h3", "", s.Title)
		}
		if s.Piece != "" {
			h.element("p", "piece", texts.Fill(texts.CutPiece, "piece", s.Piece))
		}
		if s.Note != "" {
			h.element("p", "", texts.Fill(texts.StepNote, "note", s.Note))
		}
		if s.Like != "" {
			h.element("p", "", s.Like)
			h.raw("</li>\n")
			continue
		}
		h.raw("<div class=\"moves\">\n")
		for _, m := range s.Moves {
			h.raw("<figure")
			h.attr("class", m.Kind.String())
			h.raw(">")
			if m.Picture != nil {
				h.b = svg.Append(h.b, m.Picture, svg.Options{Bare: true})
			}
			h.raw("<figcaption>\n")
			if m.Title != "" {
				h.element("strong", "", m.Head())
			}
			if m.Care != "" {
				h.element("p", "care", m.Care)
			}
			h.element("p", "", m.Words)
			h.raw("</figcaption></figure>\n")
		}
		h.raw("</div></li>\n")
	}
	h.raw("</ol>\n")
}

func (h *page) attr(name, value string) {
	h.raw(" " + name + `="`)
	h.b = svg.AppendText(h.b, value)
	h.raw(`"`)
}
