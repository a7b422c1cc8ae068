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
	"golang.org/x/tools/txtar"

	"sewable/lang/block"
	"sewable/lang/draw/ink"
	"sewable/lang/geom"
	"sewable/lang/svgimport"
)

// browse are pictures of drawings of 160 by 160 pixels as Chromium (from Debian) draws them.
func browse(t *testing.T, drawings []string) func(i int) image.Image {
	t.Helper()
	if testing.Short() {
		t.Skip("a browser takes seconds")
	}
	chromium, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium is not here")
	}
	dir := t.TempDir()
	var page strings.Builder
	page.WriteString("<!DOCTYPE html><meta charset=utf-8><style>html,body{margin:0;background:#fff}</style>")
	for i, text := range drawings { // each in a frame of its own, so that its style rules stay in it
		require.NoError(t, os.WriteFile(filepath.Join(dir, fmt.Sprintf("%d.svg", i)), []byte(text), 0o600))
		fmt.Fprintf(&page, `<img style="position:absolute;left:%dpx;top:%dpx" src="%d.svg">`, i%columns*cell, i/columns*cell, i)
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, "page.html"), []byte(page.String()), 0o600))
	shot := filepath.Join(dir, "shot.png")
	out, err := exec.Command(chromium, "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--force-device-scale-factor=1", "--force-color-profile=srgb",
		"--user-data-dir="+filepath.Join(dir, "profile"), fmt.Sprintf("--window-size=%d,%d", columns*cell, (len(drawings)+columns-1)/columns*cell), "--screenshot="+shot,
		"file://"+filepath.Join(dir, "page.html")).CombinedOutput()
	require.NoError(t, err, "%s", out)
	file, err := os.Open(shot)
	require.NoError(t, err)
	defer file.Close()
	picture, err := png.Decode(file)
	require.NoError(t, err)
	return func(i int) image.Image {
		at := image.Pt(i%columns*cell, i/columns*cell)
		return picture.(interface {
			SubImage(image.Rectangle) image.Image
		}).SubImage(image.Rectangle{Min: at, Max: at.Add(image.Pt(cell, cell))})
	}
}

// Drawings of shapes over each other, seen through clips, masks and frames, partly transparent, cut by the page, look as a
// browser draws them: every pixel that is not beside an edge has the color of its patch.
func TestOverlapsLookAsInABrowser(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 19))
	var drawings []string
	for range columns * rows {
		drawings = append(drawings, overlapping(r))
	}
	archive, err := txtar.ParseFile("testdata/seen.txtar")
	require.NoError(t, err)
	for _, f := range archive.Files {
		text := string(f.Data)
		// Lines and text are seen too, but are no areas. A mask lets through in part what is imported or not.
		if !strings.Contains(text, "stroke") && !strings.Contains(text, "<text") && f.Name != "alpha-mask.svg" && strings.Contains(text, `width="6in" height="6in"`) {
			drawings = append(drawings, strings.Replace(strings.Replace(text, ` viewBox="0 0 60 60"`, "", 1), `width="6in" height="6in"`, `viewBox="0 0 60 60" width="160" height="160"`, 1))
		}
	}
	picture := browse(t, drawings)
	compared, looked := 0, 0
	for i, text := range drawings {
		// A hundred times as large, so that what is removed as a sliver is little beside a pixel.
		large := strings.Replace(text, `width="160" height="160"`, `width="16000" height="16000" `+boxed(text), 1)
		b, err := svgimport.Import("x.svg", large, svgimport.Options{Segments: 48, Units: "in", Page: true})
		if err != nil {
			assert.Regexp(t, "leaves a gap beside", err.Error(), text)
			continue
		}
		sound(t, b)
		compared++
		looked += sameColors(t, picture(i), readText(t, b.Text), text)
	}
	t.Logf("%d of %d drawings, %d pixels", compared, len(drawings), looked)
	assert.Greater(t, compared, columns*rows*3/4)
	assert.Greater(t, len(drawings), columns*rows+20)
}

// sameColors compares a picture of 160 by 160 pixels with a block that is as large.
func sameColors(t *testing.T, picture image.Image, b *block.Block, text string) (looked int) {
	t.Helper()
	at := picture.Bounds().Min
	perPixel := b.Width.Float64() / cell
	wrong := 0
	for y := 0; y < cell; y += 2 {
		for x := 0; x < cell; x += 2 {
			p := geom.Point{X: (float64(x) + 0.5) * perPixel, Y: b.Height.Float64() - (float64(y)+0.5)*perPixel}
			want, near := ink.Colour(0xffffffff), false
			for _, q := range everyPatch(b) {
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
			if got := colourAt(picture, at.X+x, at.Y+y); !close8(got, want) {
				if wrong++; wrong == 3 { // the tip of a curve's loop may be narrower than a pixel
					assert.Fail(t, "another color", "%v instead of %v at pixel (%d, %d) of\n%s\n%s", got, want, x, y, text, b.File.Source.Text)
				}
			}
		}
	}
	return looked
}

// close8 says whether two colors differ by what rounding several layers costs, or an edge that is masked away again.
func close8(c, d ink.Colour) bool {
	r, g, b := c.RGB()
	x, y, z := d.RGB()
	apart := func(p, q uint8) bool { return int(p)-int(q) > 8 || int(q)-int(p) > 8 }
	return !apart(r, x) && !apart(g, y) && !apart(b, z)
}

// overlapping is a drawing of some shapes over each other.
func overlapping(r *rand.Rand) string {
	pick := func(list ...string) string { return list[r.IntN(len(list))] }
	num := func(lo, hi float64) string { return fmt.Sprintf("%.4g", lo+r.Float64()*(hi-lo)) }
	corners := func(n int) string {
		var b strings.Builder
		for range n {
			b.WriteString(num(-30, 190) + "," + num(-30, 190) + " ")
		}
		return b.String()
	}
	shape := func(attributes string) string {
		switch r.IntN(6) {
		case 0:
			return `<rect x="` + num(-30, 100) + `" y="` + num(-30, 100) + `" width="` + num(30, 120) + `" height="` + num(30, 120) + `"` + attributes + `/>`
		case 1:
			return `<ellipse cx="` + num(20, 140) + `" cy="` + num(20, 140) + `" rx="` + num(20, 70) + `" ry="` + num(20, 70) + `"` + attributes + `/>`
		case 2, 3:
			return `<polygon points="` + corners(3+r.IntN(3)) + `" fill-rule="` + pick("nonzero", "evenodd") + `" clip-rule="` + pick("nonzero", "evenodd") + `"` + attributes + `/>`
		case 4:
			return `<path d="M` + corners(1) + `C` + corners(3) + `S` + corners(2) + `z" fill-rule="` + pick("nonzero", "evenodd") + `"` + attributes + `/>`
		}
		return `<path d="M20 20H140V140H20zM50 50V` + num(80, 120) + `H` + num(80, 120) + `V50z"` + attributes + ` transform="rotate(` + num(-40, 40) + ` 80 80)"/>`
	}
	var defs, body strings.Builder
	if r.IntN(3) > 0 {
		body.WriteString(`<rect width="160" height="160" fill="#eef"/>`)
	}
	for i := range 2 + r.IntN(5) {
		attributes := ` fill="` + pick("teal", "#c33", "#4682b4", "rgb(200, 120, 40)", "hsl(120, 60%, 30%)", "DarkSlateBlue", "#abcdef", "gold") + `"`
		switch r.IntN(6) {
		case 0:
			attributes += ` opacity="` + num(0.2, 0.9) + `"`
		case 1:
			attributes += ` fill-opacity="` + num(20, 90) + `%"`
		}
		switch r.IntN(9) {
		case 0:
			// Of one shape: where several cover each other, browsers leave a hole that SVG 1.1, 14.3.5 does not.
			fmt.Fprintf(&defs, `<clipPath id="d%d">%s</clipPath><clipPath id="c%d" clip-path="url(#d%d)">%s</clipPath>`, i, shape(""), i, i, shape(""))
			fmt.Fprintf(&body, `<g clip-path="url(#c%d)">%s%s</g>`, i, shape(attributes), shape(` fill="crimson"`))
		case 1:
			fmt.Fprintf(&defs, `<clipPath id="c%d" clipPathUnits="objectBoundingBox"><polygon points="0,0 1,0 0.5,1"/></clipPath>`, i)
			body.WriteString(shape(attributes + fmt.Sprintf(` clip-path="url(#c%d)"`, i)))
		case 2:
			fmt.Fprintf(&defs, `<mask id="c%d" maskUnits="userSpaceOnUse" x="10" y="10" width="140" height="140">%s%s</mask>`, i, shape(` fill="white"`), shape(` fill="black"`))
			fmt.Fprintf(&body, `<g mask="url(#c%d)">%s</g>`, i, shape(attributes))
		case 3:
			fmt.Fprintf(&body, `<svg x="20" y="30" width="%s" height="90" viewBox="0 0 160 160" preserveAspectRatio="%s">%s</svg>`, num(60, 120), pick("none", "xMidYMid slice", "xMinYMax"), shape(attributes))
		case 4:
			fmt.Fprintf(&body, `<g opacity="%s">%s%s</g>`, num(0.3, 0.8), shape(attributes), shape(` fill="navy"`))
		case 5:
			fmt.Fprintf(&defs, `<symbol id="c%d" viewBox="0 0 160 160">%s</symbol>`, i, shape(attributes))
			fmt.Fprintf(&body, `<use href="#c%d" x="%s" width="100" height="80"/><use href="#c%d" y="70" width="90" height="90"/>`, i, num(0, 60), i)
		default:
			body.WriteString(shape(attributes))
		}
	}
	return `<svg xmlns="http://www.w3.org/2000/svg" width="160" height="160"><defs>` + defs.String() + `</defs>` + body.String() + `</svg>`
}
