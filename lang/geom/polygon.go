package geom

import (
	"math"
	"slices"
)

// Box is an upright rectangle. The zero Box is the single point (0, 0).
type Box struct{ Min, Max Point }

// Width is the extent along x.
func (b Box) Width() float64 { return b.Max.X - b.Min.X }

// Height is the extent along y.
func (b Box) Height() float64 { return b.Max.Y - b.Min.Y }

// Centre is the middle of the box.
func (b Box) Centre() Point { return Segment{b.Min, b.Max}.Mid() }

// Union is the least box around both.
func (b Box) Union(c Box) Box {
	return Box{
		Point{min(b.Min.X, c.Min.X), min(b.Min.Y, c.Min.Y)},
		Point{max(b.Max.X, c.Max.X), max(b.Max.Y, c.Max.Y)},
	}
}

// Grow is the box with a margin on every side.
func (b Box) Grow(by float64) Box {
	return Box{Point{b.Min.X - by, b.Min.Y - by}, Point{b.Max.X + by, b.Max.Y + by}}
}

// Meets says whether the boxes share a point.
func (b Box) Meets(c Box) bool {
	return b.Min.X <= c.Max.X && c.Min.X <= b.Max.X && b.Min.Y <= c.Max.Y && c.Min.Y <= b.Max.Y
}

// Nearest is the place of the box that is nearest to a point.
func (b Box) Nearest(p Point) Point {
	return Point{min(max(p.X, b.Min.X), b.Max.X), min(max(p.Y, b.Min.Y), b.Max.Y)}
}

// Polygon is the box's corners, anticlockwise from the lower left.
func (b Box) Polygon() Polygon {
	return Polygon{b.Min, {b.Max.X, b.Min.Y}, b.Max, {b.Min.X, b.Max.Y}}
}

// Edge is the segment from corner i to the next.
func (poly Polygon) Edge(i int) Segment {
	if i == len(poly)-1 {
		return Segment{poly[i], poly[0]}
	}
	return Segment{poly[i], poly[i+1]}
}

// HasAlong says whether a segment lies along one edge of the outline, within a hair.
func (poly Polygon) HasAlong(s Segment) bool {
	for i := range poly {
		if poly.Edge(i).Holds(s) {
			return true
		}
	}
	return false
}

// Area is the area in square hairs: positive when the corners run
// anticlockwise, negative when they run clockwise.
func (poly Polygon) Area() float64 {
	if len(poly) < 3 {
		return 0
	}
	// From the first corner, so that a small patch far out loses no digits.
	o := poly[0]
	sum, p := 0.0, poly[1].Sub(o)
	for _, c := range poly[2:] {
		q := c.Sub(o)
		sum += p.Cross(q)
		p = q
	}
	return sum / 2
}

// Centroid is the centre of gravity of the area, or the mean of the corners
// when there is no area.
func (poly Polygon) Centroid() Point {
	if len(poly) == 0 {
		return Point{}
	}
	o := poly[0]
	var at, mean Point
	sum := 0.0
	for i := range poly {
		e := poly.Edge(i)
		p, q := e.A.Sub(o), e.B.Sub(o)
		w := p.Cross(q)
		sum += w
		at = at.Add(p.Add(q).Scale(w))
		mean = mean.Add(p)
	}
	if size := mean.Len(); math.Abs(sum) <= 1e-12*size*size {
		return o.Add(mean.Scale(1 / float64(len(poly))))
	}
	return o.Add(at.Scale(1 / (3 * sum)))
}

// Perimeter is the length of the way round.
func (poly Polygon) Perimeter() float64 {
	sum := 0.0
	for i := range poly {
		sum += poly.Edge(i).Len()
	}
	return sum
}

// Bounds is the least upright box around the polygon.
func (poly Polygon) Bounds() Box {
	if len(poly) == 0 {
		return Box{}
	}
	b := Box{poly[0], poly[0]}
	for _, p := range poly[1:] {
		b.Min.X, b.Max.X = min(b.Min.X, p.X), max(b.Max.X, p.X)
		b.Min.Y, b.Max.Y = min(b.Min.Y, p.Y), max(b.Max.Y, p.Y)
	}
	return b
}

// Reverse is the polygon the other way round, from the same first corner.
func (poly Polygon) Reverse() Polygon {
	out := make(Polygon, len(poly))
	for i, p := range poly {
		out[(len(poly)-i)%len(poly)] = p
	}
	return out
}

// FromLowerLeft lists the corners as people do: anticlockwise, from the lowest one or, of those
// within a hair of it, the leftmost.
func (poly Polygon) FromLowerLeft() Polygon {
	poly = poly.CCW()
	first := 0
	for i, c := range poly {
		if f := poly[first]; c.Y < f.Y-Hair || c.Y < f.Y+Hair && c.X < f.X {
			first = i
		}
	}
	return slices.Concat(poly[first:], poly[:first])
}

// Matches says whether two polygons have the same corners, each within a hair, in the same
// order, from whichever they begin.
func (poly Polygon) Matches(o Polygon) bool {
	if len(poly) != len(o) {
		return false
	}
	for shift := range o {
		i := 0
		for i < len(poly) && poly[i].Dist(o[(i+shift)%len(o)]) <= Hair {
			i++
		}
		if i == len(poly) {
			return true
		}
	}
	return len(o) == 0
}

// CCW is the polygon anticlockwise: itself when it is already.
func (poly Polygon) CCW() Polygon {
	if poly.Area() < 0 {
		return poly.Reverse()
	}
	return poly
}

// Where says how a point lies to a polygon.
type Where int8

// The answers of Contains. Edge is anywhere within a hair of the outline.
const (
	Outside Where = iota - 1
	OnEdge
	Inside
)

// Contains says whether p is inside, outside, or within a hair of the outline.
func (poly Polygon) Contains(p Point) Where {
	if d := poly.depth(p); d > Hair {
		return Inside
	} else if d < -Hair {
		return Outside
	}
	return OnEdge
}

// depth is the distance from p to the outline, negative outside.
func (poly Polygon) depth(p Point) float64 {
	if len(poly) == 0 {
		return math.Inf(-1)
	}
	inside, least := false, math.Inf(1)
	a := poly[len(poly)-1]
	for _, b := range poly {
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < (b.X-a.X)*(p.Y-a.Y)/(b.Y-a.Y)+a.X {
			inside = !inside
		}
		// The squared distance to the edge from a to b.
		d, v := b.Sub(a), p.Sub(a)
		if t := v.Dot(d); t > 0 {
			if dd := d.Dot(d); t < dd {
				v = v.Sub(d.Scale(t / dd))
			} else {
				v = p.Sub(b)
			}
		}
		least = min(least, v.Dot(v))
		a = b
	}
	if inside {
		return math.Sqrt(least)
	}
	return -math.Sqrt(least)
}

// IsConvex says whether the polygon is convex to cloth: every corner is within
// a hair of the convex hull's outline. A polygon that crosses itself is not.
func (poly Polygon) IsConvex() bool {
	if poly.strictlyConvex() {
		return true
	}
	hull := ConvexHull(poly)
	if len(hull) < 3 {
		return false
	}
	for _, p := range poly {
		if hull.depth(p) > Hair {
			return false
		}
	}
	// Corners on the hull still have to follow it once round.
	return math.Abs(math.Abs(poly.Area())-hull.Area()) <= Hair*hull.Perimeter()
}

// strictlyConvex is convex but for arithmetic: every turn one way, once round.
func (poly Polygon) strictlyConvex() bool {
	n := len(poly)
	if n < 3 {
		return false
	}
	var lefts, rights bool
	flips, up := 0, 0 // changes between rising and falling
	first := 0
	d := poly[0].Sub(poly[n-1])
	for i := range poly {
		e := poly.Edge(i)
		f := e.B.Sub(e.A)
		if c := d.Cross(f); c != 0 || d.Dot(f) < 0 {
			// How far the turn takes the far corner off the line.
			if tol := noise * max(math.Abs(f.X)+math.Abs(f.Y), math.Abs(d.X)+math.Abs(d.Y)); c > tol {
				lefts = true
			} else if c < -tol {
				rights = true
			} else if d.Dot(f) < 0 {
				return false // doubles back
			}
		}
		if s := signOf(f.Y); s != 0 && math.Abs(f.Y) > noise {
			if up != 0 && s != up {
				flips++
			}
			if first == 0 {
				first = s
			}
			up = s
		}
		d = f
	}
	if up != first {
		flips++
	}
	return lefts != rights && flips == 2
}

func signOf(x float64) int {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}

// InteriorPoint is a point well inside: the centre of the largest circle that
// fits in.
func (poly Polygon) InteriorPoint() Point { return InscribedCircle(poly).Centre }

// Weld drops corners nearer than a hair to the corner kept before them; of two
// such corners the first stays where it is. What is no polygon any more (fewer
// than three corners) comes back nil.
func (poly Polygon) Weld() Polygon {
	out := make(Polygon, 0, len(poly))
	for _, p := range poly {
		if len(out) == 0 || out[len(out)-1].Dist(p) >= Hair {
			out = append(out, p)
		}
	}
	for len(out) > 1 && out[len(out)-1].Dist(out[0]) < Hair {
		out = out[:len(out)-1]
	}
	if len(out) < 3 {
		return nil
	}
	return out
}

// Straighten drops the corners at which the outline goes straight on: a chain
// is straight when it never turns back and every corner of it is within a
// hair of the line through its ends. It starts at one of the two corners that
// lie furthest apart, more or less, where no chain goes straight on. Weld first.
func (poly Polygon) Straighten() Polygon { return poly.straighten(Hair) }

func (poly Polygon) straighten(within float64) Polygon {
	n := len(poly)
	if n < 3 {
		return nil
	}
	start := poly.farthest(poly.farthest(0))
	at := func(i int) Point { return poly[(start+i)%n] }

	keep, kept := make([]bool, n), 0
	for i := 0; i < n; {
		keep[(start+i)%n] = true
		kept++
		// From corner i, the ways on that stay within a hair of every corner
		// passed: an angle either side of the first edge.
		base := at(i + 1).Sub(at(i))
		lo, hi := -math.Pi, math.Pi
		j := i + 1
		for ; j < n; j++ {
			v, next := at(j).Sub(at(i)), at(j+1).Sub(at(i))
			turn := math.Atan2(base.Cross(v), base.Dot(v))
			slack := math.Asin(min(1, within/v.Len()))
			lo, hi = max(lo, turn-slack), min(hi, turn+slack)
			way := math.Atan2(base.Cross(next), base.Dot(next))
			if way < lo || way > hi || next.Sub(v).Dot(next) <= 0 || next.Sub(v).Dot(v) <= 0 {
				break
			}
		}
		i = j
	}
	if kept < 3 {
		return nil
	}
	out := make(Polygon, 0, kept)
	for i, p := range poly {
		if keep[i] {
			out = append(out, p)
		}
	}
	return out
}

// farthest is the corner furthest from corner i, the first of them.
func (poly Polygon) farthest(i int) int {
	best, most := i, 0.0
	for j, p := range poly {
		v := p.Sub(poly[i])
		if d := v.Dot(v); d > most {
			best, most = j, d
		}
	}
	return best
}

// LeftOf is the part of a polygon on the left of a line (Sutherland and Hodgman): nil when there
// is none. Where a polygon that is not convex falls into parts, they hang together along the line.
func (poly Polygon) LeftOf(line Segment) Polygon {
	d := line.B.Sub(line.A)
	side := func(p Point) float64 { return d.Cross(p.Sub(line.A)) }
	var out Polygon
	for i, p := range poly {
		q := poly.Edge(i).B
		a, b := side(p), side(q)
		if a >= 0 {
			out = append(out, p)
		}
		if a > 0 && b < 0 || a < 0 && b > 0 {
			out = append(out, Segment{p, q}.At(a/(a-b)))
		}
	}
	if len(out) < 3 {
		return nil
	}
	return out
}
