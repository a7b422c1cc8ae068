package ink

import (
	"fmt"
	"math"
	"strconv"
)

// Colour is 0xFFRRGGBB; the zero Colour is none at all.
type Colour uint32

// The colours of drawings that are no fabric's.
const (
	Black Colour = 0xff000000
	White Colour = 0xffffffff
	Dark  Colour = 0xff1b222b // lines and text
	Pale  Colour = 0xfffbfaf6
	Muted Colour = 0xff5a6470 // lesser text, on white
)

// RGB is a colour.
func RGB(r, g, b uint8) Colour { return 0xff000000 | Colour(r)<<16 | Colour(g)<<8 | Colour(b) }

// Hex reads #rrggbb.
func Hex(s string) (Colour, bool) {
	if len(s) != 7 || s[0] != '#' {
		return 0, false
	}
	n, err := strconv.ParseUint(s[1:], 16, 32)
	return 0xff000000 | Colour(n), err == nil
}

// RGB are the parts of a colour.
func (c Colour) RGB() (r, g, b uint8) { return uint8(c >> 16), uint8(c >> 8), uint8(c) }

// String is #rrggbb, or "none".
func (c Colour) String() string {
	if c == 0 {
		return "none"
	}
	return fmt.Sprintf("#%06x", uint32(c)&0xffffff)
}

// linear is every 8-bit value as light: WCAG 2.2, "relative luminance".
var linear = func() (t [256]float64) {
	for i := range t {
		if v := float64(i) / 255; v <= 0.04045 {
			t[i] = v / 12.92
		} else {
			t[i] = math.Pow((v+0.055)/1.055, 2.4)
		}
	}
	return t
}()

// Luminance is the relative luminance, 0 to 1 (WCAG 2.2, definitions).
func (c Colour) Luminance() float64 {
	r, g, b := c.RGB()
	return 0.2126*linear[r] + 0.7152*linear[g] + 0.0722*linear[b]
}

// Contrast is the contrast ratio of two colours, 1 to 21 (WCAG 2.2,
// definitions).
func Contrast(a, b Colour) float64 {
	x, y := a.Luminance(), b.Luminance()
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// AA is the least contrast of text (WCAG 2.2, success criterion 1.4.3).
const AA = 4.5

// TextOn is a colour for text that meets AA on a colour: the soft dark or
// pale where they do, else black or white, one of which always does (the
// worse case is √21, about 4.58).
func TextOn(back Colour) Colour {
	pairs := [2][2]Colour{{Dark, Black}, {Pale, White}}
	if Contrast(White, back) > Contrast(Black, back) {
		pairs[0], pairs[1] = pairs[1], pairs[0]
	}
	for _, c := range pairs[0] {
		if Contrast(c, back) >= AA {
			return c
		}
	}
	return pairs[0][1]
}

// Mix is a colour between two, t of the way from c to d.
func (c Colour) Mix(d Colour, t float64) Colour {
	r, g, b := c.RGB()
	x, y, z := d.RGB()
	m := func(p, q uint8) uint8 { return uint8(math.Round(float64(p) + (float64(q)-float64(p))*t)) }
	return RGB(m(r, x), m(g, y), m(b, z))
}

// Grey is the grey of the same luminance.
func (c Colour) Grey() Colour {
	want := c.Luminance()
	best := 0
	for i := range linear {
		if math.Abs(linear[i]-want) < math.Abs(linear[best]-want) {
			best = i
		}
	}
	return RGB(uint8(best), uint8(best), uint8(best))
}

// lab is the colour in Oklab (Ottosson, "A perceptual color space for image
// processing", 2020), whose distances are nearly those that people see.
func (c Colour) lab() (l, a, b float64) {
	r8, g8, b8 := c.RGB()
	r, g, bl := linear[r8], linear[g8], linear[b8]
	x := math.Cbrt(0.4122214708*r + 0.5363325363*g + 0.0514459929*bl)
	y := math.Cbrt(0.2119034982*r + 0.6806995451*g + 0.1073969566*bl)
	z := math.Cbrt(0.0883024619*r + 0.2817188376*g + 0.6299787005*bl)
	return 0.2104542553*x + 0.7936177850*y - 0.0040720468*z,
		1.9779984951*x - 2.4285922050*y + 0.4505937099*z,
		0.0259040371*x + 0.7827717662*y - 0.8086757660*z
}

// Apart is how different two colours look: 0 the same, 1 black and white.
func Apart(c, d Colour) float64 {
	l1, a1, b1 := c.lab()
	l2, a2, b2 := d.lab()
	return math.Sqrt((l1-l2)*(l1-l2) + (a1-a2)*(a1-a2) + (b1-b2)*(b1-b2))
}
