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

// nameFabrics makes a fabric of each colour, in the order of the patches, named by the nearest
// colour name; of several with one name the later ones have a number behind it.
func (t *tracer) nameFabrics(p *plan) {
	known := make(map[string]int) // by colour
	for i, q := range p.patches {
		colour := ""
		if q.of != nil {
			colour = q.of.fill
		}
		n, ok := known[colour]
		if !ok {
			n = len(p.fabrics)
			known[colour] = n
			name := "plain"
			if colour != "" {
				name = nearestKeyword(colour)
			}
			p.fabrics = append(p.fabrics, fabric{name: freeName(p.fabrics, name), colour: colour})
		}
		p.patches[i].fabric = n
	}
}

func freeName(taken []fabric, wanted string) string {
	for name, n := wanted, 2; ; n++ {
		if !slices.ContainsFunc(taken, func(f fabric) bool { return f.name == name }) {
			return name
		}
		name = wanted + strconv.Itoa(n)
	}
}
