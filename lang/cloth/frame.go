package cloth

import (
	"math"
	"slices"

	"sewable/lang/geom"
)

// Frame is a patch turned so that its seam lies along x from the origin, with
// the patch above: At puts a place of the block into it, Back takes it out.
type Frame struct {
	origin, along, up geom.Point
}

// FrameOf is the frame of a patch on its seam. The patch lies on the side of the seam where it
// lies at an edge of its own there: what hooks round the end of the seam may reach further on
// the other. Where no edge of it lies on the seam, on the side where it reaches furthest.
func FrameOf(patch geom.Polygon, seam geom.Segment) Frame {
	along := seam.Dir()
	if along == (geom.Point{}) {
		along = geom.Point{X: 1}
	}
	up := geom.Point{X: -along.Y, Y: along.X}
	if side := sideOf(patch, seam, up); side < 0 {
		up = up.Scale(-1)
	}
	return Frame{seam.A, along, up}
}

// sideOf is positive where the patch lies on the side of the seam that up points to.
func sideOf(patch geom.Polygon, seam geom.Segment, up geom.Point) float64 {
	var above, below float64
	for i, c := range patch {
		e := patch.Edge(i)
		if e.Len() > geom.Hair && seam.Holds(e) {
			d := e.Dir()
			return up.Dot(geom.Point{X: -d.Y, Y: d.X}) * patch.Area()
		}
		h := up.Dot(c.Sub(seam.A))
		above, below = max(above, h), max(below, -h)
	}
	return above - below
}

// At is the place p in the frame.
func (f Frame) At(p geom.Point) geom.Point { return f.turn(p.Sub(f.origin)) }

// turn is the direction d in the frame.
func (f Frame) turn(d geom.Point) geom.Point {
	return geom.Point{X: f.along.Dot(d), Y: f.up.Dot(d)}
}

// mirrored says whether the frame is a mirror image of the block.
func (f Frame) mirrored() bool { return f.along.Cross(f.up) < 0 }

// Back is the place in the block of a place in the frame.
func (f Frame) Back(p geom.Point) geom.Point {
	return f.origin.Add(f.along.Scale(p.X)).Add(f.up.Scale(p.Y))
}

// Shape is a patch as a piece of cloth meets it: in the frame of its seam,
// with what has to be reached past each of its edges.
type Shape struct {
	Frame
	Corners geom.Polygon // in the frame, in the patch's order

	sewn      bool    // it has a seam; otherwise its frame lies on its longest edge
	from, to  float64 // where the printed line of the seam begins and ends, along x
	mark      float64 // distances that somebody measures while laying are whole marks; 0: exact
	allowance float64
	need      []float64 // past edge i
	seamEdge  []bool    // edge i is part of the seam
	under     []bool    // corner i lies off the seam, on its line or below
	strips    []strip   // where the edges at a corner need different widths
	box       geom.Box  // of Corners
	ends      [2]float64
	ended     bool // ends are worked out: see extent
}

// strip is the outer end of what has to be reached past an edge, at one of its corners, where
// the other edge there needs less: as far out as the edge needs, and no further than the
// corner along the other.
type strip struct {
	edge, corner int
	at           geom.Point
}

// NewShape is a patch on its seam. need is what a piece has to reach past each edge of
// the patch, see Needs. The corners may run either way round.
func NewShape(patch geom.Polygon, on Seam, allowance float64, need []float64) *Shape {
	n := len(patch)
	s := &Shape{
		Frame:   FrameOf(patch, on.Segment),
		Corners: make(geom.Polygon, n), sewn: on.Sewn, allowance: allowance, need: slices.Clone(need),
		seamEdge: make([]bool, n), under: make([]bool, n),
	}
	s.from, s.to = s.At(on.Line.A).X, s.At(on.Line.B).X
	for i, c := range patch {
		at := s.At(c)
		s.Corners[i] = at
		s.under[i] = at.Y <= geom.Hair && on.Dist(c) > geom.Hair
		if s.seamEdge[i] = s.sewn && on.Holds(patch.Edge(i)); s.seamEdge[i] {
			s.need[i] = allowance
		}
	}
	s.box = s.Corners.Bounds()
	s.findStrips()
	return s
}

func (s *Shape) findStrips() {
	n := len(s.Corners)
	out := 1.0
	if s.Corners.Area() < 0 {
		out = -1
	}
	for i := range s.Corners {
		for _, pair := range [2][2]int{{i, (i + n - 1) % n}, {(i + n - 1) % n, i}} {
			edge, other := pair[0], pair[1]
			if s.need[edge] > s.need[other] {
				d := s.Corners.Edge(edge).Dir()
				s.strips = append(s.strips, strip{edge, i, s.Corners[i].Add(geom.Point{X: d.Y, Y: -d.X}.Scale(out * s.need[edge]))})
			}
		}
	}
}

// Width is how far the patch reaches along its seam, Height above and below it.
func (s *Shape) Width() float64 { return s.box.Width() }

// Height is how far the patch reaches across its seam.
func (s *Shape) Height() float64 { return s.box.Height() }

// counts says whether a side of a piece counts past a corner. A piece laid by its edge
// is stitched along the seam, and what is below it there is allowance: its
// seam side counts only past corners that lie off the seam, on its line or below.
func (s *Shape) counts(corner int, seamSide bool) bool { return !seamSide || s.under[corner] }

// needAt is what a piece has to reach past a corner, whichever way: the least that an edge
// there needs; what the other needs more it needs square to itself, see strip. Seam edges
// need nothing of a piece that is laid by its edge. ok is false when no edge at the corner needs
// anything.
func (s *Shape) needAt(corner int, byEdge bool) (need float64, ok bool) {
	n := len(s.Corners)
	for _, edge := range [2]int{corner, (corner + n - 1) % n} {
		if e, counted := s.needPast(edge, byEdge); counted && (!ok || e < need) {
			need, ok = e, true
		}
	}
	return need, ok
}

// needPast is what a piece has to reach past an edge.
func (s *Shape) needPast(edge int, byEdge bool) (need float64, counted bool) {
	if byEdge && s.seamEdge[edge] {
		return 0, false
	}
	return s.need[edge], true
}

// limit is how far in a side of a piece may lie: the greatest h for which the
// side {p : n·p = h}, inside where n·p > h, reaches past every corner that it
// counts for and so much further, wherever a piece lands that turns about o.
func (s *Shape) limit(n geom.Point, by laying, e slip, o geom.Point, more float64) float64 {
	least := math.Inf(1)
	for i, c := range s.Corners {
		need, ok := s.needAt(i, by != anySide)
		if !ok || !s.counts(i, by == seamSide) {
			continue
		}
		least = min(least, e.worst(n, c, o)-need)
	}
	for _, t := range s.strips {
		if _, ok := s.needPast(t.edge, by != anySide); ok && s.counts(t.corner, by == seamSide) {
			least = min(least, e.worst(n, t.at, o))
		}
	}
	return least - more
}

// laying says how a side of a piece takes part.
type laying uint8

const (
	anySide   laying = iota // of a piece that is laid by eye: every edge of the patch counts
	otherSide               // of a piece that is laid by its edge
	seamSide                // that edge
)
