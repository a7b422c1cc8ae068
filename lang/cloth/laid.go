package cloth

import (
	"math"

	"sewable/lang/geom"
)

// Way is how a piece is laid.
type Way uint8

// The ways of Way.
const (
	// ByEye: right side up over the patch, centered on it, held to the light. So is
	// every first piece.
	ByEye Way = iota
	// ByEdge: right sides together, one edge on the trimmed edge, stitched on the line and
	// flipped open.
	ByEdge
	// Folded: upright over its place as ByEye, folded under along the line, creased, sewn in
	// the crease and trimmed after. No edge guides it.
	Folded
)

// String is the way in a word or two, as programs get it.
func (w Way) String() string { return [...]string{"by eye", "by edge", "folded"}[w] }

// Lie is how a first piece is turned, where that has to be said.
type Lie uint8

// The ways of Lie.
const (
	AnyLie        Lie = iota // square to the block, or along the patch's longest edge: it covers either way
	SquareToBlock            // its sides run as the block's do
	AlongLongest             // its first side runs along the patch's longest edge
)

// String is the lie in a few words, as programs get it.
func (l Lie) String() string {
	return [...]string{"", "square to the block", "along the longest edge"}[l]
}

// Laid is a piece of cloth as it lies once it is open: a convex outline, anticlockwise, in
// the frame of its patch.
type Laid struct {
	Outline geom.Polygon
	Way     Way
	Middle  geom.Point // that of its edge, or of the piece: what it turns about when it is laid askew
	Lie     Lie        // of a first piece

	// Of a piece that is laid by its edge, which is the first side of its outline:

	Past     float64 // how far the edge lies past the line
	Centered bool    // the edge's middle lies on the middle of the printed line
	AtB      bool    // Reach is past the end B of the printed line; otherwise past A
	Reach    float64 // how far the edge reaches past that end; negative where it stops before it
}

// Edge is how long the edge is that goes to the seam.
func (l Laid) Edge() float64 { return l.Outline.Edge(0).Len() }

// along is a place along the seam for an edge of a length to lie with its middle.
type place struct {
	x        float64
	centered bool
}

// onLine is the middle of the printed line.
func (s *Shape) onLine(float64) place { return place{(s.from + s.to) / 2, true} }

// exactly is the middle of what the patch needs along its seam.
func (s *Shape) exactly(float64) place {
	left, right := s.extent()
	return place{x: (left + right) / 2}
}

// onPatch is the same, moved so that the edge reaches past the end of the line by a whole
// number of marks: the end past which it reaches furthest.
func (s *Shape) onPatch(edge float64) place { return s.toMark(edge, s.mark) }

func (s *Shape) toMark(edge, mark float64) place {
	at := s.exactly(edge)
	if a, b := s.from-(at.x-edge/2), at.x+edge/2-s.to; a > b {
		at.x -= geom.RoundTo(a, mark) - a
	} else {
		at.x += geom.RoundTo(b, mark) - b
	}
	return at
}

// extent is from where to where along its seam a piece has to reach without any error.
func (s *Shape) extent() (from, to float64) {
	if !s.ended {
		s.ended = true
		s.ends[0] = s.limit(geom.Point{X: 1}, otherSide, slip{}, geom.Point{}, 0)
		s.ends[1] = -s.limit(geom.Point{X: -1}, otherSide, slip{}, geom.Point{}, 0)
		if s.ends[0] > s.ends[1] { // every edge lies on the seam
			s.ends = [2]float64{s.box.Min.X, s.box.Max.X}
		}
	}
	return s.ends[0], s.ends[1]
}

// byEdge lays an outline by its first side.
func (s *Shape) byEdge(outline geom.Polygon, past float64, at place) Laid {
	half := outline.Edge(0).Len() / 2
	l := Laid{Outline: outline, Way: ByEdge, Middle: geom.Point{X: at.x, Y: -past}, Past: past, Centered: at.centered}
	a, b := s.from-(at.x-half), at.x+half-s.to
	if l.Reach = a; b >= a {
		l.Reach, l.AtB = b, true
	}
	if math.Abs(a-b) < eps {
		l.Centered = true
	}
	return l
}

// rectangle lays a rectangle by its edge.
func (s *Shape) rectangle(along, across, past float64, at place) Laid {
	half := along / 2
	return s.byEdge(geom.Polygon{
		{X: at.x - half, Y: -past}, {X: at.x + half, Y: -past},
		{X: at.x + half, Y: across - past}, {X: at.x - half, Y: across - past},
	}, past, at)
}

// triangle lays a right isosceles triangle by its long side: half of a square with that
// diagonal, or a quarter of a square with that side.
func (s *Shape) triangle(long, past float64, at place) Laid {
	return s.byEdge(geom.Polygon{
		{X: at.x - long/2, Y: -past}, {X: at.x + long/2, Y: -past}, {X: at.x, Y: long/2 - past},
	}, past, at)
}

// boxed lays a rectangle with its width along u, its middle on a place.
func (s *Shape) boxed(u geom.Point, width, height float64, middle geom.Point) Laid {
	v := geom.Point{X: -u.Y, Y: u.X}
	r := geom.Rectangle{
		Corner: middle.Sub(u.Scale(width / 2)).Sub(v.Scale(height / 2)),
		Dir:    u, Width: width, Height: height,
	}
	way := Folded
	if !s.sewn {
		way = ByEye
	}
	return Laid{Outline: r.Polygon(), Middle: middle, Way: way}
}

// middleAlong is the middle of the patch's extents along u and across it.
func (s *Shape) middleAlong(u geom.Point) geom.Point {
	v := geom.Point{X: -u.Y, Y: u.X}
	box := geom.BoxAlong(s.Corners, u)
	return box.Corner.Add(u.Scale(box.Width / 2)).Add(v.Scale(box.Height / 2))
}

// grownAlong is the patch with its allowances as a box with a side along u: its size and its
// middle, which is not the patch's where the block's outer allowance is another.
func (s *Shape) grownAlong(u geom.Point) (width, height float64, middle geom.Point) {
	v := geom.Point{X: -u.Y, Y: u.X}
	limit := func(n geom.Point) float64 { return s.limit(n, anySide, slip{}, geom.Point{}, 0) }
	left, right, low, high := limit(u), -limit(u.Scale(-1)), limit(v), -limit(v.Scale(-1))
	return right - left, high - low, u.Scale((left + right) / 2).Add(v.Scale((low + high) / 2))
}

// slip is what a piece may be off by when it is laid.
func (s *Shape) slip(l Laid, p Placement) slip {
	if l.Way == ByEdge {
		return p.byEdge(l.Edge(), s.allowance)
	}
	return s.eyeSlip(l.Outline.Edge(0).Dir(), p)
}

// eyeSlip is what a piece may be off by that is laid by eye with one side along u.
func (s *Shape) eyeSlip(u geom.Point, p Placement) slip {
	width, height, _ := s.grownAlong(u)
	return p.byEye(max(width, height)/2, u)
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
// edge. Each is the least over every placement. Past an edge a piece
// reaches as far as its outline is from the nearer end of the edge.
func (s *Shape) Margins(piece Laid, p Placement) []Margin {
	n := len(s.Corners)
	e := slip{}
	if p.off() {
		e = s.slip(piece, p)
	}
	byEdge := piece.Way == ByEdge
	reach := make([]float64, n)
	for i, c := range s.Corners {
		reach[i] = s.reach(piece, c, i, e)
	}
	all := make([]Margin, 0, n)
	for i := range s.Corners {
		need, counted := s.needPast(i, byEdge)
		if !counted {
			continue
		}
		var at [2]float64 // at the ends of the edge
		for k, corner := range [2]int{i, (i + 1) % n} {
			least, _ := s.needAt(corner, byEdge)
			at[k] = reach[corner] - least
			for _, t := range s.strips {
				if t.edge == i && t.corner == corner {
					at[k] = min(at[k], s.reach(piece, t.at, corner, e))
				}
			}
		}
		all = append(all, Margin{min(at[0], at[1]), i, need, max(at[0], at[1])})
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

// reach is how far inside a piece's outline a place at a corner is at worst.
func (s *Shape) reach(piece Laid, at geom.Point, corner int, e slip) float64 {
	least := math.Inf(1)
	for i := range piece.Outline {
		if s.counts(corner, piece.Way == ByEdge && i == 0) {
			side := piece.Outline.Edge(i)
			d := side.Dir()
			n := geom.Point{X: -d.Y, Y: d.X}
			least = min(least, e.worst(n, at, piece.Middle)-n.Dot(side.A))
		}
	}
	return least
}

// Lay is how a piece is laid as far as words have to say it: what its label says beside its size.
type Lay struct {
	Way     Way
	Lie     Lie
	Edge    float64 // how long the edge is that goes to the seam, or along the longest edge; 0 where none does, any would, or Slant has it
	Past    float64 // how far that edge lies past the line, where that is not the allowance
	Reaches bool    // it is not simply centered on its line
	Reach   Reach
}

// Lay is how the picked piece is laid.
func (p *PlacedPiece) Lay() Lay {
	laid := p.Pick.Laid
	l := Lay{Way: laid.Way, Lie: laid.Lie}
	switch {
	case p.Pick.Keeps:
		l.Lie = AnyLie
	case l.Lie == AlongLongest:
		l.Edge = laid.Edge()
	}
	if laid.Way != ByEdge {
		return l
	}
	rectangle := p.Pick.Form == Rectangle || p.Pick.Form == Strip
	if p.Pick.Slant == nil && (!rectangle || math.Abs(p.Pick.Along-p.Pick.Across) > eps) {
		l.Edge = laid.Edge()
	}
	if laid.Past > p.shape.allowance+geom.Hair/2 {
		l.Past = laid.Past
	}
	l.Reach, l.Reaches = p.Reach(p.Pick)
	return l
}
