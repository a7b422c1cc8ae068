package sheet

import (
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/draw"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/steps"
	"sewable/lang/geom"
	"sewable/lang/syntax"
)

// onPaper is a direction of the block as it lies on a sheet, y upward: seen from the printed side,
// and turned by so many degrees clockwise.
func onPaper(d geom.Point, mirrored bool, degrees float64) geom.Point {
	if !mirrored {
		d.X = -d.X
	}
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	return geom.Point{X: d.X*cos + d.Y*sin, Y: d.Y*cos - d.X*sin}
}

// Where a foundation says past which end of its line a piece reaches, it is the end that one sees
// there on the sheet, whichever way the block is mirrored and the foundation turned.
func TestEndsAreNamedAsTheSheetShowsThem(t *testing.T) {
	said := map[string]bool{}
	sides, frames := map[bool]int{}, map[bool]int{}
	for i, title := range []string{"Terns over the Bar", "Terns over the Bar", "Galley Window", "Fisherman's Anchor", "Fisherman's Anchor"} {
		mirrored := i%2 == 1
		p := named(t, title)
		p.Mirrored = mirrored
		plan := p.Plan()
		for _, s := range plan.Sections {
			f, err := foundationOf(p, plan, s, Options{}.Filled().Room())
			require.NoError(t, err)
			f.reach = true
			for turn, degrees := range f.turns {
				words := ""
				for _, it := range f.drawing(turn).Layer("caption").Items {
					words += it.(*ink.Text).String + " "
				}
				for _, step := range s.Steps {
					_, of, ok := strings.Cut(words, " No room for marks for "+steps.Label(step.Patch)+". On this sheet, extend its piece ")
					if !ok {
						continue
					}
					_, end, _ := strings.Cut(of, " past the ")
					line := step.Piece.Seam.Line
					at := step.Laid.Reach.At
					if breadth, _, _ := strings.Cut(end, " "); breadth == "wide" || breadth == "narrow" {
						assert.Equal(t, breadth == "wide", broadAt(step.Patch.Corners, at, line), "%s: %s", steps.Label(step.Patch), end)
						said[breadth] = true
						continue
					}
					d := line.B.Sub(line.A)
					if at == line.A {
						d = line.A.Sub(line.B)
					}
					d = onPaper(d, mirrored, degrees)
					want := "upper"
					switch {
					case math.Abs(d.Y) < math.Abs(d.X)/8 && d.X < 0:
						want = "left"
					case math.Abs(d.Y) < math.Abs(d.X)/8:
						want = "right"
					case d.Y < 0:
						want = "lower"
					}
					called := step.Laid.Reach.Called()
					_, guide, differs := strings.Cut(strings.Split(end, " No room ")[0], " (In the guide: its ")
					assert.Equal(t, want != called, differs, "%s: %s, %s in the guide", steps.Label(step.Patch), end, called)
					assert.True(t, !differs || strings.HasPrefix(guide, called+" end.)"), guide)
					sides[at == line.A]++
					frames[differs]++
					assert.True(t, strings.HasPrefix(end, want), "%s turned by %g°, mirrored %v: %s, not %s", steps.Label(step.Patch), degrees, mirrored, want, end)
					said[want] = true
				}
			}
		}
	}
	for _, is := range []bool{false, true} {
		assert.Positive(t, sides[is], "ends A %v", is)
		assert.Positive(t, frames[is], "named otherwise in the guide %v", is)
	}
	assert.Subset(t, slices.Collect(maps.Keys(said)), []string{"upper", "lower", "left", "right", "narrow"}, "every end is named somewhere")
}

// broadAt says whether most of a patch lies in the half of it that is nearer to an end of a line.
func broadAt(patch geom.Polygon, end geom.Point, line geom.Segment) bool {
	d := line.Dir()
	if end.Dist(line.A) < end.Dist(line.B) {
		d = d.Scale(-1)
	}
	least, most := math.Inf(1), math.Inf(-1)
	for _, p := range patch {
		least, most = min(least, p.Dot(d)), max(most, p.Dot(d))
	}
	box, near, n := patch.Bounds(), 0, 0
	for i := range 2500 {
		p := box.Min.Add(geom.Point{X: box.Width() * float64(i%50) / 49, Y: box.Height() * float64(i/50) / 49})
		if patch.Contains(p) == geom.Inside {
			n++
			if p.Dot(d) > (least+most)/2 {
				near++
			}
		}
	}
	return 2*near > n
}

// Titles say how a copy lies and which blocks it is for.
func TestTitles(t *testing.T) {
	p := named(t, "First Pennant")
	assert.Equal(t, "First Pennant", p.Title())
	p.Numbers = []int{2}
	assert.Equal(t, "First Pennant (block 2)", p.Title())
	p.Turned, p.Numbers = 90, []int{2, 3, 4, 7}
	assert.Equal(t, "First Pennant, turned 90° (blocks 2–4, 7)", p.Title())
	p.Mirrored, p.Colourway, p.Numbers, p.Turned = true, &block.Colourway{Named: block.Named{Name: "evening"}}, nil, 0
	assert.Equal(t, "First Pennant, evening, mirrored", p.Title())
	pages, err := Pages([]Pattern{p}, Options{})
	require.NoError(t, err)
	for i, page := range pages {
		assert.Contains(t, page.Layer("head").Items[0].(*ink.Text).String, "First Pennant, evening, mirrored", "page %d", i+1)
	}
}

// A foundation of a section that is a mirrored copy says so inside its trimming line.
func TestMirroredSectionsSaySo(t *testing.T) {
	p := written(t, `
fabric sky #c3dcea
fabric sea #2f7098
allowance 1/4
block "Pair" 6 by 3 {
  section A "Left" {
    outline (0, 0) (3, 0) (3, 3) (0, 3)
    patch 1 sky around (1/2, 2)
    patch 2 sea beyond (0, 0) (3, 3)
  }
  section B "Right" = A mirrored across (3, 0) (3, 3)
  section C = A moved (3, 0)
}`)
	plan := p.Plan()
	for _, s := range plan.Sections {
		f, err := foundationOf(p, plan, s, Options{}.Filled().Room())
		require.NoError(t, err)
		mirrored := s.Of.Of.Name == "B"
		assert.Equal(t, mirrored, strings.Contains(strings.Join(f.names(), " "), "mirrored copy of A"), s.Of.Of.Name)
	}
}

// Captions are cut off when the foundation is cut out 1/4 in outside its trimming line, so they are 3/8 in away.
func TestCaptionsAreOutside(t *testing.T) {
	for _, p := range demo(t) {
		plan := p.Plan()
		for _, s := range plan.Sections {
			f, err := foundationOf(p, plan, s, Options{}.Filled().Room())
			require.NoError(t, err)
			for turn := range f.turns {
				at, _ := f.placer(turn)
				cut := geom.Polygon(f.all(at))
				for _, it := range f.drawing(turn).Layer("caption").Items {
					box := it.(*ink.Text).Bounds().Bounds()
					assert.Equal(t, geom.Outside, cut.Contains(box.Centre()), f.captions[0])
					for i := range cut {
						for k := range 101 {
							p := cut.Edge(i).At(float64(k) / 100)
							assert.GreaterOrEqual(t, box.Nearest(p).Dist(p), 3*geom.Inch/8-1.0, "%s: %s", f.captions[0], it.(*ink.Text).String)
						}
					}
				}
			}
		}
	}
}

const rowOfPairs = `
fabric sky #c3dcea
fabric sea #2f7098
allowance 1/4
block "One" 3 by 3 {
  section A {
    patch 1 sky (0, 0) (3, 0) (3, 3) (0, 3)
  }
}
block "Two" 3 by 3 {
  section A {
    patch 1 sea (0, 0) (3, 0) (3, 3) (0, 3)
  }
}
setting "Row" {
  rows 2
  columns 2
  fill "One", "Two", "Two" mirrored, "One"
  sashing 1 sea
}
setting "Corners" {
  rows 2
  columns 2
  fill "One", "Two", "Two" mirrored, "One", "Two"
  on point sky
}`

// The places of a map are numbered as the places of the quilt are, and lie where its blocks lie.
func TestTheMapNumbersThePlaces(t *testing.T) {
	f := block.NewLoader(syntax.NewReader(), nil).OpenText("test.block", rowOfPairs)
	require.Len(t, f.Settings, 2)
	for i, set := range f.Settings {
		places, box, err := draw.Places(set)
		require.NoError(t, err)
		require.Len(t, places, [2]int{4, 5}[i])
		for k := 1; k < len(places); k++ {
			a, b := places[k-1].Bounds().Centre(), places[k].Bounds().Centre()
			assert.True(t, b.Y < a.Y-geom.Hair || b.Y < a.Y+geom.Hair && b.X > a.X, "%s: place %d comes before %d as one reads them", set.Name, k, k+1)
			assert.Equal(t, b, box.Nearest(b))
		}
		p := written(t, rowOfPairs)
		assert.Nil(t, p.Map(400))
		p.Setting, p.Numbers = set, []int{1, 4}
		d := p.Map(400)
		dark, numbers := 0, ""
		for _, it := range d.Layer("map").Items {
			switch it := it.(type) {
			case *ink.Path:
				if it.Name == "own place" {
					dark++
				}
			case *ink.Text:
				numbers += it.String
				assert.Equal(t, it.String == "1" || it.String == "4", it.Bold)
			}
		}
		assert.Equal(t, 2, dark)
		assert.Equal(t, [2]string{"1234", "12345"}[i], numbers)
		assert.Contains(t, p.MapWords(), "Blocks 1, 4 of "+set.Name+".")
	}
}

// A fabric whose name has no room in its patch is in the caption, every join is called alike on all sheets that take
// part in it, and pages are numbered through.
func TestCaptionsSayWhatTheSheetsDoNot(t *testing.T) {
	p := written(t, `
fabric sky "Sky"
fabric dawn "Early morning over the harbour"
block "Narrow" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 sky (0, 0) (3 1/2, 0) (3 1/2, 2) (0, 2)
    patch 2 dawn (3 1/2, 0) (4, 0) (4, 2) (3 1/2, 2)
  }
  section B { patch 1 sky (0, 2) (2, 2) (2, 4) (0, 4)
  }
  section C { patch 1 sky (2, 2) (4, 2) (4, 4) (2, 4)
  }
  join B to C
  join C to A
}
`)
	plan := p.Plan()
	for _, s := range plan.Sections {
		f, err := foundationOf(p, plan, s, Options{}.Filled().Room())
		require.NoError(t, err)
		caption := ""
		for _, it := range f.drawing(0).Layer("caption").Items {
			caption += " " + it.(*ink.Text).String
		}
		name := s.Of.Of.Name
		assert.Equal(t, name == "A", strings.Contains(caption, "Early morning over the harbour: A2."), caption)
		assert.NotContains(t, caption, "Sky:")
		assert.Contains(t, caption, "Join 2: the unit of B and C to A.", name)
		assert.Equal(t, name != "A", strings.Contains(caption, "Join 1: B to C."), name)
	}
	for _, bare := range []bool{false, true} {
		pages, err := Pages([]Pattern{p}, Options{Bare: bare})
		require.NoError(t, err)
		for i, page := range pages {
			head := ""
			for _, text := range page.Texts() {
				head += text.String + "\n"
			}
			assert.Contains(t, head, "page "+strconv.Itoa(i+1)+" of "+strconv.Itoa(len(pages))+" · ")
		}
	}
}
