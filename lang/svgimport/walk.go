package svgimport

import (
	"math"
	"slices"
	"strings"

	"sewable/lang/geom"
)

// An area is what loops of corners enclose, in user units of the page, y down; loops has them in the block.
type area struct {
	of     *element
	chains []chain
	odd    bool    // an even-odd fill
	clips  []*clip // that it is seen through
	id     int     // into the areas of the tracer
	loops  []geom.Polygon
}

// A shape is an area that is painted.
type shape struct {
	*area
	fill   string   // #rrggbb
	alpha  float64  // of the fill, 0 to 1
	order  int      // in which it is painted
	layers []*layer // groups that are partly transparent as a whole, from the outside in
	groups []*element
	mark   mark // in a drawing of our own
}

// A stroke is lines that bound no shape.
type stroke struct {
	*area
	order int
	width float64 // on the page
}

// A layer is an element that is partly transparent as a whole.
type layer struct{ alpha float64 }

// where is what the elements around one say of it.
type where struct {
	m      affine
	v      view
	p      paint
	groups []*element
	uses   []*element // that are open
	clips  []*clip
	layers []*layer
	inClip bool // in a clip path, where what is painted does not matter
	whole  bool // for the box around an element, which no clip makes smaller
}

// kinds say what is done with an element. What is nowhere in this table is refused.
var kinds map[string]func(*tracer, *element, where) error

func init() { // the table and its functions need each other
	kinds = map[string]func(*tracer, *element, where) error{
		"g": (*tracer).group, "a": (*tracer).group, "svg": (*tracer).inner, "use": (*tracer).use, "switch": (*tracer).choice, "text": (*tracer).words,
		"path": (*tracer).pathElement, "rect": (*tracer).rect, "circle": (*tracer).ellipse, "ellipse": (*tracer).ellipse,
		"line": (*tracer).lineElement, "polyline": (*tracer).poly, "polygon": (*tracer).poly,
	}
	for _, name := range strings.Fields(`title desc metadata defs symbol style linearGradient radialGradient meshgradient pattern clipPath mask
		filter marker view cursor solidColor font font-face color-profile`) {
		kinds[name] = func(*tracer, *element, where) error { return nil }
	}
	for name, why := range map[string]string{
		"image":         "is a pixel image. Trace it with straight lines, and remove it",
		"foreignObject": "contains something other than SVG. Remove it",
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
	p, err := t.painted(plainPaint, root)
	if err != nil || p.gone {
		return err
	}
	m, v, err := t.page(root)
	if err != nil {
		return err
	}
	w := where{m: m, v: v, p: p}
	if t.paper != nil {
		w.clips = []*clip{t.frameClip(root, t.paper, identity)}
	}
	if err := t.through(root, &w); err != nil {
		return err
	}
	return t.children(root, w)
}

// page is where the outermost element is: as large as it says, else as its view box says.
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
	wide, high := ownLength(root, "width"), ownLength(root, "height")
	if boxed && wide && !high {
		height = width * box[3] / box[2]
	} else if boxed && high && !wide {
		width = height * box[2] / box[3]
	}
	if !(width > 0 && height > 0) {
		return identity, whole, t.fail(root, "has no size")
	}
	if t.sized = wide && high || boxed && (wide || high); t.sized || boxed {
		t.paper = geom.Box{Max: geom.Point{X: width, Y: height}}.Polygon()
	}
	return t.viewport(root, 0, 0, width, height)
}

// ownLength says whether an element gives a length that is no part of what is around it.
func ownLength(e *element, name string) bool {
	text := strings.TrimSpace(e.attr[name])
	return text != "" && text != "auto" && !strings.HasSuffix(text, "%")
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
	w.p = p
	if err := t.through(e, &w); err != nil {
		return err
	}
	return do(t, e, w)
}

// through is the place of an element, with what it is seen through.
func (t *tracer) through(e *element, w *where) (err error) {
	if w.m, err = t.placed(e, w.p, w.m); err != nil {
		return err
	}
	if w.p.opacity < 1 {
		t.flattened(e)
		w.layers = append(w.layers[:len(w.layers):len(w.layers)], &layer{w.p.opacity})
	}
	for _, name := range [...]string{"clip-path", "mask"} {
		c, err := t.clipped(e, *w, name, map[string]string{"clip-path": w.p.clip, "mask": w.p.mask}[name])
		if err != nil {
			return err
		}
		if c != nil {
			w.clips = append(w.clips[:len(w.clips):len(w.clips)], c)
		}
	}
	return nil
}

// flattened notes once that an element is partly transparent.
func (t *tracer) flattened(e *element) {
	if !t.faint[e] {
		t.faint[e] = true
		t.note(e, "%s is partly transparent: its fabrics get the colors that are seen", e)
	}
}

func (t *tracer) group(e *element, w where) error {
	w.groups = append(w.groups[:len(w.groups):len(w.groups)], e)
	return t.children(e, w)
}

// choice draws the first of its children that needs nothing special: SVG 1.1, 5.8.2.
func (t *tracer) choice(e *element, w where) error {
	for _, c := range e.children {
		if c.attr["requiredExtensions"] == "" && kinds[c.name] != nil {
			return t.element(c, w)
		}
	}
	return nil
}

// words are left out, and said.
func (t *tracer) words(e *element, w where) error {
	if w.inClip {
		return t.fail(e, "clips with text. Convert it to paths")
	}
	if !w.p.hidden && strings.TrimSpace(e.words()) != "" {
		t.note(e, "%s is ignored: text cannot be sewn. Convert it to paths to import it", e)
	}
	return nil
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
	if !w.p.overflow {
		frame := geom.Box{Min: geom.Point{X: n[0], Y: n[1]}, Max: geom.Point{X: n[0] + n[2], Y: n[1] + n[3]}}.Polygon()
		w.clips = append(w.clips[:len(w.clips):len(w.clips)], t.frameClip(e, frame, w.m))
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
		if err := t.through(of, &w); err != nil {
			return err
		}
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
	if t.o.Segments == 0 {
		return t.fail(e, "has rounded corners, and %s", straightOnly)
	}
	c := chain{closed: true}
	for i, centre := range [4]geom.Point{{X: x + width - rx, Y: y + ry}, {X: x + width - rx, Y: y + height - ry}, {X: x + rx, Y: y + height - ry}, {X: x + rx, Y: y + ry}} {
		from := float64(i-1) * math.Pi / 2
		arc := ellipseArc(centre, rx, ry, 0, from, math.Pi/2, identity)
		c.points = append(c.points, arc.at(0))
		c.curve(arc, arc.at(1))
	}
	c.ring()
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
	case t.o.Segments == 0:
		return t.fail(e, "is a curve, and %s", straightOnly)
	}
	c := chain{closed: true, points: []geom.Point{{X: n[0] + n[2], Y: n[1]}}}
	for quarter := range 4 {
		arc := ellipseArc(geom.Point{X: n[0], Y: n[1]}, n[2], n[3], 0, float64(quarter)*math.Pi/2, math.Pi/2, identity)
		c.curve(arc, arc.at(1))
	}
	c.ring()
	return t.add(e, w, []chain{c})
}

func (t *tracer) pathElement(e *element, w where) error {
	chains, err := t.parsePath(e, e.attr["d"], w.m)
	if err != nil {
		return err
	}
	w.p.strokeWidth *= w.m.size()
	w.m = identity
	return t.add(e, w, chains)
}

// add makes a shape, or lines, of chains of points.
func (t *tracer) add(e *element, w where, chains []chain) error {
	if w.p.hidden || w.p.fill == "" && w.p.stroke == "" && !w.inClip {
		return nil
	}
	of := e
	if n := len(w.uses); n > 0 && !w.inClip {
		of = w.uses[0] // where it is drawn
	}
	filled, lines := &area{of: of, clips: w.clips, odd: w.p.odd}, &area{of: of, clips: w.clips}
	if w.inClip {
		filled.odd = w.p.clipOdd
	}
	for _, c := range chains {
		if t.corner += len(c.points); t.corner > maxCorners {
			return t.fail(e, "has one corner too many: a drawing has at most %d", maxCorners)
		}
		if t.curves += len(c.curves); t.curves > maxCurves {
			return t.fail(e, "has one curve too many: a drawing has at most %d", maxCurves)
		}
		placed := chain{points: make([]geom.Point, len(c.points)), closed: c.closed}
		for i, p := range c.points {
			if placed.points[i] = w.m.apply(p); !reachable(placed.points[i].X) || !reachable(placed.points[i].Y) {
				return t.fail(e, "has a corner that is too far away")
			}
		}
		for i, k := range c.curves {
			if w.m != identity {
				at := k.at
				k = newCurve(func(t float64) geom.Point { return w.m.apply(at(t)) })
			}
			if placed.curves == nil {
				placed.curves = make(map[int]*curve)
			}
			placed.curves[i] = k
		}
		switch {
		case (w.p.fill != "" || w.inClip) && (len(c.points) > 2 || len(c.curves) > 0):
			filled.chains = append(filled.chains, placed)
		case w.p.stroke != "" && len(c.points) > 1 && !w.inClip:
			lines.chains = append(lines.chains, placed)
		}
	}
	t.painting++
	if len(filled.chains) > 0 {
		fill, alpha := faded(w.p.fill, w.p.fillOpacity)
		if w.inClip {
			fill, alpha = "#000000", 1
		} else if alpha < 1 {
			t.flattened(of)
		}
		t.shapes = append(t.shapes, &shape{area: t.keep(filled), fill: fill, alpha: alpha, order: t.painting, layers: w.layers, groups: w.groups})
	}
	if len(lines.chains) > 0 {
		t.strokes = append(t.strokes, stroke{area: t.keep(lines), order: t.painting})
		t.strokes[len(t.strokes)-1].width = w.p.strokeWidth * w.m.size()
	}
	return nil
}

// keep numbers an area.
func (t *tracer) keep(a *area) *area {
	a.id = len(t.areas)
	t.areas = append(t.areas, a)
	return a
}

// bounds are the least box around areas.
func bounds(areas []*area) (box geom.Box, some bool) {
	add := func(b geom.Box) {
		if !some {
			box, some = b, true
		}
		box = box.Union(b)
	}
	for _, a := range areas {
		for _, c := range a.chains {
			add(geom.Polygon(c.points).Bounds())
			for _, k := range c.curves {
				for i := range fine {
					add(k.step(i).Bounds())
				}
			}
		}
	}
	return box, some
}
