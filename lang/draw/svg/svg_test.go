package svg_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"sewable/lang/draw/ink"
	"sewable/lang/draw/svg"
	"sewable/lang/geom"
)

func TestAppend(t *testing.T) {
	d := &ink.Drawing{Width: 50, Height: 25, Paper: ink.White, Title: "One & two"}
	d.Layer("patches").Add(&ink.Path{
		Chains: ink.Ring(geom.Point{}, geom.Point{X: 10}, geom.Point{X: 10, Y: 1.0 / 3}), Fill: ink.RGB(1, 2, 3), ID: "patch-A1", Name: "A1 Sky",
		Data: []ink.Datum{{Key: "patch", Value: "A1"}},
	})
	line := func(y float64) *ink.Path {
		return &ink.Path{Chains: ink.Line(geom.Point{Y: y}, geom.Point{X: 9, Y: y}), Stroke: ink.Black, Width: 1.5}
	}
	d.Layer("seams").Add(line(1), line(2))
	assert.Equal(t, `<svg xmlns="http://www.w3.org/2000/svg" width="10mm" height="5mm" viewBox="0 0 50 25" role="img" font-family="Go,Arial,Helvetica,'DejaVu Sans',sans-serif" text-anchor="middle" stroke-linejoin="round" stroke-linecap="round" fill="none">
<title>One &amp; two</title>
<rect width="100%" height="100%" fill="#ffffff"/>
<g class="patches">
<path id="x-patch-A1" data-patch="A1" fill="#010203" d="M0 0L10 0 10 0.33Z"><title>A1 Sky</title></path>
</g>
<g class="seams">
<path stroke="#000000" stroke-width="1.5" d="M0 1L9 1M0 2L9 2"/>
</g>
</svg>
`, string(svg.Append(nil, d, svg.Options{Prefix: "x-"})))
}

func TestAppendText(t *testing.T) {
	assert.Equal(t, "&lt;a href=&quot;&#39;&quot;&gt; &amp;&lt;U+0000&gt;&lt;FF&gt; é 縫", string(svg.AppendText(nil, "<a href=\"'\">\n&\x00\xff é 縫")))
}
