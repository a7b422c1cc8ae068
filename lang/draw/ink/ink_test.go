package ink_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"sewable/lang/draw/ink"
	"sewable/lang/geom"
)

// Contrast ratios that are printed everywhere: 21 for black on white (WCAG
// 2.2, definition of contrast ratio), and greys on either side of 4.5 to 1:
// #767676 on white is 4.54, #777777 is 4.48 (W3C, Understanding SC 1.4.3).
func TestContrast(t *testing.T) {
	grey := func(v uint8) ink.Colour { return ink.RGB(v, v, v) }
	assert.InDelta(t, 21, ink.Contrast(ink.Black, ink.White), 1e-9)
	assert.InDelta(t, 1, ink.Contrast(ink.White, ink.White), 1e-9)
	assert.InDelta(t, 4.54, ink.Contrast(grey(0x76), ink.White), 0.005)
	assert.InDelta(t, 4.48, ink.Contrast(ink.White, grey(0x77)), 0.005)
	assert.InDelta(t, 0.2126, ink.RGB(255, 0, 0).Luminance(), 1e-9)
}

func TestTextOnEveryColour(t *testing.T) {
	for r := 0; r < 256; r += 5 {
		for g := 0; g < 256; g += 5 {
			for b := 0; b < 256; b += 5 {
				back := ink.RGB(uint8(r), uint8(g), uint8(b))
				if c := ink.Contrast(ink.TextOn(back), back); c < ink.AA {
					t.Fatalf("text on %s has a contrast of %.2f", back, c)
				}
			}
		}
	}
}

func TestHex(t *testing.T) {
	c, ok := ink.Hex("#1d2b4f")
	assert.True(t, ok)
	assert.Equal(t, "#1d2b4f", c.String())
	for _, bad := range []string{"", "1d2b4f", "#1d2b4", "#1d2b4g", "#+d2b4f", "red"} {
		_, ok := ink.Hex(bad)
		assert.False(t, ok, bad)
	}
}

func TestTurnedText(t *testing.T) {
	text := &ink.Text{At: geom.Point{X: 100, Y: 100}, String: "A1", Size: 20}
	flat := text.Bounds().Bounds()
	text.Turn = 90
	up := text.Bounds().Bounds()
	assert.InDelta(t, flat.Width(), up.Height(), 1e-9)
	assert.InDelta(t, 100, up.Centre().Y, 1e-9)
	assert.Less(t, up.Min.X, 100.0, "turned anticlockwise, letters rise to the left")
}

func TestPutPrefixesIDs(t *testing.T) {
	var e, d ink.Drawing
	e.Layer("x").Add(&ink.Path{Chains: ink.Line(geom.Point{}, geom.Point{X: 1}), ID: "a"}, &ink.Text{String: "t"})
	d.Put(&e, geom.Point{X: 5, Y: 6}, "p1-")
	path := d.Layer("x").Items[0].(*ink.Path)
	assert.Equal(t, "p1-a", path.ID)
	assert.Equal(t, geom.Point{X: 6, Y: 6}, path.Chains[0].Points[1])
	assert.Equal(t, geom.Point{X: 1}, e.Layer("x").Items[0].(*ink.Path).Chains[0].Points[1], "the other drawing is left as it was")
}
