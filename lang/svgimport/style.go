package svgimport

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/tdewolff/parse/v2"
	"github.com/tdewolff/parse/v2/css"
	"golang.org/x/image/colornames"
)

// paint is what an element inherits and draws with. A colour is #rrggbb or #rrggbbaa, empty for none.
type paint struct {
	fill, stroke  string
	fillOpacity   float64
	strokeOpacity float64
	strokeWidth   float64 // in user units
	colour        string  // of currentColor
	hidden        bool    // visibility
	gone          bool    // display: none, for it and all inside
	odd, clipOdd  bool    // an even-odd fill, or clip

	// Of the element itself.
	transform  string
	clip, mask string // what it is seen through
	opacity    float64
	overflow   bool // what reaches beyond its frame is seen
}

// plainPaint is what the outermost element inherits.
var plainPaint = paint{fill: "#000000", colour: "#000000", fillOpacity: 1, strokeOpacity: 1, strokeWidth: 1, opacity: 1}

// properties are what is looked at.
var properties = []string{
	"color", "fill", "stroke", "fill-opacity", "stroke-opacity", "opacity", "stroke-width", "visibility", "display", "fill-rule",
	"clip-rule", "clip-path", "mask", "overflow", "transform", "filter", "mix-blend-mode", "d",
}

// painted is how an element is painted inside one that is painted like p: its attributes, then the rules of
// the style elements, then its own style.
func (t *tracer) painted(p paint, e *element) (paint, error) {
	p.transform, p.clip, p.mask, p.opacity, p.overflow = "", "", "", 1, false
	set := make(map[string]string)
	for _, name := range properties {
		if v, ok := e.attr[name]; ok {
			set[name] = strings.TrimSpace(v)
		}
	}
	var late []declaration
	take := func(d declaration) {
		if d.important {
			late = append(late, d)
		} else {
			set[d.name] = d.value
		}
	}
	if len(t.sheet) > 0 {
		classes := strings.Fields(e.attr["class"])
		for _, r := range t.sheet {
			if r.is(e, classes) {
				for _, d := range r.set {
					take(d)
				}
			}
		}
	}
	if text := e.attr["style"]; text != "" {
		parser := css.NewParser(parse.NewInputString(text), true)
		for {
			kind, _, data := parser.Next()
			if kind == css.ErrorGrammar && !parser.HasParseError() {
				break
			}
			if kind == css.DeclarationGrammar {
				take(declare(string(data), parser.Values()))
			}
		}
	}
	for _, d := range late {
		set[d.name] = d.value
	}
	return t.mix(p, e, set)
}

// mix is what properties make of a paint.
func (t *tracer) mix(p paint, e *element, set map[string]string) (paint, error) {
	for _, name := range properties {
		value := set[name]
		if err := t.outside(e, declaration{name: name, value: value}); err != nil {
			return p, err
		}
	}
	if v := set["color"]; v != "" && v != "inherit" {
		c, err := t.colour(e, "color", v, p.colour)
		if err != nil {
			return p, err
		}
		p.colour = c
	}
	for _, side := range []struct {
		name    string
		to      *string
		opacity *float64
	}{{"fill", &p.fill, &p.fillOpacity}, {"stroke", &p.stroke, &p.strokeOpacity}} {
		v := set[side.name]
		if v != "" && v != "inherit" {
			c, err := t.colour(e, side.name, v, p.colour)
			if err != nil {
				return p, err
			}
			*side.to = c
		}
		if v := set[side.name+"-opacity"]; v != "" && v != "inherit" {
			*side.opacity = see(v)
		}
		if *side.opacity == 0 {
			*side.to = ""
		}
	}
	if v := set["opacity"]; v != "" && v != "inherit" {
		p.opacity = see(v)
	}
	p.gone = p.gone || p.opacity == 0
	if w, unit := number(set["stroke-width"]); !math.IsNaN(w) {
		if per, ok := perUnit[strings.ToLower(strings.TrimSpace(unit))]; ok {
			p.strokeWidth = w * per
		}
	}
	if p.strokeWidth == 0 {
		p.stroke = ""
	}
	switch set["visibility"] {
	case "hidden", "collapse":
		p.hidden = true
	case "visible":
		p.hidden = false
	}
	switch set["fill-rule"] {
	case "evenodd":
		p.odd = true
	case "nonzero":
		p.odd = false
	}
	p.gone = p.gone || set["display"] == "none"
	p.transform = set["transform"]
	switch set["clip-rule"] {
	case "evenodd":
		p.clipOdd = true
	case "nonzero":
		p.clipOdd = false
	}
	p.clip, p.mask = without(set["clip-path"], "none"), without(set["mask"], "none")
	p.overflow = set["overflow"] == "visible" || set["overflow"] == "auto"
	if without(set["filter"], "none") != "" {
		t.note(e, "%s has a filter, which is ignored", e)
	}
	if without(set["mix-blend-mode"], "normal") != "" {
		t.note(e, "%s has a blend mode, which is ignored", e)
	}
	return p, nil
}

// without is a value unless it is the one that says nothing.
func without(value, nothing string) string {
	if value == nothing {
		return ""
	}
	return value
}

// faded is a colour as #rrggbb with its opacity.
func faded(colour string, opacity float64) (string, float64) {
	if len(colour) == 9 {
		a, _ := strconv.ParseUint(colour[7:], 16, 8)
		return colour[:7], opacity * float64(a) / 255
	}
	return colour, opacity
}

// see is an opacity, 0 to 1.
func see(text string) float64 {
	v, rest := number(strings.TrimSpace(text))
	if math.IsNaN(v) {
		return 1
	}
	if rest == "%" {
		v /= 100
	}
	return max(0, min(1, v))
}

// colour is a colour of SVG as #rrggbb, or empty for none.
func (t *tracer) colour(e *element, property, text, current string) (string, error) {
	text = strings.ToLower(strings.TrimSpace(text))
	switch {
	case text == "none" || text == "transparent":
		return "", nil
	case text == "currentcolor":
		return current, nil
	case strings.HasPrefix(text, "url("):
		return "", t.fail(e, "has a gradient or a pattern for its %s, which is not a fabric. Give it one color", property)
	}
	if c, ok := colornames.Map[text]; ok {
		return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B), nil
	}
	if hex, ok := strings.CutPrefix(text, "#"); ok {
		if _, err := strconv.ParseUint(hex, 16, 64); err == nil {
			switch len(hex) {
			case 3, 4:
				if len(hex) == 4 && hex[3] == '0' {
					return "", nil
				}
				out := "#"
				for _, digit := range hex {
					out += strings.Repeat(string(digit), 2)
				}
				return strings.TrimSuffix(out, strings.Repeat("ff", len(hex)-3)), nil
			case 6, 8:
				if hex[6:] == "00" {
					return "", nil
				}
				return "#" + hex[:6] + strings.TrimPrefix(hex[6:], "ff"), nil
			}
		}
	}
	if c, ok := functional(text); ok {
		return c, nil
	}
	return "", t.fail(e, "has %q for its %s, which is not a known color", shorten(text), property)
}

// functional is a colour as rgb(), rgba(), hsl() or hsla().
func functional(text string) (string, bool) {
	name, rest, ok := strings.Cut(text, "(")
	inside, ok2 := strings.CutSuffix(rest, ")")
	if !ok || !ok2 {
		return "", false
	}
	words := strings.FieldsFunc(inside, func(r rune) bool { return r == ',' || r == '/' || r == ' ' })
	if len(words) != 3 && len(words) != 4 {
		return "", false
	}
	var v [4]float64
	var percent [4]bool
	v[3] = 1
	for i, w := range words {
		n, unit := number(w)
		if math.IsNaN(n) || unit != "" && unit != "%" && !(i == 0 && unit == "deg") {
			return "", false
		}
		if percent[i] = unit == "%"; percent[i] {
			n /= 100
		}
		v[i] = n
	}
	if v[3] <= 0 {
		return "", true
	}
	var rgb [3]float64
	switch name {
	case "rgb", "rgba":
		for i := range rgb {
			if rgb[i] = v[i] / 255; percent[i] {
				rgb[i] = v[i]
			}
		}
	case "hsl", "hsla":
		if !percent[1] || !percent[2] {
			return "", false
		}
		turn := math.Mod(math.Mod(v[0], 360)+360, 360) / 360
		rgb[0], rgb[1], rgb[2] = css.HSL2RGB(turn, min(1, max(0, v[1])), min(1, max(0, v[2])))
	default:
		return "", false
	}
	byteOf := func(f float64) int { return int(math.Round(255 * max(0, min(1, f)))) }
	out := fmt.Sprintf("#%02x%02x%02x", byteOf(rgb[0]), byteOf(rgb[1]), byteOf(rgb[2]))
	if v[3] < 1 {
		out += fmt.Sprintf("%02x", byteOf(v[3]))
	}
	return out, true
}
