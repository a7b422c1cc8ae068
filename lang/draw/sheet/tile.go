package sheet

import (
	"math"
	"strconv"
	"strings"

	"sewable/lang/draw/ink"
	"sewable/lang/draw/texts"
	"sewable/lang/geom"
)

// overlap is how much neighbouring tiles have in common: 10 mm.
const overlap = 10 * geom.Millimetre

// tileHead is what the line above a tile takes.
const tileHead = 20.0

// tiles prints a foundation that is larger than a page on several. Each tile
// has its edges marked where the next one is laid on it, in the middle of what both
// have in common, with crosses that lie on each other.
func tiles(f *foundation, room geom.Box, how Options) []*ink.Drawing {
	squaresWide, squaresHigh := squaresSize(false)
	window := geom.Point{X: room.Width(), Y: room.Height() - tileHead - squaresHigh - between}
	grid := func(d *ink.Drawing) (columns, rows int) {
		n := func(size, window float64) int {
			return max(1, int(math.Ceil((size-overlap)/(window-overlap)-1e-9)))
		}
		return n(d.Width, window.X), n(d.Height, window.Y)
	}
	d := f.drawing(0)
	columns, rows := grid(d)
	if c, r := grid(f.drawing(1)); c*r < columns*rows {
		d, columns, rows = f.drawing(1), c, r
	}
	// Tiles of one size, so that none is a mere strip.
	even := func(size float64, n int) float64 { return (size + float64(n-1)*overlap) / float64(n) }
	window = geom.Point{X: even(d.Width, columns), Y: even(d.Height, rows)}
	var pages []*ink.Drawing
	for r := range rows {
		for c := range columns {
			page := blank(how)
			from := geom.Point{X: float64(c) * (window.X - overlap), Y: float64(r) * (window.Y - overlap)}
			t := tile{
				page: page, from: geom.Box{Min: from, Max: from.Add(window)},
				to: geom.Point{X: room.Min.X, Y: room.Min.Y + tileHead}, column: c, row: r, columns: columns, rows: rows,
			}
			t.copy(d)
			t.register()
			t.name(f, geom.Point{X: room.Min.X + squaresWide + between, Y: room.Max.Y - squaresHigh/2})
			squares(page, geom.Point{X: room.Min.X, Y: room.Max.Y - squaresHigh}, false)
			pages = append(pages, page)
		}
	}
	return pages
}

// tile is a part of a drawing on a page.
type tile struct {
	page          *ink.Drawing
	from          geom.Box   // of the drawing
	to            geom.Point // its corner on the page
	column, row   int        // from 0
	columns, rows int
}

func (t *tile) at(p geom.Point) geom.Point { return p.Sub(t.from.Min).Add(t.to) }

// copy copies what lies in the tile: lines are clipped, shapes and text are
// there whole or not at all. A text is in the tile that has its middle, clear of the line where tiles
// meet; shapes are small enough to be whole there.
func (t *tile) copy(d *ink.Drawing) {
	for _, l := range d.Layers {
		to := t.page.Layer(l.Name)
		for _, it := range l.Items {
			switch it := it.(type) {
			case *ink.Text:
				box, own := it.Bounds().Bounds(), t.own()
				if !t.owns(box.Centre()) {
					continue
				}
				const clear = 2.0 // of the line where tiles meet
				own = geom.Box{Min: own.Min.Add(geom.Point{X: clear, Y: clear}), Max: own.Max.Sub(geom.Point{X: clear, Y: clear})}
				shift := geom.Point{
					X: max(0, own.Min.X-box.Min.X) + min(0, own.Max.X-box.Max.X),
					Y: max(0, own.Min.Y-box.Min.Y) + min(0, own.Max.Y-box.Max.Y),
				}
				text := *it
				text.At = t.at(it.At.Add(shift))
				to.Add(&text)
			case *ink.Path:
				path := *it
				path.Chains = nil
				for _, c := range it.Chains {
					if path.Fill == 0 {
						path.Chains = append(path.Chains, t.clip(c)...)
					} else if inBox(t.from, c.Points) {
						moved := make([]geom.Point, len(c.Points))
						for i, p := range c.Points {
							moved[i] = t.at(p)
						}
						path.Chains = append(path.Chains, ink.Chain{Points: moved, Closed: c.Closed})
					}
				}
				if len(path.Chains) > 0 {
					to.Add(&path)
				}
			}
		}
	}
}

// own is what belongs to this tile and no other: what two have in common is halved.
func (t *tile) own() geom.Box {
	own := t.from
	if t.column > 0 {
		own.Min.X += overlap / 2
	}
	if t.column < t.columns-1 {
		own.Max.X -= overlap / 2
	}
	if t.row > 0 {
		own.Min.Y += overlap / 2
	}
	if t.row < t.rows-1 {
		own.Max.Y -= overlap / 2
	}
	return own
}

// owns says whether a place belongs to this tile.
func (t *tile) owns(p geom.Point) bool {
	own := t.own()
	return p.X >= own.Min.X && p.X < own.Max.X && p.Y >= own.Min.Y && p.Y < own.Max.Y
}

func inBox(b geom.Box, points []geom.Point) bool {
	for _, p := range points {
		if p.X < b.Min.X || p.X > b.Max.X || p.Y < b.Min.Y || p.Y > b.Max.Y {
			return false
		}
	}
	return true
}

// clip is what lies of a line in the tile, on the page.
func (t *tile) clip(c ink.Chain) []ink.Chain {
	out := ink.ClipLine(c, t.from)
	for i := range out {
		for k, p := range out[i].Points {
			out[i].Points[k] = t.at(p)
		}
	}
	return out
}

// register draws the lines where tiles meet, with a cross near both ends and
// where four meet, and says what belongs there.
func (t *tile) register() {
	l := t.page.Layer("registration")
	size := t.from.Max.Sub(t.from.Min)
	line := func(a, b geom.Point, name string) {
		a, b = a.Add(t.to), b.Add(t.to)
		l.Add(&ink.Path{Chains: ink.Line(a, b), Stroke: ink.Muted, Width: 0.8, Dash: []float64{3, 6}, Name: name})
		for _, k := range [...]float64{0.15, 0.5, 0.85} {
			m := geom.Segment{A: a, B: b}.At(k)
			for _, arm := range [2]geom.Point{{X: 12}, {Y: 12}} {
				l.Add(&ink.Path{Chains: ink.Line(m.Sub(arm), m.Add(arm)), Stroke: ink.Dark, Width: 1, Name: "cross"})
			}
			l.Add(&ink.Path{Chains: ink.Disc(m, 6), Stroke: ink.Dark, Width: 1})
		}
	}
	const half = overlap / 2
	if t.column > 0 {
		line(geom.Point{X: half}, geom.Point{X: half, Y: size.Y}, "left")
	}
	if t.column < t.columns-1 {
		line(geom.Point{X: size.X - half}, geom.Point{X: size.X - half, Y: size.Y}, "right")
	}
	if t.row > 0 {
		line(geom.Point{Y: half}, geom.Point{X: size.X, Y: half}, "upper")
	}
	if t.row < t.rows-1 {
		line(geom.Point{Y: size.Y - half}, geom.Point{X: size.X, Y: size.Y - half}, "lower")
	}
}

// number is a tile's number, counted along the rows.
func (t *tile) number(column, row int) int { return row*t.columns + column + 1 }

// name says above the tile which one it is and what it is placed over.
func (t *tile) name(f *foundation, beside geom.Point) {
	part := func(column, row int) string { return strconv.Itoa(t.number(column, row)) }
	text := texts.Fill(texts.SheetPart, "section", f.section.Of.Of.Name, "part", part(t.column, t.row), "parts", strconv.Itoa(t.rows*t.columns))
	if t.column > 0 {
		text += texts.Fill(texts.SheetPartLeft, "part", part(t.column-1, t.row))
	}
	put := func(text string, at geom.Point) {
		t.page.Layer("caption").Add(&ink.Text{At: at, String: text, Size: 14.2, Bold: true, Align: ink.Start, Colour: ink.Dark, Back: ink.White})
	}
	above := t.to.Add(geom.Point{Y: -7})
	if t.row > 0 {
		upper := texts.Fill(texts.SheetPartUpper, "part", part(t.column, t.row-1)) + texts.SheetPartCrosses
		if t.column > 0 { // both are too long for one line: the other is beside the squares
			put(text, above)
			put(strings.TrimSpace(upper), beside)
			return
		}
		text += upper
	} else if t.column > 0 {
		text += texts.SheetPartCrosses
	}
	put(text, above)
}
