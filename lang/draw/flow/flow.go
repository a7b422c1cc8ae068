// Package flow sets words and pictures one after the other into the columns
// of pages.
package flow

import (
	"sewable/lang/draw/fonts"
	"sewable/lang/draw/ink"
	"sewable/lang/geom"
)

// Style is how a paragraph is set.
type Style struct {
	Size   float64
	Bold   bool
	Colour ink.Colour // zero is ink.Dark
	Before float64    // white above
	Indent float64
	Hang   float64 // further indent of all lines but the first
	Keep   float64 // room that has to be left below, or it begins the next column
}

// Scaled is the style in another size.
func (s Style) Scaled(by float64) Style {
	s.Size, s.Before, s.Indent, s.Hang, s.Keep = s.Size*by, s.Before*by, s.Indent*by, s.Hang*by, s.Keep*by
	return s
}

// leading is from line to line, in sizes.
const leading = 1.32

// Flow is a text that is being set.
type Flow struct {
	Pages   []*ink.Drawing
	blank   func() *ink.Drawing
	columns func(page int) []geom.Box // from left to right

	column []geom.Box // those that are left on this page
	box    geom.Box
	y      float64
	empty  bool // nothing stands in the column yet
}

// New is a flow into pages: blank makes one, columns says where its columns
// are.
func New(blank func() *ink.Drawing, columns func(page int) []geom.Box) *Flow {
	f := &Flow{blank: blank, columns: columns}
	f.next()
	return f
}

// next goes on in the next column.
func (f *Flow) next() {
	if len(f.column) == 0 {
		f.column = f.columns(len(f.Pages))
		f.Pages = append(f.Pages, f.blank())
	}
	f.box, f.column = f.column[0], f.column[1:]
	f.y, f.empty = f.box.Min.Y, true
}

// Width is how wide the column is.
func (f *Flow) Width() float64 { return f.box.Width() }

// Page is the page that is being filled.
func (f *Flow) Page() *ink.Drawing { return f.Pages[len(f.Pages)-1] }

// Room goes on in the next column unless there is so much room, or the column
// is empty.
func (f *Flow) Room(high float64) {
	if !f.empty && f.y+high > f.box.Max.Y {
		f.next()
	}
}

// Text sets a paragraph.
func (f *Flow) Text(text string, s Style) {
	if s.Colour == 0 {
		s.Colour = ink.Dark
	}
	lines := wrap(text, s, f.Width())
	f.Room(s.Before + s.Size*leading + s.Keep)
	if !f.empty {
		f.y += s.Before
	}
	for i, words := range lines {
		f.Room(s.Size * leading)
		x := f.box.Min.X + s.Indent
		if i > 0 {
			x += s.Hang
		}
		f.Page().Layer("text").Add(&ink.Text{
			At: geom.Point{X: x, Y: f.y + s.Size}, String: words, Size: s.Size, Bold: s.Bold, Align: ink.Start, Colour: s.Colour, Back: ink.White,
		})
		f.y += s.Size * leading
		f.empty = false
	}
}

// wrap breaks a paragraph, whose first line may be longer than the others.
func wrap(text string, s Style, width float64) []string {
	wide := (width - s.Indent) / s.Size
	lines := fonts.Wrap(text, s.Bold, wide)
	if s.Hang <= 0 || len(lines) < 2 {
		return lines
	}
	// The first line as it is; what follows again, narrower.
	rest := text[len(lines[0]):]
	return append(lines[:1:1], fonts.Wrap(rest, s.Bold, wide-s.Hang/s.Size)...)
}

// Picture sets a drawing, so much white above it.
func (f *Flow) Picture(d *ink.Drawing, before float64) {
	f.Room(before + d.Height)
	if !f.empty {
		f.y += before
	}
	f.Page().Put(d, geom.Point{X: f.box.Min.X, Y: f.y}, "")
	f.y += d.Height
	f.empty = false
}

// Beside sets words to the right of a drawing, which stays on one page with them.
func (f *Flow) Beside(d *ink.Drawing, before, gap float64, paragraphs []string, styles []Style) {
	x := d.Width + gap
	high := 0.0
	var lines []*ink.Text
	for i, text := range paragraphs {
		s := styles[min(i, len(styles)-1)]
		if s.Colour == 0 {
			s.Colour = ink.Dark
		}
		if i > 0 {
			high += s.Before
		}
		for _, words := range fonts.Wrap(text, s.Bold, (f.Width()-x)/s.Size) {
			lines = append(lines, &ink.Text{
				At: geom.Point{X: x, Y: high + s.Size}, String: words, Size: s.Size, Bold: s.Bold, Align: ink.Start, Colour: s.Colour, Back: ink.White,
			})
			high += s.Size * leading
		}
	}
	f.Room(before + max(high, d.Height))
	if !f.empty {
		f.y += before
	}
	at := geom.Point{X: f.box.Min.X, Y: f.y}
	f.Page().Put(d, at, "")
	for _, t := range lines {
		t.At = t.At.Add(at)
		f.Page().Layer("text").Add(t)
	}
	f.y += max(high, d.Height)
	f.empty = false
}

// Left is the room that is left in the column.
func (f *Flow) Left() float64 { return f.box.Max.Y - f.y }

// NextColumn goes on in the next column.
func (f *Flow) NextColumn() { f.next() }

// NextPage goes on on the next page.
func (f *Flow) NextPage() {
	f.column = nil
	f.next()
}
