package sheet

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/draw"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/pdf"
	"sewable/lang/draw/steps"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/syntax"
)

var options = cloth.Options{Step: geom.Inch / 4, Placement: cloth.Placement{Shift: geom.Inch / 8, Turn: 3}}

// demo is every block of the demo repository.
func demo(t testing.TB) []Pattern {
	t.Helper()
	paths, err := filepath.Glob("../../../testdata/harbour/*.block")
	require.NoError(t, err)
	loader := block.NewLoader(syntax.NewReader(), nil)
	var out []Pattern
	for _, path := range paths {
		f, err := loader.Open(path)
		require.NoError(t, err)
		for _, b := range f.Blocks {
			list, err := cloth.NewList(cloth.Order{Blocks: []cloth.Placed{{Block: b, Count: 1}}, Kits: 1}, cloth.OrderOptions{
				Options: func(*block.File) cloth.Options { return options }, Unit: f.Unit, Squaring: cloth.DefaultSquaring(f.Unit),
			})
			require.NoError(t, err)
			out = append(out, Pattern{Block: sew.Analyse(b), Cuts: list, Cloth: options})
		}
	}
	require.GreaterOrEqual(t, len(out), 23)
	return out
}

func named(t testing.TB, title string) Pattern {
	for _, p := range demo(t) {
		if p.Block.Of.Name == title {
			return p
		}
	}
	t.Fatalf("no block %s", title)
	return Pattern{}
}

// written is the first block of a text.
func written(t testing.TB, text string) Pattern {
	f := block.NewLoader(syntax.NewReader(), nil).OpenText("test.block", text)
	require.NotEmpty(t, f.Blocks)
	return Pattern{Block: sew.Analyse(f.Blocks[0]), Cloth: options}
}

func everyPage(t *testing.T, see func(t *testing.T, p Pattern, how Options, pages []*ink.Drawing)) {
	for _, p := range demo(t) {
		for _, paper := range []Paper{Letter, A4} {
			t.Run(p.Block.Of.Name+"/"+paper.Name, func(t *testing.T) {
				how := Options{Paper: paper}
				pages, err := Pages([]Pattern{p}, how)
				require.NoError(t, err)
				see(t, p, how.Filled(), pages)
			})
		}
	}
}

func TestNoTextOverTextAndAllOnThePage(t *testing.T) {
	everyPage(t, func(t *testing.T, p Pattern, how Options, pages []*ink.Drawing) {
		for _, page := range pages {
			texts := page.Texts()
			for i, a := range texts {
				box := a.Bounds().Bounds()
				assert.GreaterOrEqual(t, a.Size*72/geom.Inch, 7.0, "%q in points", a.String)
				assert.True(t, box.Min.X >= how.Margin-1 && box.Max.X <= page.Width-how.Margin+1 && box.Min.Y >= how.Margin-1 && box.Max.Y <= page.Height-how.Margin+1,
					"%q lies inside the margins", a.String)
				for _, b := range texts[:i] {
					assert.False(t, meet(a.Bounds(), b.Bounds()), "%q lies over %q", a.String, b.String)
				}
			}
		}
	})
}

// meet says whether two boxes, which may lie askew, have an inner point in common: no side of one has
// all of the other beyond it.
func meet(a, b geom.Polygon) bool {
	apart := func(a, b geom.Polygon) bool {
		a = a.CCW()
		for i := range a {
			out := true
			for _, p := range b {
				e := a.Edge(i)
				out = out && e.B.Sub(e.A).Cross(p.Sub(e.A)) <= 1e-9
			}
			if out {
				return true
			}
		}
		return false
	}
	return !apart(a, b) && !apart(b, a)
}

func TestEveryPatchHasANumberThatCanBeRead(t *testing.T) {
	everyPage(t, func(t *testing.T, p Pattern, how Options, pages []*ink.Drawing) {
		size := map[string]float64{}
		for _, page := range pages {
			for _, it := range page.Layer("labels").Items {
				if text, ok := it.(*ink.Text); ok && text.Bold {
					size[text.String] = text.Size
				}
			}
		}
		for _, s := range p.Block.Sections {
			for _, patch := range s.Of.Patches {
				assert.GreaterOrEqual(t, size[steps.Label(patch)]*72/geom.Inch, 7.0, "%s in points", steps.Label(patch))
			}
		}
	})
}

// The foundation, flipped, lies on the picture of the finished side.
func TestFoundationsAreMirrored(t *testing.T) {
	for _, p := range demo(t) {
		plan := steps.Of(p.Block, steps.Options{Cloth: options})
		for _, s := range plan.Sections {
			f, err := foundationOf(p, plan, s, Options{}.Filled().Room())
			require.NoError(t, err)
			at, _ := f.placer(0)
			picture := draw.Section(s.Of, draw.Options{Labels: draw.NoLabels})
			scale, shift, known := 0.0, geom.Point{}, 0
			for _, step := range s.Steps {
				for _, it := range picture.Layer("patches").Items {
					path := it.(*ink.Path)
					if path.ID != "patch-"+steps.Label(step.Patch) {
						continue
					}
					for i, q := range path.Chains[0].Points {
						r := at(step.Patch.Corners[i])
						r.X = -r.X // flipped
						if scale == 0 && i > 0 {
							was := at(step.Patch.Corners[0])
							was.X = -was.X
							scale = path.Chains[0].Points[0].Dist(q) / was.Dist(r)
							shift = path.Chains[0].Points[0].Sub(was.Scale(scale))
						}
						if scale != 0 {
							assert.InDelta(t, q.X, r.X*scale+shift.X, 1e-6)
							assert.InDelta(t, q.Y, r.Y*scale+shift.Y, 1e-6)
							known++
						}
					}
				}
			}
			assert.Greater(t, known, 1)
		}
	}
}

// What is printed for the mirror image is the finished side itself.
func TestMirroredBlocks(t *testing.T) {
	p := named(t, "Homeward Sloop")
	p.Mirrored = true
	plan := steps.Of(p.Block, steps.Options{Cloth: options})
	f, err := foundationOf(p, plan, plan.Sections[0], Options{}.Filled().Room())
	require.NoError(t, err)
	at, _ := f.placer(0)
	right := at(geom.Point{X: 1}).Sub(at(geom.Point{}))
	assert.Equal(t, geom.Point{X: 1}, right)
}

// No foundation touches another, its caption, or the squares; the squares are
// on every page that has room.
func TestFoundationsLieApart(t *testing.T) {
	for _, p := range demo(t) {
		for _, copies := range []int{1, 3} {
			plan := steps.Of(p.Block, steps.Options{Cloth: options})
			room := Options{}.Filled().Room()
			var pieces []*piece
			for _, s := range plan.Sections {
				f, err := foundationOf(p, plan, s, room)
				require.NoError(t, err)
				for range copies {
					if f.fits(room) {
						pieces = append(pieces, &piece{of: f})
					}
				}
			}
			pack(pieces, room)
			for i, a := range pieces {
				shape := placedCut(a)
				b := shape.Bounds()
				assert.True(t, b.Min.X >= room.Min.X-0.01 && b.Max.X <= room.Max.X+0.01 && b.Min.Y >= room.Min.Y-0.01 && b.Max.Y <= room.Max.Y+0.01)
				for _, o := range pieces[:i] {
					if o.page != a.page {
						continue
					}
					other := placedCut(o)
					for k := range shape {
						assert.Equal(t, geom.Outside, other.Contains(shape.Edge(k).Mid()), "%s: %s and %s", p.Block.Of.Name, a.of.captions[0], o.of.captions[0])
						for n := range other {
							require.False(t, cross(shape.Edge(k), other.Edge(n)), "%s: %s and %s", p.Block.Of.Name, a.of.captions[0], o.of.captions[0])
						}
					}
				}
			}
		}
	}
}

// Every foundation says inside its trimming line what it is, its letters 7 pt at least.
func TestFoundationsSayWhatTheyAre(t *testing.T) {
	for _, p := range demo(t) {
		p.Mirrored, p.Turned, p.Numbers = true, 90, []int{1, 2, 3, 7}
		plan := p.Plan()
		for _, s := range plan.Sections {
			f, err := foundationOf(p, plan, s, Options{}.Filled().Room())
			require.NoError(t, err)
			for turn := range f.turns {
				at, _ := f.placer(turn)
				cut := geom.Polygon(f.all(at))
				said := ""
				for _, text := range f.drawing(turn).Texts() {
					inside := true
					for _, c := range text.Bounds() {
						inside = inside && cut.Contains(c) == geom.Inside
					}
					if inside {
						said += text.String + " "
						assert.GreaterOrEqual(t, text.Size*72/geom.Inch, 7.0)
					}
				}
				for _, want := range []string{p.Block.Of.Name, "Section " + s.Of.Of.Name, "MIRRORED", "TURNED 90°", "1–3", "7"} {
					for _, word := range strings.Fields(want) {
						assert.Contains(t, said, word, "%s %s", p.Block.Of.Name, s.Of.Of.Name)
					}
				}
			}
		}
	}
}

// Copies are one set of pages, which says how often it is printed: so every copy is laid out alike.
func TestCopiesAreLaidOutAlike(t *testing.T) {
	p := named(t, "Matchbox Dinghy")
	marked := func(pages []*ink.Drawing, word string) (n int) {
		for _, page := range pages {
			for _, text := range page.Texts() {
				if strings.Contains(text.String, word) {
					n++
				}
			}
		}
		return n
	}
	one, err := Pages([]Pattern{p}, Options{Bare: true})
	require.NoError(t, err)
	assert.Equal(t, 1, marked(one, "· print once ·"))
	assert.Zero(t, marked(one, "every copy"), "there is one")
	p.Copies = 7
	pages, err := Pages([]Pattern{p}, Options{Bare: true})
	require.NoError(t, err)
	require.Len(t, pages, 1, "one set, not as many as copies")
	assert.Equal(t, 4, marked(pages, "every copy"), "several on a page")
	assert.Equal(t, 1, marked(pages, "for 7 copies: print 2 times"))
	pages, err = Pages([]Pattern{p}, Options{})
	require.NoError(t, err)
	assert.Equal(t, 1, marked(pages, "The foundations are one set of pages for all 7 copies"))

	p = named(t, "Homeward Sloop")
	one, err = Pages([]Pattern{p}, Options{})
	require.NoError(t, err)
	p.Copies = 3
	pages, err = Pages([]Pattern{p}, Options{})
	require.NoError(t, err)
	assert.Len(t, pages, len(one))
	assert.Equal(t, 3, marked(pages, "for 3 copies: print 3 times"), "on every page of foundations")
	assert.Equal(t, 3, marked(pages, "every copy"))
}

func TestHowOftenAPageIsPrinted(t *testing.T) {
	for r, want := range map[run][2]string{
		{1, 1, 1}: {"print once", ""},
		{3, 3, 1}: {"for 3 copies: print once", "The foundations are for 3 copies: print them once."},
		{4, 3, 2}: {"for 4 copies: print 2 times", "The foundations are one set of pages for all 4 copies: print each page 2 times. 2 copies in it are to spare."},
		{5, 3, 2}: {"for 5 copies: print 2 times", "The foundations are one set of pages for all 5 copies: print each page 2 times. 1 copy in it is to spare."},
	} {
		assert.Equal(t, want, [2]string{r.words(), r.advice()})
	}
}

func placedCut(p *piece) geom.Polygon {
	at, _ := p.of.placer(p.turn)
	var out geom.Polygon
	for _, q := range p.of.cut {
		out = append(out, at(q).Add(p.at))
	}
	return out
}

func cross(a, b geom.Segment) bool {
	d := func(s geom.Segment, p geom.Point) float64 { return s.B.Sub(s.A).Cross(p.Sub(s.A)) }
	return d(a, b.A)*d(a, b.B) < 0 && d(b, a.A)*d(b, a.B) < 0
}

const large = `
fabric sky #c3dcea
fabric sea #2f7098
block "Wide Water" 14 by 18 {
  allowance 1/4
  allowance outer 1/2
  section A "Water" {
    outline (0, 0) (14, 0) (14, 18) (0, 18)
    patch 1 sea around (7, 2)
    patch 2 sky beyond (0, 9) (14, 12)
  }
}
`

// Tiles show all of a foundation, and their crosses lie on each other.
func TestTiles(t *testing.T) {
	p := written(t, large)
	pages, err := Pages([]Pattern{p}, Options{Bare: true})
	require.NoError(t, err)
	require.Len(t, pages, 6, "19 by 15 in, turned, on pages of 7 1/2 by 8 1/2 in: three by two")
	plan := steps.Of(p.Block, steps.Options{})
	f, err := foundationOf(p, plan, plan.Sections[0], Options{}.Filled().Room())
	require.NoError(t, err)
	total, seen := f.cut.Perimeter(), 0.0
	crosses := 0
	words := map[string]bool{}
	for _, page := range pages {
		for _, text := range page.Texts() {
			words[text.String] = true
			box := text.Bounds().Bounds()
			assert.True(t, box.Min.X >= 0 && box.Max.X <= page.Width, text.String)
		}
		for _, it := range page.Layer("cut").Items {
			for _, c := range it.(*ink.Path).Chains {
				for i := 1; i < len(c.Points); i++ {
					seen += c.Points[i].Dist(c.Points[i-1])
				}
			}
		}
		for _, it := range page.Layer("registration").Items {
			if path, ok := it.(*ink.Path); ok && path.Name == "cross" {
				crosses++
			}
		}
	}
	for _, text := range f.drawing(0).Texts() {
		assert.True(t, words[text.String], "%s is on a page", text.String)
	}
	assert.InDelta(t, total+6*overlap, seen, 1, "two long sides that overlap twice, two short ones that overlap once")
	assert.Equal(t, 7*2*3*2, crosses, "7 shared edges, each on two pages, three crosses of two lines")
}

// The cutting line lies the outer allowance outside the block's edge and the
// allowance outside every other line, also where one edge has both.
func TestCuttingLine(t *testing.T) {
	p := written(t, `
fabric a #ffffff
block "Step" 6 by 4 {
  allowance 1/4
  allowance outer 1/2
  outline (0, 0) (6, 0) (6, 2) (4, 2) (4, 4) (0, 4)
  section A {
    patch 1 a (0, 0) (6, 0) (6, 2) (0, 2)
  }
  section B {
    patch 1 a (0, 2) (4, 2) (4, 4) (0, 4)
  }
  join A to B
}
`)
	fine, cut, ok := steps.Cutting(p.Block.Of, p.Block.Sections[0].Outline())
	require.True(t, ok)
	assert.Len(t, fine, 5, "the upper edge is parted where the block's corner lies on it")
	in := func(x, y float64) geom.Point { return geom.Point{X: x * geom.Inch, Y: y * geom.Inch} }
	for _, at := range []struct {
		from, dir geom.Point
		inches    float64
	}{
		{in(2, 0), geom.Point{Y: -1}, 0.5}, {in(6, 1), geom.Point{X: 1}, 0.5}, {in(5, 2), geom.Point{Y: 1}, 0.5},
		{in(2, 2), geom.Point{Y: 1}, 0.25}, {in(0, 1), geom.Point{X: -1}, 0.5},
	} {
		line, ok := steps.Ray(at.from, at.dir, cut)
		require.True(t, ok)
		assert.InDelta(t, at.inches*geom.Inch, line.Len(), 1e-6, "%v", at.from)
	}
}

// A patch too narrow for its number has it in the allowance, with a line to it.
func TestNumbersOfNarrowPatches(t *testing.T) {
	p := written(t, `
fabric a "Signal red" #c5352f
block "Sliver" 4 by 2 {
  allowance 1/4
  section A {
    outline (0, 0) (4, 0) (4, 2) (0, 2)
    patch 1 a (0, 0) (2, 0) (2, 2) (0, 2)
    patch 2 a (2, 0) (2 1/16, 0) (2 1/16, 2) (2, 2)
    patch 3 a (2 1/16, 0) (4, 0) (4, 2) (2 1/16, 2)
  }
}
`)
	pages, err := Pages([]Pattern{p}, Options{Bare: true})
	require.NoError(t, err)
	var number *ink.Text
	for _, text := range pages[0].Texts() {
		if text.String == "A2" {
			number = text
		}
	}
	require.NotNil(t, number)
	assert.GreaterOrEqual(t, number.Size, numberLeast)
	leaders := 0
	for _, it := range pages[0].Layer("marks").Items {
		if path, ok := it.(*ink.Path); ok && path.Name == "leader" {
			leaders++
		}
	}
	assert.Equal(t, 1, leaders)
	for _, it := range pages[0].Layer("outer").Items {
		outline := geom.Polygon(it.(*ink.Path).Chains[0].Points)
		assert.Equal(t, geom.Outside, outline.Contains(number.At), "it stands in the allowance")
	}
}

func TestWhatCannotBePrinted(t *testing.T) {
	for text, want := range map[string]string{
		`block "None" 3 by 3 { section A { patch 1 x (0, 0) (3, 0) (3, 3) (0, 3) } }`: "seam allowance",
		`block "Empty" 3 by 3 { allowance 1/4 }`:                                      "could not be read completely",
	} {
		_, err := Pages([]Pattern{written(t, text)}, Options{})
		assert.ErrorContains(t, err, want)
	}
	_, err := Pages([]Pattern{written(t, strings.ReplaceAll(strings.ReplaceAll(large, "14", "1400"), "18", "1800"))}, Options{})
	assert.ErrorContains(t, err, "more than 36 pages")
	p := written(t, large)
	p.Copies = 10_000
	_, err = Pages([]Pattern{p}, Options{})
	assert.ErrorContains(t, err, "too many")
	_, err = Pages([]Pattern{written(t, large)}, Options{Margin: 4 * geom.Inch})
	assert.ErrorContains(t, err, "margin")
}

func TestCutListAndWords(t *testing.T) {
	pages, err := Pages([]Pattern{named(t, "Homeward Sloop")}, Options{})
	require.NoError(t, err)
	var all []string
	for _, text := range pages[0].Texts() {
		all = append(all, text.String)
	}
	words := strings.Join(all, " ")
	for _, want := range []string{
		"Homeward Sloop", "8\u00a0in\u00a0square finished, 8½\u00a0in\u00a0square unfinished", "Morning sky: ¼\u00a0yd (42\u00a0in usable width)", "Cut 1: 7¼\u00a0×\u00a04¼\u00a0in (A2)", "A2 Morning sky, 7¼\u00a0×\u00a04¼\u00a0in",
		"1. Sew A to B, right sides together: 5\u00a0in.", "1 in", "25 mm", "close the blade",
	} {
		assert.Contains(t, words, want)
	}
}

func BenchmarkDemoToPDF(b *testing.B) {
	patterns := demo(b)
	var pages []*ink.Drawing
	for b.Loop() {
		var err error
		pages, err = Pages(patterns, Options{})
		require.NoError(b, err)
		require.NoError(b, pdf.Write(&bytes.Buffer{}, pages, pdf.Options{}))
	}
	b.ReportMetric(float64(len(pages)), "pages")
}
