package flow

import (
	"sewable/lang/draw/fonts"
	"sewable/lang/draw/ink"
	"sewable/lang/geom"
)

// Cell is a picture with words below it.
type Cell struct {
	Picture    *ink.Drawing // nil for words alone
	Width      float64      // of the words; 0 is the picture's
	Paragraphs []string
	Styles     []Style // of the paragraphs, the last for all that follow
}

// Row sets cells side by side, in as many rows as the column needs, each of which stays on one
// page. Where a row begins a column that is not the first one's, the words again are set above it.
func (f *Flow) Row(before, gap float64, cells []Cell, again string, style Style) {
	for first := true; len(cells) > 0; first = false {
		n, wide := 0, 0.0
		for n < len(cells) && (n == 0 || wide+gap+cells[n].width() <= f.Width()+0.01) {
			if n > 0 {
				wide += gap
			}
			wide += cells[n].width()
			n++
		}
		if f.Room(before + High(cells[:n])); f.empty && !first && again != "" {
			f.Text(again, style)
		}
		f.row(before, gap, cells[:n])
		cells = cells[n:]
	}
}

func (c Cell) width() float64 {
	if c.Width > 0 || c.Picture == nil {
		return c.Width
	}
	return c.Picture.Width
}

// High is how high cells are side by side.
func High(cells []Cell) float64 {
	high := 0.0
	for _, c := range cells {
		_, h := c.set()
		high = max(high, h)
	}
	return high
}

// set sets a cell's words from its corner.
func (c Cell) set() (lines []*ink.Text, high float64) {
	if c.Picture != nil {
		high = c.Picture.Height
	}
	for i, text := range c.Paragraphs {
		s := c.Styles[min(i, len(c.Styles)-1)]
		if s.Colour == 0 {
			s.Colour = ink.Dark
		}
		if text == "" {
			continue
		}
		high += s.Before
		for _, words := range fonts.Wrap(text, s.Bold, c.width()/s.Size) {
			lines = append(lines, &ink.Text{
				At: geom.Point{Y: high + s.Size}, String: words, Size: s.Size, Bold: s.Bold, Align: ink.Start, Colour: s.Colour, Back: ink.White,
			})
			high += s.Size * leading
		}
	}
	return lines, high
}

func (f *Flow) row(before, gap float64, cells []Cell) {
	high := High(cells)
	f.Room(before + high)
	if !f.empty {
		f.y += before
	}
	x := f.box.Min.X
	for _, c := range cells {
		at := geom.Point{X: x, Y: f.y}
		lines, _ := c.set()
		if c.Picture != nil {
			f.Page().Put(c.Picture, at, "")
		}
		for _, t := range lines {
			t.At = t.At.Add(at)
			f.Page().Layer("text").Add(t)
		}
		x += c.width() + gap
	}
	f.y += high
	f.empty = false
}
