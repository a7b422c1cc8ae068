package sheet

import (
	"fmt"
	"strconv"
	"strings"

	"sewable/lang/draw/fonts"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/texts"
	"sewable/lang/geom"
)

// headHeight is what the line at the head of a page takes.
const headHeight = 28.0

// Of the band below it that says that a block cannot be sewn.
const (
	alertHeight = 24.0
	alertSize   = 14.0
)

// Alert is the line that every page of a pattern carries when it cannot be sewn; empty when it can.
func (p Pattern) Alert() string {
	if len(p.Faults) == 0 {
		return ""
	}
	what, _, _ := strings.Cut(p.Faults[0], ". ")
	return "Cannot be sewn. " + strings.TrimSuffix(what, ".") + "." + more(len(p.Faults))
}

// more says how many there are beside the first.
func more(n int) string {
	if n < 2 {
		return ""
	}
	return fmt.Sprintf(" (and %d more)", n-1)
}

func blank(how Options) *ink.Drawing {
	return &ink.Drawing{Width: how.Paper.Width, Height: how.Paper.Height, Layers: []ink.Layer{{Name: "head"}}}
}

// Blank is an empty page.
func (how Options) Blank() *ink.Drawing { return blank(how) }

// Room is where the page is printed on, below its head.
func (how Options) Room() geom.Box {
	room := geom.Box{Max: geom.Point{X: how.Paper.Width, Y: how.Paper.Height}}.Grow(-how.Margin)
	room.Min.Y += headHeight
	if how.Alert != "" {
		room.Min.Y += alertHeight
	}
	return room
}

// Filled is how pages are printed, with the defaults for what was not said.
func (how Options) Filled() Options {
	if how.Paper.Width <= 0 {
		how.Paper = Letter
	}
	if how.Margin <= 0 {
		how.Margin = geom.Inch / 2
	}
	return how
}

// Head writes the line at the head of a page.
func Head(d *ink.Drawing, title string, page, pages int, how Options) {
	right := texts.Fill(texts.SheetPage, "page", strconv.Itoa(page), "pages", strconv.Itoa(pages))
	if !how.Guide {
		right += " · " + texts.SheetScale
	}
	head(d, title, right, how)
}

// head writes the line at the head of a page, with these words on the right.
func head(d *ink.Drawing, title, right string, how Options) {
	const size = 14.2
	y := how.Margin + size
	room := (how.Paper.Width-2*how.Margin)/size - fonts.Width(right, false) - 2
	l := d.Layer("head")
	l.Add(
		&ink.Text{At: geom.Point{X: how.Margin, Y: y}, String: fonts.Shorten(title, true, room), Size: size, Bold: true, Align: ink.Start, Colour: ink.Dark, Back: ink.White},
		&ink.Text{At: geom.Point{X: how.Paper.Width - how.Margin, Y: y}, String: right, Size: size, Align: ink.End, Colour: ink.Muted, Back: ink.White},
		&ink.Path{Chains: ink.Line(geom.Point{X: how.Margin, Y: y + 5}, geom.Point{X: how.Paper.Width - how.Margin, Y: y + 5}), Stroke: ink.RGB(0xc4, 0xc8, 0xcc), Width: 0.8})
	if how.Alert != "" {
		colour := alertColour
		if how.calm {
			colour = ink.Muted
		}
		box := geom.Box{Min: geom.Point{X: how.Margin, Y: y + 8}, Max: geom.Point{X: how.Paper.Width - how.Margin, Y: y + 8 + alertHeight - 4}}
		l.Add(
			&ink.Path{Chains: ink.Ring(box.Polygon()...), Fill: colour},
			&ink.Text{At: geom.Point{X: box.Min.X + 6, Y: box.Max.Y - 5.5}, String: fonts.Shorten(how.Alert, true, (box.Width()-12)/alertSize), Size: alertSize, Bold: true, Align: ink.Start, Colour: ink.White, Back: colour})
	}
	if d.Title == "" {
		d.Title = title
	}
}

// The colors of what cannot be sewn; the first is dark in gray, too.
var (
	alertColour = ink.RGB(0x9c, 0x1c, 0x1c)
	alertFaint  = ink.RGB(0xe2, 0xa8, 0xa8)
)

// The squares to measure: 1 in and 25 mm, side by side or one above the other.
const (
	inchSquare = geom.Inch
	mmSquare   = 25 * geom.Millimetre
	squareGap  = 10.0
	squareEdge = 1.0 // half the line's width, and a little
)

func squaresSize(standing bool) (w, h float64) {
	w, h = inchSquare+squareGap+mmSquare+2*squareEdge, inchSquare+2*squareEdge
	if standing {
		w, h = h, w
	}
	return w, h
}

// squares draws the squares to measure, lying or standing.
func squares(d *ink.Drawing, at geom.Point, standing bool) {
	at = at.Add(geom.Point{X: squareEdge, Y: squareEdge})
	l := d.Layer("squares")
	for _, s := range [2]struct {
		side float64
		name string
	}{{inchSquare, "1 in"}, {mmSquare, "25 mm"}} {
		box := geom.Box{Min: at, Max: at.Add(geom.Point{X: s.side, Y: s.side})}
		l.Add(
			&ink.Path{Chains: ink.Ring(box.Polygon()...), Stroke: ink.Dark, Width: 1, Name: s.name},
			&ink.Text{At: box.Centre(), String: s.name, Size: 17, Bold: true, Colour: ink.Dark, Back: ink.White},
			&ink.Text{At: box.Centre().Add(geom.Point{Y: 17}), String: texts.SheetMeasure, Size: least, Colour: ink.Muted, Back: ink.White})
		if standing {
			at.Y += s.side + squareGap
		} else {
			at.X += s.side + squareGap
		}
	}
}
