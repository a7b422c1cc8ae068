package lint

import (
	"math"
	"slices"

	"sewable/lang/geom"
)

// Spot is a place in the block that a finding is about, in hairs from the
// finished side: a point, a line through several, or, when it is closed, the
// outline of an area. Pictures mark it; it is in no list of findings.
type Spot struct {
	Points []geom.Point
	Closed bool
}

// Point adds points that it is about.
func (r *Report) Point(at ...geom.Point) *Report {
	for _, p := range at {
		r.spot(false, p)
	}
	return r
}

// Line adds lines that it is about, each of two ends.
func (r *Report) Line(lines ...geom.Segment) *Report {
	for _, l := range lines {
		r.spot(false, l.A, l.B)
	}
	return r
}

// Chain adds one line through several points that it is about.
func (r *Report) Chain(points []geom.Point) *Report { return r.spot(false, points...) }

// Area adds an area that it is about, by its outline.
func (r *Report) Area(outline geom.Polygon) *Report { return r.spot(true, outline...) }

// Circle adds a round area that it is about.
func (r *Report) Circle(c geom.Circle) *Report {
	const corners = 24
	ring := make(geom.Polygon, corners)
	for i := range ring {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / corners)
		ring[i] = c.Centre.Add(geom.Point{X: c.R * cos, Y: c.R * sin})
	}
	return r.Area(ring)
}

// spot keeps a copy: the points may belong to a model.
func (r *Report) spot(closed bool, points ...geom.Point) *Report {
	nowhere := func(p geom.Point) bool {
		return math.IsNaN(p.X+p.Y) || math.IsInf(p.X, 0) || math.IsInf(p.Y, 0)
	}
	if r != nil && len(points) > 0 && !slices.ContainsFunc(points, nowhere) {
		r.f.Spots = append(r.f.Spots, Spot{slices.Clone(points), closed && len(points) > 2})
	}
	return r
}
