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
// corners mitred (up to MitreLimit), anticlockwise. Where a straight chain
// changes its distance there is a step. Where moved edges of a polygon that is
// not convex run into each other, the outline goes round everything: a mouth
// too narrow to stay open is filled.
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
	clean, steps := true, false
	for i, f := range edges {
		corners[i] = mitre(edges[(i+n-1)%n], f)
	}
	for i, e := range edges {
		from, to := corners[i], corners[(i+1)%n]
		clean = clean && to[0].Sub(from[len(from)-1]).Dot(e.u) >= -noise
		grown = append(grown, from...)
		steps = steps || len(from) == 2 && e.u.Cross(edges[(i+n-1)%n].u) > -1e-7
	}
	if clean {
		if _, _, _, crosses := Crossing(grown); !crosses {
			return grown, true
		}
	}
	if poly.strictlyConvex() && !steps {
		return withinEdges(edges, corners)
	}
	// Put together from its parts: the polygon, a band along each edge, and a
	// tip at each outward corner.
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
	grown, ok = g.outerOutline()
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
	pe, pf := v.Add(e.n.Scale(e.by)), v.Add(f.n.Scale(f.by))
	turn := e.u.Cross(f.u)
	if math.Abs(turn) < 1e-7 && e.u.Dot(f.u) > 0 { // straight on
		if math.Abs(e.by-f.by) <= noise {
			return []Point{pf}
		}
		return []Point{pe, pf}
	}
	limit := MitreLimit * max(e.by, f.by)
	if x := shifted(e.n, e.by, f.n, f.by); turn < 0 || turn > 1e-7 && x.Len() <= limit {
		return []Point{v.Add(x)}
	}
	// Cut off square, across the middle of the corner.
	m := unit(e.u.Sub(f.u))
	return []Point{v.Add(shifted(e.n, e.by, m, limit)), v.Add(shifted(f.n, f.by, m, limit))}
}

// withinEdges is a grown convex polygon some of whose edges vanish behind
// others: what all moved edges have on their inner side.
func withinEdges(edges []movedEdge, corners [][]Point) (Polygon, bool) {
	var box Box
	for i, c := range corners {
		if i == 0 {
			box = Box{c[0], c[0]}
		}
		box = box.Union(Polygon(c).Bounds())
	}
	grown := box.Grow(Hair).Polygon()
	for i, e := range edges {
		grown = clip(grown, halfPlane{e.n, e.n.Dot(e.A) + e.by})
		if c := corners[i]; len(c) == 2 { // cut off square
			m := left(unit(c[1].Sub(c[0]))).Scale(-1)
			grown = clip(grown, halfPlane{m, m.Dot(c[0])})
		}
	}
	return grown, len(grown) >= 3
}

// clip is the part of a convex polygon in a half plane.
func clip(poly Polygon, h halfPlane) (out Polygon) {
	for i := range poly {
		e := poly.Edge(i)
		a, b := h.n.Dot(e.A)-h.b, h.n.Dot(e.B)-h.b
		if a <= 0 {
			out = append(out, e.A)
		}
		if a < 0 && b > 0 || a > 0 && b < 0 {
			out = append(out, e.At(a/(a-b)))
		}
	}
	return out
}

// shifted is the x with m·x = a and n·x = b.
func shifted(m Point, a float64, n Point, b float64) Point {
	det := m.Cross(n)
	if det == 0 {
		return m.Scale(a)
	}
	return Point{(a*n.Y - b*m.Y) / det, (b*m.X - a*n.X) / det}
}
