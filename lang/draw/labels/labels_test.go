package labels

import (
	"bytes"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/cloth/cutlist"
	"sewable/lang/draw"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/pdf"
	"sewable/lang/draw/sheet"
	"sewable/lang/draw/texts"
	"sewable/lang/geom"
	"sewable/lang/syntax"
)

var inches = Options{
	Title: "Harbour", Paper: sheet.Letter, Margin: geom.Inch / 4,
	Width: 2 * geom.Inch, Height: geom.Inch, Gap: geom.Inch / 8,
}

func listOf(t testing.TB, o cloth.Order, triangles bool) *cloth.List {
	t.Helper()
	l, err := cloth.NewList(o, cloth.OrderOptions{
		Options: func(*block.File) cloth.Options {
			return cloth.Options{Step: geom.Inch / 4, Placement: cloth.Placement{Shift: geom.Inch / 8, Turn: 3}, Triangles: triangles}
		},
		Unit: geom.Inches, Ruler: cloth.DefaultRuler, Squaring: geom.Inch,
	})
	require.NoError(t, err)
	return l
}

// harbour is every block of the demo repository, and its settings.
func harbour(t testing.TB, kits int) *cloth.List {
	t.Helper()
	paths, err := filepath.Glob("../../../testdata/harbour/*.block")
	require.NoError(t, err)
	loader := block.NewLoader(syntax.NewReader(), nil)
	o := cloth.Order{Kits: kits}
	for _, path := range paths {
		f, err := loader.Open(path)
		require.NoError(t, err)
		for _, b := range f.Blocks {
			o.Blocks = append(o.Blocks, cloth.Placed{Block: b, Count: 1})
		}
		for _, set := range f.Settings {
			q, err := cloth.QuiltOf(set)
			require.NoError(t, err)
			o.Quilts = append(o.Quilts, q)
		}
	}
	require.Greater(t, len(o.Blocks), 20)
	require.NotEmpty(t, o.Quilts)
	return listOf(t, o, true)
}

// written is the first block of a text, so many times.
func written(t testing.TB, text string, count int) *cloth.List {
	f := block.NewLoader(syntax.NewReader(), nil).OpenText("test.block", text)
	require.NotEmpty(t, f.Blocks)
	return listOf(t, cloth.Order{Blocks: []cloth.Placed{{Block: f.Blocks[0], Count: count}}, Kits: 1}, false)
}

const raft = `
allowance 1/4
fabric sky "Morning sky" #c3dcea width 42
fabric tar
block "Raft" 4 by 4 {
  section A {
    patch 1 sky (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 tar (0, 2) (4, 2) (4, 4) (0, 4)
  }
}`

// boxes are the labels of a page, in the order in which they were drawn.
func boxes(d *ink.Drawing) (out []geom.Box) {
	for _, it := range d.Layer("cut").Items {
		out = append(out, geom.Polygon(it.(*ink.Path).Chains[0].Points).Bounds())
	}
	return out
}

// inside are the texts in a label, from top to bottom as drawn.
func inside(d *ink.Drawing, b geom.Box) (out []*ink.Text) {
	for _, it := range d.Layer("text").Items {
		if t := it.(*ink.Text); b.Meets(t.Bounds().Bounds()) {
			out = append(out, t)
		}
	}
	return out
}

func contains(outer, in geom.Box) bool {
	const hair = 1e-6
	return in.Min.X >= outer.Min.X-hair && in.Min.Y >= outer.Min.Y-hair && in.Max.X <= outer.Max.X+hair && in.Max.Y <= outer.Max.Y+hair
}

// overlap says whether boxes share more than an edge.
func overlap(a, b geom.Box) bool {
	const hair = 1e-6
	return a.Min.X < b.Max.X-hair && b.Min.X < a.Max.X-hair && a.Min.Y < b.Max.Y-hair && b.Min.Y < a.Max.Y-hair
}

// fits checks that nothing leaves its label or its page, or covers anything.
func fits(t require.TestingT, pages []*ink.Drawing, how Options) {
	room := geom.Box{Max: geom.Point{X: how.Paper.Width, Y: how.Paper.Height}}.Grow(-how.Margin)
	for _, page := range pages {
		all := boxes(page)
		texts := 0
		for i, b := range all {
			require.True(t, contains(room, b))
			for _, c := range all[:i] {
				require.False(t, overlap(b, c), "labels overlap")
			}
			own := inside(page, b)
			texts += len(own)
			var taken []geom.Box
			for _, it := range page.Layer("swatches").Items {
				if s := geom.Polygon(it.(*ink.Path).Chains[0].Points).Bounds(); overlap(s, b) {
					require.True(t, contains(b, s))
					taken = append(taken, s)
				}
			}
			for _, text := range own {
				box := text.Bounds().Bounds()
				require.True(t, contains(b, box), "%q leaves its label", text.String)
				require.GreaterOrEqual(t, text.Size, leastText-1e-9, "%q can be read", text.String)
				for _, other := range taken {
					require.False(t, overlap(box, other), "%q covers something", text.String)
				}
				taken = append(taken, box)
			}
		}
		require.Len(t, page.Layer("text").Items, texts, "every text is in a label")
		for _, name := range []string{"head", "caution"} {
			for _, it := range page.Layer(name).Items {
				if text, ok := it.(*ink.Text); ok {
					box := text.Bounds().Bounds()
					require.True(t, contains(room, box), "%q leaves the page", text.String)
					for _, b := range all {
						require.False(t, overlap(b, box), "a label covers %q", text.String)
					}
				}
			}
		}
	}
}

// words is what a label says, lines joined.
func words(texts []*ink.Text) string {
	var out []string
	for _, t := range texts {
		out = append(out, t.String)
	}
	return strings.Join(out, " ")
}

// Every piece of the demo repository has its label, in cutting order, with the
// block, the patch, the fabric and the cut size.
func TestEveryPieceHasItsLabel(t *testing.T) {
	l := harbour(t, 2)
	metric := Options{Title: "Harbour", Paper: sheet.A4, Margin: 6 * geom.Millimetre, Width: 50 * geom.Millimetre, Height: 25 * geom.Millimetre, Gap: 3 * geom.Millimetre}
	for _, how := range []Options{inches, metric} {
		pages, err := Pages(l, how)
		require.NoError(t, err)
		fits(t, pages, how)
		page, i := 0, 0
		for lab := range l.Labels() {
			all := boxes(pages[page])
			if i == len(all) {
				page, i = page+1, 0
				all = boxes(pages[page])
			}
			if i > 0 {
				before, b := all[i-1], all[i]
				assert.True(t, b.Min.Y > before.Min.Y || b.Min.Y == before.Min.Y && b.Min.X > before.Min.X, "rows, left to right")
			}
			said := words(inside(pages[page], all[i]))
			size, after, laid := cutlist.Label(lab, l.Unit)
			size = strings.ReplaceAll(size, " × ", "\u00a0×\u00a0")
			for _, want := range []string{lab.Use.Block, lab.Use.Way, lab.Use.Label, draw.FabricName(lab.Fabric), texts.Measures(size), texts.Measures(after), texts.Measures(laid), fmt.Sprintf("kit %d", lab.Kit)} {
				require.Contains(t, said, want, "label %d", lab.Number)
			}
			i++
		}
		assert.Equal(t, len(pages)-1, page)
		assert.Len(t, boxes(pages[page]), i, "no label without a piece")
	}
}

// On Letter with a margin of 1/4 in stand three labels of 2 in beside each other and
// nine of 1 in below, 1/8 in between: 6 1/4 of 8 in, and 10 in of the 10 1/2 that also
// hold the head and the cautions; so 27 on a page.
func TestPages(t *testing.T) {
	for _, c := range []struct{ copies, pages int }{{1, 1}, {13, 1}, {14, 2}, {27, 2}, {28, 3}} {
		pages, err := Pages(written(t, raft, c.copies), inches)
		require.NoError(t, err)
		require.Len(t, pages, c.pages, "%d labels", 2*c.copies)
		for i, p := range pages {
			var said []string
			for _, text := range p.Texts() {
				said = append(said, text.String)
			}
			assert.Contains(t, said, fmt.Sprintf("page %d of %d · print at 100%%", i+1, c.pages))
			assert.Contains(t, said, fmt.Sprintf("Harbour: labels %d–%d of %d", 27*i+1, min(27*i+27, 2*c.copies), 2*c.copies))
			assert.Contains(t, strings.Join(said, " "), cutlist.Caution)
		}
	}
}

// A label of one copy does not count copies; a fabric without a colour has no swatch.
func TestWhatALabelSays(t *testing.T) {
	pages, err := Pages(written(t, raft, 1), inches)
	require.NoError(t, err)
	all := boxes(pages[0])
	require.Len(t, all, 2)
	assert.Equal(t, "Raft A1 Morning sky 5\u00a0×\u00a03\u00a0in", words(inside(pages[0], all[0])))
	assert.Equal(t, "Raft A2 tar 5\u00a0×\u00a02¾\u00a0in 5\u00a0in edge to the seam", words(inside(pages[0], all[1])))
	require.Len(t, pages[0].Layer("swatches").Items, 1)
	assert.Equal(t, ink.RGB(0xc3, 0xdc, 0xea), pages[0].Layer("swatches").Items[0].(*ink.Path).Fill)

	pages, err = Pages(written(t, raft, 3), inches)
	require.NoError(t, err)
	assert.Equal(t, "2 of 3 Raft A1 Morning sky 5\u00a0×\u00a03\u00a0in", words(inside(pages[0], boxes(pages[0])[1])))
}

// Long titles are shortened; patches and sizes never are.
func TestLongWords(t *testing.T) {
	long := strings.Repeat("Mackerel ", 30)
	pages, err := Pages(written(t, strings.NewReplacer("Raft", long, "Morning sky", long).Replace(raft), 2), inches)
	require.NoError(t, err)
	fits(t, pages, inches)
	said := words(inside(pages[0], boxes(pages[0])[0]))
	assert.Contains(t, said, "…")
	assert.Contains(t, said, "A1")
	assert.Contains(t, said, "5\u00a0×\u00a03\u00a0in")

	section := "A" + strings.Repeat("aft", 30)
	_, err = Pages(written(t, strings.ReplaceAll(raft, "section A", "section "+section), 1), inches)
	assert.ErrorContains(t, err, "a label is too small for \""+section+"1\"")
}

func TestLabelsThatCannotBe(t *testing.T) {
	for _, c := range []struct {
		change func(*Options)
		want   string
	}{
		{func(h *Options) { h.Width = 9 * geom.Inch }, "a label of 9 × 1 in is larger than the page, which has room for 8 × "},
		{func(h *Options) { h.Height = 11 * geom.Inch }, "a label of 2 × 11 in is larger than the page"},
		{func(h *Options) { h.Height = geom.Inch / 2 }, "a label of 2 × 1/2 in is too small to be read"},
		{func(h *Options) { h.Width = 0 }, "too small to be read"},
		{func(h *Options) { h.Margin = 6 * geom.Inch }, "larger than the page"},
	} {
		how := inches
		c.change(&how)
		_, err := Pages(written(t, raft, 1), how)
		assert.ErrorContains(t, err, c.want)
	}
	_, err := Pages(written(t, raft, Most/2+1), inches)
	assert.EqualError(t, err, "40002 labels are too many to print at a time; 40000 are the most, and as CSV there can be more")
	_, err = Pages(&cloth.List{}, inches)
	assert.EqualError(t, err, "there is no piece to label")
}

// Labels of any size fit, or are refused.
func TestAnySize(t *testing.T) {
	l := harbour(t, 1)
	rapid.Check(t, func(r *rapid.T) {
		how := inches
		how.Width = rapid.Float64Range(0, 1200).Draw(r, "width")
		how.Height = rapid.Float64Range(0, 1500).Draw(r, "height")
		how.Gap = rapid.Float64Range(0, 60).Draw(r, "gap")
		how.Margin = rapid.Float64Range(1, 200).Draw(r, "margin")
		pages, err := Pages(l, how)
		if err == nil {
			fits(r, pages, how)
		} else {
			assert.Regexp(r, "is larger than the page|too small", err.Error())
		}
	})
}

func TestSamePagesSameBytes(t *testing.T) {
	var a, b bytes.Buffer
	for _, out := range []*bytes.Buffer{&a, &b} {
		pages, err := Pages(harbour(t, 1), inches)
		require.NoError(t, err)
		require.NoError(t, pdf.Write(out, pages, pdf.Options{Title: "labels"}))
	}
	assert.Equal(t, a.Bytes(), b.Bytes())
}

// Labels for what cannot be sewn say so on every page, clear of the labels.
func TestAlert(t *testing.T) {
	how := inches
	how.Alert = "Cannot be sewn. There is a gap."
	pages, err := Pages(harbour(t, 1), how)
	require.NoError(t, err)
	plain, err := Pages(harbour(t, 1), inches)
	require.NoError(t, err)
	assert.GreaterOrEqual(t, len(pages), len(plain))
	for _, page := range pages {
		said := 0
		for _, text := range page.Texts() {
			if text.String == how.Alert {
				said++
			}
		}
		assert.Equal(t, 1, said)
	}
}
