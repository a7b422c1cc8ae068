package geom

import (
	"cmp"
	"math"
	"slices"
)

// ConvexHull is the least convex polygon around the points, anticlockwise from
// the leftmost, without straight corners (Andrew's monotone chain). It has
// fewer than three corners when the points lie on one line.
func ConvexHull(points []Point) Polygon {
	ps := slices.Clone(points)
	slices.SortFunc(ps, func(p, q Point) int {
		return cmp.Or(cmp.Compare(p.X, q.X), cmp.Compare(p.Y, q.Y))
	})
	ps = slices.Compact(ps)
	if len(ps) < 3 {
		return ps
	}
	hull := make(Polygon, 0, len(ps)+1)
	add := func(p Point, keep int) {
		for len(hull) > keep && hull[len(hull)-1].Sub(hull[len(hull)-2]).Cross(p.Sub(hull[len(hull)-2])) <= 0 {
			hull = hull[:len(hull)-1]
		}
		hull = append(hull, p)
	}
	for _, p := range ps { // along below
		add(p, 1)
	}
	below := len(hull)
	for _, p := range slices.Backward(ps[:len(ps)-1]) { // and back above
		add(p, below)
	}
	return hull[:len(hull)-1]
}

// Rectangle is a rectangle in any position: Width along Dir from Corner,
// Height to the left of Dir.
type Rectangle struct {
	Corner        Point
	Dir           Point // of length 1
	Width, Height float64
}

// Area is width by height.
func (r Rectangle) Area() float64 { return r.Width * r.Height }

// Angle is the direction of the width in degrees, anticlockwise from x.
func (r Rectangle) Angle() float64 { return math.Atan2(r.Dir.Y, r.Dir.X) * 180 / math.Pi }

// Polygon is the four corners, anticlockwise from Corner.
func (r Rectangle) Polygon() Polygon {
	w, h := r.Dir.Scale(r.Width), left(r.Dir).Scale(r.Height)
	return Polygon{r.Corner, r.Corner.Add(w), r.Corner.Add(w).Add(h), r.Corner.Add(h)}
}

// BoxAlong is the least rectangle around the points with a side along the
// given direction, which need not have length 1 (the zero vector counts as
// level).
func BoxAlong(points []Point, direction Point) Rectangle {
	u := unit(direction)
	if u == (Point{}) {
		u = Point{1, 0}
	}
	if len(points) == 0 {
		return Rectangle{Dir: u}
	}
	o := points[0]
	var x0, x1, y0, y1 float64
	for _, p := range points[1:] {
		v := p.Sub(o)
		x, y := u.Dot(v), u.Cross(v)
		x0, x1 = min(x0, x), max(x1, x)
		y0, y1 = min(y0, y), max(y1, y)
	}
	corner := o.Add(u.Scale(x0)).Add(left(u).Scale(y0))
	return Rectangle{corner, u, x1 - x0, y1 - y0}
}

// MinAreaRectangle is the rectangle of least area around the points. One of
// its sides lies on an edge of the convex hull (Freeman and Shapira,
// "Determining the minimum-area encasing rectangle for an arbitrary closed
// curve", Communications of the ACM 18(7), 1975), so each edge is tried; the
// touching corners move on with it (rotating calipers). Of rectangles equal
// but for rounding it is the first, from the hull's leftmost corner on.
func MinAreaRectangle(points []Point) Rectangle {
	hull := ConvexHull(points)
	n := len(hull)
	if n < 3 {
		dir := Point{1, 0}
		if n == 2 {
			dir = hull[1].Sub(hull[0])
		}
		return BoxAlong(hull, dir)
	}
	at := func(i int) Point { return hull[i%n] }
	best, least := Point{1, 0}, math.Inf(1)
	right, far, back := 1, 1, 1 // furthest along the edge, across it, and behind
	for i := range n {
		u := unit(at(i + 1).Sub(at(i)))
		for right = max(right, i+1); right < i+n && at(right+1).Sub(at(right)).Dot(u) > 0; right++ {
		}
		for far = max(far, right); far < i+n && u.Cross(at(far+1).Sub(at(far))) > 0; far++ {
		}
		for back = max(back, far); back < i+n && at(back+1).Sub(at(back)).Dot(u) < 0; back++ {
		}
		w, h := at(right).Sub(at(back)).Dot(u), u.Cross(at(far).Sub(at(i)))
		if area := w * h; area < least*(1-1e-12) {
			best, least = u, area
		}
	}
	return BoxAlong(hull, best)
}
