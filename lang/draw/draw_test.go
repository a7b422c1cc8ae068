package draw_test

import (
	"encoding/xml"
	"errors"
	"fmt"
	"image/color"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/draw"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/png"
	"sewable/lang/draw/svg"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/syntax"
)

// manners are the ways in which every demo block is drawn in these tests.
var manners = map[string]draw.Options{
	"sewn":     {},
	"printed":  {View: draw.Printed},
	"grey":     {Grey: true, Key: true},
	"sections": {Labels: draw.SectionLabels, Key: true},
	"small":    {Size: 160},
	"findings": {Key: true, Findings: []draw.Finding{
		{Level: draw.Error, Section: "A", Patch: 1, Text: "A1 is too small to be sewn, and this is a long sentence that has to be broken."},
		{Level: draw.Warning, Section: "A", Text: "The section is odd."}, {Level: draw.Hint, Text: "The block is odd."},
		{Level: draw.Hint, Section: "A", Patch: 1, Text: "Once more."},
	}},
	"spots": {Findings: []draw.Finding{
		{Level: draw.Error, Section: "A", Text: "A corner.", Spots: []draw.Spot{{Points: []geom.Point{{X: 100, Y: 100}}}}},
		{Level: draw.Warning, Text: "Seams that meet.", Spots: []draw.Spot{{Points: []geom.Point{{X: 0, Y: 0}, {X: 200, Y: 300}}}}},
		{Level: draw.Hint, Text: "A gap, and a hair beside it.", Spots: []draw.Spot{
			{Points: []geom.Point{{X: 50, Y: 50}, {X: 250, Y: 60}, {X: 120, Y: 200}}, Closed: true},
			{Points: []geom.Point{{X: 300, Y: 300}, {X: 300.5, Y: 300}}},
		}},
	}},
}

func everyPicture(t *testing.T, see func(t *testing.T, b *sew.Block, d *ink.Drawing, o draw.Options)) {
	for _, b := range demoBlocks(t) {
		for name, o := range manners {
			t.Run(b.Of.Name+"/"+name, func(t *testing.T) { see(t, b, draw.Block(b, o), o) })
			for _, way := range block.Colourways(b.Of) {
				o.Colourway = way
				t.Run(b.Of.Name+"/"+name+"/"+way.Name, func(t *testing.T) { see(t, b, draw.Block(b, o), o) })
			}
		}
	}
}

func TestNoTextOverText(t *testing.T) {
	everyPicture(t, func(t *testing.T, _ *sew.Block, d *ink.Drawing, _ draw.Options) {
		texts := d.Texts()
		for i, a := range texts {
			box := a.Bounds().Bounds()
			assert.True(t, box.Min.X >= 0 && box.Min.Y >= 0 && box.Max.X <= d.Width && box.Max.Y <= d.Height, "%q lies in the picture", a.String)
			for _, b := range texts[:i] {
				assert.False(t, overlap(box, b.Bounds().Bounds()), "%q lies over %q", a.String, b.String)
			}
		}
	})
}

// overlap says whether two boxes share more than an edge.
func overlap(a, b geom.Box) bool {
	return a.Min.X < b.Max.X && b.Min.X < a.Max.X && a.Min.Y < b.Max.Y && b.Min.Y < a.Max.Y
}

// WCAG 2.2, success criterion 1.4.3: text has a contrast of 4.5 to 1.
func TestContrastOfText(t *testing.T) {
	everyPicture(t, func(t *testing.T, _ *sew.Block, d *ink.Drawing, _ draw.Options) {
		for _, text := range d.Texts() {
			if text.Back != 0 {
				assert.GreaterOrEqual(t, ink.Contrast(text.Colour, text.Back), ink.AA, "%q in %s on %s", text.String, text.Colour, text.Back)
			}
		}
	})
}

func TestLabelsStayInTheirPatches(t *testing.T) {
	everyPicture(t, func(t *testing.T, _ *sew.Block, d *ink.Drawing, o draw.Options) {
		if o.Labels != draw.PatchLabels {
			return
		}
		patches := map[string]geom.Polygon{}
		for _, it := range d.Layer("patches").Items {
			p := it.(*ink.Path)
			patches[strings.TrimPrefix(p.ID, "patch-")] = p.Chains[0].Points
		}
		for _, it := range d.Layer("labels").Items {
			if text, ok := it.(*ink.Text); ok {
				for _, corner := range text.Bounds() {
					assert.NotEqual(t, geom.Outside, fine(patches[text.String]).Contains(corner.Scale(100)), "%s in its patch", text.String)
				}
			}
		}
	})
}

// fine is a polygon a hundred times as large, so that a hair is nothing.
func fine(p geom.Polygon) geom.Polygon {
	out := make(geom.Polygon, len(p))
	for i, q := range p {
		out[i] = q.Scale(100)
	}
	return out
}

// The picture of the printed side, flipped, is that of the finished side.
func TestPrintedIsTheFlippedSewn(t *testing.T) {
	for _, b := range demoBlocks(t) {
		t.Run(b.Of.Name, func(t *testing.T) {
			sewn := draw.Block(b, draw.Options{Labels: draw.NoLabels})
			printed := draw.Block(b, draw.Options{Labels: draw.NoLabels, View: draw.Printed})
			for i, l := range sewn.Layers {
				require.Len(t, printed.Layers[i].Items, len(l.Items), l.Name)
				for k, it := range l.Items {
					p, q := it.(*ink.Path), printed.Layers[i].Items[k].(*ink.Path)
					for c := range p.Chains {
						for n, at := range p.Chains[c].Points {
							back := q.Chains[c].Points[n]
							assert.InDelta(t, sewn.Width-at.X, back.X, 1e-9)
							assert.InDelta(t, at.Y, back.Y, 1e-9)
						}
					}
				}
			}
			const wide = 240
			a, err := png.Paint(sewn, wide)
			require.NoError(t, err)
			m, err := png.Paint(printed, wide)
			require.NoError(t, err)
			far := 0
			for y := range a.Bounds().Dy() {
				for x := range wide {
					p, q := a.RGBAAt(x, y), m.RGBAAt(wide-1-x, y)
					if differ(p, q) {
						far++
					}
				}
			}
			assert.Less(t, far, wide*a.Bounds().Dy()/500, "dots that differ")
		})
	}
}

func differ(p, q color.RGBA) bool {
	d := func(a, b uint8) int { return max(int(a), int(b)) - min(int(a), int(b)) }
	return d(p.R, q.R)+d(p.G, q.G)+d(p.B, q.B) > 90
}

// Fabrics of a grey picture differ in hatch or, clearly, in lightness.
func TestGreyTellsFabricsApart(t *testing.T) {
	for _, b := range demoBlocks(t) {
		d := draw.Block(b, draw.Options{Grey: true, Key: true})
		var swatches []string
		items := d.Layer("key").Items
		for i := 0; i < len(items); i++ {
			p, ok := items[i].(*ink.Path)
			if !ok || p.Fill == 0 {
				continue
			}
			look := fmt.Sprint(p.Fill)
			if lines, ok := items[i+1].(*ink.Path); ok && len(lines.Chains) > 1 {
				along := lines.Chains[0].Points[1].Sub(lines.Chains[0].Points[0])
				look += fmt.Sprintf(" %.2f %d %.1f", geom.Polygon(lines.Chains[0].Points).Bounds().Width()/along.Len(), len(lines.Chains), lines.Width)
			}
			assert.NotContains(t, swatches, look, b.Of.Name)
			swatches = append(swatches, look)
		}
		assert.NotEmpty(t, swatches)
	}
}

func TestFabricsWithoutColour(t *testing.T) {
	b := written(t, `
block "Plain" 6 by 6 {
  allowance 1/4
  fabric a
  fabric b
  fabric c #8fbcd8
  fabric d
  fabric e
  section A {
    outline (0, 0) (6, 0) (6, 6) (0, 6)
    patch 1 a around (3, 1/2)
    patch 2 b beyond (0, 1) (6, 1)
    patch 3 c beyond (0, 2) (6, 2)
    patch 4 d beyond (0, 3) (6, 3)
    patch 5 e beyond (0, 4) (6, 4)
  }
}
`)
	var fills []ink.Colour
	for _, it := range draw.Block(b, draw.Options{}).Layer("patches").Items {
		fills = append(fills, it.(*ink.Path).Fill)
	}
	require.Len(t, fills, 5)
	for i, c := range fills {
		for _, d := range fills[:i] {
			assert.Greater(t, ink.Apart(c, d), 0.15, "%s and %s", c, d)
		}
	}
}

// A small step in an outline is marked once, in the block and in its section.
func TestStepsAreMarked(t *testing.T) {
	f := block.NewLoader(syntax.NewReader(), nil).OpenText("/t.block", `allowance 1/4
fabric sky
block "Quay" 5 by 4 {
  section A {
    patch 1 sky (0, 0) (5, 0) (5, 2) (3, 2) (3, 2 1/2) (0, 2 1/2)
  }
  section B {
    patch 1 sky (0, 2 1/2) (3, 2 1/2) (3, 2) (5, 2) (5, 4) (0, 4)
  }
  join A to B inset
}
`)
	b := sew.Analyse(f.Blocks[0])
	rings := func(d *ink.Drawing) (n int) {
		for _, it := range d.Layer("notches").Items {
			if it.(*ink.Path).Name == "step in the outline" {
				n++
			}
		}
		return n
	}
	assert.Equal(t, 1, rings(draw.Block(b, draw.Options{})))
	assert.Equal(t, 1, rings(draw.Section(b.Sections[1], draw.Options{})))
	assert.Zero(t, rings(draw.Block(demoBlocks(t)[0], draw.Options{})), "no step, no mark")
}

func TestHighlightedPatch(t *testing.T) {
	b := demoBlocks(t)[0]
	patch := b.Of.Sections[0].Patches[0]
	d := draw.Block(b, draw.Options{Highlight: patch})
	assert.Len(t, d.Layer("highlight").Items, 2, "a dark line and a pale one")
	text := svg.Append(nil, d, svg.Options{Bare: true})
	assert.Less(t, len(text), 70_000)
}

func TestSVGIsXMLWithUniqueIDs(t *testing.T) {
	everyPicture(t, func(t *testing.T, _ *sew.Block, d *ink.Drawing, _ draw.Options) {
		text := svg.Append(nil, d, svg.Options{})
		ids := wellFormed(t, string(text))
		for id, n := range ids {
			assert.Equal(t, 1, n, id)
		}
		assert.Less(t, len(svg.Append(nil, d, svg.Options{Bare: true})), 70_000)
	})
}

// wellFormed reads XML to its end and counts the ids.
func wellFormed(t testing.TB, text string) map[string]int {
	ids := map[string]int{}
	for d := xml.NewDecoder(strings.NewReader(text)); ; {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return ids
		}
		require.NoError(t, err)
		if start, ok := token.(xml.StartElement); ok {
			for _, a := range start.Attr {
				if a.Name.Local == "id" {
					ids[a.Value]++
				}
			}
		}
	}
}

// A finding is marked at its spots, each level with a stroke of its own, and its number leads there.
func TestSpots(t *testing.T) {
	b := demoBlocks(t)[0]
	corner, seam := geom.Point{X: 3 * geom.Inch, Y: 3 * geom.Inch}, []geom.Point{{X: 0, Y: 0}, {X: 3 * geom.Inch, Y: 0}}
	strokes := map[draw.Level][]float64{}
	for _, l := range []draw.Level{draw.Hint, draw.Warning, draw.Error} {
		d := draw.Block(b, draw.Options{Findings: []draw.Finding{{Level: l, Text: "So.", Spots: []draw.Spot{{Points: []geom.Point{corner}}, {Points: seam}}}}})
		var rings []geom.Point
		for _, it := range d.Layer("findings").Items {
			p, ok := it.(*ink.Path)
			if !ok || p.Fill != 0 || p.Stroke == ink.White {
				continue
			}
			if c := p.Chains[0]; c.Closed {
				rings = append(rings, geom.Polygon(c.Points).Bounds().Centre())
			} else if len(c.Points) == 2 && c.Points[0].Dist(c.Points[1]) > 150 {
				strokes[l] = append([]float64{p.Width}, p.Dash...)
			}
		}
		if assert.Len(t, rings, 1) {
			box := geom.Polygon(b.Of.Outline).Bounds()
			scale := draw.DefaultSize / max(box.Width(), box.Height())
			assert.InDelta(t, 10+scale*corner.X, rings[0].X, 0.01)
			assert.InDelta(t, 10+scale*(box.Max.Y-corner.Y), rings[0].Y, 0.01)
		}
	}
	assert.Len(t, strokes, 3)
	assert.NotEqual(t, strokes[draw.Hint], strokes[draw.Warning])
	assert.NotEqual(t, strokes[draw.Warning], strokes[draw.Error])
}

// What is called a script prints as text.
func TestHostileNames(t *testing.T) {
	b := written(t, `
block "</title><script>alert(1)</script>" 3 by 3 {
  allowance 1/4
  fabric sky "\"><script>alert('2')</script>&amp;" #8fbcd8
  section A "<b onload=x>" {
    patch 1 sky (0, 0) (3, 0) (3, 3) (0, 3)
    note "<img src=x>"
  }
}
`)
	d := draw.Block(b, draw.Options{Key: true, Findings: []draw.Finding{{Text: "<script>\x00\x1b[31m"}}})
	text := string(svg.Append(nil, d, svg.Options{}))
	wellFormed(t, text)
	assert.NotContains(t, text, "<script")
	assert.Contains(t, text, "&lt;/title&gt;&lt;script&gt;alert(1)&lt;/script&gt;")
}

func TestBrokenBlocksDrawWhatThereIs(t *testing.T) {
	for _, text := range []string{
		`block "Nothing" 3 by 3 {}`,
		`block "No size" 0 by 0 { section A {
    patch 1 sky (0, 0) } }`,
		`block "Odd" 3 by 3 {
  section A { outline (0, 0) (3, 3) (3, 0) (0, 3)
  patch 1 sky around (1, 1)
  patch 2 fog beyond (0, 0) (0, 0) }
  notch n (9, 9)
  join A to B
}`,
	} {
		b := written(t, text)
		for _, o := range manners {
			d := draw.Block(b, o)
			wellFormed(t, string(svg.Append(nil, d, svg.Options{})))
			_, err := png.Paint(d, 100)
			assert.NoError(t, err)
		}
		for _, s := range b.Sections {
			draw.Section(s, draw.Options{})
		}
	}
}

// Blocks, sashing and borders of a quilt fill it, as cloth reckons its size.
func TestSettingsFillTheirQuilts(t *testing.T) {
	var settings []*block.Setting
	for _, f := range harbour(t) {
		settings = append(settings, f.Settings...)
	}
	for _, more := range []string{"", "sashing 1 b", "sashing 1 b\n cornerstone c", "sashing 1 b\n cornerstone c\n border 2 c\n border 1 b"} {
		for _, point := range []string{"", "on point a"} {
			f := written(t, `
fabric a #ffffff
fabric b #cccccc
fabric c #888888
block "Tile" 4 by 4 {
  allowance 1/4
  section A { patch 1 a (0, 0) (4, 0) (4, 4) (0, 4) }
}
setting "Quilt" {
  rows 3
  columns 2
  fill "Tile", "Tile" turned 90, "Tile" mirrored
  `+more+"\n  "+point+`
}
`).Of.File
			require.Len(t, f.Settings, 1)
			require.False(t, f.Settings[0].Broken, more+point)
			settings = append(settings, f.Settings[0])
		}
	}
	require.Len(t, settings, 10)
	for i, set := range settings {
		quilt, err := cloth.QuiltOf(set)
		require.NoError(t, err)
		d, err := draw.Setting(set, draw.Options{})
		require.NoError(t, err)
		m, err := png.Paint(d, 400)
		require.NoError(t, err)
		const white = 10.0 // the margin
		k := 400 / d.Width
		holes := 0
		for y := int(white*k) + 2; y < m.Bounds().Dy()-int(white*k)-2; y++ {
			for x := int(white*k) + 2; x < 400-int(white*k)-2; x++ {
				if c := m.RGBAAt(x, y); i < 2 && c == (color.RGBA{255, 255, 255, 255}) {
					holes++
				}
			}
		}
		assert.Zero(t, holes, "%s: paper shows through", set.Name)
		if set.Binding == nil {
			ratio := (d.Width - 2*white) / (d.Height - 2*white)
			assert.InDelta(t, quilt.Width/quilt.Height, ratio, 1e-9, "%s %v", set.Name, i)
		}
	}
}

// A block with about forty patches.
func BenchmarkBlockToSVG(b *testing.B) {
	var most *sew.Block
	patches := 0
	for _, is := range demoBlocks(b) {
		n := 0
		for _, s := range is.Of.Sections {
			n += len(s.Patches)
		}
		if n > patches && n <= 48 {
			most, patches = is, n
		}
	}
	var text []byte
	for b.Loop() {
		text = svg.Append(text[:0], draw.Block(most, draw.Options{}), svg.Options{})
	}
	b.ReportMetric(float64(len(text)), "bytes")
	b.ReportMetric(float64(patches), "patches")
}
