package draw

import (
	"math"
	"strconv"

	"sewable/lang/draw/fonts"
	"sewable/lang/draw/ink"
	"sewable/lang/geom"
	"sewable/lang/sew"
)

// Level is how bad a finding is.
type Level uint8

// The levels, each with a shape and a stroke of its own.
const (
	Hint    Level = iota // a disc, dots
	Warning              // a diamond, dashes
	Error                // a square, a line
)

// Finding is something that is wrong, to be marked in a picture. It lies at its
// spots when there are any, else in the patch, the section or the block it names.
type Finding struct {
	Level   Level
	Text    string
	Section string
	Patch   int
	Spots   []Spot
}

// levelLook is how a level is shown.
type levelLook struct {
	name   string
	colour ink.Colour
	turn   float64
	sides  int
	dash   []float64
}

var levels = [...]levelLook{
	Hint:    {"Hint", ink.RGB(0x2c, 0x5f, 0x8a), 0, 24, []float64{0.1, 8}},
	Warning: {"Warning", ink.RGB(0x8a, 0x5a, 0x00), 0, 4, []float64{10, 8}},
	Error:   {"Error", ink.RGB(0xa6, 0x1f, 0x2b), math.Pi / 4, 4, nil},
}

func (l Level) look() levelLook { return levels[min(l, Error)] }

// shape is the level's shape around a place.
func (l Level) shape(at geom.Point, r float64) []ink.Chain {
	is := l.look()
	points := make([]geom.Point, is.sides)
	for i := range points {
		sin, cos := math.Sincos(is.turn + 2*math.Pi*float64(i)/float64(is.sides))
		points[i] = at.Add(geom.Point{X: r * cos, Y: r * sin})
	}
	return ink.Ring(points...)
}

// mark is the shape, filled.
func (l Level) mark(at geom.Point, r float64) *ink.Path {
	is := l.look()
	return &ink.Path{Chains: l.shape(at, r), Fill: is.colour, Stroke: ink.White, Width: 1.6, Name: is.name}
}

const (
	markSize = 15.0
	markText = 12.0
	listText = 13.0
)

// findings marks the findings with numbers, and says them below the picture.
// A mark keeps off all text; a line leads from it to the place it is for.
func (p *picture) findings(b *sew.Block) {
	if len(p.o.Findings) == 0 {
		return
	}
	layer := p.d.Layer("findings")
	for i, f := range p.o.Findings {
		for _, s := range p.spots[i] {
			p.spot(f.Level, s)
		}
	}
	p.besides()
	y := p.d.Height + 4
	for i, f := range p.o.Findings {
		number := strconv.Itoa(i + 1)
		name := f.Level.look().name + " " + number + ": " + f.Text
		if len(p.spots[i]) == 0 {
			where, patch := p.placeOf(b, f)
			p.number(f.Level, number, name, p.at(where), p.all(patch))
		}
		for j, s := range p.spots[i] {
			if !s.touches(p.spots[i][:j]) {
				at, area := s.middle()
				p.number(f.Level, number, name, at, area)
			}
		}
		if p.o.MarksOnly {
			continue
		}
		line := geom.Point{X: margin + markSize, Y: y + markSize/2}
		layer.Add(f.Level.mark(line, markSize*0.72), numeral(line, number))
		width := (p.d.Width - 3*margin - 2*markSize) / listText
		for _, words := range fonts.Wrap(f.Level.look().name+": "+f.Text, false, width) {
			layer.Add(&ink.Text{
				At:     geom.Point{X: line.X + 1.5*markSize, Y: y + markSize/2 + fonts.CapHeight/2*listText},
				String: words, Size: listText, Align: ink.Start, Colour: ink.Dark, Back: ink.White,
			})
			y += 1.35 * listText
		}
		y += 0.5 * listText
	}
	if !p.o.MarksOnly {
		p.d.Height = y + margin
	}
}

// number puts a numbered mark at a place of the paper, or in the area about it, or near
// by and a line to it.
func (p *picture) number(l Level, number, name string, place geom.Point, area geom.Polygon) {
	layer, colour := p.d.Layer("findings"), l.look().colour
	at := p.free(place, geom.Point{X: markSize + 1, Y: markSize + 1}, p.covers)
	if place = p.target(at, place, area); at.Dist(place) > markSize {
		layer.Add(&ink.Path{Chains: ink.Line(place, at), Stroke: ink.White, Width: 4},
			&ink.Path{Chains: ink.Line(place, at), Stroke: colour, Width: 1.8},
			&ink.Path{Chains: ink.Disc(place, 3.2), Fill: colour, Stroke: ink.White, Width: 1})
	}
	m := l.mark(at, markSize)
	m.Name = name
	layer.Add(m, numeral(at, number))
	p.taken = append(p.taken, geom.Box{Min: at, Max: at}.Grow(markSize))
}

// numeral is a number in a mark.
func numeral(at geom.Point, number string) *ink.Text {
	size := markText
	if len(number) > 1 {
		size *= 0.85
	}
	at.Y += fonts.CapHeight / 2 * size
	return &ink.Text{At: at, String: number, Size: size, Bold: true, Colour: ink.White}
}

// target is what a line from a mark leads to: the place, or the nearest spot of
// the patch that is meant; the mark itself when it lies in that patch.
func (p *picture) target(at, place geom.Point, patch geom.Polygon) geom.Point {
	if len(patch) < 3 {
		return place
	}
	const steps = 40
	for i := range steps {
		if q := (geom.Segment{A: at, B: place}).At(float64(i) / steps); patch.Contains(q) == geom.Inside {
			if i > 0 { // not on its very edge
				q = geom.Segment{A: at, B: place}.At(min(1, float64(i+2)/steps))
			}
			return q
		}
	}
	return place
}

// placeOf is where a finding lies in the block, and the patch it is about, if
// there is one.
func (p *picture) placeOf(b *sew.Block, f Finding) (geom.Point, geom.Polygon) {
	if b == nil {
		return p.box.Centre(), nil
	}
	for _, s := range b.Of.Sections {
		if s.Name != f.Section {
			continue
		}
		for _, patch := range s.Patches {
			if patch.Number == f.Patch && len(patch.Corners) > 2 {
				return patch.Corners.InteriorPoint(), patch.Corners
			}
		}
		if is := b.Section(s); is != nil && is.Outline() != nil {
			return is.Outline().InteriorPoint(), is.Outline()
		}
		if len(s.Outline) > 2 {
			return s.Outline.InteriorPoint(), nil
		}
	}
	// The block itself: its upper edge.
	return geom.Point{X: p.box.Centre().X, Y: p.box.Max.Y}, nil
}

// free is the nearest place to a place where a box, of which half is a quarter, is not in the way.
func (p *picture) free(place, half geom.Point, inTheWay func(geom.Box) bool) geom.Point {
	room := geom.Box{Max: geom.Point{X: p.d.Width, Y: p.d.Height}}.Grow(-markSize)
	for r := 0.0; r < p.d.Width+p.d.Height; r += 6 {
		turns := 1 + int(r/3)
		for i := range turns {
			sin, cos := math.Sincos(2 * math.Pi * (float64(i)/float64(turns) - 0.125))
			at := place.Add(geom.Point{X: r * cos, Y: r * sin})
			at.X = min(max(at.X, room.Min.X), room.Max.X)
			at.Y = min(max(at.Y, room.Min.Y), room.Max.Y)
			if !inTheWay(geom.Box{Min: at.Sub(half), Max: at.Add(half)}) {
				return at
			}
		}
	}
	return place
}

func (p *picture) covers(box geom.Box) bool {
	for _, t := range p.taken {
		if t.Meets(box) {
			return true
		}
	}
	return false
}
