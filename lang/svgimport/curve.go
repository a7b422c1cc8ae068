package svgimport

import (
	"math"

	"sewable/lang/geom"
)

// straight is how far, in user units of the page, a curve may bulge and still be a straight
// line: drawing programs write straight lines as curves.
const straight = 0.05

// A curve gives the ends of its chords, all but its first point; nil is a curve
// that is straight. The points are at equal steps of the parameter, so that a curve that is
// gone along both ways has the same.

func cubic(a, b, c, d geom.Point) func(int) []geom.Point {
	if flat(a, d, b, c) {
		return nil
	}
	return func(n int) []geom.Point {
		return steps(n, d, func(t float64) geom.Point {
			u := 1 - t
			return a.Scale(u * u * u).Add(b.Scale(3 * u * u * t)).Add(c.Scale(3 * u * t * t)).Add(d.Scale(t * t * t))
		})
	}
}

func quadratic(a, b, c geom.Point) func(int) []geom.Point {
	if flat(a, c, b) {
		return nil
	}
	return func(n int) []geom.Point {
		return steps(n, c, func(t float64) geom.Point {
			u := 1 - t
			return a.Scale(u * u).Add(b.Scale(2 * u * t)).Add(c.Scale(t * t))
		})
	}
}

func steps(n int, last geom.Point, at func(t float64) geom.Point) []geom.Point {
	out := make([]geom.Point, n)
	for i := range out {
		out[i] = at(float64(i+1) / float64(n))
	}
	out[n-1] = last
	return out
}

// flat says whether control points lie on the line between the ends, and between them.
func flat(a, b geom.Point, controls ...geom.Point) bool {
	s := geom.Segment{A: a, B: b}
	for _, c := range controls {
		if !(s.Dist(c) <= straight) {
			return false
		}
	}
	return true
}

// arc is an elliptical arc, from its ends to its centre: SVG 1.1, F.6.5 and F.6.6. The ends and
// radii are in the path's own units; m places what comes of it.
func arc(from, to geom.Point, rx, ry, turn float64, large, sweep bool, m affine) func(int) []geom.Point {
	rx, ry = math.Abs(rx), math.Abs(ry)
	if from == to || !(rx > 0 && ry > 0) {
		return nil // F.6.2: nothing, or a straight line
	}
	sin, cos := sincos(turn)
	half := from.Sub(to).Scale(0.5)
	x, y := cos*half.X+sin*half.Y, cos*half.Y-sin*half.X
	if k := x*x/(rx*rx) + y*y/(ry*ry); k > 1 { // too small to reach: F.6.6
		rx, ry = rx*math.Sqrt(k), ry*math.Sqrt(k)
	}
	k := math.Sqrt(max(0, (rx*rx*ry*ry-rx*rx*y*y-ry*ry*x*x)/(rx*rx*y*y+ry*ry*x*x)))
	if large == sweep {
		k = -k
	}
	cx, cy := k*rx*y/ry, -k*ry*x/rx
	mid := geom.Segment{A: from, B: to}.Mid()
	centre := geom.Point{X: cos*cx - sin*cy + mid.X, Y: sin*cx + cos*cy + mid.Y}
	a := math.Atan2((y-cy)/ry, (x-cx)/rx)
	b := math.Atan2((-y-cy)/ry, (-x-cx)/rx)
	span := b - a
	if sweep && span < 0 {
		span += 2 * math.Pi
	} else if !sweep && span > 0 {
		span -= 2 * math.Pi
	}
	return func(n int) []geom.Point {
		points := appendArc(nil, centre, rx, ry, turn, a, span, n)
		for i := range points {
			points[i] = m.apply(points[i])
		}
		points[n-1] = m.apply(to)
		return points
	}
}

// appendArc adds the ends of the chords of an arc, all but its first point. Angles are in radians, from
// the x axis towards y; the ellipse itself is turned by degrees.
func appendArc(dst []geom.Point, centre geom.Point, rx, ry, turn, from, span float64, n int) []geom.Point {
	sin, cos := sincos(turn)
	for i := range n {
		p := onEllipse(geom.Point{}, rx, ry, from+span*float64(i+1)/float64(n))
		dst = append(dst, centre.Add(geom.Point{X: cos*p.X - sin*p.Y, Y: sin*p.X + cos*p.Y}))
	}
	return dst
}

func onEllipse(centre geom.Point, rx, ry, angle float64) geom.Point {
	sin, cos := sincos(angle * 180 / math.Pi)
	return centre.Add(geom.Point{X: rx * cos, Y: ry * sin})
}
