package sheet

import (
	"slices"
	"strconv"

	"sewable/lang/draw"
	"sewable/lang/draw/fonts"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/texts"
	"sewable/lang/geom"
)

// MapWords say which blocks of its quilt a pattern is for.
func (p Pattern) MapWords() string {
	return texts.Fill(p.places(texts.MapOne, texts.MapMany), "setting", p.Setting.Name)
}

// Map is a small map of the quilt, its blocks by their numbers, those that the pattern is for dark. It is nil for
// a block by itself.
func (p Pattern) Map(most float64) *ink.Drawing {
	if p.Setting == nil || len(p.Numbers) == 0 {
		return nil
	}
	places, box, err := draw.Places(p.Setting)
	if err != nil {
		return nil
	}
	const edge = 1.0
	scale := min((most-2*edge)/box.Width(), (0.7*most-2*edge)/box.Height())
	d := &ink.Drawing{Width: box.Width()*scale + 2*edge, Height: box.Height()*scale + 2*edge}
	at := func(q geom.Point) geom.Point {
		return geom.Point{X: (q.X-box.Min.X)*scale + edge, Y: (box.Max.Y-q.Y)*scale + edge}
	}
	l := d.Layer("map")
	l.Add(&ink.Path{Chains: ink.Ring(at(box.Min), at(geom.Point{X: box.Max.X, Y: box.Min.Y}), at(box.Max), at(geom.Point{X: box.Min.X, Y: box.Max.Y})), Stroke: ink.Muted, Width: 0.8})
	for i, place := range places {
		corners := make(geom.Polygon, len(place))
		for k, q := range place {
			corners[k] = at(q)
		}
		mine := slices.Contains(p.Numbers, i+1)
		fill, name := ink.White, "place"
		if mine {
			fill, name = ink.Muted, "own place"
		}
		l.Add(&ink.Path{Chains: ink.Ring(corners...), Fill: fill, Stroke: ink.Dark, Width: 0.8, Name: name})
		number := strconv.Itoa(i + 1)
		middle, size := draw.Fit(corners, fonts.Width(number, mine), fonts.CapHeight, 17, nil)
		if size < least {
			continue
		}
		l.Add(&ink.Text{
			At: middle.Add(geom.Point{Y: fonts.CapHeight / 2 * size}), String: number, Size: size, Bold: mine, Colour: ink.TextOn(fill), Back: fill,
		})
	}
	return d
}
