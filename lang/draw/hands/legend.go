package hands

import (
	"sewable/lang/draw/ink"
	"sewable/lang/draw/texts"
	"sewable/lang/geom"
)

// Sample is a thing that pictures show, and what it is.
type Sample struct {
	Picture *ink.Drawing
	Words   string
}

// Legend says what the pictures show.
func Legend() []Sample {
	const wide, high = 54.0, 22.0
	sample := func(words string, paint func(v *view, box geom.Polygon)) Sample {
		v := &view{d: &ink.Drawing{Width: wide, Height: high}, box: geom.Box{Max: geom.Point{X: wide, Y: high}}, scale: 1,
			at: func(p geom.Point) geom.Point { return p }}
		paint(v, v.box.Grow(-2).Polygon())
		return Sample{v.d, words}
	}
	cloth := ink.RGB(0x3f, 0x7f, 0xa6)
	across := func(v *view, c ink.Colour, width float64, dash ...float64) {
		v.lineAt(geom.Point{X: 3, Y: high / 2}, geom.Point{X: wide - 3, Y: high / 2}, c, width, dash...)
	}
	return []Sample{
		sample(texts.LegendRight, func(v *view, b geom.Polygon) { v.right(b, cloth) }),
		sample(texts.LegendWrong, func(v *view, b geom.Polygon) { v.wrong(b, cloth) }),
		sample(texts.LegendBlank, func(v *view, b geom.Polygon) { v.area(b, paperBlank, ink.Dark, paperLine) }),
		sample(texts.LegendPrinted, func(v *view, b geom.Polygon) {
			v.area(b, paperPrinted, ink.Dark, paperLine)
			across(v, ink.Dark, 1.2)
		}),
		sample(texts.LegendStitch, func(v *view, _ geom.Polygon) { across(v, thread, stitchLine, stitchDash...) }),
		sample(texts.LegendUnder, func(v *view, _ geom.Polygon) { across(v, hidden, 1, hiddenDash...) }),
	}
}
