package svgimport

import (
	"slices"
	"strings"

	"sewable/lang/geom"
)

// A clip is what something is seen through: the parts of a clip path, or a mask, whose parts let through
// where they are light.
type clip struct {
	of    *element
	parts []*shape
	mask  bool
	alpha bool // a mask that lets through where something is painted, of whatever color
	half  bool // it is noted that it lets through in part

	asked  int // the face that was asked about last, counted from 1
	passes bool
}

// A clipKey is a clip path or mask in a place, and, where that matters, the box it is fitted to.
type clipKey struct {
	of  *element
	m   affine
	box geom.Box
}

// frameClip is a clip to a frame.
func (t *tracer) frameClip(e *element, frame geom.Polygon, m affine) *clip {
	key := clipKey{of: e, m: m, box: frame.Bounds()}
	if c := t.clips[key]; c != nil {
		return c
	}
	c := &clip{of: e, parts: []*shape{{area: t.keep(&area{of: e, chains: []chain{{points: m.all(frame), closed: true}}}), fill: "#ffffff", alpha: 1}}}
	t.clips[key] = c
	return c
}

// clipped is what an element is seen through by a property; nil for nothing.
func (t *tracer) clipped(e *element, w where, property, value string) (*clip, error) {
	if value == "" || w.whole {
		return nil, nil
	}
	id, ok := localURL(value)
	want := map[string]string{"clip-path": "clipPath", "mask": "mask"}[property]
	if !ok {
		return nil, t.fail(e, "has %q for its %s, which is not supported. Clip it with a shape, or draw it as it is seen", shorten(value), property)
	}
	of := t.ids[id]
	switch {
	case of == nil || of.name != want:
		t.note(e, "%s has the %s %q, which is not in the drawing and is ignored", e, property, shorten(id))
		return nil, nil
	case slices.Contains(t.open, of):
		return nil, t.fail(of, "is used inside itself")
	case len(t.open) >= maxDepth:
		return nil, t.fail(e, "is nested more than %d deep", maxDepth)
	}
	units := func(name, otherwise string) bool { // whether they are those of the box
		v := of.attr[name]
		if v == "" {
			v = otherwise
		}
		return v == "objectBoundingBox"
	}
	inside, region := units("clipPathUnits", "userSpaceOnUse"), false
	if property == "mask" {
		inside = units("maskContentUnits", "userSpaceOnUse")
		region = of.attr["x"]+of.attr["y"]+of.attr["width"]+of.attr["height"] != ""
	}
	fitted := region && units("maskUnits", "objectBoundingBox")
	t.open = append(t.open, of)
	defer func() { t.open = t.open[:len(t.open)-1] }()
	key := clipKey{of: of, m: w.m}
	if inside || fitted {
		var err error
		if key.box, err = t.ownBox(e, w); err != nil {
			return nil, err
		}
	}
	if c := t.clips[key]; c != nil {
		return c, nil
	}
	p, err := t.painted(plainPaint, of)
	if err != nil {
		return nil, err
	}
	in := where{m: w.m, v: w.v, p: p, uses: w.uses, inClip: property == "clip-path"}
	if err := t.through(of, &in); err != nil {
		return nil, err
	}
	fit := affine{key.box.Width(), 0, 0, key.box.Height(), key.box.Min.X, key.box.Min.Y}
	if region {
		m, v := in.m, w.v
		if fitted {
			m, v = m.of(fit), view{1, 1}
		}
		frame, err := t.maskRegion(of, v)
		if err != nil {
			return nil, err
		}
		in.clips = append(in.clips[:len(in.clips):len(in.clips)], t.frameClip(of, frame, m))
	}
	if inside {
		in.m = in.m.of(fit)
	}
	c := &clip{of: of, mask: property == "mask"}
	of.each(func(e *element) { // programs make white of what is painted by a filter
		c.alpha = c.alpha || e.attr["filter"] != "" || strings.Contains(e.attr["style"], "filter")
	})
	c.alpha = c.alpha || of.attr["mask-type"] == "alpha"
	notes := len(t.notes)
	c.parts, err = t.apart(func() error { return t.children(of, in) })
	if c.mask { // its colors and filters are not what is seen
		t.notes = t.notes[:notes]
	}
	if err != nil {
		return nil, err
	}
	t.clips[key] = c
	return c, nil
}

// maskRegion is the frame that a mask says it has: SVG 1.1, 14.4.
func (t *tracer) maskRegion(of *element, v view) (geom.Polygon, error) {
	var n [4]float64
	for i, a := range [4]struct {
		name string
		part float64
		side int
	}{{"x", -0.1, across}, {"y", -0.1, along}, {"width", 1.2, across}, {"height", 1.2, along}} {
		var err error
		if n[i], err = t.length(of, a.name, a.part*v.of(a.side), v, a.side); err != nil {
			return nil, err
		}
	}
	return geom.Box{Min: geom.Point{X: n[0], Y: n[1]}, Max: geom.Point{X: n[0] + n[2], Y: n[1] + n[3]}}.Polygon(), nil
}

// ownBox is the box around an element in its own units.
func (t *tracer) ownBox(e *element, w where) (geom.Box, error) {
	w.m, w.clips, w.whole = identity, nil, true
	before, clips := len(t.areas), t.clips
	t.clips = make(map[clipKey]*clip) // those with areas that are given up again
	shapes, err := t.apart(func() error { return kinds[e.name](t, e, w) })
	t.areas, t.clips = t.areas[:before], clips
	if err != nil {
		return geom.Box{}, err
	}
	var areas []*area
	for _, s := range shapes {
		areas = append(areas, s.area)
	}
	box, _ := bounds(areas)
	return box, nil
}

// apart collects what is drawn without drawing it.
func (t *tracer) apart(draw func() error) ([]*shape, error) {
	shapes, strokes := t.shapes, t.strokes
	t.shapes, t.strokes = nil, nil
	err := draw()
	drawn := t.shapes
	t.shapes, t.strokes = shapes, strokes
	return drawn, err
}

// localURL is the name in url(#name).
func localURL(value string) (string, bool) {
	rest, ok := strings.CutPrefix(strings.TrimSpace(value), "url(")
	inside, _, closed := strings.Cut(rest, ")")
	id, local := strings.CutPrefix(strings.Trim(inside, " \t\r\n\"'"), "#")
	return id, ok && closed && local
}
