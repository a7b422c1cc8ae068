package geom

import (
	"iter"
	"math"
	"slices"
)

// Welder gives every place one number: points nearer than a hair to a place
// already there get its number, so the first point added fixes the place and
// welding does not creep. Of several places within a hair the nearest is
// taken, the first of them if they are equally near. The zero value is ready
// for use.
type Welder struct {
	points []Point
	within float64 // 0 stands for Hair
	size   float64 // of a cell, once there are cells
	cells  map[[2]int32][]int32
}

// Up to few points it is fastest to look at each; a cell that holds many is
// too large, unless it is as fine as makes sense.
const (
	few    = 24
	many   = 32
	finest = 8 * Hair
)

// Expect makes room for so many places.
func (w *Welder) Expect(n int) { w.points = slices.Grow(w.points, n) }

// Add is the number of the place p, and whether it is new.
func (w *Welder) Add(p Point) (index int, added bool) {
	if i := w.Find(p); i >= 0 {
		return i, false
	}
	i := len(w.points)
	w.points = append(w.points, p)
	switch {
	case w.cells != nil:
		k := w.cell(p)
		w.cells[k] = append(w.cells[k], int32(i))
		if len(w.cells[k]) > many && w.size > finest {
			w.build(max(finest, w.size/4))
		}
	case len(w.points) > few:
		// About two points a cell if they lie evenly, but cells so wide that
		// few points lie within a hair of a border.
		b := Polygon(w.points).Bounds()
		w.build(max(finest, math.Sqrt(b.Width()*b.Height()*2/few)))
	}
	return i, true
}

func (w *Welder) build(size float64) {
	w.size = size
	w.cells = make(map[[2]int32][]int32, len(w.points))
	for i, p := range w.points {
		k := w.cell(p)
		w.cells[k] = append(w.cells[k], int32(i))
	}
}

func (w *Welder) cell(p Point) [2]int32 {
	const most = 1 << 30 // further out, places share the outermost cells
	clamp := func(f float64) int32 { return int32(max(-most, min(most, math.Floor(f)))) }
	return [2]int32{clamp(p.X / w.size), clamp(p.Y / w.size)}
}

func (w *Welder) reach() float64 {
	if w.within > 0 {
		return w.within
	}
	return Hair
}

// Find is the number of the place p, or -1.
func (w *Welder) Find(p Point) int {
	r := w.reach()
	found, least := -1, r*r
	look := func(i int) {
		v := w.points[i].Sub(p)
		if d := v.Dot(v); d < least || d == least && found > i {
			found, least = i, d
		}
	}
	if w.cells == nil {
		for i := range w.points {
			look(i)
		}
		return found
	}
	lo, hi := w.cell(Point{p.X - r, p.Y - r}), w.cell(Point{p.X + r, p.Y + r})
	for x := lo[0]; x <= hi[0]; x++ {
		for y := lo[1]; y <= hi[1]; y++ {
			for _, i := range w.cells[[2]int32{x, y}] {
				look(int(i))
			}
		}
	}
	return found
}

// Points are the places by number. The slice is the Welder's own: read it only.
func (w *Welder) Points() []Point { return w.points }

// cells is a grid of square cells over a box, each with a list of numbers, the
// lists one after another in items.
type cells struct {
	box    Box
	size   float64
	nx, ny int
	start  []int32 // of cell i, up to start[i+1]
	items  []int32
}

func newCells(box Box, n int) cells {
	c := cells{box: box, nx: 1, ny: 1}
	w, h := box.Width(), box.Height()
	if n > 8 && finite(w) && finite(h) && w+h > 0 {
		// As many cells as items; fewer along a side than items in all.
		c.size = max(math.Sqrt(w*h/float64(n)), (w+h)/float64(n), 2*Hair)
		c.nx, c.ny = int(w/c.size)+1, int(h/c.size)+1
	}
	return c
}

func (c *cells) column(x float64) int { return clampCell((x-c.box.Min.X)/c.size, c.nx) }
func (c *cells) row(y float64) int    { return clampCell((y-c.box.Min.Y)/c.size, c.ny) }

func clampCell(f float64, n int) int {
	if n == 1 || !(f > 0) {
		return 0
	}
	if f >= float64(n) {
		return n - 1
	}
	return int(f)
}

// around visits every cell that comes within a distance of the segment (and a
// few more), until visit says stop.
func (c *cells) around(s Segment, within float64, visit func(cell int) bool) {
	b := s.Bounds().Grow(within)
	y0, y1 := c.row(b.Min.Y), c.row(b.Max.Y)
	d := s.B.Sub(s.A)
	for y := y0; y <= y1; y++ {
		x0, x1 := b.Min.X, b.Max.X
		if y0 != y1 && d.Y != 0 {
			// The part of the segment beside this row, widened.
			bottom := c.box.Min.Y + float64(y)*c.size - within
			top := bottom + c.size + 2*within
			ta, tb := (bottom-s.A.Y)/d.Y, (top-s.A.Y)/d.Y
			if ta > tb {
				ta, tb = tb, ta
			}
			xa, xb := s.A.X+d.X*max(0, ta), s.A.X+d.X*min(1, tb)
			slack := within + noise
			x0, x1 = max(x0, min(xa, xb)-slack), min(x1, max(xa, xb)+slack)
		}
		for x, last := c.column(x0), c.column(x1); x <= last; x++ {
			if !visit(y*c.nx + x) {
				return
			}
		}
	}
}

// fill lists item i in every cell that each(i) visits.
func (c *cells) fill(n int, each func(i int, visit func(cell int) bool)) {
	c.start = make([]int32, c.nx*c.ny+1)
	for i := range n {
		each(i, func(cell int) bool { c.start[cell+1]++; return true })
	}
	for i := 1; i < len(c.start); i++ {
		c.start[i] += c.start[i-1]
	}
	c.items = make([]int32, c.start[len(c.start)-1])
	next := slices.Clone(c.start)
	for i := range n {
		each(i, func(cell int) bool { c.items[next[cell]] = int32(i); next[cell]++; return true })
	}
}

func (c *cells) in(cell int) []int32 { return c.items[c.start[cell]:c.start[cell+1]] }

// PointGrid finds points near a place or a segment among many.
type PointGrid struct {
	points []Point
	cells  cells
}

// NewPointGrid indexes the points, which must not change afterwards.
func NewPointGrid(points []Point) *PointGrid {
	g := &PointGrid{points, newCells(Polygon(points).Bounds(), len(points))}
	g.cells.fill(len(points), func(i int, visit func(int) bool) {
		p := points[i]
		visit(g.cells.row(p.Y)*g.cells.nx + g.cells.column(p.X))
	})
	return g
}

// Near gives the numbers of the points no further than a distance from the
// segment, each once, in no special order. For a place use Segment{p, p}.
func (g *PointGrid) Near(s Segment, within float64) iter.Seq[int] {
	return func(yield func(int) bool) {
		g.cells.around(s, within, func(cell int) bool {
			for _, i := range g.cells.in(cell) {
				if s.Dist(g.points[i]) <= within && !yield(int(i)) {
					return false
				}
			}
			return true
		})
	}
}

// SegmentGrid finds segments near a place or another segment among many.
type SegmentGrid struct {
	segments []Segment
	cells    cells
}

// NewSegmentGrid indexes the segments, which must not change afterwards.
func NewSegmentGrid(segments []Segment) *SegmentGrid {
	var box Box
	for i, s := range segments {
		if i == 0 {
			box = s.Bounds()
		}
		box = box.Union(s.Bounds())
	}
	g := &SegmentGrid{segments, newCells(box, len(segments))}
	g.cells.fill(len(segments), func(i int, visit func(int) bool) {
		g.cells.around(segments[i], 0, visit)
	})
	return g
}

// AppendNear adds to dst the numbers of the segments that may come within a
// distance of s (all that do, and some whose surrounding box does), in
// increasing order, each once.
func (g *SegmentGrid) AppendNear(dst []int, s Segment, within float64) []int {
	from := len(dst)
	b := s.Bounds().Grow(within)
	g.cells.around(s, within, func(cell int) bool {
		for _, i := range g.cells.in(cell) {
			if g.segments[i].Bounds().Meets(b) {
				dst = append(dst, int(i))
			}
		}
		return true
	})
	slices.Sort(dst[from:])
	return append(dst[:from], slices.Compact(dst[from:])...)
}
