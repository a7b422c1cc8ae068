package sheet

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/draw/ink"
	"sewable/lang/draw/steps"
	"sewable/lang/geom"
)

const (
	crossroads = `fabric sea "Sea"
block "Crossroads" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 sea (0, 0) (2, 0) (2, 2) (0, 2)
    patch 2 sea (2, 0) (4, 0) (4, 2) (2, 2)
    patch 3 sea (2, 2) (4, 2) (4, 4) (2, 4)
    patch 4 sea (0, 2) (2, 2) (2, 4) (0, 4)
  }
}`
	hole = `fabric sea "Sea"
block "Hole" 4 by 4 {
  allowance 1/4
  section A {
    outline (0, 0) (4, 0) (4, 4) (0, 4)
    patch 1 sea (0, 0) (4, 0) (4, 2) (0, 2)
  }
}`
	halves = `fabric sea "Sea"
block "Halves" 4 by 4 {
  allowance 1/4
  section A { patch 1 sea (0, 0) (2, 0) (2, 4) (0, 4)
  }
  section B { patch 1 sea (2, 0) (4, 0) (4, 4) (2, 4)
  }
}`
	tide = `fabric sea "Sea"
block "Tide" 4 by 4 {
  allowance 1/8
  section A { patch 1 sea (0, 0) (4, 0) (4, 4) (0, 4)
  }
}`
)

func words(pages ...*ink.Drawing) string {
	var out []string
	for _, page := range pages {
		for _, text := range page.Texts() {
			out = append(out, text.String)
		}
	}
	return strings.Join(out, " ")
}

// Every sheet of a block that cannot be sewn says so, and each foundation within its outline, also when
// nobody asked a linter; no order is given for it.
func TestEverySheetSaysThatItCannotBeSewn(t *testing.T) {
	for text, why := range map[string]string{
		crossroads: "no order of its patches works", hole: "do not fill it once", halves: "No join is written",
	} {
		for _, bare := range []bool{false, true} {
			p := written(t, text)
			pages, err := Pages([]Pattern{p}, Options{Bare: bare})
			require.NoError(t, err)
			for _, page := range pages {
				assert.Contains(t, words(page), "Cannot be sewn.")
			}
			assert.Equal(t, len(p.Block.Sections), strings.Count(words(pages...), "CANNOT BE SEWN"))
			assert.NotContains(t, words(pages...), "Sew 1")
			if !bare {
				assert.Contains(t, words(pages[0]), "This block cannot be sewn")
				assert.Contains(t, words(pages[0]), why)
			}
		}
	}
}

// What a linter found is given instead, all of it on the first page and the first on every page.
func TestFaultsAreGiven(t *testing.T) {
	p := written(t, tide)
	p.Faults = []string{"The tide is out.", "The moon is new."}
	pages, err := Pages([]Pattern{p}, Options{})
	require.NoError(t, err)
	require.Len(t, pages, 2)
	assert.Contains(t, words(pages[0]), "Cannot be sewn. The tide is out. (and 1 more)")
	assert.Contains(t, words(pages[0]), "The moon is new.")
	assert.Contains(t, words(pages[1]), "Cannot be sewn. The tide is out. (and 1 more)")
	assert.Contains(t, words(pages[1]), "Tide. Cannot be sewn.")
}

// The words stand within the outline, however small it is, and the band clear of what is below it.
func TestAlertIsInItsPlace(t *testing.T) {
	for _, text := range []string{crossroads, strings.NewReplacer("4 by 4", "1 by 1", "4)", "1)", "(4", "(1", "2)", "1/2)", "(2", "(1/2").Replace(crossroads)} {
		p := written(t, text)
		plan := steps.Of(p.Block, steps.Options{})
		f, err := foundationOf(p, plan, plan.Sections[0], Options{}.Filled().Room())
		require.NoError(t, err)
		at, _ := f.placer(0)
		var outline geom.Polygon
		for _, p := range f.outline {
			outline = append(outline, at(p))
		}
		d := f.drawing(0)
		i := slices.IndexFunc(d.Texts(), func(t *ink.Text) bool { return t.String == "CANNOT BE SEWN" })
		require.GreaterOrEqual(t, i, 0)
		for _, corner := range d.Texts()[i].Bounds() {
			assert.Equal(t, geom.Inside, outline.Contains(corner))
		}
	}
	how := Options{Alert: "Cannot be sewn."}.Filled()
	page := how.Blank()
	Head(page, "Tide", 1, 1, how)
	for _, text := range page.Texts() {
		assert.LessOrEqual(t, text.Bounds().Bounds().Max.Y, how.Room().Min.Y)
	}
	how.Alert = ""
	assert.NotEqual(t, Options{Alert: "x"}.Filled().Room(), how.Room(), "without an alert there is more room")
}

// What is accepted stands on the first page, or, where there is none, at the head.
func TestAcceptedIsSaidFirst(t *testing.T) {
	p := written(t, tide)
	p.Accepted = []string{"An allowance of 1/8 in is too little to hold. Reason: a brooch."}
	pages, err := Pages([]Pattern{p}, Options{})
	require.NoError(t, err)
	assert.Contains(t, words(pages[0]), "Accepted by the designer")
	assert.Contains(t, words(pages[0]), "Reason: a brooch.")
	assert.NotContains(t, words(pages...), "Accepted: ", "the band is for what has no first page")
	assert.NotContains(t, words(pages...), "annot be sewn")
	pages, err = Pages([]Pattern{p}, Options{Bare: true})
	require.NoError(t, err)
	assert.Contains(t, words(pages[0]), "Accepted: An allowance of 1/8 in is too little to hold. Reason: a brooch.")
	assert.NotContains(t, words(pages...), "annot be sewn")
}
