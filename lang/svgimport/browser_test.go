package svgimport_test

import (
	"fmt"
	"image"
	"image/png"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/draw/ink"
	"sewable/lang/geom"
	"sewable/lang/svgimport"
)

const (
	cell    = 160 // of each drawing on the page, in pixels
	columns = 10
	rows    = 16
)

// Drawings look as a browser draws them (Chromium, from Debian): random shapes and curves under random transforms, view
// boxes, uses and style rules are painted by it, and every pixel that is well inside a patch has the
// patch's colour, every pixel well outside has none.
func TestDrawingsLookAsInABrowser(t *testing.T) {
	if testing.Short() {
		t.Skip("a browser takes seconds")
	}
	chromium, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium is not here")
	}
	r := rand.New(rand.NewPCG(4, 2))
	var page strings.Builder
	page.WriteString("<!DOCTYPE html><meta charset=utf-8><style>html,body{margin:0;background:#fff} svg.cell{position:absolute}</style>")
	var drawings []string
	for i := range columns * rows {
		text := randomDrawing(r)
		drawings = append(drawings, text)
		// Each in a frame of its own, so that its style rules stay in it.
		fmt.Fprintf(&page, `<img style="position:absolute;left:%dpx;top:%dpx" src="%d.svg">`, i%columns*cell, i/columns*cell, i)
	}
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "page.html"), []byte(page.String()), 0o600))
	for i, text := range drawings {
		require.NoError(t, os.WriteFile(filepath.Join(dir, fmt.Sprintf("%d.svg", i)), []byte(text), 0o600))
	}
	shot := filepath.Join(dir, "shot.png")
	out, err := exec.Command(chromium, "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--force-device-scale-factor=1", "--force-color-profile=srgb",
		"--user-data-dir="+filepath.Join(dir, "profile"), fmt.Sprintf("--window-size=%d,%d", columns*cell, rows*cell), "--screenshot="+shot,
		"file://"+filepath.Join(dir, "page.html")).CombinedOutput()
	require.NoError(t, err, "%s", out)
	file, err := os.Open(shot)
	require.NoError(t, err)
	defer file.Close()
	picture, err := png.Decode(file)
	require.NoError(t, err)

	compared, looked := 0, 0
	for i, text := range drawings {
		// Ten times as large, so that a hair is little beside a pixel.
		large := strings.Replace(text, `width="160" height="160"`, `width="1600" height="1600" `+boxed(text), 1)
		b, err := svgimport.Import("x.svg", large, svgimport.Options{Segments: 48, Units: "in"})
		if err != nil {
			assert.Regexp(t, "crosses or touches itself|is separate from|leaves a gap", err.Error(), text) // some of the random shapes do
			continue
		}
		at := image.Pt(i%columns*cell, i/columns*cell)
		if n, ok := alike(t, picture, at, readText(t, b.Text), text); ok {
			compared++
			looked += n
		}
	}
	t.Logf("%d of %d drawings, %d pixels", compared, len(drawings), looked)
	assert.Greater(t, compared, columns*rows/2)
	if t.Failed() {
		keep, _ := os.ReadFile(shot)
		path := filepath.Join(os.TempDir(), "sewable-trace-browser.png")
		require.NoError(t, os.WriteFile(path, keep, 0o600))
		t.Log("what the browser drew: ", path)
	}
}

// boxed is the view box that a drawing without one has.
func boxed(text string) string {
	if head, _, _ := strings.Cut(text, ">"); strings.Contains(head, "viewBox") {
		return ""
	}
	return `viewBox="0 0 160 160"`
}

// alike compares a cell of the picture with a block. It is not ok where the drawing reaches out of its
// cell.
func alike(t *testing.T, picture image.Image, at image.Point, b *block.Block, text string) (looked int, ok bool) {
	t.Helper()
	painted := image.Rectangle{}
	for y := range cell {
		for x := range cell {
			if colourAt(picture, at.X+x, at.Y+y) != 0xffffffff {
				painted = painted.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	if painted.Empty() || painted.Min.X < 2 || painted.Min.Y < 2 || painted.Max.X > cell-2 || painted.Max.Y > cell-2 {
		return 0, false
	}
	const perPixel = 10 * geom.Inch / 96
	width, height := b.Width.Float64()/perPixel, b.Height.Float64()/perPixel
	if !assert.InDelta(t, width, painted.Dx(), 2.5, text) || !assert.InDelta(t, height, painted.Dy(), 2.5, text) {
		return 0, false
	}
	left := float64(painted.Min.X+painted.Max.X)/2 - width/2
	bottom := float64(painted.Min.Y+painted.Max.Y)/2 + height/2
	for y := 0; y < cell; y += 2 {
		for x := 0; x < cell; x += 2 {
			p := geom.Point{X: (float64(x) + 0.5 - left) * perPixel, Y: (bottom - float64(y) - 0.5) * perPixel}
			want, near := ink.Colour(0xffffffff), false
			for _, q := range b.Loose {
				for k := range q.Corners {
					near = near || q.Corners.Edge(k).Dist(p) < 1.5*perPixel
				}
				if q.Corners.Contains(p) == geom.Inside && q.Fabric.Colour != "" {
					want, _ = ink.Hex(q.Fabric.Colour)
				}
			}
			if near {
				continue
			}
			looked++
			if got := colourAt(picture, at.X+x, at.Y+y); got != want {
				assert.Fail(t, "another colour", "%v instead of %v at pixel (%d, %d) of\n%s\n%s", got, want, x, y, text, b.File.Source.Text)
				return looked, true
			}
		}
	}
	return looked, true
}

func colourAt(picture image.Image, x, y int) ink.Colour {
	r, g, b, _ := picture.At(x, y).RGBA()
	return ink.RGB(uint8(r>>8), uint8(g>>8), uint8(b>>8))
}

// randomDrawing is one shape under a few transforms, said in one of the ways that SVG has.
func randomDrawing(r *rand.Rand) string {
	pick := func(list ...string) string { return list[r.IntN(len(list))] }
	num := func(lo, hi float64) string { return fmt.Sprintf("%.4g", lo+r.Float64()*(hi-lo)) }
	shape := func(attributes string) string {
		switch r.IntN(9) {
		case 0:
			return `<rect x="` + num(-30, 0) + `" y="` + num(-30, 0) + `" width="` + num(20, 50) + `" height="` + num(20, 50) + `" ` + attributes + `/>`
		case 1:
			return `<rect x="-25" y="-20" width="50" height="40" rx="` + num(2, 30) + `" ` + pick("", `ry="9"`) + attributes + `/>`
		case 2:
			return `<ellipse cx="` + num(-5, 5) + `" cy="3" rx="` + num(10, 35) + `" ry="` + num(10, 35) + `" ` + attributes + `/>`
		case 3:
			return `<polygon points="` + num(-30, -10) + `,-20 ` + num(10, 30) + `-25,30,` + num(5, 30) + ` -20 25" ` + attributes + `/>`
		case 4:
			return `<path d="M-30-20a` + num(20, 60) + `,` + num(20, 60) + ` ` + num(-90, 90) + ` ` + pick("0", "1") + pick("0", "1") + num(20, 50) + ` ` + num(5, 40) + `L-25 25z" ` + attributes + `/>`
		case 5:
			return `<path d="M-30 0C-30-20-10-30 0-25S30-10 ` + num(20, 35) + ` 5 20 30 0 ` + num(15, 30) + `Z" ` + attributes + `/>`
		case 6:
			return `<path d="m-30 10q10-` + num(20, 40) + ` 25-10t30 ` + num(-10, 10) + `v20H` + num(-20, 0) + `z" ` + attributes + `/>`
		case 7:
			return `<path d="M-30-30h20v20h-20zm30 5l25 0 0 25z` + `" ` + attributes + `/>`
		default:
			return `<polyline points="-20-20 ` + num(0, 30) + `-20 25 25-10 ` + num(10, 30) + `" ` + attributes + `/>`
		}
	}
	transform := func() string {
		var b strings.Builder
		for i := range r.IntN(4) {
			if i > 0 {
				b.WriteString(pick("", " ", ",", " , "))
			}
			b.WriteString(pick(
				"rotate("+num(-180, 180)+")", "rotate("+num(-90, 90)+", 5 -5)", "scale("+num(0.6, 1.4)+")", "scale(-"+num(0.7, 1.2)+","+num(0.6, 1.3)+")",
				"skewX("+num(-30, 30)+")", "skewY("+num(-30, 30)+")", "translate("+num(-10, 10)+")", "translate("+num(-10, 10)+" "+num(-10, 10)+")",
				"matrix("+num(0.7, 1)+" "+num(-0.4, 0.4)+" "+num(-0.4, 0.4)+" "+num(0.7, 1.1)+" 3 -4)"))
		}
		return b.String()
	}
	colour := func() string {
		return pick("teal", "#c33", "#4682b4", "rgb(200, 120, 40)", "rgb(20% 40% 60%)", "hsl(120, 60%, 30%)", "DarkSlateBlue", "#abcdef")
	}
	style, attributes := "", ""
	switch r.IntN(5) {
	case 0:
		attributes = ` fill="` + colour() + `"`
	case 1:
		attributes = ` fill="lime" style="stroke-width:3;fill:` + colour() + `"`
	case 2:
		style, attributes = `<style>.a.b{fill:`+colour()+`}.a{fill:lime}</style>`, ` class="b a" fill="navy"`
	case 3:
		style, attributes = `<style>#s, .z {fill:`+colour()+`} * {fill: lime}</style>`, ` id="s"`
	case 4:
		style, attributes = `<style>g{fill:`+colour()+`}</style>`, ``
	}
	inside := `<g transform="` + transform() + `">` + shape(attributes+` transform="`+transform()+`"`) + `</g>`
	switch r.IntN(4) {
	case 0:
		inside = `<defs>` + inside[:2] + ` id="u"` + inside[2:] + `</defs><g transform="translate(80 80)"><use href="#u" x="` + num(-5, 5) + `" y="2"/></g>`
	case 1:
		inside = `<symbol id="u" overflow="visible" viewBox="-50 -50 ` + num(90, 130) + ` 100" preserveAspectRatio="` + pick("xMinYMid", "xMidYMax meet", "xMidYMid slice", "none") + `">` + inside +
			`</symbol><use href="#u" x="20" y="15" width="` + num(100, 125) + `" height="` + num(100, 130) + `"/>`
	case 2:
		inside = `<svg overflow="visible" x="10%" y="12" width="120" height="80%" viewBox="-60 -60 120 ` + num(100, 130) + `" preserveAspectRatio="` + pick("xMaxYMin", "xMinYMax", "xMidYMid", "none", "xMaxYMid slice") + `">` + inside + `</svg>`
	default:
		inside = `<g transform="translate(80,80)">` + inside + `</g>`
	}
	head := `<svg xmlns="http://www.w3.org/2000/svg" width="160" height="160" ` + pick("", `viewBox="0 0 160 160"`, `viewBox="5 -5 150 150"`, `viewBox="0 0 160 200"`, `viewBox="0 0 200 160" preserveAspectRatio="xMinYMin meet"`) + `>`
	return head + style + inside + `</svg>`
}
