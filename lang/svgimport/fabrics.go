package svgimport

import (
	"slices"
	"strconv"
	"strings"

	"golang.org/x/image/colornames"

	"sewable/lang/draw/ink"
)

// A fabric stands for a colour of the drawing; one without a colour for what nothing paints.
type fabric struct{ name, title, colour string }

// keywords are the colour names of SVG 1.1 (4.4) that there is one of for a colour: grey for gray, and of
// two names the first.
var keywords = func() (out []fabric) {
	seen := make(map[string]bool)
	for _, name := range colornames.Names {
		c := colornames.Map[name]
		hex := ink.RGB(c.R, c.G, c.B).String()
		if !strings.Contains(name, "gray") && !seen[hex] {
			seen[hex] = true
			out = append(out, fabric{name: name, colour: hex})
		}
	}
	return out
}()

// nearestKeyword is the colour name that looks most like a colour.
func nearestKeyword(colour string) string {
	c, _ := ink.Hex(colour)
	best, least := "", 0.0
	for _, k := range keywords {
		d, _ := ink.Hex(k.colour)
		if apart := ink.Apart(c, d); best == "" || apart < least {
			best, least = k.name, apart
		}
	}
	return best
}

// alike is how far colors that look alike are apart at most: about three times what is just seen side by side.
const alike = 0.06

// nameFabrics makes a fabric of each color, in the order of the patches, named by the nearest
// color name; of several with one name the later ones have a number behind it. Asked to, it takes colors
// that look alike for one: that of the first patch.
func (t *tracer) nameFabrics(p *plan) {
	known := make(map[string]int) // by color
	for i, q := range p.patches {
		n, ok := known[q.colour]
		if !ok && t.o.Merge {
			if n, ok = likeFabric(p.fabrics, q.colour); ok {
				known[q.colour] = n
				t.note(q.of.of, "the color %s is made one fabric with %s", q.colour, p.fabrics[n].colour)
			}
		}
		if !ok {
			n = len(p.fabrics)
			known[q.colour] = n
			name := "plain"
			if q.colour != "" {
				name = nearestKeyword(q.colour)
			}
			p.fabrics = append(p.fabrics, fabric{name: freeName(p.fabrics, name), colour: q.colour})
		}
		p.patches[i].fabric = n
	}
}

// likeFabric is the fabric whose color looks most like a color, if one looks alike.
func likeFabric(fabrics []fabric, colour string) (best int, ok bool) {
	c, painted := ink.Hex(colour)
	least := alike
	for i, f := range fabrics {
		if d, is := ink.Hex(f.colour); painted && is && ink.Apart(c, d) < least {
			best, least, ok = i, ink.Apart(c, d), true
		}
	}
	return best, ok
}

func freeName(taken []fabric, wanted string) string {
	for name, n := wanted, 2; ; n++ {
		if !slices.ContainsFunc(taken, func(f fabric) bool { return f.name == name }) {
			return name
		}
		name = wanted + strconv.Itoa(n)
	}
}
