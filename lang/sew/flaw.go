package sew

import "sewable/lang/geom"

// FlawKind tells the flaws of a division apart.
type FlawKind uint8

// The kinds of flaw.
const (
	Gap       FlawKind = iota // a place that no part covers
	Overlap                   // a place that two or more parts cover
	Outside                   // a part that reaches past the outline
	Crossed                   // the outline, or a part, crosses or touches itself
	NoArea                    // the outline, or a part, comes to nothing
	Boundless                 // a corner of the outline, or of a part, is nowhere, or further than can be measured
)

// String is the kind in a word.
func (k FlawKind) String() string {
	return [...]string{"gap", "overlap", "outside", "crossed", "no area", "boundless"}[k]
}

// A Flaw is a way in which the parts fail to fill the outline exactly once.
type Flaw struct {
	Kind  FlawKind
	Parts []int        // the parts concerned, in order; none for a gap, and where it is the outline itself
	Area  float64      // in square hairs, all such places of these parts together; 0 where nothing was measured
	At    geom.Point   // a place inside (the widest one), or the corner or crossing meant
	Where geom.Polygon // its outline there, or nil
}

// A CornerRef is one typed corner: Index into the corners of part Part, or of
// the outline when Part is -1.
type CornerRef struct{ Part, Index int }

// A NearMiss is a corner that almost meets another corner or an edge, and the
// move that would fix it.
type NearMiss struct {
	Corners  []CornerRef // all typed corners at that place, in the order typed
	From, To geom.Point
	Dist     float64

	// What it almost meets: the typed corners at To, or, when there are none, Edge.
	Onto   []CornerRef
	Edge   geom.Segment
	EdgeOf []int // the parts that have the edge, -1 for the outline

	even bool // the corner that it almost meets has no better claim to its place
}
