package geom

import "math"

// MitreLimit is how far a mitred corner may reach, in distances grown. A
// corner sharper than 2·asin(1/20), about 5.7°, is cut off square there.
const MitreLimit = 20.0

// Grow is the polygon with every edge moved outwards by a distance and the
// corners mitred, anticlockwise. See GrowEdges.
func Grow(poly Polygon, by float64) (Polygon, bool) {
	d := make([]float64, len(poly))
	for i := range d {
		d[i] = by
	}
	return GrowEdges(poly, d)
}

// GrowEdges is a simple polygon with edge i moved outwards by d[i] and the
// corners mitred (up to MitreLimit), anticlockwise. Every edge gets its
// distance over its whole length: where the next one has so much less that a
// mitre would cut into that, there is a step. Where moved edges of a polygon
// that is not convex run into each other, the outline goes round everything: a
// mouth too narrow to stay open is filled.
//
// ok is false when there is no area to grow, when there is not one distance
// for each edge, or when one of them is negative.
func GrowEdges(poly Polygon, d []float64) (grown Polygon, ok bool) {
	if len(poly) < 3 || len(d) != len(poly) {
		return nil, false
	}
	for _, by := range d {
		if !(by >= 0) || !finite(by) {
			return nil, false
		}
	}
	var edges []movedEdge
	n := len(poly)
	flip := poly.Area() < 0
	for i := range poly {
		e, by := poly.Edge(i), d[i]
		if flip {
			j := n - 1 - i
			e, by = poly.Edge(j).Reverse(), d[j]
		}
		if e.Len() > noise {
			u := e.Dir()
			edges = append(edges, movedEdge{e, u, left(u).Scale(-1), by})
		}
	}
	n = len(edges)
	if n < 3 || math.Abs(poly.Area()) <= noise {
		return nil, false
	}
	corners := make([][]Point, n) // where edge i begins
	alike, convex := true, true
	for i, f := range edges {
		e := edges[(i+n-1)%n]
		corners[i] = mitre(e, f)
		alike = alike && e.by == f.by
		convex = convex && e.u.Cross(f.u) > -1e-7
	}
	clean := alike || convex
	for i, e := range edges {
		from, to := corners[i], corners[(i+1)%n]
		clean = clean && to[0].Sub(from[len(from)-1]).Dot(e.u) >= -noise
		grown = append(grown, from...)
	}
	if clean {
		if _, _, _, crosses := Crossing(grown); !crosses {
			return grown, true
		}
	}
	return assembled(edges, corners)
}

// assembled is the outline around the polygon, a band along each edge, and a
// tip at each outward corner.
func assembled(edges []movedEdge, corners [][]Point) (Polygon, bool) {
	n := len(edges)
	var loops []Polygon
	body := make(Polygon, n)
	for i, e := range edges {
		body[i] = e.A
		shift := e.n.Scale(e.by)
		loops = append(loops, Polygon{e.A, e.B, e.B.Add(shift), e.A.Add(shift)})
		before := edges[(i+n-1)%n]
		if before.u.Cross(e.u) >= 0 {
			tip := Polygon{e.A, e.A.Add(before.n.Scale(before.by))}
			tip = append(tip, corners[i]...)
			loops = append(loops, append(tip, e.A.Add(shift)))
		}
	}
	g := arrange(append(loops, body), noise)
	grown, ok := g.outerOutline()
	if !ok {
		return nil, false
	}
	grown = grown.straighten(noise)
	return grown, grown != nil
}

// movedEdge is an edge to be moved by a distance along its outward normal n.
type movedEdge struct {
	Segment
	u, n Point
	by   float64
}

// mitre is the one or two points at which two moved edges join.
func mitre(e, f movedEdge) []Point {
	v := f.A
	sin, cos := e.u.Cross(f.u), e.u.Dot(f.u)
	switch {
	case math.Abs(sin) < 1e-7 && cos > 0 && math.Abs(e.by-f.by) <= noise:
		return []Point{v.Add(f.n.Scale(f.by))} // straight on
	case f.by < e.by*cos:
		return []Point{v.Add(e.n.Scale(e.by)), v.Add(e.n.Scale(f.by / cos))}
	case e.by < f.by*cos:
		return []Point{v.Add(f.n.Scale(e.by / cos)), v.Add(f.n.Scale(f.by))}
	}
	limit := MitreLimit * max(e.by, f.by)
	if x := shifted(e.n, e.by, f.n, f.by); sin < 0 || sin > 1e-7 && x.Len() <= limit {
		return []Point{v.Add(x)}
	}
	// Cut off square, across the middle of the corner.
	m := unit(e.u.Sub(f.u))
	return []Point{v.Add(shifted(e.n, e.by, m, limit)), v.Add(shifted(f.n, f.by, m, limit))}
}

// shifted is the x with m·x = a and n·x = b.
func shifted(m Point, a float64, n Point, b float64) Point {
	det := m.Cross(n)
	if det == 0 {
		return m.Scale(a)
	}
	return Point{(a*n.Y - b*m.Y) / det, (b*m.X - a*n.X) / det}
}
