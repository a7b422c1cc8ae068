package cloth

import (
	"sewable/lang/block"
	"sewable/lang/geom"
)

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

// CutOutline is a block as it is trimmed: its outline with its outer allowance all round, corners
// mitred. What is measured of it is the unfinished size, which at corners that are not square is not the
// finished size and two allowances. ok is false when the block has no outline or its allowance is not known.
func CutOutline(b *block.Block) (cut geom.Polygon, ok bool) {
	if !allowed(b) {
		return nil, false
	}
	return geom.Grow(b.Outline, b.OuterAllowance.Size.Float64())
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

// LongestEdge is what a piece that has no seam is cut along.
func LongestEdge(patch geom.Polygon) geom.Segment {
	var longest geom.Segment
	for i := range patch {
		if e := patch.Edge(i); e.Len() > longest.Len() {
			longest = e
		}
	}
	return longest
}
