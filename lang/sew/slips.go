package sew

import (
	"slices"

	"sewable/lang/geom"
)

// NearMisses are the corners that lie a hair or more, but less than limit, from
// another corner or an edge of the section; placed. Of two corners with an even claim the one
// moves that is not on the block's outline nor on another section's edge.
func (s *Section) NearMisses(limit float64) []NearMiss {
	misses := s.Division().NearMisses(limit)
	for i := range misses {
		m := &misses[i]
		m.From, m.To = s.place.Apply(m.From), s.place.Apply(m.To)
		m.Edge = placedSegment(m.Edge, s.place)
		if m.even && s.Block.holds(s, m.From) && !s.Block.holds(s, m.To) {
			*m = m.turned()
		}
	}
	return misses
}

// Slips are the near misses of the section that keep it, or the block where it or a copy of it
// is, from being filled once.
func (s *Section) Slips(limit float64) []NearMiss {
	misses := s.NearMisses(limit)
	if len(misses) == 0 {
		return nil
	}
	explained := func(flaw Flaw) bool { return Explained(flaw, misses, limit) }
	if d := s.Division(); d.Flawed() {
		if s.IsCopy() || !explained(d.Flaws()[0]) {
			return nil
		}
		return misses
	}
	slips := make([]bool, len(misses))
	for _, t := range s.Block.Sections {
		if t.Original() != s {
			continue
		}
		there := t.NearMisses(limit)
		for _, flaw := range s.Block.Flaws() {
			for i := range explaining(flaw.Flaw, there, limit) {
				slips[i] = true
			}
		}
	}
	var out []NearMiss
	for i, m := range misses {
		if slips[i] {
			out = append(out, m)
		}
	}
	return out
}

// holds says whether a place is on the block's outline or on an edge of another section.
func (b *Block) holds(s *Section, at geom.Point) bool {
	on := func(poly geom.Polygon) bool {
		for i := range poly {
			if poly.Edge(i).Dist(at) <= geom.Hair {
				return true
			}
		}
		return false
	}
	if on(b.Of.Outline) {
		return true
	}
	for _, t := range b.Sections {
		if t == s {
			continue
		}
		for _, p := range t.Of.Patches {
			if on(p.Corners) {
				return true
			}
		}
	}
	return false
}

// NearMisses are the corners of sections' outlines that lie a hair or more, but
// less than limit, from another section's corner or edge, or the block's.
// CornerRefs and EdgeOf count sections as Sections does. What a section almost
// misses in itself is told by the section.
func (b *Block) NearMisses(limit float64) []NearMiss {
	d := b.Division()
	if d == nil {
		return nil
	}
	return slices.DeleteFunc(d.NearMisses(limit), func(m NearMiss) bool {
		own := func(part int) bool {
			return slices.ContainsFunc(m.Corners, func(c CornerRef) bool { return c.Part == part })
		}
		return slices.ContainsFunc(m.Onto, func(c CornerRef) bool { return own(c.Part) }) ||
			slices.ContainsFunc(m.EdgeOf, own)
	})
}
