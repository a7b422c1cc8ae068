package svgimport

import (
	"math"
	"slices"
	"strings"

	"sewable/lang/geom"
)

// A shape is an area that is painted, in user units of the page, y down.
type shape struct {
	of     *element
	loops  []geom.Polygon
	fill   string     // #rrggbb
	groups []*element // that it stands in, from the outside in
	mark   mark       // in a drawing of our own
}

// A line is a stroke that is no area's.
type line struct {
	of *element
	geom.Segment
}

// where is what the elements around one say of it.
type where struct {
	m      affine
	v      view
	p      paint
	groups []*element
	uses   []*element // that are open
}

// kinds say what is done with an element. What is nowhere in this table is refused.
var kinds map[string]func(*tracer, *element, where) error

func init() { // the table and its functions need each other
	kinds = map[string]func(*tracer, *element, where) error{
		"g": (*tracer).group, "a": (*tracer).group, "svg": (*tracer).inner, "use": (*tracer).use,
		"path": (*tracer).pathElement, "rect": (*tracer).rect, "circle": (*tracer).ellipse, "ellipse": (*tracer).ellipse,
		"line": (*tracer).lineElement, "polyline": (*tracer).poly, "polygon": (*tracer).poly,
	}
	for _, name := range strings.Fields(`title desc metadata defs symbol style linearGradient radialGradient meshgradient pattern clipPath mask
		filter marker view cursor solidColor font font-face color-profile`) {
		kinds[name] = func(*tracer, *element, where) error { return nil }
	}
	for name, why := range map[string]string{
		"text":          "contains text, which cannot be sewn. Convert it to paths with straight lines, or remove it",
		"image":         "is a pixel image. Trace it with straight lines, and remove it",
		"foreignObject": "contains something other than SVG. Remove it",
		"switch":        "contains alternatives. Keep only one",
	} {
		kinds[name] = func(t *tracer, e *element, _ where) error { return t.fail(e, "%s", why) }
	}
}

// walk collects the shapes and lines of a drawing.
func (t *tracer) walk(root *element) error {
	var script *element
	root.each(func(e *element) {
		if e.name == "script" && script == nil {
			script = e
		}
	})
	if script != nil {
		return t.fail(script, "is a program, which is not run. Save the drawing without it")
	}
	if err := t.styles(root); err != nil {
		return err
	}
	p, err := t.painted(paint{fill: "#000000", colour: "#000000"}, root)
	if err != nil || p.gone {
		return err
	}
	m, v, err := t.page(root)
	if err != nil {
		return err
	}
	if m, err = t.placed(root, p, m); err != nil {
		return err
	}
	return t.children(root, where{m: m, v: v, p: p})
}

// page is where the outermost element lies: as large as it says, else as its view box says.
func (t *tracer) page(root *element) (affine, view, error) {
	whole := view{300, 150} // CSS 2.2, 10.3.2: the size of what gives none
	box, err := numbers(root.attr["viewBox"])
	boxed := err == nil && len(box) == 4 && box[2] > 0 && box[3] > 0
	if boxed {
		whole = view{box[2], box[3]}
	}
	width, err := t.length(root, "width", whole.width, whole, across)
	if err != nil {
		return identity, whole, err
	}
	height, err := t.length(root, "height", whole.height, whole, along)
	if err != nil {
		return identity, whole, err
	}
	if boxed && root.attr["width"] != "" && root.attr["height"] == "" {
		height = width * box[3] / box[2]
	} else if boxed && root.attr["height"] != "" && root.attr["width"] == "" {
		width = height * box[2] / box[3]
	}
	if !(width > 0 && height > 0) {
		return identity, whole, t.fail(root, "has no size")
	}
	return t.viewport(root, 0, 0, width, height)
}

// placed is the place of an element with its own transform.
func (t *tracer) placed(e *element, p paint, m affine) (affine, error) {
	if p.transform == "" {
		return m, nil
	}
	own, err := parseTransform(p.transform)
	if err != nil {
		return m, t.fail(e, "has a transform that cannot be read: %v", err)
	}
	if m = m.of(own); !m.finite() {
		return m, t.fail(e, "is too large after its transform")
	}
	return m, nil
}

func (t *tracer) children(e *element, w where) error {
	for _, c := range e.children {
		if err := t.element(c, w); err != nil {
			return err
		}
	}
	return nil
}

func (t *tracer) element(e *element, w where) error {
	if t.drawn++; t.drawn > maxElement {
		return t.fail(e, "is one element too many: at most %d are drawn, each as often as it is used", maxElement)
	}
	do, ok := kinds[e.name]
	if !ok {
		if strings.HasPrefix(e.name, "animate") || e.name == "set" {
			t.note(e, "%s is ignored: animation has no effect", e)
			return nil
		}
		return t.fail(e, "cannot be imported")
	}
	p, err := t.painted(w.p, e)
	if err != nil {
		return err
	}
	if p.gone {
		return nil
	}
	if w.p = p; p.beside != "" {
		return t.fail(e, "is clipped by a %s. Draw the shape as it is seen", p.beside)
	}
	if w.m, err = t.placed(e, p, w.m); err != nil {
		return err
	}
	return do(t, e, w)
}

func (t *tracer) group(e *element, w where) error {
	w.groups = append(w.groups[:len(w.groups):len(w.groups)], e)
	return t.children(e, w)
}

// inner is an svg element in another.
func (t *tracer) inner(e *element, w where) error { return t.framed(e, w, e) }

// framed is an element with a view box, whose place and size a given element says.
func (t *tracer) framed(e *element, w where, said *element) error {
	var n [4]float64
	for i, a := range [4]struct {
		name      string
		otherwise float64
		side      int
	}{{"x", 0, across}, {"y", 0, along}, {"width", w.v.width, across}, {"height", w.v.height, along}} {
		from := said
		if from.attr[a.name] == "" && i > 1 {
			from = e
		}
		var err error
		if n[i], err = t.length(from, a.name, a.otherwise, w.v, a.side); err != nil {
			return err
		}
	}
	if !(n[2] > 0 && n[3] > 0) {
		return nil // SVG 1.1, 5.1.2: no size, not drawn
	}
	m, v, err := t.viewport(e, n[0], n[1], n[2], n[3])
	if err != nil {
		return err
	}
	w.m, w.v = w.m.of(m), v
	return t.group(e, w)
}

func (t *tracer) use(e *element, w where) error {
	href := strings.TrimSpace(e.attr["href"])
	id, ok := strings.CutPrefix(href, "#")
	if !ok {
		return t.fail(e, "refers to %q, outside the drawing. It is not fetched; draw it here", shorten(href))
	}
	of := t.ids[id]
	switch {
	case of == nil:
		return t.fail(e, "refers to %q, which is not in the drawing", shorten(id))
	case slices.Contains(w.uses, e):
		return t.fail(e, "contains itself")
	case len(w.uses) >= maxDepth:
		return t.fail(e, "is nested more than %d deep", maxDepth)
	}
	w.uses = append(w.uses[:len(w.uses):len(w.uses)], e)
	w.groups = append(w.groups[:len(w.groups):len(w.groups)], e)
	switch of.name {
	case "symbol", "svg":
		if t.drawn++; t.drawn > maxElement {
			return t.fail(e, "is one element too many: at most %d are drawn", maxElement)
		}
		p, err := t.painted(w.p, of)
		if err != nil || p.gone {
			return err
		}
		w.p = p
		return t.framed(of, w, e)
	}
	x, err := t.length(e, "x", 0, w.v, across)
	if err != nil {
		return err
	}
	y, err := t.length(e, "y", 0, w.v, along)
	if err != nil {
		return err
	}
	w.m = w.m.of(affine{1, 0, 0, 1, x, y})
	return t.element(of, w)
}

// lengths are several lengths of an element, 0 where there is none.
func (t *tracer) lengths(e *element, v view, names ...string) ([]float64, error) {
	out := make([]float64, len(names))
	for i, name := range names {
		side := diagonal
		switch name {
		case "x", "x1", "x2", "cx", "width", "rx":
			side = across
		case "y", "y1", "y2", "cy", "height", "ry":
			side = along
		}
		var err error
		if out[i], err = t.length(e, name, 0, v, side); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func (t *tracer) lineElement(e *element, w where) error {
	n, err := t.lengths(e, w.v, "x1", "y1", "x2", "y2")
	if err != nil {
		return err
	}
	w.p.fill = ""
	return t.add(e, w, []chain{{points: []geom.Point{{X: n[0], Y: n[1]}, {X: n[2], Y: n[3]}}}})
}

func (t *tracer) poly(e *element, w where) error {
	n, err := numbers(e.attr["points"])
	if err != nil || len(n)%2 != 0 {
		return t.fail(e, "has points that are not pairs of numbers")
	}
	c := chain{closed: e.name == "polygon"}
	for i := 0; i < len(n); i += 2 {
		c.points = append(c.points, geom.Point{X: n[i], Y: n[i+1]})
	}
	return t.add(e, w, []chain{c})
}

func (t *tracer) rect(e *element, w where) error {
	n, err := t.lengths(e, w.v, "x", "y", "width", "height", "rx", "ry")
	if err != nil {
		return err
	}
	x, y, width, height, rx, ry := n[0], n[1], n[2], n[3], n[4], n[5]
	if width < 0 || height < 0 {
		return t.fail(e, "has a size below zero")
	}
	if width == 0 || height == 0 {
		return nil // SVG 1.1, 9.2: not drawn
	}
	if rx == 0 && e.attr["rx"] == "" {
		rx = ry
	}
	if ry == 0 && e.attr["ry"] == "" {
		ry = rx
	}
	rx, ry = min(rx, width/2), min(ry, height/2)
	if rx <= 0 || ry <= 0 {
		return t.add(e, w, []chain{{closed: true, points: []geom.Point{{X: x, Y: y}, {X: x + width, Y: y}, {X: x + width, Y: y + height}, {X: x, Y: y + height}}}})
	}
	if t.o.Chords == 0 {
		return t.fail(e, "has rounded corners, and %s", straightOnly)
	}
	c := chain{closed: true}
	for i, centre := range [4]geom.Point{{X: x + width - rx, Y: y + ry}, {X: x + width - rx, Y: y + height - ry}, {X: x + rx, Y: y + height - ry}, {X: x + rx, Y: y + ry}} {
		from := float64(i-1) * math.Pi / 2
		c.points = append(c.points, onEllipse(centre, rx, ry, from))
		c.points = appendArc(c.points, centre, rx, ry, 0, from, math.Pi/2, t.o.Chords)
	}
	return t.add(e, w, []chain{c})
}

func (t *tracer) ellipse(e *element, w where) error {
	names := []string{"cx", "cy", "rx", "ry"}
	if e.name == "circle" {
		names = []string{"cx", "cy", "r", "r"}
	}
	n, err := t.lengths(e, w.v, names...)
	if err != nil {
		return err
	}
	switch {
	case n[2] < 0 || n[3] < 0:
		return t.fail(e, "has a radius below zero")
	case n[2] == 0 || n[3] == 0:
		return nil // SVG 1.1, 9.3: not drawn
	case t.o.Chords == 0:
		return t.fail(e, "is a curve, and %s", straightOnly)
	}
	c := chain{closed: true}
	centre := geom.Point{X: n[0], Y: n[1]}
	for quarter := range 4 {
		from := float64(quarter) * math.Pi / 2
		c.points = appendArc(c.points, centre, n[2], n[3], 0, from, math.Pi/2, t.o.Chords)
	}
	return t.add(e, w, []chain{c})
}

func (t *tracer) pathElement(e *element, w where) error {
	chains, err := t.parsePath(e, e.attr["d"], w.m)
	if err != nil {
		return err
	}
	w.m = identity
	return t.add(e, w, chains)
}

// add makes a shape, or lines, of chains of points.
func (t *tracer) add(e *element, w where, chains []chain) error {
	if w.p.hidden || w.p.fill == "" && w.p.stroke == "" {
		return nil
	}
	s := &shape{of: e, fill: w.p.fill, groups: w.groups}
	if n := len(w.uses); n > 0 {
		s.of = w.uses[0] // where it is drawn
	}
	for _, c := range chains {
		if t.corner += len(c.points); t.corner > maxCorners {
			return t.fail(e, "has one corner too many: a drawing has at most %d", maxCorners)
		}
		points := make(geom.Polygon, len(c.points))
		for i, p := range c.points {
			if points[i] = w.m.apply(p); !reachable(points[i].X) || !reachable(points[i].Y) {
				return t.fail(e, "has a corner that is too far away")
			}
		}
		if w.p.fill != "" && len(points) > 2 {
			s.loops = append(s.loops, points)
			continue
		}
		if w.p.stroke == "" {
			continue
		}
		for i := range points {
			if i < len(points)-1 || c.closed && len(points) > 2 {
				t.lines = append(t.lines, line{s.of, points.Edge(i)})
			}
		}
	}
	if len(s.loops) > 0 {
		t.shapes = append(t.shapes, s)
	}
	return nil
}
