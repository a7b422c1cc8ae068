package svgimport

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"sewable/lang/draw/ink"
	"sewable/lang/faces"
	"sewable/lang/geom"
)

// maxSteps bounds how often a place is compared with an edge.
const maxSteps = 400_000_000

// A stack is what is seen in a place: shapes from the lowest that shows to the topmost. Nothing is a stack too.
type stack struct {
	shapes []*shape
	colour string // #rrggbb, empty for nothing
}

func (s *stack) top() *shape {
	if len(s.shapes) == 0 {
		return nil
	}
	return s.shapes[len(s.shapes)-1]
}

// A viewer says what is seen in places. Places where the same shapes show have the same stack.
type viewer struct {
	*tracer
	in     []bool // by area: whether the place that is looked at is in it
	place  int    // counted from 1
	stacks map[string]*stack
	empty  stack
}

func (t *tracer) viewer() *viewer {
	return &viewer{tracer: t, in: make([]bool, len(t.areas)), stacks: make(map[string]*stack)}
}

// seen are the stacks of places.
func (v *viewer) seen(places []geom.Point) ([]*stack, error) {
	around, byArea, err := v.areasAround(places)
	if err != nil {
		return nil, err
	}
	out := make([]*stack, len(places))
	for i, areas := range around {
		out[i] = v.at(areas, byArea)
	}
	return out, nil
}

// areasAround are the areas that places are in, and the shapes by area.
func (v *viewer) areasAround(places []geom.Point) ([][]int32, map[int32]*shape, error) {
	loops := make([][]geom.Polygon, len(v.areas))
	odd := make([]bool, len(v.areas))
	for i, a := range v.areas {
		loops[i], odd[i] = a.loops, a.odd
	}
	for _, s := range v.strokes {
		loops[s.id] = nil
	}
	byArea := make(map[int32]*shape, len(v.shapes))
	for _, s := range v.shapes {
		byArea[int32(s.id)] = s
	}
	around, err := v.around(places, loops, odd)
	return around, byArea, err
}

// at is the stack of a place that is in some areas.
func (v *viewer) at(areas []int32, byArea map[int32]*shape) *stack {
	v.place++
	for _, a := range areas {
		v.in[a] = true
	}
	var over []*shape // from the topmost down
	for _, a := range slices.Backward(areas) {
		s := byArea[a]
		if s == nil || !v.shows(s.area) {
			continue
		}
		over = append(over, s)
		if s.alpha == 1 && len(s.layers) == 0 {
			break
		}
	}
	for _, a := range areas {
		v.in[a] = false
	}
	if len(over) == 0 {
		return &v.empty
	}
	slices.Reverse(over)
	var key []byte
	for _, s := range over {
		key = append(strconv.AppendInt(key, int64(s.id), 36), ' ')
	}
	is := v.stacks[string(key)]
	if is == nil {
		is = &stack{shapes: over, colour: over[len(over)-1].fill}
		if top := over[len(over)-1]; top.alpha < 1 || len(top.layers) > 0 {
			r, g, b, a := blend(over, 0)
			is.colour = ink.RGB(part(r+1-a), part(g+1-a), part(b+1-a)).String() // on white
		}
		v.stacks[string(key)] = is
	}
	return is
}

func part(v float64) uint8 { return uint8(math.Round(255 * max(0, min(1, v)))) }

// shows says whether the place is in an area and in all that it is seen through.
func (v *viewer) shows(a *area) bool {
	if !v.in[a.id] {
		return false
	}
	for _, c := range a.clips {
		if !v.passes(c) {
			return false
		}
	}
	return true
}

func (v *viewer) passes(c *clip) bool {
	if c.asked == v.place {
		return c.passes
	}
	c.asked, c.passes = v.place, false
	var over []*shape
	for _, s := range c.parts {
		if v.shows(s.area) {
			over = append(over, s)
		}
	}
	if c.passes = len(over) > 0; c.passes && c.mask {
		r, g, b, a := blend(over, 0)
		through := 0.2125*r + 0.7154*g + 0.0721*b // SVG 1.1, 14.4
		if c.alpha {
			through = a
		}
		c.passes = through >= 0.5
		if !c.half && through > 0.05 && through < 0.95 {
			c.half = true
			v.note(c.of, "%s lets through in part: what is under it is taken as seen where at least half comes through", c.of)
		}
	}
	return c.passes
}

// blend is what shapes over each other look like, in parts of 1 times their opacity: Compositing and Blending 1, 5.1.
func blend(shapes []*shape, depth int) (r, g, b, a float64) {
	for i := 0; i < len(shapes); {
		s := shapes[i]
		var r1, g1, b1, a1 float64
		if len(s.layers) > depth {
			end := i + 1
			for end < len(shapes) && len(shapes[end].layers) > depth && shapes[end].layers[depth] == s.layers[depth] {
				end++
			}
			r1, g1, b1, a1 = blend(shapes[i:end], depth+1)
			k := s.layers[depth].alpha
			r1, g1, b1, a1 = k*r1, k*g1, k*b1, k*a1
			i = end
		} else {
			c, _ := ink.Hex(s.fill)
			x, y, z := c.RGB()
			k := s.alpha / 255
			r1, g1, b1, a1 = k*float64(x), k*float64(y), k*float64(z), s.alpha
			i++
		}
		r, g, b, a = r1+r*(1-a1), g1+g*(1-a1), b1+b*(1-a1), a1+a*(1-a1)
	}
	return r, g, b, a
}

// around are the areas that each place is in, in their order.
func (t *tracer) around(places []geom.Point, areas [][]geom.Polygon, odd []bool) ([][]int32, error) {
	byHeight := make([]int32, len(places))
	for i := range byHeight {
		byHeight[i] = int32(i)
	}
	slices.SortFunc(byHeight, func(a, b int32) int { return cmp.Compare(places[a].Y, places[b].Y) })
	heights := make([]float64, len(places))
	for i, k := range byHeight {
		heights[i] = places[k].Y
	}
	out := make([][]int32, len(places))
	winding := make([]int, len(places))
	reached := make([]bool, len(places))
	steps := 0
	for a, loops := range areas {
		var touched []int32
		for _, loop := range loops {
			for i := range loop {
				e := loop.Edge(i)
				way := 1
				if e.A.Y > e.B.Y {
					e, way = e.Reverse(), -1
				}
				from, _ := slices.BinarySearch(heights, e.A.Y)
				to, _ := slices.BinarySearch(heights, e.B.Y)
				if steps += to - from; steps > maxSteps {
					return nil, t.failed("too many shapes are on each other. Remove what is hidden, or draw fewer corners")
				}
				for _, k := range byHeight[from:to] {
					if p := places[k]; p.X < (e.B.X-e.A.X)*(p.Y-e.A.Y)/(e.B.Y-e.A.Y)+e.A.X {
						winding[k] += way
						if !reached[k] {
							reached[k] = true
							touched = append(touched, k)
						}
					}
				}
			}
		}
		for _, k := range touched {
			if n := winding[k]; n != 0 && (!odd[a] || n%2 != 0) {
				out[k] = append(out[k], int32(a))
			}
			winding[k], reached[k] = 0, false
		}
	}
	return out, nil
}

// edges are the edges of what is seen of the shapes: those with another stack on either side, the edges of
// what was drawn first before others. Where what is painted fills the box around it, that is the frame.
func (t *tracer) edges(v *viewer, box geom.Box) (out []geom.Segment, frame geom.Polygon, err error) {
	var all []geom.Segment
	add := func(a *area) {
		for _, l := range a.loops {
			for i := range l {
				all = append(all, l.Edge(i))
			}
		}
	}
	// Of places that are one the first stays where it is: one on a ruler's mark, then a frame's, then that of the topmost
	// shape. A mark goes first as a line without length.
	for _, a := range t.areas {
		for _, l := range a.loops {
			for _, p := range l {
				if onMark(p.X, t.unit) && onMark(p.Y, t.unit) {
					all = append(all, geom.Segment{A: p, B: p})
				}
			}
		}
	}
	shape := make([]bool, len(t.areas))
	for _, s := range t.shapes {
		shape[s.id] = true
	}
	for _, s := range t.strokes {
		shape[s.id] = true
	}
	for i, a := range t.areas {
		if !shape[i] {
			add(a)
		}
	}
	for _, s := range slices.Backward(t.shapes) {
		add(s.area)
	}
	found, err := t.subdivide(all, nil, 0)
	if err != nil {
		return nil, nil, err
	}
	stacks, err := v.seen(centres(found))
	if err != nil {
		return nil, nil, err
	}
	area := 0.0
	for i, f := range found.Faces {
		if stacks[i].top() != nil {
			area += f.Area
		}
	}
	if math.Abs(area-box.Width()*box.Height()) <= geom.Hair*box.Polygon().Perimeter() { // an edge is bent by up to a hair
		frame = box.Polygon()
	}
	type kept struct {
		first int
		geom.Segment
	}
	var edges []kept
	for _, s := range sides(found) {
		left, right := v.stackOf(stacks, s.left), v.stackOf(stacks, s.right)
		if left != right {
			first := math.MaxInt
			for _, is := range [2]*stack{left, right} {
				if top := is.top(); top != nil {
					first = min(first, top.order)
				}
			}
			edges = append(edges, kept{first, geom.Segment{A: found.Points[s.a], B: found.Points[s.b]}})
		}
	}
	slices.SortStableFunc(edges, func(a, b kept) int { return cmp.Compare(a.first, b.first) })
	for _, k := range edges {
		out = append(out, k.Segment)
	}
	return out, frame, nil
}

// stackOf is the stack of a face; outside all faces nothing is seen.
func (v *viewer) stackOf(stacks []*stack, face int) *stack {
	if face < 0 {
		return &v.empty
	}
	return stacks[face]
}

// centres are places well inside the faces.
func centres(s *faces.Subdivision) []geom.Point {
	out := make([]geom.Point, len(s.Faces))
	for i, f := range s.Faces {
		out[i] = middle(s, f).Centre
	}
	return out
}

// middle is a circle in a face: the largest where it has no hole.
func middle(s *faces.Subdivision, f faces.Face) geom.Circle {
	if len(f.Holes) == 0 {
		return geom.InscribedCircle(f.Outline)
	}
	return amid(s, f)
}

// A side is an edge with the faces on its left and right, -1 for none.
type side struct{ a, b, left, right int }

// sides are the edges of a subdivision, in their order.
func sides(s *faces.Subdivision) []side {
	left := make(map[[2]int]int, 2*len(s.Edges))
	for k, f := range s.Faces {
		for _, ring := range append([][]int{f.Ring}, f.Holes...) {
			for i, u := range ring {
				left[[2]int{u, ring[(i+1)%len(ring)]}] = k
			}
		}
	}
	of := func(a, b int) int {
		if k, ok := left[[2]int{a, b}]; ok {
			return k
		}
		return -1
	}
	out := make([]side, len(s.Edges))
	for i, e := range s.Edges {
		out[i] = side{e[0], e[1], of(e[0], e[1]), of(e[1], e[0])}
	}
	return out
}

// seams are the strokes as far as they are seen: not outside what they are clipped to, nor under a shape.
func (t *tracer) seams(v *viewer) ([]geom.Segment, error) {
	if len(t.strokes) == 0 {
		return nil, nil
	}
	lines := make([]bool, len(t.areas))
	for _, s := range t.strokes {
		lines[s.id] = true
	}
	var edges []geom.Segment
	for i, a := range t.areas {
		for _, l := range a.loops {
			if !lines[i] {
				edges = append(edges, edgesOf(l)...)
			}
		}
	}
	grid := geom.NewSegmentGrid(edges)
	type piece struct {
		of stroke
		geom.Segment
		goesOn bool // from the piece before
	}
	var pieces []piece
	var places []geom.Point
	var near []int
	for _, s := range t.strokes {
		for _, l := range s.lines() {
			cuts := []float64{0, 1}
			near = grid.AppendNear(near[:0], l, geom.Hair)
			for _, k := range near {
				if p, ok := geom.MeetLines(l, edges[k]); ok && edges[k].Dist(p) <= geom.Hair && l.Dist(p) <= geom.Hair {
					cuts = append(cuts, l.Nearest(p))
				}
				for _, p := range [2]geom.Point{edges[k].A, edges[k].B} {
					if l.Dist(p) <= geom.Hair {
						cuts = append(cuts, l.Nearest(p))
					}
				}
			}
			slices.Sort(cuts)
			for i := range cuts[1:] {
				if cuts[i+1] <= cuts[i] {
					continue
				}
				p := piece{s, geom.Segment{A: l.At(cuts[i]), B: l.At(cuts[i+1])}, cuts[i] > 0}
				beside := geom.Point{X: -p.Dir().Y, Y: p.Dir().X}.Scale(geom.Hair / 8)
				pieces = append(pieces, p)
				places = append(places, p.Mid().Add(beside), p.Mid().Sub(beside)) // it may run along an edge
			}
			if len(pieces) > faces.MaxEdges {
				return nil, t.failed("%v", faces.ErrTangled)
			}
		}
	}
	seen, err := v.visible(places, func(i int) stroke { return pieces[i/2].of })
	if err != nil {
		return nil, err
	}
	var out []geom.Segment
	joins := false // the last of out ends where the next piece may go on
	for i, p := range pieces {
		switch {
		case !seen[2*i] && !seen[2*i+1]:
			joins = false
			continue
		case joins && p.goesOn:
			out[len(out)-1].B = p.B
		default:
			out = append(out, p.Segment)
		}
		joins = true
	}
	return out, nil
}

// lines are the lines of a stroke in the block.
func (s stroke) lines() (out []geom.Segment) {
	for i, l := range s.loops {
		for k := range l {
			if k < len(l)-1 || s.chains[i].closed && len(l) > 2 {
				out = append(out, l.Edge(k))
			}
		}
	}
	return out
}

// visible says for places on strokes whether the stroke is seen there.
func (v *viewer) visible(places []geom.Point, of func(int) stroke) ([]bool, error) {
	around, byArea, err := v.areasAround(places)
	if err != nil {
		return nil, err
	}
	out := make([]bool, len(places))
	for i, areas := range around {
		v.place++
		s := of(i)
		for _, a := range append(areas, int32(s.id)) {
			v.in[a] = true
		}
		out[i] = v.shows(s.area)
		for _, a := range areas {
			if over := byArea[a]; over != nil && over.order > s.order && over.alpha == 1 && v.shows(over.area) {
				out[i] = false
			}
		}
		for _, a := range append(areas, int32(s.id)) {
			v.in[a] = false
		}
	}
	return out, nil
}
