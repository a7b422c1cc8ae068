package edit

import (
	"slices"
	"strconv"
	"strings"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/syntax"
)

func itoa(n int) string { return strconv.Itoa(n) }

// Renumber gives every patch its place in an order as its number; the order is
// in the numbers that the patches have now. The picture stays: a patch given by its
// seam depends on the order, so where there is one every patch is given by its
// corners first.
func Renumber(s *block.Section, order []int) []Edit {
	var edits []Edit
	for _, patch := range s.Patches {
		node, ok := patch.Item.Node.(*syntax.Patch)
		if !ok || node.Number == nil {
			continue
		}
		if number := slices.Index(order, patch.Number) + 1; number != patch.Number {
			edits = append(edits, Edit{patch.Item.Abs(node.Number.Span), itoa(number)})
		}
		if patch.Given != block.ByCorners {
			edits = append(edits, ByCorners(patch))
		}
	}
	return edits
}

// ByCorners gives a patch by its corners, instead of by the seam it is sewn on or
// by a point in it.
func ByCorners(patch *block.Patch) Edit {
	node := patch.Item.Node.(*syntax.Patch)
	corners := make([]string, len(patch.Corners))
	for i, c := range patch.Corners.FromLowerLeft() {
		corners[i] = Point(patch.Section.Block, c)
	}
	at := patch.ShapeAt().Span
	at.Start = patch.Item.Abs(node.Fabric.Span).End
	return Edit{at, " " + strings.Join(corners, " ")}
}

// BySeam gives a patch by the seam it is sewn on, or patch 1 by a point in it. It is
// false where that cannot be said: the section is in no sewable order, or has no
// outline. Whether the picture stays depends on the other patches: see Keeps.
func BySeam(s *sew.Section, patch *block.Patch) (Edit, bool) {
	node, ok := patch.Item.Node.(*syntax.Patch)
	if !ok || patch.Given != block.ByCorners || s.Of.Outline == nil || !s.InOrder() || s.Of.CopyOf != nil {
		return Edit{}, false
	}
	b := s.Of.Block
	at := patch.ShapeAt().Span
	at.Start = patch.Item.Abs(node.Fabric.Span).End
	if patch.Number == 1 {
		return Edit{at, " around " + Point(b, inside(patch.Corners))}, true
	}
	for _, seam := range s.Seams() {
		if seam.Patch != patch {
			continue
		}
		if name := seamName(b, seam.Segment); name != "" {
			return Edit{at, " beyond " + name}, true
		}
		return Edit{at, " beyond " + Point(b, seam.A) + " " + Point(b, seam.B)}, true
	}
	return Edit{}, false
}

// inside is a round place well inside a polygon.
func inside(poly geom.Polygon) geom.Point {
	c := geom.InscribedCircle(poly)
	for _, step := range []float64{geom.Inch, geom.Inch / 2, geom.Inch / 4, geom.Inch / 8, geom.Inch / 16} {
		round := geom.Point{X: geom.RoundTo(c.Centre.X, step), Y: geom.RoundTo(c.Centre.Y, step)}
		if round.Dist(c.Centre) < 0.7*c.R {
			return round
		}
	}
	return c.Centre
}

// seamName is the name of a seam that lies on a segment, end to end.
func seamName(b *block.Block, s geom.Segment) string {
	for _, m := range b.Seams {
		if !m.Broken && (m.Line.A.Dist(s.A) < 1e-6 && m.Line.B.Dist(s.B) < 1e-6 || m.Line.A.Dist(s.B) < 1e-6 && m.Line.B.Dist(s.A) < 1e-6) {
			return m.Name
		}
	}
	return ""
}
