// Package svg writes drawings as SVG 1.1, by hand and small.
package svg

import (
	"io"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"sewable/lang/draw/ink"
	"sewable/lang/geom"
	"sewable/lang/visible"
)

// Options are how a drawing is written.
type Options struct {
	// Width and Height of the picture in the words of SVG ("100%", "12cm"); empty ones
	// are the drawing's own size.
	Width, Height string
	// Prefix goes before every id, for several drawings in one document.
	Prefix string
	// Bare leaves the data-* attributes, ids and names out: for pictures that
	// nobody points at.
	Bare bool
}

// Family is what text is set in: the program's own face where it is
// installed, else something like it. Every text says how long it is.
const Family = "Go,Arial,Helvetica,'DejaVu Sans',sans-serif"

// Write writes a drawing.
func Write(w io.Writer, d *ink.Drawing, how Options) error {
	_, err := w.Write(Append(nil, d, how))
	return err
}

// Append adds a drawing to a buffer.
func Append(dst []byte, d *ink.Drawing, how Options) []byte {
	p := &pen{b: dst, how: how}
	p.open(d)
	for _, l := range d.Layers {
		if len(l.Items) == 0 {
			continue
		}
		p.str(`<g`)
		if !how.Bare {
			p.attr("class", l.Name)
		}
		p.str(">\n")
		for i := 0; i < len(l.Items); {
			i += p.items(l.Items[i:])
		}
		p.str("</g>\n")
	}
	p.str("</svg>\n")
	return p.b
}

type pen struct {
	b   []byte
	how Options
}

func (p *pen) str(s string) { p.b = append(p.b, s...) }

// num writes a number with at most two decimals.
func (p *pen) num(v float64) {
	v = math.Round(v*100) / 100
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		v = 0 // no "-0"
	}
	p.b = strconv.AppendFloat(p.b, v, 'f', -1, 64)
}

func (p *pen) attr(name, value string) {
	p.str(" ")
	p.str(name)
	p.str(`="`)
	p.text(value)
	p.str(`"`)
}

func (p *pen) attrNum(name string, v float64) {
	p.str(" ")
	p.str(name)
	p.str(`="`)
	p.num(v)
	p.str(`"`)
}

// text writes text with everything escaped that means something to XML, and
// shows what would act on a reader or has no place in XML 1.0.
func (p *pen) text(s string) { p.b = AppendText(p.b, s) }

// AppendText adds text to a buffer as XML and HTML want it, fit for attributes.
func AppendText(dst []byte, s string) []byte {
	for _, r := range visible.Text(oneLine.Replace(s)) {
		switch {
		case r == '&':
			dst = append(dst, "&amp;"...)
		case r == '<':
			dst = append(dst, "&lt;"...)
		case r == '>':
			dst = append(dst, "&gt;"...)
		case r == '"':
			dst = append(dst, "&quot;"...)
		case r == '\'':
			dst = append(dst, "&#39;"...)
		default:
			dst = utf8.AppendRune(dst, r)
		}
	}
	return dst
}

var oneLine = strings.NewReplacer("\n", " ", "\t", " ", "\r", " ")

func (p *pen) open(d *ink.Drawing) {
	p.str(`<svg xmlns="http://www.w3.org/2000/svg"`)
	size := func(name, want string, hairs float64) {
		if want == "" {
			want = strconv.FormatFloat(math.Round(hairs/geom.Millimetre*100)/100, 'f', -1, 64) + "mm"
		}
		p.attr(name, want)
	}
	size("width", p.how.Width, d.Width)
	size("height", p.how.Height, d.Height)
	p.str(` viewBox="0 0 `)
	p.num(d.Width)
	p.str(" ")
	p.num(d.Height)
	p.str(`" role="img" font-family="` + Family + `" text-anchor="middle" stroke-linejoin="round" stroke-linecap="round" fill="none">`)
	for _, said := range [...]struct{ element, text string }{{"title", d.Title}, {"desc", d.Description}} {
		if said.text != "" {
			p.str("\n<" + said.element + ">")
			p.text(said.text)
			p.str("</" + said.element + ">")
		}
	}
	p.str("\n")
	if d.Paper != 0 {
		p.str(`<rect width="100%" height="100%" fill="`)
		p.str(d.Paper.String())
		p.str("\"/>\n")
	}
}

// items writes the first item, and with it those after it that look the same
// and are not told apart: one path. It says how many it wrote.
func (p *pen) items(items []ink.Item) int {
	first, ok := items[0].(*ink.Path)
	if !ok {
		p.line(items[0].(*ink.Text))
		return 1
	}
	n := 1
	for first.Fill == 0 && p.anonymous(first) && n < len(items) {
		next, ok := items[n].(*ink.Path)
		if !ok || next.Fill != 0 || !p.anonymous(next) || next.Stroke != first.Stroke || next.Width != first.Width ||
			len(first.Dash) > 0 || len(next.Dash) > 0 {
			break
		}
		n++
	}
	p.str(`<path`)
	if !p.how.Bare {
		if first.ID != "" {
			p.attr("id", p.how.Prefix+first.ID)
		}
		for _, d := range first.Data {
			p.attr("data-"+d.Key, d.Value)
		}
	}
	if first.Fill != 0 {
		p.attr("fill", first.Fill.String())
	}
	if first.Stroke != 0 && first.Width > 0 {
		p.attr("stroke", first.Stroke.String())
		p.attrNum("stroke-width", first.Width)
	}
	if len(first.Dash) > 0 {
		p.str(` stroke-dasharray="`)
		for i, d := range first.Dash {
			if i > 0 {
				p.str(" ")
			}
			p.num(d)
		}
		p.str(`"`)
	}
	p.str(` d="`)
	for _, it := range items[:n] {
		p.chains(it.(*ink.Path).Chains)
	}
	if first.Name == "" || p.how.Bare {
		p.str("\"/>\n")
		return n
	}
	p.str(`"><title>`)
	p.text(first.Name)
	p.str("</title></path>\n")
	return n
}

// anonymous says whether nothing is known of a path but its look.
func (p *pen) anonymous(path *ink.Path) bool {
	return p.how.Bare || path.ID == "" && path.Name == "" && len(path.Data) == 0
}

func (p *pen) chains(chains []ink.Chain) {
	for _, c := range chains {
		for i, q := range c.Points {
			switch i {
			case 0:
				p.str("M")
			case 1:
				p.str("L")
			default:
				p.str(" ")
			}
			p.num(q.X)
			p.str(" ")
			p.num(q.Y)
		}
		if c.Closed {
			p.str("Z")
		}
	}
}

func (p *pen) line(t *ink.Text) {
	if strings.TrimSpace(t.String) == "" {
		return
	}
	p.str(`<text`)
	p.attrNum("x", t.At.X)
	p.attrNum("y", t.At.Y)
	p.attrNum("font-size", t.Size)
	p.attr("fill", t.Colour.String())
	switch t.Align {
	case ink.Start:
		p.attr("text-anchor", "start")
	case ink.End:
		p.attr("text-anchor", "end")
	}
	if t.Bold {
		p.attr("font-weight", "bold")
	}
	if t.Turn != 0 {
		p.str(` transform="rotate(`)
		p.num(-t.Turn)
		p.str(" ")
		p.num(t.At.X)
		p.str(" ")
		p.num(t.At.Y)
		p.str(`)"`)
	}
	p.attrNum("textLength", t.Len())
	p.str(` lengthAdjust="spacingAndGlyphs">`)
	p.text(t.String)
	p.str("</text>\n")
}
