package sew

import (
	"cmp"
	"math"
	"slices"

	"sewable/lang/geom"
	"sewable/lang/memo"
)

// A BulkyPoint is a point of the assembled block that many seam lines leave.
type BulkyPoint struct {
	At       geom.Point
	Lines    int        // seam lines leaving it: edges between patches, joins included
	Sections []*Section // that have a corner there
}

// BulkyPoints are the points of the assembled block that at least so many seam lines
// leave, the most lines first. Seams that lie on each other count once.
func (b *Block) BulkyPoints(least int) []BulkyPoint {
	type atLeast int
	var out []BulkyPoint
	for _, l := range memo.Of(b.Facts(), atLeast(least), func() []bulkyPoint { return b.bulkyPoints(least) }) {
		out = append(out, BulkyPoint{l.at, l.lines, b.Together(l.parts)})
	}
	return out
}

// bulkyPoint is a BulkyPoint that counts sections.
type bulkyPoint struct {
	at    geom.Point
	lines int
	parts []int
}

func (b *Block) bulkyPoints(least int) []bulkyPoint {
	type corner struct {
		part int
		v    int32
		next int // the next corner at its place, 0 for none
	}
	type place struct {
		lines       int // no fewer than leave it
		first, last int // of its corners
	}
	var w geom.Welder
	corners := make([]corner, 1) // the first is none
	var places []place
	for part, s := range b.Sections {
		d := s.Division()
		if d.Flawed() {
			return nil
		}
		for v := range d.points {
			leaving := len(d.leaving(int32(v)))
			if leaving == 0 || leaving < least && !d.onBorder(int32(v)) {
				continue // inside a section no other section adds to it
			}
			i, isNew := w.Add(s.place.Apply(d.points[v]))
			n := len(corners)
			corners = append(corners, corner{part: part, v: int32(v)})
			if isNew {
				places = append(places, place{first: n})
			} else {
				corners[places[i].last].next = n
			}
			places[i].last = n
			places[i].lines += leaving + 1 // the border's other end
		}
	}
	var points []bulkyPoint
	for i, p := range w.Points() {
		if places[i].lines < least {
			continue
		}
		point := bulkyPoint{at: p}
		var ways []geom.Point
		for n := places[i].first; n != 0; n = corners[n].next {
			c := corners[n]
			point.parts = append(point.parts, c.part)
			s := b.Sections[c.part]
			d := s.Division()
			for _, h := range d.leaving(c.v) {
				for _, g := range [2]int32{h, d.halves[h].prev} { // leaving, and arriving on the border
					e := d.segment(g)
					border := d.halves[g].twin == none
					if g != h && !border {
						continue
					}
					far := e.B
					if g != h {
						far = e.A
					}
					if border && b.outer(s.place.Apply(e.Mid())) {
						continue
					}
					way := s.place.Apply(far).Sub(p)
					if !slices.ContainsFunc(ways, func(u geom.Point) bool { return sameLine(u, way) }) {
						ways = append(ways, way)
					}
				}
			}
		}
		if point.lines = len(ways); point.lines >= least {
			points = append(points, point)
		}
	}
	slices.SortStableFunc(points, func(a, b bulkyPoint) int { return cmp.Compare(b.lines, a.lines) })
	return points
}

// onBorder says whether a corner lies on the edge of the region.
func (d *Division) onBorder(v int32) bool {
	return slices.ContainsFunc(d.leaving(v), func(h int32) bool {
		return d.halves[h].twin == none || d.halves[d.halves[h].prev].twin == none
	})
}

// outer says whether a place is on the block's outer edge.
func (b *Block) outer(p geom.Point) bool {
	for i := range b.Of.Outline {
		if b.Of.Outline.Edge(i).Dist(p) <= geom.Hair {
			return true
		}
	}
	return false
}

// sameLine says whether two ways from one point lie on each other, within a hair
// at the end of the shorter.
func sameLine(u, v geom.Point) bool {
	return u.Dot(v) > 0 && math.Abs(u.Cross(v)) <= 2*geom.Hair*max(u.Len(), v.Len())
}
