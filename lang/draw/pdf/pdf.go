// Package pdf writes drawings as the pages of a PDF. Typefaces are embedded, the same pages
// give the same bytes, and viewers are asked to print at true size.
package pdf

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strconv"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"sewable/lang/draw/fonts"
	"sewable/lang/draw/ink"
	"sewable/lang/geom"
)

// Options are what a PDF says of itself.
type Options struct {
	Title    string
	Subject  string
	Language string // of its words, "en" when it is empty
}

// epoch stands for the times that a PDF wants to be told.
var epoch = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

// Write writes pages, each of its drawing's own size.
func Write(w io.Writer, pages []*ink.Drawing, how Options) error {
	if len(pages) == 0 {
		return errors.New("there is no page to write")
	}
	if how.Language == "" {
		how.Language = "en"
	}
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: mm(pages[0].Width), Ht: mm(pages[0].Height)}})
	f.SetCreationDate(epoch)
	f.SetModificationDate(epoch)
	f.SetCatalogSort(true)
	f.SetProducer("sewable", true)
	f.SetTitle(how.Title, true)
	f.SetSubject(how.Subject, true)
	f.SetLang(how.Language)
	f.SetMargins(0, 0, 0)
	f.SetAutoPageBreak(false, 0)
	f.SetLineJoinStyle("round")
	p := &press{f: f, ready: map[*fonts.Face]bool{}}
	for _, d := range pages {
		p.page(d)
	}
	var out bytes.Buffer
	if err := f.Output(&out); err != nil {
		return fmt.Errorf("writing the PDF: %w", err)
	}
	whole, err := unscaled(out.Bytes())
	if err != nil {
		return err
	}
	_, err = w.Write(whole)
	return err
}

// mm is a length in millimetres.
func mm(hairs float64) float64 { return hairs / geom.Millimetre }

type press struct {
	f     *fpdf.Fpdf
	ready map[*fonts.Face]bool
	dash  bool
}

func (p *press) page(d *ink.Drawing) {
	p.f.AddPageFormat("P", fpdf.SizeType{Wd: mm(d.Width), Ht: mm(d.Height)})
	p.f.SetLineCapStyle("round")
	if d.Paper != 0 && d.Paper != ink.White {
		p.f.SetFillColor(rgb(d.Paper))
		p.f.Rect(0, 0, mm(d.Width), mm(d.Height), "F")
	}
	for _, l := range d.Layers {
		for _, it := range l.Items {
			switch it := it.(type) {
			case *ink.Path:
				p.path(it)
			case *ink.Text:
				p.text(it)
			}
		}
	}
}

func rgb(c ink.Colour) (r, g, b int) {
	r8, g8, b8 := c.RGB()
	return int(r8), int(g8), int(b8)
}

func (p *press) path(path *ink.Path) {
	if path.Fill != 0 {
		drawn := false
		for _, c := range path.Chains {
			if c.Closed {
				p.chain(c)
				drawn = true
			}
		}
		if drawn {
			p.f.SetFillColor(rgb(path.Fill))
			p.f.DrawPath("F")
		}
	}
	if path.Stroke == 0 || path.Width <= 0 || len(path.Chains) == 0 {
		return
	}
	p.f.SetDrawColor(rgb(path.Stroke))
	p.f.SetLineWidth(mm(path.Width))
	if len(path.Dash) > 0 || p.dash {
		var dash []float64
		for _, d := range path.Dash {
			dash = append(dash, mm(d))
		}
		p.f.SetDashPattern(dash, 0)
		p.dash = len(dash) > 0
	}
	for _, c := range path.Chains {
		p.chain(c)
	}
	p.f.DrawPath("D")
}

func (p *press) chain(c ink.Chain) {
	for i, q := range c.Points {
		if i == 0 {
			p.f.MoveTo(mm(q.X), mm(q.Y))
		} else {
			p.f.LineTo(mm(q.X), mm(q.Y))
		}
	}
	if c.Closed {
		p.f.ClosePath()
	}
}

// pointsPerHair is the size of a hair in the PDF's own unit, 1/72 in.
const pointsPerHair = 72 / geom.Inch

func (p *press) text(t *ink.Text) {
	x, y := mm(t.At.X), mm(t.At.Y)
	if t.Turn != 0 {
		p.f.TransformBegin()
		p.f.TransformRotate(t.Turn, x, y)
	}
	switch t.Align {
	case ink.Middle:
		x -= mm(t.Len()) / 2
	case ink.End:
		x -= mm(t.Len())
	}
	p.f.SetTextColor(rgb(t.Colour))
	for _, run := range fonts.Runs(t.String, t.Bold) {
		if !p.ready[run.Face] {
			p.f.AddUTF8FontFromBytes(run.Face.Name, "", run.Face.TTF())
			p.ready[run.Face] = true
		}
		p.f.SetFont(run.Face.Name, "", t.Size*pointsPerHair)
		p.f.Text(x, y, plane(run.Text))
		for _, r := range run.Text {
			x += mm(run.Face.Advance(r) * t.Size)
		}
	}
	if t.Turn != 0 {
		p.f.TransformEnd()
	}
}

// plane replaces letters beyond U+FFFF, which the library cannot embed.
func plane(s string) string {
	runes := []rune(s)
	for i, r := range runes {
		if r > 0xffff {
			runes[i] = '\ufffd'
		}
	}
	return string(runes)
}

// unscaled adds to a PDF the wish to be printed at true size, as an incremental
// update (ISO 32000-1, 7.5.6): the catalogue again, now with viewer preferences
// (12.2, PrintScaling), and a cross-reference section for it.
func unscaled(file []byte) ([]byte, error) {
	start, err := numberAfter(file, "startxref\n")
	if err != nil {
		return nil, err
	}
	root, err := numberAfter(file, "/Root ")
	if err != nil {
		return nil, err
	}
	size, err := numberAfter(file, "/Size ")
	if err != nil {
		return nil, err
	}
	info, err := numberAfter(file, "/Info ")
	if err != nil {
		return nil, err
	}
	head := fmt.Appendf(nil, "\n%d 0 obj\n<<", root)
	at := bytes.LastIndex(file, head)
	end := -1
	if at >= 0 {
		end = bytes.Index(file[at:], []byte(">>\nendobj"))
	}
	if end < 0 {
		return nil, errors.New("the PDF has no catalogue where one is expected")
	}
	catalogue := file[at+len(head) : at+end]

	out := bytes.Clone(file)
	if out[len(out)-1] != '\n' {
		out = append(out, '\n')
	}
	object := len(out)
	out = fmt.Appendf(out, "%d 0 obj\n<<%s/Version /1.6\n/ViewerPreferences << /PrintScaling /None >>\n>>\nendobj\n", root, catalogue)
	table := len(out)
	out = fmt.Appendf(out, "xref\n%d 1\n%010d 00000 n \ntrailer\n<<\n/Size %d\n/Root %d 0 R\n/Info %d 0 R\n/Prev %d\n>>\nstartxref\n%d\n%%%%EOF\n",
		root, object, size, root, info, start, table)
	return out, nil
}

// numberAfter is the number after the last of these words in a file.
func numberAfter(file []byte, words string) (int, error) {
	i := bytes.LastIndex(file, []byte(words))
	if i < 0 {
		return 0, fmt.Errorf("the PDF has no %q", words)
	}
	rest := file[i+len(words):]
	n := 0
	for n < len(rest) && rest[n] >= '0' && rest[n] <= '9' {
		n++
	}
	return strconv.Atoi(string(rest[:n]))
}
