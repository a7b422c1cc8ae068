package sew

import (
	"slices"

	"sewable/lang/geom"
)

// judge finds the flaws.
//
// Let e be, at every place, the number of parts that cover it, less one inside
// the outline. The division is right when e is 0 everywhere. But e changes only
// across edges that have not the sides they should have, so where there is no
// such edge, and no polygon crosses itself, e is 0 and nothing needs to be
// measured.
func (b *builder) judge() {
	b.judgeCrossings()
	crossed := slices.ContainsFunc(b.flaws, func(f Flaw) bool { return f.Kind == Crossed || f.Kind == Boundless })
	if crossed {
		return // gaps and overlaps would only follow from it
	}
	if !b.hasOutline && !b.suspect {
		b.suspect = !b.wholeBorder()
	}
	if b.suspect {
		b.measure()
	}
}

// judgeCrossings finds outlines and parts that cross themselves. Corners that
// touch an edge are already on it, so only crossings between corners are left.
func (b *builder) judgeCrossings() {
	for _, r := range b.rings {
		if at, ok := crossing(b.polygon(r)); ok && !b.known(Crossed, nil) {
			b.flaws = append(b.flaws, Flaw{Kind: Crossed, At: at})
		}
	}
	var poly geom.Polygon
	for p := range b.Parts() {
		lo, hi := b.first[p], b.first[p+1]
		if hi-lo < 4 {
			continue
		}
		poly = poly[:0]
		for h := lo; h < hi; h++ {
			poly = append(poly, b.from(h))
			if b.halves[h].next != h+1 { // the end of a loop
				if at, ok := crossing(poly); ok && !b.known(Crossed, []int{p}) {
					b.flaws = append(b.flaws, Flaw{Kind: Crossed, Parts: []int{p}, At: at})
				}
				poly = poly[:0]
			}
		}
	}
}

// known says whether these polygons have such a flaw already.
func (b *builder) known(kind FlawKind, parts []int) bool {
	return slices.ContainsFunc(b.flaws, func(f Flaw) bool {
		return f.Kind == kind && slices.Equal(f.Parts, parts)
	})
}

func crossing(poly geom.Polygon) (geom.Point, bool) {
	_, _, at, ok := geom.Crossing(poly)
	return at, ok
}

// wholeBorder says whether, without an outline, the border is one simple loop:
// then the parts fill it once.
func (b *builder) wholeBorder() bool {
	loops := b.borders()
	if len(loops) != 1 {
		return false
	}
	poly := make(geom.Polygon, len(loops[0]))
	seen := make([]bool, len(b.points))
	for i, h := range loops[0] {
		v := b.halves[h].from
		if seen[v] {
			return false
		}
		seen[v] = true
		poly[i] = b.points[v]
	}
	_, ok := crossing(poly)
	return !ok && poly.Area() > 0
}
