package svgimport

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/syntax"
)

// A drawing that this program made says what it shows: its outline has the block's title and size
// (data-block, data-width and data-height in hairs, data-units) and its joins (data-joins), each patch its
// fabric and its label (data-fabric, data-patch), each notch its name (data-notch). Labels,
// hatches, lines and the key are there to look at and are left out.

// A mark is what a patch of such a drawing says of itself.
type mark struct{ label, fabric, title string }

// findOwn is the outline of such a drawing, or nil.
func findOwn(root *element) (own *element) {
	root.each(func(e *element) {
		if own == nil && e.name == "path" && e.attr["data-block"] != "" && e.attr["data-width"] != "" {
			own = e
		}
	})
	return own
}

// traceOwn reads the block back.
func (t *tracer) traceOwn(root, own *element) (*Block, error) {
	var second *element
	root.each(func(e *element) {
		if second == nil && e != own && e.attr["data-block"] != "" && e.attr["data-width"] != "" {
			second = e
		}
	})
	if second != nil {
		return nil, t.fail(second, "is a second block in one drawing. Draw one block alone, with --block")
	}
	width, _ := number(own.attr["data-width"])
	height, _ := number(own.attr["data-height"])
	if !(width >= 1 && width <= longest && height >= 1 && height <= longest) {
		return nil, t.fail(own, "has no size that can be")
	}
	m, v, err := t.page(root)
	if err != nil {
		return nil, err
	}
	r := &ownReader{tracer: t, outline: own}
	if err := r.read(root, where{m: m, v: v, p: plainPaint}); err != nil {
		return nil, err
	}
	if len(r.border) < 3 {
		return nil, t.fail(own, "has no outline")
	}
	box := r.border.Bounds()
	if !(box.Width() > 0) {
		return nil, t.fail(own, "has no width")
	}
	f := frame{box: box, scale: width / box.Width(), mirror: own.attr["data-side"] == "printed"}
	p := &plan{title: own.attr["data-block"], unit: t.unit}
	if t.o.Title != "" {
		p.title = t.o.Title
	}
	if u, ok := geom.UnitNamed(own.attr["data-units"]); ok {
		p.unit = u
	}
	t.unit = p.unit
	within := max(snapWithin, max(width, height)/50_000) // places are rounded to 1/50,000 of the picture
	if t.o.Size > 0 {
		k := t.o.Size / max(width, height)
		f.scale, width, height, within = f.scale*k, width*k, height*k, within*k
	}
	if err := t.patches(p, f, f.all(r.border), geom.Hair); err != nil {
		return nil, err
	}
	for _, n := range r.notches {
		n.at = f.at(n.at)
		if !slices.ContainsFunc(p.notches, func(o notch) bool { return o.name == n.name && o.at.Dist(n.at) < geom.Hair }) {
			p.notches = append(p.notches, n)
		}
	}
	p.width, p.height = width, height
	t.ownFabrics(p)
	snap(p, within)
	p.sections = ownSections(p)
	if len(p.sections) > 0 {
		if why := t.ownJoins(p, own.attr["data-joins"]); why != "" {
			t.note(nil, "the joins are not imported: %s", why)
		}
	}
	return t.write(p)
}

type ownReader struct {
	*tracer
	outline *element
	border  geom.Polygon
	notches []notch
}

func (r *ownReader) read(e *element, w where) error {
	for _, c := range e.children {
		p, err := r.painted(w.p, c)
		if err != nil {
			return err
		}
		at := w
		at.p = p
		if at.m, err = r.placed(c, p, w.m); err != nil {
			return err
		}
		switch {
		case c.name == "g" || c.name == "svg" || c.name == "a":
			err = r.read(c, at)
		case c.name != "path":
		case c == r.outline:
			var chains []chain
			if chains, err = r.parsePath(c, c.attr["d"], at.m); err == nil && len(chains) > 0 {
				r.border = chains[0].points
			}
		case c.attr["data-fabric"] != "":
			before := len(r.shapes)
			err = r.pathElement(c, at)
			for _, s := range r.shapes[before:] {
				s.mark = mark{label: c.attr["data-patch"], fabric: c.attr["data-fabric"]}
				for _, title := range c.children {
					if title.name == "title" {
						s.mark.title = strings.TrimSpace(strings.TrimPrefix(title.text, s.mark.label))
					}
				}
			}
		case syntax.IsName(c.attr["data-notch"]):
			var chains []chain
			if chains, err = r.parsePath(c, c.attr["d"], at.m); err == nil && len(chains) > 0 && len(chains[0].points) == 2 {
				q := chains[0].points
				r.notches = append(r.notches, notch{c.attr["data-notch"], geom.Segment{A: q[0], B: q[1]}.Mid()})
			}
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// ownFabrics are the fabrics as the patches name them.
func (t *tracer) ownFabrics(p *plan) {
	known := make(map[string]int)
	for i, q := range p.patches {
		f := fabric{name: "plain"}
		if q.of != nil {
			f = fabric{name: q.of.mark.fabric, title: q.of.mark.title, colour: q.of.fill}
		}
		if f.title == f.name {
			f.title = ""
		}
		n, ok := known[f.name]
		if !ok {
			n = len(p.fabrics)
			known[f.name] = n
			if !syntax.IsName(f.name) {
				f.name = nearestKeyword(f.colour)
			}
			f.name = freeName(p.fabrics, f.name)
			p.fabrics = append(p.fabrics, f)
		}
		p.patches[i].fabric = n
	}
}

// ownSections are the sections as the labels of the patches say; none unless every patch has its
// place in one.
func ownSections(p *plan) []section {
	var out []section
	number := make([]int, len(p.patches))
	for i, q := range p.patches {
		if q.of == nil {
			return nil
		}
		label := q.of.mark.label
		name := strings.TrimRightFunc(label, unicode.IsDigit)
		n, err := strconv.Atoi(label[len(name):])
		if err != nil || !isSectionName(name) {
			return nil
		}
		number[i] = n
		k := slices.IndexFunc(out, func(s section) bool { return s.name == name })
		if k < 0 {
			k = len(out)
			out = append(out, section{name: name})
		}
		out[k].patches = append(out[k].patches, i)
	}
	for _, s := range out {
		slices.SortFunc(s.patches, func(i, j int) int { return number[i] - number[j] })
		for k, i := range s.patches {
			if number[i] != k+1 {
				return nil
			}
		}
	}
	return out
}

// A join as a drawing says it.
var joinSaid = regexp.MustCompile(`^(?:join (\S+) to (\S+)(?: partial| inset)?|finish (\S+) to (\S+))(?: press toward (\S+))?$`)

// ownJoins are the joins as the drawing says them, if it says them of sections that are there; else joins
// that are all straight.
func (t *tracer) ownJoins(p *plan, said string) (why string) {
	known := func(name string) bool {
		return name == "" || slices.ContainsFunc(p.sections, func(s section) bool { return s.name == name })
	}
	statements := strings.Split(said, "; ")
	for _, s := range statements {
		m := joinSaid.FindStringSubmatch(s)
		if m == nil || slices.ContainsFunc(m[1:], func(name string) bool { return !known(name) }) {
			statements = nil
			break
		}
	}
	if statements != nil {
		p.joins = statements
		return ""
	}
	b := t.model(p)
	if b == nil || b.Broken {
		return "the sections do not make a block that can be sewn"
	}
	return t.join(p, sew.Analyse(b))
}
