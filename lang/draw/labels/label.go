package labels

import (
	"fmt"
	"slices"
	"strings"

	"sewable/lang/cloth"
	"sewable/lang/cloth/cutlist"
	"sewable/lang/draw"
	"sewable/lang/draw/fonts"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/texts"
	"sewable/lang/geom"
)

// The lines of a label, in parts of the height inside its padding: the block,
// the patch in large letters, the fabric, and the cut size with how the piece is laid.
// The sizes are of an em.
const (
	titleSize  = 0.125
	titleHigh  = 0.18
	patchSize  = 0.42
	patchHigh  = 0.34
	patchGap   = 0.03
	fabricSize = 0.125
	cutSize    = 0.19
	cutHigh    = 0.28
	laidHigh   = 0.12 // what the patch cedes to the cut size where it says how the piece is laid
	cutLeading = 1.25
)

const (
	padding   = 8.0  // between the cutting line and the text
	leastText = 8.0  // 4.5 pt
	maxText   = 34.0 // 19 pt, of all but the patch
	lineWidth = 0.7
)

// outline is the colour of the cutting lines.
var outline = ink.RGB(0x9a, 0xa2, 0xaa)

// printer prints the labels of one list.
type printer struct {
	unit   geom.Unit
	kits   int
	copies map[part]int // in a kit
}

// part is what every copy of a block, or a setting, has one of.
type part struct {
	block, way, label string
	mirrored          bool
}

func partOf(u cloth.Use) part { return part{u.Block, u.Way, u.Label, u.Mirrored} }

// copiesOf counts the copies of every part in a kit.
func copiesOf(l *cloth.List) map[part]int {
	copies := make(map[part]int)
	for i := range l.Fabrics {
		for _, w := range l.Fabrics[i].Whole {
			copies[part{block: w.Of, label: w.What}] = w.Count / l.Kits
		}
		for _, p := range l.Fabrics[i].Pieces {
			for _, u := range p.Uses {
				copies[partOf(u)] = max(copies[partOf(u)], u.First+u.Count-1)
			}
		}
	}
	return copies
}

// label draws a label in a box. The patch and its size are never shortened:
// where they do not fit is an error.
func (p *printer) label(d *ink.Drawing, box geom.Box, lab cloth.Label) error {
	d.Layer("cut").Add(&ink.Path{Chains: ink.Ring(box.Polygon()...), Stroke: outline, Width: lineWidth})
	in := box.Grow(-padding)
	high, y := in.Height(), in.Min.Y

	title := lab.Use.Block
	if lab.Use.Way != "" {
		title += ", " + lab.Use.Way
	}
	if lab.Use.Mirrored {
		title += ", mirrored"
	}
	if lab.Use.Turned != 0 {
		title += ", " + cutlist.Turned(lab.Use.Turned)
	}
	size := textSize(titleSize * high)
	left := in
	if which := p.which(lab); which != "" {
		t := text(which, geom.Point{X: in.Max.X, Y: y + size*fonts.CapHeight}, size, ink.End)
		t.Colour = ink.Muted
		if most := 0.6 * in.Width(); t.Len() > most {
			t.Size *= most / t.Len()
		}
		if t.Size < leastText {
			return p.tooSmall(lab, which)
		}
		d.Layer("text").Add(t)
		left.Max.X -= t.Len() + 0.6*size
	}
	line(d, title, left, y, size, true)
	y += titleHigh * high

	cut, after, laid := cutlist.Label(lab, p.unit)
	patchRow, cutRow := patchHigh*high, cutHigh*high
	if laid != "" {
		patchRow, cutRow = patchRow-laidHigh*high, cutRow+laidHigh*high
	}

	// The patch, with a swatch of its fabric to the right.
	row := geom.Box{Min: geom.Point{X: in.Min.X, Y: y}, Max: geom.Point{X: in.Max.X, Y: y + patchRow}}
	if c, ok := ink.Hex(lab.Fabric.Colour); ok {
		s := row
		s.Min.X = s.Max.X - min(1.5*row.Height(), row.Width()/3)
		d.Layer("swatches").Add(&ink.Path{Chains: ink.Ring(s.Polygon()...), Fill: c, Stroke: ink.Dark, Width: lineWidth, Name: draw.FabricName(lab.Fabric)})
		row.Max.X = s.Min.X - padding
	}
	if !fill(d, []string{lab.Use.Label}, row, patchSize*high) {
		return p.tooSmall(lab, lab.Use.Label)
	}
	y += patchRow + patchGap*high

	size = textSize(fabricSize * high)
	line(d, draw.FabricName(lab.Fabric), in, y, size, false)

	row = geom.Box{Min: geom.Point{X: in.Min.X, Y: in.Max.Y - cutRow}, Max: in.Max}
	some := func(words ...string) []string {
		words = slices.DeleteFunc(words, func(s string) bool { return s == "" })
		for i := range words {
			words[i] = strings.ReplaceAll(texts.Measures(words[i]), " × ", texts.NoBreak+"×"+texts.NoBreak)
		}
		return words
	}
	// The size in large letters and how the piece is laid below it, or where there is no room for that, in one.
	if laid != "" {
		above, below := row, row
		above.Max.Y -= 0.55 * cutRow
		below.Min.Y = above.Max.Y
		trial := &ink.Drawing{}
		if fill(trial, some(cut, after), above, textSize(cutSize*high)) && fillPlain(trial, some(laid), below, textSize(fabricSize*high)) {
			d.Layer("text").Items = append(d.Layer("text").Items, trial.Layer("text").Items...)
			return nil
		}
	}
	if words := some(cut, after, laid); !fill(d, words, row, textSize(cutSize*high)) {
		return p.tooSmall(lab, strings.Join(words, ", "))
	}
	return nil
}

func (p *printer) tooSmall(lab cloth.Label, words string) error {
	return fmt.Errorf("a label is too small for %q of %s in %q; set labels.width or labels.height larger", words, lab.Use.Label, lab.Use.Block)
}

// which says which of several kits and copies, or which block of the quilt: "kit 2 · 3 of 4", "block 7".
func (p *printer) which(lab cloth.Label) string {
	var out []string
	if p.kits > 1 {
		out = append(out, fmt.Sprintf("kit %d", lab.Kit))
	}
	if lab.Place > 0 {
		out = append(out, fmt.Sprintf("block %d", lab.Place))
	} else if n := p.copies[partOf(lab.Use)]; n > 1 {
		out = append(out, fmt.Sprintf("%d of %d", lab.Copy, n))
	}
	return strings.Join(out, " · ")
}

func textSize(size float64) float64 { return min(max(size, leastText), maxText) }

func text(s string, at geom.Point, size float64, align ink.Align) *ink.Text {
	return &ink.Text{At: at, String: s, Size: size, Align: align, Colour: ink.Dark, Back: ink.White}
}

// line sets one line below y, smaller or at last shortened to fit.
func line(d *ink.Drawing, words string, in geom.Box, y, size float64, bold bool) {
	fits := size
	if wide := fonts.Width(words, bold) * size; wide > in.Width() {
		fits = max(leastText, 0.75*size, size*in.Width()/wide)
	}
	t := text(fonts.Shorten(words, bold, in.Width()/fits), geom.Point{X: in.Min.X, Y: y + size*fonts.CapHeight}, fits, ink.Start)
	t.Bold = bold
	d.Layer("text").Add(t)
}

// fill sets paragraphs into a box, as large as they fit up to a size, in the
// middle of its height; the first in bold. It says whether they fit.
func fill(d *ink.Drawing, paragraphs []string, in geom.Box, most float64) bool {
	return set(d, paragraphs, in, most, true)
}

// fillPlain is the same with nothing in bold.
func fillPlain(d *ink.Drawing, paragraphs []string, in geom.Box, most float64) bool {
	return set(d, paragraphs, in, most, false)
}

func set(d *ink.Drawing, paragraphs []string, in geom.Box, most float64, bold bool) bool {
	for size := most; size >= leastText-1e-9; size *= 0.96 {
		var lines []*ink.Text
		wide := 0.0
		for i, words := range paragraphs {
			for _, l := range fonts.Wrap(words, bold && i == 0, in.Width()/size) {
				t := text(l, geom.Point{}, size, ink.Start)
				t.Bold = bold && i == 0
				wide = max(wide, t.Len())
				lines = append(lines, t)
			}
		}
		high := (fonts.CapHeight + cutLeading*float64(len(lines)-1)) * size
		if wide > in.Width()+1e-9 || high+fonts.Descent*size > in.Height()+1e-9 || broken(paragraphs, lines) {
			continue
		}
		y := in.Min.Y + (in.Height()-high-fonts.Descent*size)/2 + fonts.CapHeight*size
		for i, t := range lines {
			t.At = geom.Point{X: in.Min.X, Y: y + float64(i)*cutLeading*size}
			d.Layer("text").Add(t)
		}
		return true
	}
	return false
}

// broken says whether a word was parted between lines.
func broken(paragraphs []string, lines []*ink.Text) bool {
	words := 0
	for _, p := range paragraphs {
		words += len(strings.Fields(p))
	}
	for _, l := range lines {
		words -= len(strings.Fields(l.String))
	}
	return words != 0
}
