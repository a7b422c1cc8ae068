package cloth

import (
	"math"

	"sewable/lang/geom"
)

// Laid is a piece of cloth as it is laid: a convex outline, anticlockwise, in
// the frame of its patch.
type Laid struct {
	Outline geom.Polygon
	// BySeam: the first side of the outline is laid along the seam, so far past
	// it. Otherwise the piece is laid so that its middle is the patch's middle
	// and it is trimmed at the seam afterwards.
	BySeam bool
	Past   float64
}

// Rectangle is a piece cut along by across, laid as a sewist lays it: one edge
// the allowance past the seam, its middle on the middle of the patch's extent
// along the seam (not on the seam's middle: a patch sewn on a short end may
// reach far to one side). An infinite size is a strip that is longer than
// anything.
func (s *Shape) Rectangle(along, across float64) Laid {
	return s.rectangle(along, across, s.low(Placement{}))
}

func (s *Shape) rectangle(along, across, past float64) Laid {
	x, half := s.middle().X, along/2
	if math.IsInf(along, 1) {
		half = s.Width() + 2*across + geom.Inch
	}
	return Laid{geom.Polygon{
		{X: x - half, Y: -past}, {X: x + half, Y: -past},
		{X: x + half, Y: across - past}, {X: x - half, Y: across - past},
	}, true, past}
}

// Triangle is a right isosceles triangle with its long side to the seam, laid
// like Rectangle: half of a square with that diagonal, or a quarter of a square
// with that side.
func (s *Shape) Triangle(longSide float64) Laid {
	return s.triangle(longSide, s.low(Placement{}))
}

func (s *Shape) triangle(longSide, past float64) Laid {
	x := s.middle().X
	return Laid{geom.Polygon{
		{X: x - longSide/2, Y: -past},
		{X: x + longSide/2, Y: -past},
		{X: x, Y: longSide/2 - past},
	}, true, past}
}

// boxed is a piece whose width lies along u, about the middle of the patch's extents.
func (s *Shape) boxed(u geom.Point, width, height float64) Laid {
	v := geom.Point{X: -u.Y, Y: u.X}
	box := geom.BoxAlong(s.Corners, u)
	middle := box.Corner.Add(u.Scale(box.Width / 2)).Add(v.Scale(box.Height / 2))
	r := geom.Rectangle{
		Corner: middle.Sub(u.Scale(width / 2)).Sub(v.Scale(height / 2)),
		Dir:    u, Width: width, Height: height,
	}
	return Laid{Outline: r.Polygon()}
}

// Margin is what a piece has to spare: how much further than it has to it
// reaches past the edge of the patch where it reaches least. A negative margin
// is what it lacks there.
type Margin struct {
	Least float64
	Edge  int     // the edge, from corner Edge of the patch to the next
	Need  float64 // what has to be reached past that edge
	most  float64 // the margin at the better end of the edge
}

// Margins lays a piece on its patch and gives its margin past every edge that
// it has to reach past: all but the seam's, or all of a piece that is not laid by its
// seam side. Each is the least over every placement. Past an edge a piece
// reaches as far as its outline is from the nearer end of the edge.
func (s *Shape) Margins(piece Laid, p Placement) []Margin {
	n := len(s.Corners)
	reach := make([]float64, n)
	for i := range s.Corners {
		reach[i] = s.reach(piece, i, p)
	}
	var all []Margin
	for i := range s.Corners {
		if need, counted := s.needPast(i, piece.BySeam); counted {
			one, other := reach[i], reach[(i+1)%n]
			all = append(all, Margin{min(one, other) - need, i, need, max(one, other) - need})
		}
	}
	return all
}

// Margin is the least of Margins. A patch whose every edge lies on its seam has
// none, and Edge is -1.
func (s *Shape) Margin(piece Laid, p Placement) Margin {
	least := Margin{Least: math.Inf(1), Edge: -1}
	for _, m := range s.Margins(piece, p) {
		// A corner is short for both its edges; the one that is short all along is meant.
		const same = 1e-6
		if m.Least < least.Least-same || m.Least < least.Least+same && m.most < least.most-same {
			least = m
		}
	}
	return least
}

// reach is how far inside a piece's outline a corner is at worst.
func (s *Shape) reach(piece Laid, corner int, p Placement) float64 {
	least := math.Inf(1)
	for i := range piece.Outline {
		if s.counts(corner, piece.BySeam && i == 0) {
			side := piece.Outline.Edge(i)
			d := side.Dir()
			n := geom.Point{X: -d.Y, Y: d.X}
			least = min(least, p.worst(n, s.Corners[corner], s.middle())-n.Dot(side.A))
		}
	}
	return least
}
