package svgimport

import (
	"math"
	"strconv"
	"strings"
	"unicode"

	"sewable/lang/geom"
	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lang/syntax/format"
)

// snapWithin is how far, in hairs, a coordinate may be from a ruler's mark and be
// meant there: a hundredth of a millimetre.
const snapWithin = 0.05

// write gives the block file.
func (t *tracer) write(p *plan) (*Block, error) {
	text := t.text(p)
	if len(text) > syntax.MaxBytes {
		return nil, t.failed("the block file would be larger than %d MB. Draw it with fewer corners", syntax.MaxBytes>>20)
	}
	text = format.Format(syntax.Parse(source.New("", text)))
	return &Block{
		Text: text, Title: p.title, Unit: p.unit, Closed: p.closed, Notes: t.notes,
		Counts: map[string]int{"patch": len(p.patches), "section": len(p.sections), "fabric": len(p.fabrics)},
	}, nil
}

// text is the plan in the language.
func (t *tracer) text(p *plan) string {
	var b strings.Builder
	line := func(parts ...string) { b.WriteString(strings.Join(parts, " ") + "\n") }
	number := func(v float64) string { return geom.FormatNumber(v, p.unit) }
	if p.unit != geom.Inches {
		line("units", p.unit.String())
		line()
	}
	for _, f := range p.fabrics {
		parts := []string{"fabric", f.name}
		if f.title != "" {
			parts = append(parts, quote(f.title))
		}
		if f.colour != "" {
			parts = append(parts, f.colour)
		}
		line(parts...)
	}
	line()
	line("block", quote(p.title), number(p.width), "by", number(p.height), "{")
	line("allowance 1/4 in")
	if p.outline != nil {
		line("outline", points(p.outline, p.unit))
	}
	line()
	if p.sections == nil {
		for _, q := range p.patches {
			line("patch", p.fabrics[q.fabric].name, points(q.corners, p.unit))
		}
	}
	for _, s := range p.sections {
		head := []string{"section", s.name}
		if s.title != "" {
			head = append(head, quote(s.title))
		}
		line(append(head, "{")...)
		for k, n := range s.patches {
			q := p.patches[n]
			line("patch", strconv.Itoa(k+1), p.fabrics[q.fabric].name, points(q.corners, p.unit))
		}
		line("}")
		line()
	}
	for _, j := range p.joins {
		line(j)
	}
	if len(p.notches) > 0 && len(p.joins) > 0 {
		line()
	}
	for _, n := range p.notches {
		line("notch", n.name, geom.FormatPoint(n.at, p.unit))
	}
	line("}")
	return b.String()
}

// points lists corners as people do: anticlockwise from the lower left.
func points(poly geom.Polygon, u geom.Unit) string {
	out := make([]string, len(poly))
	for i, c := range poly.FromLowerLeft() {
		out[i] = geom.FormatPoint(c, u)
	}
	return strings.Join(out, " ")
}

// quote puts a title in quotes: what is longer is cut, and what cannot stand in a line is a space.
func quote(s string) string {
	const most = 200
	if r := []rune(s); len(r) > most {
		s = string(r[:most]) + "…"
	}
	return syntax.Quote(strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, s))
}

// snap moves every coordinate that lies within a distance of a ruler's mark onto it, and others to the
// least step that is written.
func snap(p *plan, within float64) {
	one := func(v, side float64) float64 {
		if math.Abs(v-side) <= within { // what reached the edge still does
			return side
		}
		return round(v, p.unit, within)
	}
	at := func(q geom.Point) geom.Point { return geom.Point{X: one(q.X, p.width), Y: one(q.Y, p.height)} }
	all := func(poly geom.Polygon) {
		for i := range poly {
			poly[i] = at(poly[i])
		}
	}
	all(p.outline)
	for _, q := range p.patches {
		all(q.corners)
	}
	for i := range p.notches {
		p.notches[i].at = at(p.notches[i].at)
	}
}

// The parts of an inch that are on rulers, the coarser first.
var rulers = []float64{1, 2, 4, 8, 3, 16, 32, 64}

// round is the ruler's mark within a distance of a length, else the length in thousandths of an inch, or
// hundredths of a millimetre.
func round(v float64, u geom.Unit, within float64) float64 {
	if u != geom.Inches {
		if r := geom.RoundTo(v, geom.Millimetre/10); math.Abs(r-v) <= within {
			return r
		}
		return geom.RoundTo(v, geom.Millimetre/100)
	}
	for _, parts := range rulers {
		if r := geom.RoundTo(v, geom.Inch/parts); math.Abs(r-v) <= within {
			return r
		}
	}
	return geom.RoundTo(v, geom.Inch/1000)
}

// onMark says whether a length is an eighth of an inch, or a whole millimetre.
func onMark(v float64, u geom.Unit) bool {
	step := geom.Inch / 8
	if u != geom.Inches {
		step = geom.Millimetre
	}
	return math.Abs(geom.RoundTo(v, step)-v) < 1e-6
}
