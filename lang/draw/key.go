package draw

import (
	"sewable/lang/draw/fonts"
	"sewable/lang/draw/ink"
	"sewable/lang/geom"
)

const (
	keyText   = 14.0
	swatch    = 20.0
	keyRow    = 27.0
	keyColumn = 165.0
)

// key names the fabrics below the picture.
func (p *picture) key() {
	layer := p.d.Layer("key")
	columns := max(1, int((p.d.Width-2*margin)/keyColumn))
	width := (p.d.Width - 2*margin) / float64(columns)
	rows := (len(p.looks.order) + columns - 1) / columns
	top := p.d.Height + 2
	for i, f := range p.looks.order {
		at := geom.Point{X: margin + float64(i/rows)*width, Y: top + float64(i%rows)*keyRow}
		is := p.looks.look[f]
		box := geom.Box{Min: at, Max: at.Add(geom.Point{X: 1.6 * swatch, Y: swatch})}
		layer.Add(&ink.Path{Chains: ink.Ring(box.Polygon()...), Fill: is.fill})
		if lines := is.hatch.lines(box.Polygon()); len(lines) > 0 {
			layer.Add(&ink.Path{Chains: lines, Stroke: is.ink, Width: is.hatch.width})
		}
		layer.Add(&ink.Path{Chains: ink.Ring(box.Polygon()...), Stroke: ink.Dark, Width: seamWidth})
		layer.Add(&ink.Text{
			At:     geom.Point{X: box.Max.X + 8, Y: at.Y + swatch/2 + fonts.CapHeight/2*keyText},
			String: fonts.Shorten(FabricName(f), false, (width-1.6*swatch-16)/keyText), Size: keyText, Align: ink.Start, Colour: ink.Dark, Back: ink.White,
		})
	}
	p.d.Height = top + float64(rows)*keyRow + margin/2
}
