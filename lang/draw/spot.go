package draw

import (
	"sewable/lang/draw/ink"
	"sewable/lang/geom"
)

// Spot is a place in the block, in hairs: a point, a line through several, or,
// when it is closed, the outline of an area.
type Spot struct {
	Points []geom.Point
	Closed bool
}

const (
	ringSize  = 10.0 // of the shape round a point
	spotWidth = 4.4  // of lines
	tiny      = 16.0 // what is smaller on paper is marked as a point

	spotCasing = 1.5 // of white, on each side of a line
)

// place works out where the findings lie, before there is any text: labels keep off points.
func (p *picture) place() {
	p.spots = make([][]Spot, len(p.o.Findings))
	for i, f := range p.o.Findings {
		p.spots[i] = p.onPaper(f)
		for _, s := range p.spots[i] {
			if box := geom.Polygon(s.Points).Bounds(); len(s.Points) == 1 {
				p.taken = append(p.taken, box.Grow(ringSize))
			} else if !s.Closed && max(box.Width(), box.Height()) < 5*markSize {
				p.taken = append(p.taken, box.Grow(spotWidth))
			}
		}
	}
}

// onPaper are the spots of a finding on the paper: what is tiny there as a point, and points
// that fall together as one.
func (p *picture) onPaper(f Finding) []Spot {
	var out []Spot
	for _, s := range f.Spots {
		if len(s.Points) == 0 {
			continue
		}
		s.Points = p.all(s.Points)
		if box := geom.Polygon(s.Points).Bounds(); max(box.Width(), box.Height()) < tiny {
			s = Spot{Points: []geom.Point{box.Centre()}}
			if near := nearPoint(out, s.Points[0]); near >= 0 {
				out[near].Points[0] = geom.Segment{A: out[near].Points[0], B: s.Points[0]}.Mid()
				continue
			}
		}
		out = append(out, s)
	}
	return out
}

// nearPoint is the point of a list that another one falls together with, or -1.
func nearPoint(spots []Spot, at geom.Point) int {
	for i, s := range spots {
		if len(s.Points) == 1 && s.Points[0].Dist(at) < tiny {
			return i
		}
	}
	return -1
}

// spot draws one: round a point the shape of the level, hollow, so that the corner shows;
// along lines and round areas a stroke.
func (p *picture) spot(l Level, s Spot) {
	is, chains := l.look(), s.chains(l)
	dash := is.dash
	if len(s.Points) == 1 {
		dash = nil
	}
	p.d.Layer("findings").Add(
		&ink.Path{Chains: chains, Stroke: ink.White, Width: spotWidth + 2*spotCasing},
		&ink.Path{Chains: chains, Stroke: is.colour, Width: spotWidth, Dash: dash})
}

// chains are the lines that mark a spot.
func (s Spot) chains(l Level) []ink.Chain {
	if len(s.Points) == 1 {
		return l.shape(s.Points[0], ringSize)
	}
	return []ink.Chain{{Points: s.Points, Closed: s.Closed}}
}

// middle is where a spot is numbered, and the area around that place, if it has one.
func (s Spot) middle() (geom.Point, geom.Polygon) {
	switch {
	case s.Closed:
		area := geom.Polygon(s.Points)
		if c := area.Centroid(); area.Contains(c) == geom.Inside {
			return c, area
		}
		return area.InteriorPoint(), area
	case len(s.Points) == 1:
		return s.Points[0], nil
	}
	var length float64
	for i := 1; i < len(s.Points); i++ {
		length += s.Points[i].Dist(s.Points[i-1])
	}
	half := length / 2
	for i := 1; i < len(s.Points); i++ {
		leg := geom.Segment{A: s.Points[i-1], B: s.Points[i]}
		if n := leg.Len(); half <= n && n > 0 {
			return leg.At(half / n), nil
		} else {
			half -= n
		}
	}
	return s.Points[0], nil
}

// touches reports whether a corner of it lies with one of the others: one number does for both.
func (s Spot) touches(others []Spot) bool {
	for _, o := range others {
		for _, p := range s.Points {
			for _, q := range o.Points {
				if p.Dist(q) < tiny {
					return true
				}
			}
		}
	}
	return false
}
