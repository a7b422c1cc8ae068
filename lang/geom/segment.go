package geom

import "math"

// noise is the distance, in hairs, below which two places differ only by
// arithmetic: coordinates go up to about 1e6 hairs and carry errors of 1e-10.
const noise = 1e-6

// At is the point a part t of the way from A to B. It keeps a coordinate that
// the ends share, and ends exactly on the ends.
func (s Segment) At(t float64) Point {
	if t == 1 {
		return s.B
	}
	return Point{s.A.X + (s.B.X-s.A.X)*t, s.A.Y + (s.B.Y-s.A.Y)*t}
}

// Mid is the middle of the segment.
func (s Segment) Mid() Point { return s.At(0.5) }

// Dir is the unit vector from A to B; zero when they are the same.
func (s Segment) Dir() Point { return unit(s.B.Sub(s.A)) }

// Reverse is the segment from B to A.
func (s Segment) Reverse() Segment { return Segment{s.B, s.A} }

// Bounds is the least upright box around the segment.
func (s Segment) Bounds() Box {
	return Box{
		Point{min(s.A.X, s.B.X), min(s.A.Y, s.B.Y)},
		Point{max(s.A.X, s.B.X), max(s.A.Y, s.B.Y)},
	}
}

// Nearest is the part t, 0 to 1, of the way from A to B that is nearest to p.
func (s Segment) Nearest(p Point) float64 {
	d := s.B.Sub(s.A)
	dd := d.Dot(d)
	if !(dd > 0) {
		return 0
	}
	return max(0, min(1, p.Sub(s.A).Dot(d)/dd))
}

// Dist is the distance from p to the segment.
func (s Segment) Dist(p Point) float64 { return s.At(s.Nearest(p)).Dist(p) }

// LineDist is the distance from p to the endless line through A and B,
// positive on its left, negative on its right. When A and B are the same it is
// the distance to them.
func (s Segment) LineDist(p Point) float64 {
	d := s.B.Sub(s.A)
	length := d.Len()
	if !(length > 0) {
		return s.A.Dist(p)
	}
	return d.Cross(p.Sub(s.A)) / length
}

// MeetLines is where the endless lines through two segments meet. There is no
// such place when they are parallel or either has no length.
func MeetLines(a, b Segment) (Point, bool) {
	da, db := a.B.Sub(a.A), b.B.Sub(b.A)
	det := da.Cross(db)
	if !(math.Abs(det) > parallel*da.Len()*db.Len()) {
		return Point{}, false
	}
	return a.At(b.A.Sub(a.A).Cross(db) / det), true
}

// touch is a place that two segments share, if any, taking places nearer than
// noise as one. Of segments that lie on each other it is one end of the
// stretch they share.
func touch(a, b Segment) (Point, bool) {
	for _, p := range [2]Point{b.A, b.B} {
		if a.Dist(p) <= noise {
			return p, true
		}
	}
	for _, p := range [2]Point{a.A, a.B} {
		if b.Dist(p) <= noise {
			return p, true
		}
	}
	return CrossSegments(a, b)
}

// Holds says whether a segment lies along another, within a hair.
func (s Segment) Holds(t Segment) bool { return s.Dist(t.A) <= Hair && s.Dist(t.B) <= Hair }

// CrossSegments is the place where the inner parts of two segments cross. Segments on one
// line do not, whatever arithmetic leaves of their angle.
func CrossSegments(a, b Segment) (Point, bool) {
	da, db, ab := a.B.Sub(a.A), b.B.Sub(b.A), b.A.Sub(a.A)
	det := da.Cross(db)
	t, u := ab.Cross(db), ab.Cross(da)
	if det < 0 {
		det, t, u = -det, -t, -u
	}
	if 0 < t && t < det && 0 < u && u < det && det > parallel*da.Len()*db.Len() {
		return a.At(t / det), true
	}
	return Point{}, false
}

// unit is v at length 1, or zero.
func unit(v Point) Point {
	if l := math.Hypot(v.X, v.Y); l > 0 { // exact for the least numbers too
		return v.Scale(1 / l)
	}
	return Point{}
}

// left is v turned a quarter anticlockwise.
func left(v Point) Point { return Point{-v.Y, v.X} }
