// Package faces finds the patches that straight lines enclose: a planar
// subdivision of a drawing. It knows geometry only.
//
//	Subdivide       lines, and an outline, to faces     faces.go
//	slide           ends closed along their own lines   slide.go
//	close           ends that nearly meet               close.go
//	cut             lines cut where they cross          cut.go
//	trace           loose ends, faces, islands          trace.go, island.go
//	tree            which lines are near a line         tree.go
//
// Corners nearer than a hair are one corner and a corner within a hair of a
// line lies on it, as everywhere (see package geom). Beyond that, ends are
// closed only within the distance that is asked for, and each closing is listed.
package faces

import (
	"errors"
	"fmt"
	"math"

	"sewable/lang/geom"
)

// The limits, so that no input takes for ever. Reach is in hairs: 5 cm.
const (
	Reach    = 250.0 // the furthest that ends can be closed over
	Furthest = 1e9   // hairs from the origin
	MaxEdges = 1_000_000
	MaxPairs = 4_000_000 // corners that are near enough to each other to be closed
)

// What there is no answer to.
var (
	ErrTangled = errors.New("the lines cross each other too often")                                 // more than MaxEdges
	ErrCrowded = errors.New("too many ends are near enough to each other to be closed; close less") // more than MaxPairs
)

// Options say what is enclosed and how near is near. The zero value takes the
// lines alone and closes nothing.
type Options struct {
	Outline geom.Polygon // the faces fill it; nil: the lines alone
	Close   float64      // ends this near, in hairs, are closed; up to a hair is nothing to close
	// Along closes ends along their own lines, and lets those that lie on a line stay: for lines that
	// are drawn as seams, not for the edges of shapes.
	Along bool
}

// A Subdivision is what lines make of the plane.
type Subdivision struct {
	Points []geom.Point // corners by number; some belong to no edge
	Edges  [][2]int     // each once, between corners, bounding at least one face
	Faces  []Face       // from the lower left, row by row
	Parts  int          // how many pieces the edges fall into that hang together

	Closed  []Closing      // in the order of the lines
	Strays  []Stray        // what encloses nothing, left out
	Outside []geom.Polygon // faces beyond the outline, left out
}

// A Face is an area that no line divides.
type Face struct {
	Ring    []int        // its corners, anticlockwise from the lowest, the leftmost of those
	Outline geom.Polygon // the same without corners that go straight on
	Holes   [][]int      // the outlines of islands in it, clockwise: no patch has a hole
	Area    float64      // in square hairs, less the holes
}

// A Closing is an end that was moved to meet another, or a line.
type Closing struct {
	From, To geom.Point
	Dist     float64
}

// A Stray is a chain of lines that bounds no face: it ends in nothing, or has the same face on
// both sides.
type Stray struct {
	From, To geom.Point // From is the loose end
	Length   float64
	Bridge   bool // neither end is loose
}

// Subdivide cuts the lines where they meet, closes what nearly meets and gives
// the faces. The answer depends on nothing but the lines and their order.
//
// It fails on coordinates that are no numbers or out of reach, and with
// ErrTangled or ErrCrowded.
func Subdivide(lines []geom.Segment, o Options) (*Subdivision, error) {
	for i, s := range lines {
		if !within(s.A) || !within(s.B) {
			return nil, fmt.Errorf("line %d has an end that is out of reach", i+1)
		}
	}
	for i, p := range o.Outline {
		if !within(p) {
			return nil, fmt.Errorf("corner %d of the outline is out of reach", i+1)
		}
	}
	reach := min(o.Close, Reach)
	var closed []Closing
	var ends []end
	if o.Along {
		lines, ends, closed = slide(lines, o.Outline, max(reach, geom.Hair))
	}
	g := newGraph(lines, o.Outline, ends)
	if reach > geom.Hair {
		g.slack(ends, reach)
		more, err := g.close(reach)
		if err != nil {
			return nil, err
		}
		closed = append(closed, more...)
	}
	if err := g.cut(); err != nil {
		return nil, err
	}
	s := g.trace(len(o.Outline) > 0)
	s.Closed = closed
	return s, nil
}

func within(p geom.Point) bool { return math.Abs(p.X) <= Furthest && math.Abs(p.Y) <= Furthest }

// Polygon is a ring of corners as a polygon.
func (s *Subdivision) Polygon(ring []int) geom.Polygon {
	poly := make(geom.Polygon, len(ring))
	for i, v := range ring {
		poly[i] = s.Points[v]
	}
	return poly
}

// graph is a drawing: corners, and edges between them.
type graph struct {
	at    []geom.Point
	edges []edge
	pins  int            // the corners before this are the outline's and stay
	lines []geom.Segment // what edges are pieces of
	loose []float64      // by corner, how far off its place may be, see end; nil: as far as any
}

// An edge runs between two corners. border: it is on the outline an odd number
// of times, so that inside and outside lie beside it. of: the line that it is a piece of, once
// lines are cut.
type edge struct {
	a, b   int32
	border bool
	of     int32
}

func (g *graph) segment(e edge) geom.Segment { return geom.Segment{A: g.at[e.a], B: g.at[e.b]} }

func newGraph(lines []geom.Segment, outline geom.Polygon, ends []end) *graph {
	g := &graph{edges: make([]edge, 0, len(lines)+len(outline))}
	var w geom.Welder
	add := func(s geom.Segment, border bool) {
		a, _ := w.Add(s.A)
		b, _ := w.Add(s.B)
		if a != b {
			g.edges = append(g.edges, edge{a: int32(a), b: int32(b), border: border})
		}
	}
	for i := range outline {
		add(outline.Edge(i), true)
	}
	g.pins = len(w.Points())
	for _, x := range ends { // those that stay where they are give the place
		if x.slack == 0 {
			w.Add(x.at)
		}
	}
	for _, s := range lines {
		add(s, false)
	}
	g.at = w.Points()
	return g
}

// tidy turns every edge the same way and drops those there are twice.
func (g *graph) tidy() {
	sortEdges(g.edges)
	kept := g.edges[:0]
	for _, e := range g.edges {
		if n := len(kept); n > 0 && kept[n-1].a == e.a && kept[n-1].b == e.b {
			kept[n-1].border = kept[n-1].border != e.border
			continue
		}
		if e.a != e.b {
			kept = append(kept, e)
		}
	}
	g.edges = kept
}
