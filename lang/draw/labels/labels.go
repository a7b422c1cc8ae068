// Package labels lays out sheets of small labels, one for each piece of a cut
// list in cutting order, to be cut apart and pinned to the pieces.
//
//	Pages    a cut list to pages    labels.go
//	label    one label              label.go
package labels

import (
	"errors"
	"fmt"

	"sewable/lang/cloth"
	"sewable/lang/cloth/cutlist"
	"sewable/lang/draw/fonts"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/sheet"
	"sewable/lang/geom"
)

// Options are how labels are printed. Lengths are in hairs.
type Options struct {
	Title         string // of the pages
	Paper         sheet.Paper
	Margin        float64 // what the printer leaves white
	Width, Height float64 // of a label
	Gap           float64 // between labels
	Alert         string  // why the pieces cannot be sewn, at the head of every page; see sheet.Options
}

// Most is how many labels can be printed at a time.
const Most = 40_000

// A label has to hold its text in letters that can be read.
const (
	leastWidth  = 25 * geom.Millimetre
	leastHeight = 16 * geom.Millimetre
)

// The line of cautions at the foot of a page, in hairs.
const (
	cautionSize    = 9.5
	cautionLeading = 1.3 * cautionSize
	cautionAbove   = 8.0
)

// Pages are the sheets of a list's labels, row by row from left to right. The
// error says what to set when labels fit no page, or their text no label.
func Pages(l *cloth.List, how Options) ([]*ink.Drawing, error) {
	total := l.Count()
	switch {
	case total == 0:
		return nil, errors.New("there is no piece to label")
	case total > Most:
		return nil, fmt.Errorf("%d labels are too many to print at a time; %d are the most, and as CSV there can be more", total, Most)
	}
	paper := sheet.Options{Paper: how.Paper, Margin: how.Margin, Alert: how.Alert}.Filled()
	room := paper.Room()
	caution := fonts.Wrap(cutlist.Caution, false, room.Width()/cautionSize)
	room.Max.Y -= float64(len(caution))*cautionLeading + cautionAbove
	columns, rows, err := grid(room, how, l.Unit)
	if err != nil {
		return nil, err
	}
	each := columns * rows
	count := (total + each - 1) / each
	pages := make([]*ink.Drawing, count)
	for i := range pages {
		page := paper.Blank()
		for j, words := range caution {
			page.Layer("caution").Add(&ink.Text{
				At:     geom.Point{X: room.Min.X, Y: room.Max.Y + cautionAbove + cautionSize + float64(j)*cautionLeading},
				String: words, Size: cautionSize, Align: ink.Start, Colour: ink.Muted, Back: ink.White,
			})
		}
		title := fmt.Sprintf("%s: labels %d–%d of %d", how.Title, i*each+1, min(total, (i+1)*each), total)
		sheet.Head(page, title, i+1, count, paper)
		pages[i] = page
	}
	p := printer{unit: l.Unit, kits: l.Kits, copies: copiesOf(l)}
	i := 0
	for lab := range l.Labels() {
		at := room.Min.Add(geom.Point{
			X: float64(i%columns) * (how.Width + how.Gap),
			Y: float64(i%each/columns) * (how.Height + how.Gap),
		})
		box := geom.Box{Min: at, Max: at.Add(geom.Point{X: how.Width, Y: how.Height})}
		if err := p.label(pages[i/each], box, lab); err != nil {
			return nil, err
		}
		i++
	}
	return pages, nil
}

// grid is how many labels stand beside and below each other on a page.
func grid(room geom.Box, how Options, unit geom.Unit) (columns, rows int, err error) {
	by := func(w, h float64) string { return geom.FormatSize(w, h, unit) }
	switch {
	case how.Width < leastWidth || how.Height < leastHeight:
		return 0, 0, fmt.Errorf("a label of %s is too small to be read; labels.width starts at 25 mm and labels.height at 16 mm",
			by(how.Width, how.Height))
	case how.Gap < 0:
		return 0, 0, errors.New("labels.gap is less than nothing")
	case room.Width() < how.Width || room.Height() < how.Height:
		return 0, 0, fmt.Errorf("a label of %s is larger than the page, which has room for %s; set labels.width and labels.height",
			by(how.Width, how.Height), by(max(0, room.Width()), max(0, room.Height())))
	}
	const hair = 1e-6 // what sums of lengths may be off
	columns = int((room.Width() + how.Gap + hair) / (how.Width + how.Gap))
	rows = int((room.Height() + how.Gap + hair) / (how.Height + how.Gap))
	return columns, rows, nil
}
