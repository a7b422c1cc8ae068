package steps

import (
	"sewable/lang/block"
	"sewable/lang/geom"
)

// Cutting is a section's outline with a corner wherever the allowance changes,
// and its cutting line: the allowance outside of it, the outer allowance on
// the block's edge.
func Cutting(b *block.Block, outline geom.Polygon) (fine, cut geom.Polygon, ok bool) {
	for i := range outline {
		e := outline.Edge(i)
		fine = append(fine, e.A)
		for _, t := range cornersOn(b.Outline, e) {
			fine = append(fine, e.At(t))
		}
	}
	need := make([]float64, len(fine))
	for i := range fine {
		need[i] = b.Allowance.Size.Float64()
		if onBlockEdge(b, fine.Edge(i)) {
			need[i] = b.OuterAllowance.Size.Float64()
		}
	}
	cut, ok = geom.GrowEdges(fine, need)
	return fine, cut, ok
}

// cornersOn are the corners of a polygon inside an edge, as parts of it, in order.
func cornersOn(poly geom.Polygon, e geom.Segment) []float64 {
	var at []float64
	for _, p := range poly {
		if e.Dist(p) < geom.Hair && e.A.Dist(p) >= geom.Hair && e.B.Dist(p) >= geom.Hair {
			t := e.Nearest(p)
			i := len(at)
			at = append(at, t)
			for i > 0 && at[i-1] > t {
				at[i] = at[i-1]
				i--
			}
			at[i] = t
		}
	}
	return at
}

// onBlockEdge says whether an edge lies on the block's outline.
func onBlockEdge(b *block.Block, e geom.Segment) bool {
	for i := range b.Outline {
		if edge := b.Outline.Edge(i); edge.Dist(e.A) < geom.Hair && edge.Dist(e.B) < geom.Hair {
			return true
		}
	}
	return false
}

// Ray is the piece of a line from a place outwards to where it leaves a
// polygon that the place lies in.
func Ray(from, dir geom.Point, poly geom.Polygon) (geom.Segment, bool) {
	best := -1.0
	for i := range poly {
		e := poly.Edge(i)
		d := e.B.Sub(e.A)
		cross := dir.Cross(d)
		if cross == 0 {
			continue
		}
		t := e.A.Sub(from).Cross(d) / cross
		u := e.A.Sub(from).Cross(dir) / cross
		if t > 1e-9 && u > -1e-9 && u < 1+1e-9 && (best < 0 || t < best) {
			best = t
		}
	}
	return geom.Segment{A: from, B: from.Add(dir.Scale(best))}, best > 0
}
