package flow_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/draw/flow"
	"sewable/lang/draw/ink"
	"sewable/lang/geom"
)

func newFlow() *flow.Flow {
	return flow.New(func() *ink.Drawing { return &ink.Drawing{Width: 500, Height: 300} }, func(page int) []geom.Box {
		return []geom.Box{
			{Min: geom.Point{X: 10, Y: 10}, Max: geom.Point{X: 240, Y: 290}},
			{Min: geom.Point{X: 260, Y: 10}, Max: geom.Point{X: 490, Y: 290}},
		}
	})
}

// No word is lost, and every line stays in its column.
func TestTextGoesOnInTheNextColumnAndPage(t *testing.T) {
	f := newFlow()
	text := strings.Repeat("Sew A to B and press open. ", 120)
	f.Text(text, flow.Style{Size: 12, Hang: 10})
	require.Greater(t, len(f.Pages), 1)
	var words []string
	for _, p := range f.Pages {
		for _, line := range p.Texts() {
			words = append(words, strings.Fields(line.String)...)
			b := line.Bounds().Bounds()
			assert.True(t, b.Min.X >= 10 && b.Max.X <= 240 || b.Min.X >= 260 && b.Max.X <= 490)
			assert.True(t, b.Min.Y >= 10 && b.Max.Y <= 290)
		}
	}
	assert.Equal(t, strings.Fields(text), words)
}

// A heading does not stand alone at the foot of a column.
func TestKeep(t *testing.T) {
	f := newFlow()
	for range 16 {
		f.Text("line", flow.Style{Size: 12})
	}
	f.Text("Heading", flow.Style{Size: 12, Keep: 60})
	texts := f.Pages[0].Texts()
	assert.Greater(t, texts[len(texts)-1].At.X, 250.0)
}

func TestPictures(t *testing.T) {
	f := newFlow()
	tall := &ink.Drawing{Width: 100, Height: 200}
	tall.Layer("x").Add(&ink.Path{Chains: ink.Line(geom.Point{}, geom.Point{Y: 200})})
	for range 3 {
		f.Beside(tall, 5, 10, []string{"words beside it"}, []flow.Style{{Size: 12}})
	}
	f.Picture(tall, 5)
	assert.Len(t, f.Pages, 2, "two to a page")
}

// A row that goes on in another column says again what it belongs to; one that does not, says nothing.
func TestRowSaysAgain(t *testing.T) {
	cell := flow.Cell{Picture: &ink.Drawing{Width: 40, Height: 60}}
	for high, want := range map[float64]string{500: "A1", 150: "A1 A1, continued", 75: "A1 A1, continued A1, continued"} {
		f := flow.New(func() *ink.Drawing { return &ink.Drawing{Width: 100, Height: high} },
			func(int) []geom.Box { return []geom.Box{{Max: geom.Point{X: 100, Y: high}}} })
		f.Text("A1", flow.Style{Size: 10})
		f.Row(4, 2, []flow.Cell{cell, cell, cell, cell, cell, cell}, "A1, continued", flow.Style{Size: 10})
		said := ""
		for _, page := range f.Pages {
			for _, text := range page.Texts() {
				said += " " + text.String
			}
		}
		assert.Equal(t, want, said[1:], "%g high", high)
	}
}
