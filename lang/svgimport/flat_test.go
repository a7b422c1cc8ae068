package svgimport_test

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	sf "github.com/peterstace/simplefeatures/geom"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/draw/ink"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/svgimport"
)

// What is seen of each of some polygons over each other has the area that another library finds (simplefeatures): the polygon
// less all above it, within the page.
func TestAreasSeen(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 3))
	for range 150 {
		var text strings.Builder
		text.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" width="20in" height="20in" viewBox="0 0 20 20"><rect width="20" height="20" fill="#000000"/>`)
		page := wkt(geom.Polygon{{X: 0, Y: 0}, {X: 20, Y: 0}, {X: 20, Y: 20}, {X: 0, Y: 20}})
		shapes := []sf.Geometry{page}
		for i := range 2 + r.IntN(8) {
			var points geom.Polygon
			for range 3 + r.IntN(4) {
				// On a coarse grid often, so that edges and corners are shared.
				p := geom.Point{X: -4 + 28*r.Float64(), Y: -4 + 28*r.Float64()}
				if r.IntN(2) > 0 {
					p = geom.Point{X: float64(r.IntN(15)*2 - 4), Y: float64(r.IntN(15)*2 - 4)}
				}
				points = append(points, p)
			}
			hull := geom.ConvexHull(points)
			if len(hull) < 3 {
				continue
			}
			fmt.Fprintf(&text, `<polygon fill="#%06x" points="`, len(shapes)+i<<8)
			for _, p := range hull {
				fmt.Fprintf(&text, "%.17g,%.17g ", p.X, p.Y)
			}
			text.WriteString(`"/>`)
			shapes = append(shapes, wkt(hull))
		}
		text.WriteString("</svg>")
		b, err := svgimport.Import("x.svg", text.String(), svgimport.Options{})
		require.NoError(t, err, text.String())
		sound(t, b)
		got := make(map[string]float64)
		around := 0.0
		for _, q := range readText(t, b.Text).Loose {
			got[q.Fabric.Colour] += q.Corners.CCW().Area() / geom.Inch / geom.Inch
			around += q.Corners.Perimeter() / geom.Inch
		}
		colours := colourList(text.String())
		require.Len(t, colours, len(shapes))
		above := sf.Geometry{}
		total := 0.0
		for i := len(shapes) - 1; i >= 0; i-- {
			seen, err := sf.Difference(shapes[i], above)
			require.NoError(t, err)
			if i > 0 {
				seen, err = sf.Intersection(seen, page)
				require.NoError(t, err)
			}
			// Corners that nearly meet are one, within a hair; and slivers are removed.
			assert.InDelta(t, seen.Area(), got[colours[i]], geom.Hair/geom.Inch*around/2, "%s in\n%s", colours[i], text.String())
			above, err = sf.Union(above, shapes[i])
			require.NoError(t, err)
			total += got[colours[i]]
		}
		assert.InDelta(t, 400, total, geom.Hair/geom.Inch*around/2) // each patch is straightened by itself
	}
}

func wkt(p geom.Polygon) sf.Geometry {
	var c []float64
	for _, q := range append(slices.Clone(p), p[0]) {
		c = append(c, q.X, q.Y)
	}
	return sf.NewPolygon([]sf.LineString{sf.NewLineString(sf.NewSequence(c, sf.DimXY))}).AsGeometry()
}

func colourList(text string) (out []string) {
	for _, part := range strings.Split(text, `fill="`)[1:] {
		out = append(out, part[:7])
	}
	return out
}

// Every block of the harbour, flattened as people draw: the fabric that there is the most of is a background under all, and every other patch
// is painted over it, some of them wider under those that come later. What is imported has the same fabric in every place.
func TestFlattenedHarbour(t *testing.T) {
	paths, err := filepath.Glob(filepath.Join(harbour, "*.block"))
	require.NoError(t, err)
	blocks, looked := 0, 0
	for _, path := range paths {
		for _, b := range open(t, path).Blocks {
			flat := flatten(b)
			got, err := svgimport.Import("x.svg", flat, svgimport.Options{Weld: svgimport.Weld, Units: "in"})
			if !assert.NoError(t, err, "%s\n%s", b.Name, flat) {
				continue
			}
			blocks++
			is := readText(t, got.Text)
			require.InDelta(t, b.Width.Float64(), is.Width.Float64(), geom.Hair, b.Name)
			sound(t, got)
			n := 61.0
			for i := range int(n) {
				for k := range int(n) {
					p := geom.Point{X: (float64(i) + 0.5) / n * b.Width.Float64(), Y: (float64(k) + 0.5) / n * b.Height.Float64()}
					want, edge := colourIn(b, p)
					have, edge2 := colourIn(is, p)
					if edge || edge2 {
						continue
					}
					looked++
					if !assert.Equal(t, want, have, "%s at %v", b.Name, p) {
						return
					}
				}
			}
		}
	}
	assert.Equal(t, 23, blocks)
	t.Log(looked, "places")
}

// everyPatch is every patch of a block.
func everyPatch(b *block.Block) (out []*block.Patch) {
	out = append(out, b.Loose...)
	for _, s := range b.Sections {
		out = append(out, s.Patches...)
	}
	return out
}

// shown is the color of a patch: fabrics without one have the color of what nothing paints.
func shown(p *block.Patch) string {
	if c, ok := ink.Hex(p.Fabric.Colour); ok {
		return c.String()
	}
	return "#ffffff"
}

func colourIn(b *block.Block, p geom.Point) (colour string, edge bool) {
	for _, q := range everyPatch(b) {
		switch q.Corners.Contains(p) {
		case geom.Inside:
			colour = shown(q)
		case geom.OnEdge:
			edge = true
		}
	}
	return colour, edge
}

// flatten draws a block in layers.
func flatten(b *block.Block) string {
	_ = sew.Analyse(b) // patches have their corners
	area := make(map[string]float64)
	for _, q := range everyPatch(b) {
		area[shown(q)] += q.Corners.CCW().Area()
	}
	back := ""
	for c, a := range area {
		if back == "" || a > area[back] || a == area[back] && c < back {
			back = c
		}
	}
	height := b.Height.Float64()
	points := func(p geom.Polygon) string {
		var out strings.Builder
		for _, q := range p {
			fmt.Fprintf(&out, "%.9g,%.9g ", q.X/geom.Inch, (height-q.Y)/geom.Inch)
		}
		return strings.TrimSpace(out.String())
	}
	var s strings.Builder
	fmt.Fprintf(&s, `<svg xmlns="http://www.w3.org/2000/svg" width="%.9gin" height="%.9gin" viewBox="0 0 %.9g %.9g">`+"\n", b.Width.Float64()/geom.Inch, height/geom.Inch, b.Width.Float64()/geom.Inch, height/geom.Inch)
	fmt.Fprintf(&s, `<polygon fill="%s" points="%s"/>`+"\n", back, points(b.Outline))
	patches := everyPatch(b)
	for i, q := range patches {
		if shown(q) == back {
			continue
		}
		// Wider, where everything that it covers then is painted later.
		corners := q.Corners
		wide := geom.ConvexHull(corners)
		if !slices.ContainsFunc(patches[:i], func(o *block.Patch) bool { return overlaps(wide, o) }) &&
			!slices.ContainsFunc(patches[i+1:], func(o *block.Patch) bool { return shown(o) == back && overlaps(wide, o) }) {
			corners = wide
		}
		fmt.Fprintf(&s, `<polygon fill="%s" points="%s"/>`+"\n", shown(q), points(corners))
	}
	return s.String() + "</svg>\n"
}

func overlaps(p geom.Polygon, o *block.Patch) bool {
	is, err := sf.Intersection(wkt(p), wkt(o.Corners))
	return err != nil || is.Area() > geom.Inch*geom.Inch/1000
}

// However much is cut off at its edge, a page that is painted all over stays as it is.
func TestThePageStaysWhole(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 8))
	var s strings.Builder
	s.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" width="20in" height="20in" viewBox="0 0 200 200"><rect width="200" height="200" fill="navy"/>`)
	for i := range 400 {
		fmt.Fprintf(&s, `<circle cx="%.2f" cy="%.2f" r="9" fill="#%06x"/>`, 200*r.Float64(), 200*r.Float64(), i)
	}
	b, err := svgimport.Import("x.svg", s.String()+"</svg>", svgimport.Options{Weld: svgimport.Weld, Segments: svgimport.Auto})
	require.NoError(t, err)
	assert.Contains(t, b.Text, `block "x" 20 by 20 {`)
	assert.NotContains(t, b.Text, "outline")
	sound(t, b)
}
