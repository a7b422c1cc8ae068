package guide_test

import (
	"bytes"
	"encoding/xml"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/draw/guide"
	"sewable/lang/draw/sheet"
	"sewable/lang/draw/steps"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/syntax"
)

func demo(t *testing.T) []sheet.Pattern {
	paths, err := filepath.Glob("../../../testdata/harbour/*.block")
	require.NoError(t, err)
	loader := block.NewLoader(syntax.NewReader(), nil)
	var out []sheet.Pattern
	for _, path := range paths {
		f, err := loader.Open(path)
		require.NoError(t, err)
		for _, b := range f.Blocks {
			out = append(out, sheet.Pattern{Block: sew.Analyse(b), Cloth: cloth.Options{Step: geom.Inch / 4}})
		}
	}
	return out
}

// A step for every patch and every join, each with its moves, and a picture for every move
// that has one.
func TestStepsOfEveryDemoBlock(t *testing.T) {
	for _, p := range demo(t) {
		b := p.Block.Of
		for _, o := range []guide.Options{{}, {Short: true}} {
			patches, joins := 0, 0
			for _, part := range guide.Parts(p, o) {
				for _, s := range part.Steps {
					if s.Of != nil {
						patches++
						assert.True(t, len(s.Moves) > 0 != (s.Like != ""), "%s %s", b.Name, s.Title)
					} else if s.Moves[0].Kind == steps.Joined {
						joins++
					}
					for _, m := range s.Moves {
						assert.NotEmpty(t, m.Words)
						if s.Of != nil {
							require.NotNil(t, m.Picture, "%s %s %s", b.Name, s.Title, m.Kind)
						}
					}
				}
			}
			want := 0
			for _, s := range b.Sections {
				want += len(s.Patches)
			}
			assert.Equal(t, want, patches, b.Name)
			assert.Equal(t, len(b.Joins), joins, b.Name)
		}
	}
}

// No picture is under 1 in high, and no label in one under 8 pt; every label lies in its picture.
func TestPicturesAreLargeEnough(t *testing.T) {
	for _, p := range demo(t) {
		for _, part := range guide.Parts(p, guide.Options{}) {
			for _, s := range part.Steps {
				for _, m := range s.Moves {
					if m.Picture == nil {
						continue
					}
					assert.GreaterOrEqual(t, m.Picture.Height, float64(geom.Inch), "%s %s", s.Title, m.Kind)
					for _, text := range m.Picture.Texts() {
						assert.GreaterOrEqual(t, text.Size*72/geom.Inch, 8.0, "%s %s: %s", s.Title, m.Kind, text.String)
						box := text.Bounds().Bounds()
						assert.True(t, box.Min.X >= 0 && box.Min.Y >= 0 && box.Max.X <= m.Picture.Width && box.Max.Y <= m.Picture.Height, "%s %s: %s", s.Title, m.Kind, text.String)
					}
				}
			}
		}
	}
}

func TestPagesHoldTheirText(t *testing.T) {
	for _, p := range demo(t) {
		for _, paper := range []sheet.Paper{sheet.Letter, sheet.A4} {
			pages, err := guide.Pages(p, sheet.Options{Paper: paper}, guide.Options{})
			require.NoError(t, err)
			for _, page := range pages {
				texts := page.Texts()
				for i, a := range texts {
					box := a.Bounds().Bounds()
					assert.True(t, box.Min.X >= 0 && box.Max.X <= page.Width && box.Min.Y >= 0 && box.Max.Y <= page.Height-geom.Inch/2+1, "%s: %q", p.Block.Of.Name, a.String)
					for _, b := range texts[:i] {
						o := b.Bounds().Bounds()
						assert.False(t, box.Min.X < o.Max.X && o.Min.X < box.Max.X && box.Min.Y < o.Max.Y && o.Min.Y < box.Max.Y, "%s: %q lies over %q", p.Block.Of.Name, a.String, b.String)
					}
				}
			}
		}
	}
}

// The page is well formed, has no script, and asks nothing of anybody.
func TestHTML(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, guide.HTML(&out, demo(t), guide.Options{}))
	text := out.String()
	tags(t, text)
	assert.Contains(t, text, "3 sections  ·  12 patches  ·  allowance ¼\u00a0in</p>")
	assert.Equal(t, strings.Count(text, "http"), strings.Count(text, `xmlns="http://www.w3.org/2000/svg"`), "no address but the one that names SVG")
	assert.NotContains(t, text, "<script")
}

// tags reads the page as XML, but for its doctype and the elements that need no end.
func tags(t *testing.T, text string) {
	d := xml.NewDecoder(strings.NewReader(text))
	d.Strict = false
	d.AutoClose = []string{"meta"}
	d.Entity = xml.HTMLEntity
	depth := 0
	for {
		token, err := d.Token()
		if token == nil {
			assert.Zero(t, depth)
			return
		}
		require.NoError(t, err)
		switch token.(type) {
		case xml.StartElement:
			depth++
		case xml.EndElement:
			depth--
		}
	}
}

func TestHostileNamesInHTML(t *testing.T) {
	f := block.NewLoader(syntax.NewReader(), nil).OpenText("t.block", `
fabric sky "<script>alert(1)</script>" #c3dcea
block "<img src=x onerror=y>" 3 by 3 {
  allowance 1/4
  note "</p><script>"
  section A "\"><b>" {
    patch 1 sky (0, 0) (3, 0) (3, 3) (0, 3) note "<i>"
  }
}
`)
	var out bytes.Buffer
	require.NoError(t, guide.HTML(&out, []sheet.Pattern{{Block: sew.Analyse(f.Blocks[0])}}, guide.Options{}))
	for _, bad := range []string{"<script>", "<img", "<b>", "<i>"} {
		assert.NotContains(t, out.String(), bad)
	}
	assert.Contains(t, out.String(), "&lt;script&gt;alert(1)&lt;/script&gt;")
}

// Where the sections cannot be joined the guide says so in the place of the joins.
func TestNoJoins(t *testing.T) {
	const sections = `fabric sky
block "Three Corners" 4 by 4 {
  allowance 1/4
  section A { patch 1 sky (0, 0) (4, 0) (4, 1) (2, 2) (0, 1)
  }
  section B { patch 1 sky (0, 1) (2, 2) (2, 4) (0, 4)
  }
  section C { patch 1 sky (2, 2) (4, 1) (4, 4) (2, 4)
  }
`
	for joins, want := range map[string]string{
		"join A to B\njoin A to C": "no order of the written joins works. In the written order, A to C cannot be sewn.",
		"join A to B":              "No join reaches C, so the block cannot be sewn together.",
		"":                         "No join is written",
	} {
		f := block.NewLoader(syntax.NewReader(), nil).OpenText("t.block", sections+joins+"\n}\n")
		parts := guide.Parts(sheet.Pattern{Block: sew.Analyse(f.Blocks[0])}, guide.Options{})
		last := parts[len(parts)-1]
		assert.Equal(t, "Join the sections", last.Title)
		assert.Contains(t, last.Lead, want)
		assert.Empty(t, last.Steps)
	}
	f := block.NewLoader(syntax.NewReader(), nil).OpenText("t.block", strings.Replace(sections, "4 by 4", "4 by 5", 1)+"join A to B\njoin A to C\n}\n")
	parts := guide.Parts(sheet.Pattern{Block: sew.Analyse(f.Blocks[0])}, guide.Options{})
	assert.Contains(t, parts[len(parts)-1].Lead, "do not fill the block")
}

// A guide to what cannot be sewn says so on every page and at the head of its section; what is accepted is said first.
func TestGuideToWhatCannotBeSewn(t *testing.T) {
	f := block.NewLoader(syntax.NewReader(), nil).OpenText("t.block", `fabric sky
block "Crossroads" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 sky (0, 0) (2, 0) (2, 2) (0, 2)
    patch 2 sky (2, 0) (4, 0) (4, 2) (2, 2)
    patch 3 sky (2, 2) (4, 2) (4, 4) (2, 4)
    patch 4 sky (0, 2) (2, 2) (2, 4) (0, 4)
  }
}
`)
	p := sheet.Pattern{Block: sew.Analyse(f.Blocks[0]), Accepted: []string{"Small & meant. Reason: <i>so</i>."}}
	pages, err := guide.Pages(p, sheet.Options{}, guide.Options{})
	require.NoError(t, err)
	for _, page := range pages {
		said := ""
		for _, text := range page.Texts() {
			said += text.String + " "
		}
		assert.Contains(t, said, "Cannot be sewn. Section A: This section cannot be sewn: no order of its patches works.")
	}
	assert.Contains(t, guide.Parts(p, guide.Options{})[0].Lead, "no order of its patches works")
	var out bytes.Buffer
	require.NoError(t, guide.HTML(&out, []sheet.Pattern{p}, guide.Options{}))
	assert.Contains(t, out.String(), "<section class=\"remark alert\"><h2>This block cannot be sewn</h2>")
	assert.Contains(t, out.String(), "<section class=\"remark\"><h2>Accepted by the designer</h2>\n<p>Small &amp; meant. Reason: &lt;i&gt;so&lt;/i&gt;.</p>")
	tags(t, out.String())
}

func TestBrokenBlockHasNoGuide(t *testing.T) {
	f := block.NewLoader(syntax.NewReader(), nil).OpenText("t.block", `block "No" 3 by 3 {}`)
	p := sheet.Pattern{Block: sew.Analyse(f.Blocks[0])}
	_, err := guide.Pages(p, sheet.Options{}, guide.Options{})
	assert.Error(t, err)
	assert.Error(t, guide.HTML(&bytes.Buffer{}, []sheet.Pattern{p}, guide.Options{}))
}
