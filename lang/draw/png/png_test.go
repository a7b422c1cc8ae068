package png_test

import (
	"bytes"
	"image/color"
	"image/png"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/draw/ink"
	paint "sewable/lang/draw/png"
	"sewable/lang/geom"
)

// A square of 50 in a drawing of 100, at one dot a hair.
func TestFillsAndStrokes(t *testing.T) {
	d := &ink.Drawing{Width: 100, Height: 100, Paper: ink.White}
	square := geom.Box{Min: geom.Point{X: 25, Y: 25}, Max: geom.Point{X: 75, Y: 75}}.Polygon()
	d.Layer("a").Add(&ink.Path{Chains: ink.Ring(square...), Fill: ink.RGB(255, 0, 0), Stroke: ink.RGB(0, 0, 255), Width: 4})
	m, err := paint.Paint(d, 100)
	require.NoError(t, err)
	assert.Equal(t, color.RGBA{255, 255, 255, 255}, m.RGBAAt(10, 50))
	assert.Equal(t, color.RGBA{255, 0, 0, 255}, m.RGBAAt(50, 50))
	for _, x := range []int{23, 24, 25, 26} {
		assert.Equal(t, color.RGBA{0, 0, 255, 255}, m.RGBAAt(x, 50), "%d lies in the line", x)
	}
	assert.Equal(t, color.RGBA{255, 255, 255, 255}, m.RGBAAt(22, 50))
}

func TestDashes(t *testing.T) {
	d := &ink.Drawing{Width: 100, Height: 10, Paper: ink.White}
	d.Layer("a").Add(&ink.Path{Chains: ink.Line(geom.Point{X: 10, Y: 5}, geom.Point{X: 90, Y: 5}), Stroke: ink.Black, Width: 2, Dash: []float64{20, 20}})
	m, err := paint.Paint(d, 100)
	require.NoError(t, err)
	for x, dark := range map[int]bool{5: false, 20: true, 40: false, 60: true, 80: false, 95: false} {
		assert.Equal(t, dark, m.RGBAAt(x, 5).R < 128, "at %d", x)
	}
}

// Text lies in its box.
func TestText(t *testing.T) {
	d := &ink.Drawing{Width: 200, Height: 100, Paper: ink.White}
	text := &ink.Text{At: geom.Point{X: 100, Y: 60}, String: "C4 縫", Size: 30, Colour: ink.Black}
	d.Layer("a").Add(text)
	m, err := paint.Paint(d, 200)
	require.NoError(t, err)
	box, dark := text.Bounds().Bounds().Grow(5), 0
	for y := range 100 {
		for x := range 200 {
			if m.RGBAAt(x, y).R < 128 {
				dark++
				assert.True(t, float64(x) >= box.Min.X && float64(x) <= box.Max.X && float64(y) >= box.Min.Y && float64(y) <= box.Max.Y)
			}
		}
	}
	assert.Greater(t, dark, 150)
}

func TestWrite(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, paint.Write(&out, &ink.Drawing{Width: 30, Height: 20, Paper: ink.White}, 60))
	m, err := png.Decode(&out)
	require.NoError(t, err)
	assert.Equal(t, 40, m.Bounds().Dy())
	for _, bad := range []int{0, -1, 1 << 20} {
		assert.Error(t, paint.Write(&out, &ink.Drawing{Width: 30, Height: 20}, bad))
	}
	assert.Error(t, paint.Write(&out, &ink.Drawing{}, 10))
}
