package svgimport

import (
	"math"
	"strings"

	"sewable/lang/geom"
)

// perUnit is how many user units a unit is: SVG 1.1, 7.10, with 96 user units to the inch (CSS Values and
// Units 3, 6.2).
var perUnit = map[string]float64{
	"": 1, "px": 1, "in": 96, "cm": 96 / 2.54, "mm": 96 / 25.4, "q": 96 / 101.6, "pt": 96.0 / 72, "pc": 16,
}

// A view is what lengths in percent are a part of.
type view struct{ width, height float64 }

// The sides a length in percent can be of.
const (
	across = iota
	along
	diagonal
)

func (v view) of(side int) float64 {
	switch side {
	case across:
		return v.width
	case along:
		return v.height
	}
	return math.Hypot(v.width, v.height) / math.Sqrt2
}

// length is a length attribute in user units; without one it is what otherwise says.
func (t *tracer) length(e *element, name string, otherwise float64, v view, side int) (float64, error) {
	text := strings.TrimSpace(e.attr[name])
	if text == "" || text == "auto" {
		return otherwise, nil
	}
	n, unit := number(text)
	unit = strings.ToLower(strings.TrimSpace(unit))
	per, ok := perUnit[unit]
	switch {
	case unit == "%":
		n *= v.of(side) / 100
	case !ok && !math.IsNaN(n) && (unit == "em" || unit == "ex" || unit == "rem"):
		return 0, t.fail(e, "has its %s in %s, which depends on a typeface. Give it in px, mm or in", name, unit)
	case !ok:
		n = math.NaN()
	default:
		n *= per
	}
	if !reachable(n) {
		return 0, t.fail(e, "has %q for its %s, which is not a length", shorten(text), name)
	}
	return n, nil
}

func reachable(n float64) bool { return math.Abs(n) <= 1e9 } // false for what is no number

// viewport is how the inside of an svg or symbol element lies in what is around it, given the place it has there.
func (t *tracer) viewport(e *element, x, y, width, height float64) (affine, view, error) {
	m, v := affine{1, 0, 0, 1, x, y}, view{width, height}
	text := e.attr["viewBox"]
	if strings.TrimSpace(text) == "" {
		return m, v, nil
	}
	box, err := numbers(text)
	if err != nil || len(box) != 4 {
		return m, v, t.fail(e, "has a viewBox that is not four numbers")
	}
	if !(box[2] > 0 && box[3] > 0) {
		return m, v, t.fail(e, "has a viewBox without an area")
	}
	sx, sy := width/box[2], height/box[3]
	words := strings.Fields(e.attr["preserveAspectRatio"])
	if len(words) > 0 && words[0] == "defer" {
		words = words[1:]
	}
	align := "xMidYMid"
	if len(words) > 0 {
		align = words[0]
	}
	px, okX := map[string]float64{"xMin": 0, "xMid": 0.5, "xMax": 1}[align[:min(4, len(align))]]
	py, okY := map[string]float64{"YMin": 0, "YMid": 0.5, "YMax": 1}[align[min(4, len(align)):]]
	switch {
	case align == "none":
		px, py = 0, 0
	case !okX || !okY:
		return m, v, t.fail(e, "has %q for its preserveAspectRatio", shorten(align))
	case len(words) > 1 && words[1] == "slice":
		sx = max(sx, sy)
		sy = sx
	default:
		sx = min(sx, sy)
		sy = sx
	}
	m.e += px * (width - sx*box[2])
	m.f += py * (height - sy*box[3])
	m = m.of(affine{a: sx, d: sy}).of(affine{1, 0, 0, 1, -box[0], -box[1]})
	if !m.finite() {
		return m, v, t.fail(e, "has a viewBox that is too large")
	}
	return m, view{box[2], box[3]}, nil
}

// hairs is a length in user units in hairs.
const hairs = geom.Inch / 96

func shorten(text string) string {
	if r := []rune(text); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return text
}
