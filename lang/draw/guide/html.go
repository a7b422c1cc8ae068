package guide

import (
	"io"

	"sewable/lang/draw"
	"sewable/lang/draw/sheet"
	"sewable/lang/draw/steps"
	"sewable/lang/draw/svg"
)

// style is the look of the page: it follows the reader's light or dark, and
// prints. Pictures lie on paper in both.
const style = `:root{color-scheme:light dark;--ground:#fbfaf6;--text:#1b222b;--soft:#5a6470;--line:#d5d8da}
@media(prefers-color-scheme:dark){:root{--ground:#161b22;--text:#e8e6df;--soft:#a9b2bd;--line:#39424d}}
body{margin:0 auto;padding:1.5rem 1rem 4rem;max-width:46rem;background:var(--ground);color:var(--text);font:1rem/1.5 Go,system-ui,sans-serif}
h1{margin:0 0 .25rem;line-height:1.15}h2{margin:2.5rem 0 .5rem;padding-top:1rem;border-top:1px solid var(--line)}h3{margin:0;font-size:1rem}
p{margin:.25rem 0}.soft{color:var(--soft)}ol{list-style:none;margin:0;padding:0}
li{display:grid;grid-template-columns:9rem 1fr;gap:1rem;align-items:start;margin:1rem 0;break-inside:avoid}
figure{margin:0;padding:.35rem;background:#fff;border:1px solid var(--line);border-radius:.25rem}
figure svg{display:block;width:100%;height:auto;max-height:14rem}
.whole{max-width:22rem;margin:1rem 0}.whole svg{max-height:none}
.remark{margin:1rem 0;padding:.5rem 1rem;border:2px solid var(--line)}.remark h2{margin:0;padding:0;border:0;font-size:1.1rem}
.alert{border-color:#9c1c1c;background:#9c1c1c;color:#fff;print-color-adjust:exact;-webkit-print-color-adjust:exact}
@media(max-width:30rem){li{grid-template-columns:6rem 1fr}}
@media print{body{max-width:none;padding:0}h2{break-after:avoid}}
`

// HTML writes guides as one page, for a screen.
func HTML(w io.Writer, patterns []sheet.Pattern) error {
	h := &page{}
	h.raw("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n")
	name := "Sewing guide"
	if len(patterns) == 1 {
		name = patterns[0].Block.Of.Name + ", sewing guide"
	}
	h.element("title", "", name)
	h.raw("<style>" + style + "</style>\n</head>\n<body>\n")
	for _, p := range patterns {
		if err := check(p); err != nil {
			return err
		}
		h.pattern(complete(p))
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

func (h *page) pattern(p sheet.Pattern) {
	b := p.Block.Of
	h.raw("<main>\n")
	h.element("h1", "", b.Name)
	h.element("p", "soft", steps.Size(b)+" finished")
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
	o := options(p)
	o.Size, o.Key = 0, true
	if len(p.Block.Sections) > 1 {
		o.Labels = draw.SectionLabels
	}
	h.raw(`<figure class="whole">`)
	h.b = svg.Append(h.b, draw.Block(p.Block, o), svg.How{Width: "100%", Height: "100%", Bare: true})
	h.raw("</figure>\n")
	h.element("h2", "", "Before you sew")
	for _, text := range steps.Advice {
		h.element("p", "", text)
	}
	h.element("p", "", explained)
	for _, text := range p.Notes() {
		h.element("p", "", text)
	}
	for _, part := range Parts(p) {
		h.element("h2", "", part.Title)
		for _, text := range part.Notes {
			h.element("p", "", text)
		}
		h.raw("<ol>\n")
		for _, s := range part.Steps {
			h.raw("<li><figure>")
			h.b = svg.Append(h.b, s.Picture, svg.How{Width: "100%", Height: "100%", Bare: true})
			h.raw("</figure><div>\n")
			h.element("h3", "", s.Title)
			if s.Piece != "" {
				h.element("p", "soft", "Cut "+s.Piece)
			}
			h.element("p", "", s.Words)
			if s.Note != "" {
				h.element("p", "", "Note: "+s.Note)
			}
			h.raw("</div></li>\n")
		}
		h.raw("</ol>\n")
	}
	h.element("h2", "", "Take care")
	for _, text := range steps.Cautions {
		h.element("p", "", text)
	}
	h.raw("</main>\n")
}
