package hands

import (
	"math"

	"sewable/lang/draw"
	"sewable/lang/draw/fonts"
	"sewable/lang/draw/ink"
	"sewable/lang/geom"
)

// The colors of what hands touch.
var (
	paperBlank   = ink.RGB(0xf4, 0xee, 0xdd)
	paperPrinted = ink.White
	cardColour   = ink.RGB(0xcf, 0xa8, 0x72)
	thread       = ink.RGB(0xb3, 0x26, 0x1e)
	pinColour    = ink.RGB(0x2a, 0x5d, 0xa8)
	hidden       = ink.RGB(0x6d, 0x76, 0x82)
	table        = ink.RGB(0xe9, 0xed, 0xf0)
	frameColour  = ink.RGB(0xc4, 0xc8, 0xcc)
	offColour    = ink.RGB(0xf3, 0xf3, 0xf3) // what is cut off
	rulerColour  = ink.RGB(0x2f, 0x7d, 0x74)
)

// The widths of lines in pictures.
const (
	fabricLine = 0.9
	paperLine  = 0.7
	printLine  = 0.8
	stitchLine = 2.0
	pinLine    = 1.1
)

var (
	stitchDash = []float64{5, 3.2}
	hiddenDash = []float64{2.4, 2.6}
	cutDash    = []float64{6, 3}
)

// wrongSide is how a fabric looks from behind.
func wrongSide(c ink.Colour) ink.Colour { return c.Mix(ink.White, 0.62) }

// view is a part of the block in a picture. Whatever is drawn is cut off at its frame.
type view struct {
	d     *ink.Drawing
	box   geom.Box // of the frame on the paper
	at    func(geom.Point) geom.Point
	scale float64
	taken []geom.Box
}

// view shows a part of the block, given in the block's own places, from one side.
func (s *Scene) view(part geom.Box, size geom.Point, printed bool) *view {
	place := func(p geom.Point) geom.Point {
		q := s.stands.Apply(p)
		if printed {
			q.X = -q.X
		}
		return geom.Point{X: q.X, Y: -q.Y}
	}
	var corners geom.Polygon
	for _, c := range part.Polygon() {
		corners = append(corners, place(c))
	}
	b := corners.Bounds()
	const edge = 3.0
	v := &view{
		d:     &ink.Drawing{Width: size.X, Height: size.Y, Layers: []ink.Layer{{Name: "hands"}, {Name: "labels"}}},
		box:   geom.Box{Max: size}.Grow(-0.5),
		scale: min((size.X-2*edge)/b.Width(), (size.Y-2*edge)/b.Height()),
	}
	v.add(&ink.Path{Chains: ink.Ring(v.box.Polygon()...), Fill: table})
	middle, centre := b.Centre(), v.box.Centre()
	v.at = func(p geom.Point) geom.Point { return place(p).Sub(middle).Scale(v.scale).Add(centre) }
	return v
}

func (v *view) all(points []geom.Point) geom.Polygon {
	out := make(geom.Polygon, len(points))
	for i, p := range points {
		out[i] = v.at(p)
	}
	return out
}

func (v *view) add(items ...ink.Item) { v.d.Layer("hands").Add(items...) }

// area fills a polygon of the block, and draws its edge.
func (v *view) area(poly geom.Polygon, fill, stroke ink.Colour, width float64, dash ...float64) {
	v.areaAt(v.all(poly), fill, stroke, width, dash...)
}

// areaAt is area for a polygon on the paper.
func (v *view) areaAt(poly geom.Polygon, fill, stroke ink.Colour, width float64, dash ...float64) {
	b := poly.Bounds()
	if len(poly) < 3 || !b.Meets(v.box) {
		return
	}
	if b.Min.X >= v.box.Min.X && b.Max.X <= v.box.Max.X && b.Min.Y >= v.box.Min.Y && b.Max.Y <= v.box.Max.Y {
		v.add(&ink.Path{Chains: ink.Ring(poly...), Fill: fill, Stroke: stroke, Width: width, Dash: dash})
		return
	}
	if fill != 0 {
		if in := ink.ClipFill(poly, v.box); in != nil {
			v.add(&ink.Path{Chains: ink.Ring(in...), Fill: fill})
		}
	}
	if chains := ink.ClipLine(ink.Chain{Points: poly, Closed: true}, v.box); stroke != 0 && len(chains) > 0 {
		v.add(&ink.Path{Chains: chains, Stroke: stroke, Width: width, Dash: dash})
	}
}

// line draws a line between places of the block.
func (v *view) line(s geom.Segment, stroke ink.Colour, width float64, dash ...float64) {
	v.lineAt(v.at(s.A), v.at(s.B), stroke, width, dash...)
}

func (v *view) lineAt(a, b geom.Point, stroke ink.Colour, width float64, dash ...float64) {
	if chains := ink.ClipLine(ink.Chain{Points: []geom.Point{a, b}}, v.box); len(chains) > 0 {
		v.add(&ink.Path{Chains: chains, Stroke: stroke, Width: width, Dash: dash})
	}
}

// right draws fabric with its right side up, wrong with its wrong side up.
func (v *view) right(poly geom.Polygon, c ink.Colour) { v.area(poly, c, edgeOn(c), fabricLine) }

func (v *view) wrong(poly geom.Polygon, c ink.Colour) {
	if poly == nil {
		return
	}
	pale := wrongSide(c)
	on := v.all(poly)
	v.areaAt(on, pale, ink.Dark, fabricLine)
	if in := ink.ClipFill(on, v.box); in != nil {
		v.add(&ink.Path{Chains: draw.Lined(in, 45, 6), Stroke: pale.Mix(ink.Dark, 0.28), Width: 0.45})
	}
}

// edgeOn is a line that shows on a fabric.
func edgeOn(c ink.Colour) ink.Colour {
	if c.Luminance() < 0.09 {
		return c.Mix(ink.White, 0.55)
	}
	return ink.Dark
}

// frameLine goes around the picture.
func (v *view) frameLine() {
	v.add(&ink.Path{Chains: ink.Ring(v.box.Polygon()...), Stroke: frameColour, Width: 0.8})
}

// text puts a text on a plate of white.
func (v *view) text(t *ink.Text) {
	box := t.Bounds().Bounds().Grow(1.5)
	v.d.Layer("labels").Add(&ink.Path{Chains: ink.Ring(box.Polygon()...), Fill: ink.White}, t)
	v.taken = append(v.taken, box)
}

func (v *view) free(box geom.Box) bool {
	for _, t := range v.taken {
		if t.Meets(box) {
			return false
		}
	}
	return box.Min.X >= v.box.Min.X && box.Max.X <= v.box.Max.X && box.Min.Y >= v.box.Min.Y && box.Max.Y <= v.box.Max.Y
}

// label writes a word into the first of some polygons of the block where it has room, on
// their color, and beside the first with a line otherwise.
func (v *view) label(word string, back ink.Colour, polygons ...geom.Polygon) {
	for _, poly := range polygons {
		if poly == nil {
			continue
		}
		if t := fit(v, word, v.all(poly)); t != nil {
			t.Colour, t.Back = ink.TextOn(back), back
			plate := &ink.Path{Chains: ink.Ring(t.Bounds().Bounds().Grow(1).Polygon()...), Fill: back} // no fine line through a number
			v.d.Layer("labels").Add(plate, t)
			v.taken = append(v.taken, t.Bounds().Bounds())
			return
		}
	}
	if in := ink.ClipFill(v.all(polygons[0]), v.box.Grow(-2)); in != nil {
		v.note(word, in.InteriorPoint(), true)
	}
}

// named writes a word into a polygon of the block if it has room there.
func (v *view) named(word string, poly geom.Polygon, back ink.Colour) {
	if poly == nil {
		return
	}
	if t := fit(v, word, v.all(poly)); t != nil {
		t.Colour, t.Back = ink.TextOn(back), back
		v.d.Layer("labels").Add(t)
		v.taken = append(v.taken, t.Bounds().Bounds())
	}
}

// note writes a word beside a place on the paper, with a line to it.
func (v *view) note(word string, at geom.Point, bold bool) {
	wide, high := fonts.Width(word, bold)*LabelSize/2+2, fonts.CapHeight*LabelSize/2+2
	for _, far := range [...]float64{14, 20, 28, 38, 50, 65, 85} {
		for i := range 16 {
			sin, cos := math.Sincos(float64(i)*math.Pi/8 + 0.4)
			m := at.Add(geom.Point{X: cos * (far + wide*math.Abs(cos)), Y: sin * (far + high)})
			t := &ink.Text{At: m.Add(geom.Point{Y: high - 2}), String: word, Size: LabelSize, Bold: bold, Colour: ink.Dark, Back: ink.White}
			if !v.free(t.Bounds().Bounds().Grow(1.5)) {
				continue
			}
			v.d.Layer("labels").Add(
				&ink.Path{Chains: ink.Line(m, at), Stroke: ink.White, Width: 2.6},
				&ink.Path{Chains: ink.Line(m, at), Stroke: ink.Dark, Width: 0.7},
				dot(at, 1.6, ink.Dark))
			v.text(t)
			return
		}
	}
}

// pin draws a pin along a line of the block, its head first.
func (v *view) pin(head, tip geom.Point) {
	a, b := v.at(head), v.at(tip)
	if !within(v.box.Grow(-3), a) || !within(v.box, b) {
		return
	}
	v.add(
		&ink.Path{Chains: ink.Line(a, b), Stroke: ink.White, Width: pinLine + 1.4},
		&ink.Path{Chains: ink.Line(a, b), Stroke: pinColour, Width: pinLine},
		dot(a, 2.8, pinColour))
}

func within(b geom.Box, p geom.Point) bool {
	return p.X >= b.Min.X && p.X <= b.Max.X && p.Y >= b.Min.Y && p.Y <= b.Max.Y
}

// arrow draws an arrow on the paper.
func (v *view) arrow(from, to geom.Point, c ink.Colour, both bool) {
	d := geom.Segment{A: from, B: to}.Dir()
	side := geom.Point{X: -d.Y, Y: d.X}
	head := func(tip, d geom.Point) ink.Item {
		back := tip.Sub(d.Scale(5))
		return &ink.Path{Chains: ink.Ring(tip, back.Add(side.Scale(2.4)), back.Sub(side.Scale(2.4))), Fill: c}
	}
	if !within(v.box, from) || !within(v.box, to) {
		return
	}
	v.add(&ink.Path{Chains: ink.Line(from, to), Stroke: ink.White, Width: 2.8}, &ink.Path{Chains: ink.Line(from, to), Stroke: c, Width: 1.1}, head(to, d))
	if both {
		v.add(head(from, d.Scale(-1)))
	}
	for i := range 5 {
		at := (geom.Segment{A: from, B: to}).At(float64(i) / 4)
		v.taken = append(v.taken, geom.Box{Min: at, Max: at}.Grow(2.5))
	}
}

// fit is a label inside a polygon of the paper, nil where it would be too small.
func fit(v *view, word string, on geom.Polygon) *ink.Text {
	in := ink.ClipFill(on, v.box.Grow(-2))
	if in == nil {
		return nil
	}
	middle, size := draw.Fit(in, fonts.Width(word, true), fonts.CapHeight, 19, v.taken)
	if size < LabelSize {
		return nil
	}
	t := &ink.Text{At: middle.Add(geom.Point{Y: fonts.CapHeight / 2 * size}), String: word, Size: size, Bold: true, Colour: ink.Dark, Back: ink.White}
	if !v.free(t.Bounds().Bounds()) {
		return nil
	}
	return t
}

// tag writes a section's letter on a plate in the middle of it, or beside it.
func (v *view) tag(word string, poly geom.Polygon) {
	in := ink.ClipFill(v.all(poly), v.box.Grow(-2))
	if in == nil {
		return
	}
	m := in.InteriorPoint()
	t := &ink.Text{At: m.Add(geom.Point{Y: fonts.CapHeight / 2 * LabelSize}), String: word, Size: LabelSize, Bold: true, Colour: ink.Dark, Back: ink.White}
	if v.free(t.Bounds().Bounds().Grow(2)) {
		v.text(t)
		return
	}
	v.note(word, m, true)
}

// write writes a size in the middle of a line.
func (v *view) write(word string, at geom.Point) {
	t := &ink.Text{At: at.Add(geom.Point{Y: fonts.CapHeight / 2 * LabelSize}), String: word, Size: LabelSize, Colour: ink.Dark, Back: ink.White}
	if b := t.Bounds().Bounds().Grow(2); b.Max.X > v.box.Max.X {
		t.At.X -= b.Max.X - v.box.Max.X
	} else if b.Max.Y > v.box.Max.Y {
		t.At.Y -= b.Max.Y - v.box.Max.Y
	}
	v.text(t)
}

// dot is a small disc.
func dot(at geom.Point, r float64, c ink.Colour) *ink.Path {
	const n = 8
	points := make([]geom.Point, n)
	for i := range points {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
		points[i] = at.Add(geom.Point{X: r * cos, Y: r * sin})
	}
	return &ink.Path{Chains: ink.Ring(points...), Fill: c}
}
