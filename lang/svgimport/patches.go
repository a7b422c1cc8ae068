package svgimport

import (
	"cmp"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"sewable/lang/faces"
	"sewable/lang/geom"
)

// A frame brings places of the page, y down, into the block, in hairs, y up from its lower left
// corner.
type frame struct {
	box    geom.Box // of the block on the page
	scale  float64
	mirror bool
}

func (f frame) at(p geom.Point) geom.Point {
	x := p.X - f.box.Min.X
	if f.mirror {
		x = f.box.Max.X - p.X
	}
	return geom.Point{X: x * f.scale, Y: (f.box.Max.Y - p.Y) * f.scale}
}

func (f frame) all(points geom.Polygon) geom.Polygon {
	out := make(geom.Polygon, len(points))
	for i, p := range points {
		out[i] = f.at(p)
	}
	return out
}

// A patch is a face of the drawing.
type patch struct {
	corners geom.Polygon
	of      *shape // the topmost that is seen; nil where nothing is painted
	colour  string
	fabric  int // into the fabrics of the plan
}

// A plan is a block as it will be written.
type plan struct {
	title         string
	unit          geom.Unit
	width, height float64
	outline       geom.Polygon // nil for the rectangle
	fabrics       []fabric
	patches       []patch
	sections      []section // nil: the patches are loose
	joins         []string  // statements
	notches       []notch
	closed        []faces.Closing
}

// longest and least are how long the longer side of a block may be, in hairs.
const (
	longest = 10_000 * geom.Inch
	least   = geom.Inch / 4
)

// block makes the block of the shapes and lines that were found.
func (t *tracer) block(root *element) (*Block, error) {
	box, err := t.extent()
	if err != nil {
		return nil, err
	}
	long := max(box.Width(), box.Height())
	f := frame{box: box, scale: hairs}
	switch {
	case t.o.Size > 0 && long > 0:
		f.scale = t.o.Size / long
	case !t.sized:
		size := fmt.Sprintf("%.6g × %.6g units", box.Width(), box.Height())
		return nil, t.fail(root, "gives no size: the drawing is %s. Give the finished size of its longer side with --finished, such as --finished \"6 in\"", size)
	}
	if long *= f.scale; !(long >= least && long <= longest) {
		return nil, t.failed("the block would be %s long. Give its finished size with --finished", geom.Format(long, t.unit))
	}
	p := &plan{title: t.title(root), unit: t.unit}
	weld := max(t.o.Weld, 0)
	t.straighten(f.scale)
	var outline geom.Polygon
	if t.o.Page {
		outline = f.all(box.Polygon())
	}
	if err := t.patches(p, f, outline, weld); err != nil {
		return nil, err
	}
	t.nameFabrics(p)
	p.width, p.height = round(p.width, p.unit, snapWithin), round(p.height, p.unit, snapWithin)
	snap(p, snapWithin)
	if t.o.Size == 0 {
		t.measured(root, p)
	}
	if err := t.divide(p); err != nil {
		return nil, err
	}
	return t.write(p)
}

// extent is the box around what is drawn, within the page.
func (t *tracer) extent() (geom.Box, error) {
	var drawn []*area
	for _, s := range t.shapes {
		drawn = append(drawn, s.area)
	}
	for _, s := range t.strokes {
		drawn = append(drawn, s.area)
	}
	box, some := bounds(drawn)
	if !some {
		return box, t.failed("the drawing has no filled shapes and no lines")
	}
	if t.paper == nil {
		if t.o.Page {
			return box, t.failed("the drawing has no page: it has no width, height or viewBox. Leave out --page")
		}
		return box, nil
	}
	page := t.paper.Bounds()
	if t.o.Page {
		return page, nil
	}
	if !box.Meets(page) {
		return box, t.failed("everything is drawn outside the page. Move it onto the page")
	}
	box.Min = geom.Point{X: max(box.Min.X, page.Min.X), Y: max(box.Min.Y, page.Min.Y)}
	box.Max = geom.Point{X: min(box.Max.X, page.Max.X), Y: min(box.Max.Y, page.Max.Y)}
	return box, nil
}

// measured says how large the block is where the page does not say so in a unit that a ruler has, or is larger.
func (t *tracer) measured(root *element, p *plan) {
	size := geom.FormatNumber(p.width, p.unit) + " × " + geom.Format(p.height, p.unit)
	page := t.paper.Bounds()
	_, unit := number(strings.TrimSpace(cmp.Or(root.attr["width"], root.attr["height"])))
	switch {
	case unit == "" || unit == "px":
		t.note(root, "the page is measured in pixels, 96 to the inch: the block is %s. --finished gives it another size", size)
	case page.Width()*hairs-p.width > geom.Inch/8 || page.Height()*hairs-p.height > geom.Inch/8:
		t.note(root, "the block is what is drawn, %s, not the whole page. --page takes the page", size)
	}
}

// title is what the block is called: as it was asked for, as the drawing says, or as the file.
func (t *tracer) title(root *element) string {
	if t.o.Title != "" {
		return t.o.Title
	}
	if s := label(root); s != "" {
		return s
	}
	name := filepath.Base(t.path)
	return strings.TrimSuffix(name, filepath.Ext(name))
}

// patches finds what is seen, and makes patches of it. Given an outline, they fill it.
func (t *tracer) patches(p *plan, f frame, outline geom.Polygon, weld float64) error {
	for _, a := range t.areas {
		a.loops = nil
		for _, c := range a.chains {
			loop := f.all(c.points)
			for i, p := range loop { // what nearly reaches the edge of the block does: else that would be bent to it
				loop[i] = geom.Point{X: toEdge(p.X, f.box.Width()*f.scale), Y: toEdge(p.Y, f.box.Height()*f.scale)}
			}
			a.loops = append(a.loops, loop)
		}
	}
	for _, s := range t.shapes {
		if !slices.ContainsFunc(s.loops, func(l geom.Polygon) bool { return l.Weld().Straighten() != nil }) {
			t.note(s.of, "%s has almost no area and is ignored", s.of)
		}
	}
	v := t.viewer()
	var edges []geom.Segment
	var frame geom.Polygon
	if len(t.shapes) > 0 {
		var err error
		if edges, frame, err = t.edges(v, f.all(f.box.Polygon()).Bounds()); err != nil {
			return err
		}
	}
	seams, err := t.seams(v)
	if err != nil {
		return err
	}
	beyond := func(s geom.Segment) bool {
		return frame.Contains(s.A) == geom.Outside || frame.Contains(s.B) == geom.Outside
	}
	if outline == nil && frame != nil && !slices.ContainsFunc(seams, beyond) {
		outline = frame // its edges stay where they are
	}
	for _, l := range t.strokes {
		if width := l.width * f.scale; len(t.shapes) > 0 && width >= geom.Inch/8 {
			t.note(l.of, "%s is a line %s wide: it becomes a seam. Draw it as a shape to make it a patch", l.of, geom.Format(width, t.unit))
		}
	}
	edges = append(edges, seams...)
	fill := outline // what the faces fill; nil: what is enclosed
	found, err := t.subdivide(edges, fill, weld)
	if err != nil {
		return err
	}
	if len(found.Faces) == 0 {
		return t.failed("the lines of the drawing enclose nothing")
	}
	if outline == nil {
		if outline = outside(found); outline == nil { // in pieces: the rectangle around them is the block
			outline = geom.Polygon(found.Points).Bounds().Polygon()
			fill = outline
			if found, err = t.subdivide(edges, fill, weld); err != nil {
				return err
			}
		}
		if err := t.uncracked(outline, weld); err != nil {
			return err
		}
		if !isBox(outline, outline.Bounds()) {
			t.note(nil, "the block is not a rectangle: it gets an outline with %d corners%s", len(outline), map[bool]string{true: ". --page takes the whole page"}[t.paper != nil])
		}
	}
	p.closed = found.Closed
	for _, s := range found.Strays {
		t.note(nil, "a line of %s from %s to %s encloses nothing and is ignored", geom.Format(s.Length, p.unit),
			geom.FormatPlace(s.From, p.unit), geom.FormatPlace(s.To, p.unit))
	}
	if err := t.cover(p, v, found, seams, fill, weld); err != nil {
		return err
	}
	bounds := outline.Bounds()
	p.width, p.height = bounds.Width(), bounds.Height()
	if !isBox(outline, bounds) {
		p.outline = outline
	}
	if bounds.Min != (geom.Point{}) { // what was painted ends short of what was drawn
		shift := geom.Point{}.Sub(bounds.Min)
		for i := range p.patches {
			move(p.patches[i].corners, shift)
		}
		for i, c := range p.closed {
			p.closed[i].From, p.closed[i].To = c.From.Add(shift), c.To.Add(shift)
		}
		p.outline = slices.Clone(p.outline)
		move(p.outline, shift)
	}
	return nil
}

// toEdge is 0 or the length of a side for what is within a hair of it.
func toEdge(v, side float64) float64 {
	switch {
	case math.Abs(v) <= geom.Hair:
		return 0
	case math.Abs(v-side) <= geom.Hair:
		return side
	}
	return v
}

func move(poly geom.Polygon, by geom.Point) {
	for i := range poly {
		poly[i] = poly[i].Add(by)
	}
}

func (t *tracer) subdivide(edges []geom.Segment, outline geom.Polygon, weld float64) (*faces.Subdivision, error) {
	s, err := faces.Subdivide(edges, faces.Options{Outline: outline, Close: weld})
	if err != nil {
		return nil, t.failed("%v", err)
	}
	return s, nil
}

// spot is a place in the block, as a person finds it.
func (t *tracer) spot(p geom.Point) string {
	return geom.FormatPlace(p, t.unit) + " " + t.unit.String() + " from the lower left"
}

// outside is the outline of all faces together; nil when they are in pieces, or touch
// in a corner alone.
func outside(s *faces.Subdivision) geom.Polygon {
	sides := make(map[[2]int]bool)
	for _, f := range s.Faces {
		for _, ring := range append([][]int{f.Ring}, f.Holes...) {
			for i, u := range ring {
				sides[[2]int{u, ring[(i+1)%len(ring)]}] = true
			}
		}
	}
	next := make(map[int]int) // along the sides with a face on the left alone
	first := -1
	for _, f := range s.Faces {
		for i, u := range f.Ring {
			v := f.Ring[(i+1)%len(f.Ring)]
			if sides[[2]int{v, u}] {
				continue
			}
			if _, twice := next[u]; twice {
				return nil
			}
			if next[u] = v; first < 0 {
				first = u
			}
		}
	}
	if first < 0 {
		return nil
	}
	ring := []int{first}
	for v := next[first]; v != first; v = next[v] {
		if ring = append(ring, v); len(ring) > len(next) {
			return nil
		}
	}
	if len(ring) < len(next) {
		return nil
	}
	return s.Polygon(ring).Straighten()
}

// narrowest is how wide something between shapes has to be to be meant, beside what is welded:
// 1/8 in, half a seam allowance. What is narrower is a gap.
func narrowest(weld float64) float64 { return max(2*weld, geom.Inch/8) }

// uncracked refuses an outline with a gap that runs in from the edge of the block: between two of its
// corners on the convex hull that are near each other, it goes inwards.
func (t *tracer) uncracked(outline geom.Polygon, weld float64) error {
	if len(t.shapes) == 0 {
		return nil
	}
	hull := geom.ConvexHull(outline)
	var outer []int
	for i, p := range outline {
		if hull.Contains(p) == geom.OnEdge {
			outer = append(outer, i)
		}
	}
	for k, i := range outer {
		next := outer[(k+1)%len(outer)]
		mouth := geom.Segment{A: outline[i], B: outline[next]}
		if next != (i+1)%len(outline) && mouth.Len() < narrowest(weld) {
			return t.fail(t.nearest(mouth.Mid()).of, "leaves a gap at the edge of the block, %s wide at %s. Close it, or use a larger --snap",
				geom.Format(mouth.Len(), t.unit), t.spot(mouth.Mid()))
		}
	}
	return nil
}

// isBox says whether an outline is the rectangle around it.
func isBox(outline geom.Polygon, box geom.Box) bool {
	if len(outline) != 4 {
		return false
	}
	for _, c := range box.Polygon() {
		if !slices.ContainsFunc(outline, func(p geom.Point) bool { return p.Dist(c) <= geom.Hair }) {
			return false
		}
	}
	return true
}
