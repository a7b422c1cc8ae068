package draw

import (
	"sewable/lang/draw/fonts"
	"sewable/lang/draw/ink"
	"sewable/lang/geom"
)

// aside is a label that stands beside its patch, since a finding's stroke runs over the
// place in it.
type aside struct {
	text  string
	place geom.Point // in the patch, on the paper
}

const (
	asideSize  = 15.0
	leastLabel = 8.0
)

// labelIn is the label in a patch, smaller where a finding's stroke would run over it. Where
// that is of no use it is set aside.
func (p *picture) labelIn(corners geom.Polygon, text string) (*ink.Text, bool) {
	t, ok := fitText(corners, text, 26, leastLabel, p.taken)
	if !ok {
		return nil, false
	}
	for most, least := t.Size, max(leastLabel, 0.55*t.Size); most >= least; most *= 0.85 {
		if t, ok = fitText(corners, text, most, leastLabel, p.taken); ok && !p.struck(t.Bounds().Bounds()) {
			return t, true
		}
	}
	p.asides = append(p.asides, aside{text, corners.InteriorPoint()})
	return nil, false
}

// struck reports whether a finding's stroke runs through a box.
func (p *picture) struck(box geom.Box) bool {
	box = box.Grow(spotWidth/2 + spotCasing)
	for i, spots := range p.spots {
		for _, s := range spots {
			if !geom.Polygon(s.Points).Bounds().Grow(ringSize).Meets(box) {
				continue
			}
			for _, c := range s.chains(p.o.Findings[i].Level) {
				n := len(c.Points)
				for k := range c.Points {
					if (k < n-1 || c.Closed) && crosses(box, geom.Segment{A: c.Points[k], B: c.Points[(k+1)%n]}) {
						return true
					}
				}
			}
		}
	}
	return false
}

// besides puts the labels that found no place in their patches near by, and a line to each
// patch.
func (p *picture) besides() {
	layer := p.d.Layer("findings")
	for _, a := range p.asides {
		t := &ink.Text{String: a.text, Size: asideSize, Colour: ink.Dark, Back: ink.White}
		half := geom.Point{X: t.Len()/2 + 4, Y: fonts.CapHeight/2*asideSize + 4}
		at := p.free(a.place, half, func(b geom.Box) bool { return p.covers(b) || p.struck(b) })
		t.At = at.Add(geom.Point{Y: fonts.CapHeight / 2 * asideSize})
		box := geom.Box{Min: at.Sub(half), Max: at.Add(half)}
		layer.Add(
			&ink.Path{Chains: ink.Line(a.place, at), Stroke: ink.White, Width: 3.6},
			&ink.Path{Chains: ink.Line(a.place, at), Stroke: ink.Dark, Width: 1.4},
			&ink.Path{Chains: ink.Disc(a.place, 2.4), Fill: ink.Dark, Stroke: ink.White, Width: 1},
			&ink.Path{Chains: ink.Ring(box.Polygon()...), Fill: ink.White, Stroke: ink.Dark, Width: 1}, t)
		p.taken = append(p.taken, box)
	}
}
