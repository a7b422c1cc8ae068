package cloth

import (
	"math"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/syntax"
)

// Cut is the designer's own cut size, laid on its patch.
type Cut struct {
	Margin Margin
	// Along and Across are the least sizes of the same form that would cover:
	// of a rectangle both, of a strip Across, of a halved or quartered square Along.
	Along, Across float64
}

// CheckCut lays the designer's cut of a patch on the patch, without any error
// of placement. The seam is what it is sewn on (of patch 1 its longest edge).
// need is what the piece has to reach past each edge of the patch, see Needs.
func CheckCut(patch *block.Patch, seam geom.Segment, allowance float64, need []float64) Cut {
	s := NewShape(patch.Corners, seam, allowance, need)
	along, across := s.least(patch.Cut.Form, Placement{})
	return Cut{s.Margin(s.cutPiece(patch.Cut), Placement{}), along, across}
}

// cutPiece is the designer's cut as it is laid.
func (s *Shape) cutPiece(cut *block.Cut) Laid {
	along, across := cut.Along.Float64(), cut.Across.Float64()
	switch cut.Form {
	case syntax.CutStrip:
		return s.Rectangle(math.Inf(1), along)
	case syntax.CutHalved:
		return s.Triangle(along * math.Sqrt2)
	case syntax.CutQuartered:
		return s.Triangle(along)
	default:
		return s.Rectangle(along, across)
	}
}

// least is the least size of a form that covers the patch wherever it lands:
// of a rectangle and a strip along the seam and across, of a square its side.
func (s *Shape) least(form syntax.CutForm, p Placement) (along, across float64) {
	x, low := s.middle().X, s.low(p)
	side := func(nx, ny float64) float64 { return s.limit(geom.Point{X: nx, Y: ny}, otherSide, p) }
	switch form {
	case syntax.CutHalved, syntax.CutQuartered:
		// The slanted sides go through (x ∓ long/2, −low) at 45°.
		const r = math.Sqrt2 / 2
		long := 2 * max(low+x-math.Sqrt2*side(r, -r), low-x-math.Sqrt2*side(-r, -r), 0)
		if form == syntax.CutHalved {
			long /= math.Sqrt2
		}
		return long, long
	default:
		along = 2 * max(x-side(1, 0), -side(-1, 0)-x, 0)
		return along, low + max(-side(0, -1), 0)
	}
}

// Needs is what a piece has to reach past each edge of its patch: the block's
// outer allowance where the edge lies on the block's outline, else the
// allowance. Both of the patch's block have to be known.
func Needs(patch *block.Patch) []float64 {
	blk := patch.Section.Block
	inner, outer := blk.Allowance.Size.Float64(), blk.OuterAllowance.Size.Float64()
	need := make([]float64, len(patch.Corners))
	for i := range need {
		need[i] = inner
		if inner != outer && blk.Outline.HasAlong(patch.Corners.Edge(i)) {
			need[i] = outer
		}
	}
	return need
}

// HasOuterEdge says whether an edge of the patch lies on its block's outline.
func HasOuterEdge(patch *block.Patch) bool {
	for i := range patch.Corners {
		if patch.Section.Block.Outline.HasAlong(patch.Corners.Edge(i)) {
			return true
		}
	}
	return false
}

// LongestEdge is the seam that patch 1 counts as having.
func LongestEdge(patch geom.Polygon) geom.Segment {
	var longest geom.Segment
	for i := range patch {
		if e := patch.Edge(i); e.Len() > longest.Len() {
			longest = e
		}
	}
	return longest
}
