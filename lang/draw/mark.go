package draw

import (
	"sewable/lang/draw/ink"
	"sewable/lang/geom"
)

// Mark is an area of the block that is marked, in hairs: by lines that show on every
// fabric, and not by colour alone.
type Mark struct {
	Area geom.Polygon
	Look MarkLook
	Name string // what it is, said when it is pointed at
}

// MarkLook is how an area is marked.
type MarkLook uint8

// The looks of marks.
const (
	Hatched MarkLook = iota // slanted lines and a heavy outline
	Dotted                  // dots and a heavy outline
	Crossed                 // crossed lines and a heavy outline
	Ringed                  // a heavy outline
	Dashed                  // a dashed outline: where something was
	Shaded                  // slanted lines alone: where nothing is yet
)

// markLooks are the hatch and the dash of every look.
var markLooks = [...]struct {
	hatch hatch
	dash  []float64
}{
	Hatched: {hatch: hatch{angles: []float64{45}, spacing: 17, width: 1.5}},
	Dotted:  {hatch: hatch{angles: []float64{0, 90}, spacing: 15, width: 2.6, dash: 0.2}},
	Crossed: {hatch: hatch{angles: []float64{45, 135}, spacing: 24, width: 1.5}},
	Ringed:  {},
	Dashed:  {dash: []float64{11, 9}},
	Shaded:  {hatch: hatch{angles: []float64{45}, spacing: 12, width: 1}},
}

// markWidth is that of the outline of a mark.
const markWidth = 4.2

// marks draws the marks, each in pale and in dark, so that it shows on every fabric.
func (p *picture) marks() {
	layer := p.d.Layer("highlight")
	for _, m := range p.o.Marks {
		if len(m.Area) < 3 {
			continue
		}
		is, area := markLooks[min(m.Look, Shaded)], geom.Polygon(p.all(m.Area))
		if lines := is.hatch.lines(area); len(lines) > 0 {
			layer.Add(&ink.Path{Chains: lines, Stroke: ink.Pale, Width: is.hatch.width + 2},
				&ink.Path{Chains: lines, Stroke: ink.Dark, Width: is.hatch.width, Name: m.Name})
		}
		if m.Look == Shaded {
			continue
		}
		ring := ink.Ring(area...)
		layer.Add(&ink.Path{Chains: ring, Stroke: ink.Pale, Width: markWidth + 3},
			&ink.Path{Chains: ring, Stroke: ink.Dark, Width: markWidth, Dash: is.dash, Name: m.Name})
	}
}
