package geom

import (
	"container/heap"
	"math"
)

// Circle is a circle, in hairs.
type Circle struct {
	Centre Point
	R      float64
}

// InscribedCircle is the largest circle that fits in a simple polygon: exact
// but for rounding in a convex one, else within a hundredth of a hair of the
// largest (see fine). A polygon without area has the circle of radius 0 at its centroid.
//
// A triangle's radius is area over half the perimeter. In a convex polygon the
// centre solves a linear programme in three variables (x, y, r); elsewhere the
// plane is halved and halved again around the deepest point, the method known
// as the pole of inaccessibility.
func InscribedCircle(poly Polygon) Circle {
	if len(poly) == 3 {
		return inTriangle(poly)
	}
	if poly.strictlyConvex() {
		if c, ok := inConvex(poly); ok {
			return c
		}
	}
	return deepest(poly)
}

func inTriangle(t Polygon) Circle {
	a, b, c := t[1].Dist(t[2]), t[2].Dist(t[0]), t[0].Dist(t[1])
	around := a + b + c
	if !(around > 0) {
		return Circle{Centre: t[0]}
	}
	// The centre weighs each corner by the side across from it.
	o := t[0]
	at := t[1].Sub(o).Scale(b / around).Add(t[2].Sub(o).Scale(c / around))
	return Circle{o.Add(at), 2 * math.Abs(t.Area()) / around}
}

// halfPlane holds the points c with n·c ≤ b, where n has length 1.
type halfPlane struct {
	n Point
	b float64
}

// inConvex finds the greatest r with n·c + r ≤ b for every edge. Three edges
// fix a circle. Starting from a triangle far around the polygon, the edge that
// the circle oversteps most takes the place of one of the three, until none is
// overstepped: the dual simplex method. Each step makes the circle smaller.
func inConvex(poly Polygon) (Circle, bool) {
	box := poly.Bounds()
	o, size := box.Centre(), box.Width()+box.Height()

	var room [16]halfPlane
	edges := room[:0]
	sign := 1.0
	if poly.Area() < 0 {
		sign = -1
	}
	a := poly[len(poly)-1].Sub(o)
	for _, p := range poly {
		b := p.Sub(o)
		d := b.Sub(a)
		if l := math.Sqrt(d.Dot(d)); l > 0 {
			n := Point{sign * d.Y / l, -sign * d.X / l} // outwards
			edges = append(edges, halfPlane{n, n.Dot(a)})
		}
		a = b
	}

	far := 2 * size
	base := [3]halfPlane{{Point{0, -1}, far}, {Point{0.8, 0.6}, far}, {Point{-0.8, 0.6}, far}}
	c, ok := touching(base[0], base[1], base[2])
	for step := 0; ok && step < 8*len(edges)+64; step++ {
		worst, over := -1, 1e-12*size
		for i, e := range edges {
			if v := e.n.Dot(c.Centre) + c.R - e.b; v > over {
				worst, over = i, v
			}
		}
		if worst < 0 {
			return Circle{o.Add(c.Centre), max(0, c.R)}, true
		}
		// Of the three ways to take the edge in, the smallest circle is right.
		in, out := edges[worst], -1
		var next Circle
		for i := range base {
			if d, ok := touching(in, base[(i+1)%3], base[(i+2)%3]); ok && (out < 0 || d.R < next.R) {
				out, next = i, d
			}
		}
		if ok = out >= 0; ok {
			base[out], c = in, next
		}
	}
	return Circle{}, false
}

// touching is the circle that touches three lines and is the largest between
// them; there is none when they leave a way out.
func touching(e, f, g halfPlane) (Circle, bool) {
	// The weights are the programme's multipliers, all of one sign when the
	// three outward normals surround the origin.
	we, wf, wg := f.n.Cross(g.n), g.n.Cross(e.n), e.n.Cross(f.n)
	det := we + wf + wg
	if det < 0 {
		we, wf, wg = -we, -wf, -wg
	}
	const eps = 1e-13
	if we < -eps || wf < -eps || wg < -eps || math.Abs(det) <= eps {
		return Circle{}, false
	}
	r := (we*e.b + wf*f.b + wg*g.b) / math.Abs(det)
	x := (e.b*(f.n.Y-g.n.Y) + f.b*(g.n.Y-e.n.Y) + g.b*(e.n.Y-f.n.Y)) / det
	y := (e.b*(g.n.X-f.n.X) + f.b*(e.n.X-g.n.X) + g.b*(f.n.X-e.n.X)) / det
	return Circle{Point{x, y}, r}, true
}

// fine is how far below the largest radius an answer of deepest may stay. The
// effort is the work it may take, in edges looked at: no polygon of cloth
// needs a tenth of it, only slivers thousands of times longer than wide do, and
// of those the best circle found is given.
const (
	fine   = Hair / 100
	effort = 1 << 22
)

// deepest halves squares, the most promising first, until none can hold a
// point deeper than the best one known by more than fine.
func deepest(poly Polygon) Circle {
	best := Circle{Centre: poly.Centroid()}
	if len(poly) < 3 {
		return best
	}
	best.R = max(0, poly.depth(best.Centre))
	box := poly.Bounds()
	size := min(box.Width(), box.Height())
	if !(size > 0) || !finite(box.Width()+box.Height()) {
		return best
	}
	var cells cellHeap
	consider := func(c Point, half float64) {
		cell := squareAt(poly, c, half)
		if cell.depth > best.R {
			best = Circle{c, cell.depth}
		}
		if cell.bound > best.R+fine {
			heap.Push(&cells, cell)
		}
	}
	// No more than 64 squares along the longer side to begin with.
	size = max(size, max(box.Width(), box.Height())/64)
	for x := box.Min.X + size/2; x-size/2 < box.Max.X; x += size {
		for y := box.Min.Y + size/2; y-size/2 < box.Max.Y; y += size {
			consider(Point{x, y}, size/2)
		}
	}
	for squares := effort/len(poly) + 1024; len(cells) > 0 && squares > 0; squares -= 4 {
		cell := heap.Pop(&cells).(square)
		if cell.bound <= best.R+fine {
			break
		}
		h := cell.half / 2
		for _, d := range [4]Point{{-h, -h}, {h, -h}, {-h, h}, {h, h}} {
			consider(cell.at.Add(d), h)
		}
	}
	return best
}

// square is a square region with the depth of its centre and a bound on the
// depth of all its points.
type square struct {
	at           Point
	half         float64
	depth, bound float64
}

// squareAt bounds the depth over a square from the edges next to its centre c.
//
// Depth grows no faster than the way walked, so depth(c) plus the reach of the
// square is a bound. Along a strip of even width that never gets better, so
// two edges are taken together: while an edge stays in front of the whole
// square, the distance to it is linear there, the depth is at most the mean of
// two such distances, and the mean of two facing edges hardly changes.
func squareAt(poly Polygon, c Point, half float64) square {
	s := square{at: c, half: half, depth: poly.depth(c)}
	reach := half * math.Sqrt2
	s.bound = s.depth + reach
	if s.depth <= reach {
		return s // an edge may cross the square
	}
	// The edges that can matter: no further than the bound allows.
	var dist [8]float64
	var grad [8]Point
	n := 0
	a := poly[len(poly)-1]
	for _, b := range poly {
		d := b.Sub(a)
		l := math.Sqrt(d.Dot(d))
		v := c.Sub(a)
		a = b
		if !(l > 0) {
			continue
		}
		u := d.Scale(1 / l)
		t, h := u.Dot(v), u.Cross(v)
		if t < reach || t > l-reach || math.Abs(h) > s.depth+2*reach || math.Abs(h) < reach {
			continue
		}
		g := left(u)
		if h < 0 {
			g, h = g.Scale(-1), -h
		}
		for i := range n {
			// d ≤ (dist + h)/2 + (grad + g)/2 · (x − c), for x in the square.
			m := grad[i].Add(g).Scale(0.5)
			s.bound = min(s.bound, (dist[i]+h)/2+half*(math.Abs(m.X)+math.Abs(m.Y)))
		}
		s.bound = min(s.bound, h+half*(math.Abs(g.X)+math.Abs(g.Y)))
		if n < len(dist) {
			dist[n], grad[n] = h, g
			n++
		}
	}
	return s
}

// cellHeap has the square with the greatest bound on top.
type cellHeap []square

func (h cellHeap) Len() int           { return len(h) }
func (h cellHeap) Less(i, j int) bool { return h[i].bound > h[j].bound }
func (h cellHeap) Swap(i, j int)      { h[i], h[j] = h[j], h[i] }
func (h *cellHeap) Push(x any)        { *h = append(*h, x.(square)) }
func (h *cellHeap) Pop() any {
	old := *h
	x := old[len(old)-1]
	*h = old[:len(old)-1]
	return x
}
