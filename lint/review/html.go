package review

import (
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"io"
	"slices"
	"strings"

	"sewable/lang/draw/ink"
	"sewable/lang/draw/svg"
)

// style is the look of the page: it follows the reader's light or dark, and prints. Pictures
// lie on paper in both.
const style = `:root{color-scheme:light dark;--ground:#fbfaf6;--card:#fff;--text:#1b222b;--soft:#545e6a;--line:#d5d8da;--call:#7a3b12}
@media(prefers-color-scheme:dark){:root{--ground:#161b22;--card:#1d242d;--text:#e8e6df;--soft:#a9b2bd;--line:#39424d;--call:#f0b98a}}
*{box-sizing:border-box}
body{margin:0 auto;padding:1.5rem 1rem 4rem;max-width:64rem;background:var(--ground);color:var(--text);font:1rem/1.5 Go,system-ui,sans-serif;overflow-wrap:break-word}
h1{margin:0 0 .5rem;font-size:1.5rem;line-height:1.2}h2{margin:0;font-size:1.3rem;line-height:1.25}h3{margin:1.25rem 0 .25rem;font-size:1rem}
p{margin:.25rem 0}.soft{color:var(--soft)}a{color:inherit}
.lead{font-size:1.1rem}.todo{margin:.5rem 0;font-weight:600;color:var(--call)}
.sum{list-style:none;margin:1rem 0;padding:0;border-top:1px solid var(--line)}.sum li{padding:.5rem 0;border-bottom:1px solid var(--line)}h2.silenced,h2.errors{color:var(--call)}main>h2{margin-top:1.5rem}summary{margin-top:1rem;cursor:pointer;font-weight:600}
article{margin:2.5rem 0 0;padding:1.25rem;background:var(--card);border:1px solid var(--line);border-radius:.5rem}
.tag{display:inline-block;margin-left:.5rem;padding:0 .5rem;border:1px solid currentColor;border-radius:1rem;font-size:.8rem;font-weight:400;vertical-align:middle}
.pair{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(100%,17rem),1fr));gap:1rem;margin:1rem 0}
figure{margin:0;min-width:0}figure:only-child{max-width:26rem}figcaption{margin:0 0 .25rem;font-weight:600}
.paper{position:relative;padding:.35rem;background:#fff;border:1px solid var(--line);border-radius:.25rem}
.paper svg{display:block;width:100%;height:auto}.over{position:absolute;inset:.35rem}
.slide{display:grid;grid-template-columns:auto 1fr auto;gap:.5rem;align-items:center;margin:.35rem 0;font-size:.9rem}.slide[hidden]{display:none}
.slide input{width:100%;min-width:0;height:1.75rem}
ul{margin:.25rem 0;padding-left:1.25rem}.marks{font-size:.9rem;color:var(--soft)}
table{width:100%;border-collapse:collapse;font-size:.95rem;font-variant-numeric:tabular-nums}
th,td{padding:.3rem .75rem .3rem 0;text-align:left;vertical-align:top;border-bottom:1px solid var(--line)}th{font-weight:600;color:var(--soft)}
:focus-visible{outline:3px solid var(--call);outline-offset:2px}
@media(max-width:40rem){article{padding:.75rem}thead{position:absolute;clip-path:inset(50%);width:1px;height:1px;overflow:hidden}
tr{display:block;padding:.4rem 0;border-bottom:1px solid var(--line)}td{display:grid;grid-template-columns:6.5rem 1fr;gap:.5rem;padding:.1rem 0;border:0}
td::before{content:attr(data-head);color:var(--soft)}td:first-child{font-weight:600}}
@media print{body{max-width:none;padding:0;background:#fff;color:#000}article{border:0;padding:0;break-before:auto}figure,tr{break-inside:avoid}h2,h3{break-after:avoid}.slide{display:none}.pair{grid-template-columns:repeat(3,1fr)}}
`

// script lets a slider show the block before over the block after. Without it both
// are seen: the block after, with dashes where things were.
const script = `for(const s of document.querySelectorAll(".slide")){s.hidden=false;const i=s.querySelector("input"),o=s.parentElement.querySelector(".over");i.addEventListener("input",()=>{o.style.opacity=i.value/100})}`

// maxPictures is how many blocks of a page are drawn; a page of more is slow to read.
const maxPictures = 400

// HTML writes a report as one page that needs nothing else.
func HTML(w io.Writer, r *Report) error {
	h := &page{}
	sum := func(s string) string {
		is := sha256.Sum256([]byte(s))
		return "'sha256-" + base64.StdEncoding.EncodeToString(is[:]) + "'"
	}
	h.raw("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n")
	h.raw(`<meta http-equiv="Content-Security-Policy" content="default-src 'none'; base-uri 'none'; form-action 'none'; style-src ` + sum(style) + "; script-src " + sum(script) + "\">\n")
	h.raw("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n")
	h.element("title", "", r.title())
	h.raw("<style>" + style + "</style>\n</head>\n<body>\n<main>\n")
	h.element("h1", "", r.title())
	h.element("p", "lead", r.Headline())
	items := slices.DeleteFunc(r.items(), func(it item) bool { return !it.alone() })
	at := map[string]int{} // where an item is on the page, by its name
	for i, it := range items {
		if _, ok := at[it.name]; !ok {
			at[it.name] = i + 1
		}
	}
	for _, g := range r.Groups() {
		h.group(g, at)
	}
	drawn := 0
	for i, it := range items {
		draws := it.drawn() && drawn < maxPictures
		h.item(i+1, it, draws)
		if draws {
			drawn++
		}
	}
	if drawn == maxPictures {
		h.element("p", "soft", fmt.Sprintf("The first %d that look otherwise are drawn.", maxPictures))
	}
	h.raw("</main>\n<script>" + script + "</script>\n</body>\n</html>\n")
	_, err := w.Write(h.b)
	return err
}

type page struct{ b []byte }

func (h *page) raw(s string)  { h.b = append(h.b, s...) }
func (h *page) text(s string) { h.b = svg.AppendText(h.b, s) }

// element writes an element around text.
func (h *page) element(name, class, text string) {
	h.raw("<" + name)
	if class != "" {
		h.raw(` class="` + class + `"`)
	}
	h.raw(">")
	h.text(text)
	h.raw("</" + name + ">\n")
}

// group writes a group of lines; those of an item lead to it.
func (h *page) group(g Group, at map[string]int) {
	fold := g.Name == GroupRest || len(g.Lines) > maxOpen
	if fold {
		h.raw("<details class=\"" + g.Name + "\"><summary>")
		h.text(fmt.Sprintf("%s (%d)", g.Title, len(g.Lines)))
		h.raw("</summary>\n")
	} else {
		h.element("h2", g.Name, g.Title)
	}
	h.raw("<ul class=\"sum\">\n")
	for _, line := range g.Lines {
		h.raw("<li>")
		name, _, _ := strings.Cut(line, ": ")
		rest := line[len(name):]
		if bare, _, ok := strings.Cut(name, " ("); ok && at[name] == 0 {
			rest, name = line[len(bare):], bare
		}
		if n := at[name]; n > 0 {
			h.raw(fmt.Sprintf(`<a href="#i%d">`, n))
			h.text(name)
			h.raw("</a>")
			line = rest
		}
		h.text(line)
		h.raw("</li>\n")
	}
	h.raw("</ul>\n")
	if fold {
		h.raw("</details>\n")
	}
}

// maxOpen is how many lines of a group are shown unfolded.
const maxOpen = 20

// drawn reports whether pictures say something of an item: two that are alike say nothing.
func (it item) drawn() bool {
	switch {
	case it.block != nil:
		return it.block.looks()
	case it.quilt != nil:
		return it.quilt.looks()
	}
	return false
}

func (h *page) item(n int, it item, drawn bool) {
	h.raw(fmt.Sprintf("<article id=\"i%d\">\n<h2>", n))
	h.text(it.name)
	state := ""
	if it.block != nil {
		state = it.block.State()
	} else if it.quilt != nil {
		state = it.quilt.State()
	}
	if state != "" {
		h.raw(` <span class="tag">` + state + "</span>")
	}
	h.raw("</h2>\n")
	if it.where != "" {
		h.element("p", "soft", it.where)
	}
	if it.todo != "" {
		h.element("p", "todo", upper(it.todo))
	}
	if drawn {
		switch {
		case it.block != nil:
			h.pictures(picturesOf(it.block))
		case it.quilt != nil:
			h.pictures(quiltPictures(it.quilt))
		}
	}
	for _, p := range it.parts() {
		h.part(p)
	}
	h.raw("</article>\n")
}

func (h *page) pictures(p pictures) {
	if p.before == nil && p.after == nil {
		return
	}
	h.raw("<div class=\"pair\">\n")
	for _, side := range []struct {
		name string
		d    *ink.Drawing
	}{{"Before", p.before}, {"After", p.after}} {
		if side.d == nil {
			continue
		}
		h.raw("<figure><figcaption>" + side.name + "</figcaption><div class=\"paper\">\n")
		h.svg(side.d)
		h.raw("</div></figure>\n")
	}
	if p.overlay != nil {
		h.raw("<figure><figcaption>What moved</figcaption><div class=\"paper\">\n")
		h.svg(p.overlay.Before)
		h.raw("<div class=\"over\">\n")
		h.svg(p.overlay.After)
		h.raw("</div></div>\n<label class=\"slide\" hidden>before <input type=\"range\" min=\"0\" max=\"100\" value=\"100\" aria-label=\"from before to after\"> after</label></figure>\n")
	}
	h.raw("</div>\n")
	if len(p.marks) > 0 {
		h.element("p", "marks", upper(strings.Join(p.marks, "; "))+".")
	}
}

func (h *page) svg(d *ink.Drawing) {
	h.b = svg.Append(h.b, d, svg.Options{Width: "100%", Height: "100%", Bare: true})
}

func (h *page) part(p Part) {
	h.element("h3", "", p.Title)
	if p.Head == nil {
		h.raw("<ul>\n")
		for i, row := range p.Rows {
			number := ""
			if i < p.Marked {
				number = fmt.Sprintf("%d. ", i+1)
			}
			h.element("li", "", number+row[0])
		}
		h.raw("</ul>\n")
		return
	}
	h.raw("<table><thead><tr>")
	for _, c := range p.Head {
		h.element("th", "", c)
	}
	h.raw("</tr></thead><tbody>\n")
	for _, row := range p.Rows {
		h.raw("<tr>")
		for i, c := range row {
			h.raw(`<td data-head="` + p.Head[i] + `">`)
			h.raw("<span>")
			h.text(c)
			h.raw("</span></td>")
		}
		h.raw("</tr>\n")
	}
	h.raw("</tbody></table>\n")
}
