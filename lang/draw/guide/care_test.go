package guide_test

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/draw/guide"
	"sewable/lang/draw/hands"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/sheet"
	"sewable/lang/draw/steps"
	"sewable/lang/draw/texts"
	"sewable/lang/sew"
	"sewable/lang/syntax"
)

// Every caution is given once, with the first move that it belongs to, and before what is to be done.
func TestCautionsAreGivenOnceAndFirst(t *testing.T) {
	for _, p := range demo(t) {
		var of [steps.Kinds]string
		given := map[string]int{}
		for _, part := range guide.Parts(p, guide.Options{}) {
			for _, s := range part.Steps {
				for _, m := range s.Moves {
					of[m.Kind] += m.Care
					for _, text := range texts.Cautions {
						given[text] += strings.Count(m.Care, text)
					}
				}
			}
		}
		for text, n := range given {
			assert.LessOrEqual(t, n, 1, "%s: %s", p.Block.Of.Name, text)
		}
		assert.Equal(t, 1, given[texts.CareKnife], p.Block.Of.Name)
		assert.Contains(t, of[steps.PaperOut], texts.CareTools, p.Block.Of.Name)
		assert.Empty(t, of[steps.Lay], p.Block.Of.Name)
	}
	var out bytes.Buffer
	require.NoError(t, guide.HTML(&out, demo(t)[:1], guide.Options{}))
	page := out.String()
	caution := strings.LastIndex(page, texts.CareKnife)
	require.Positive(t, caution)
	_, cut, _ := strings.Cut(page, "<strong>Trim · printed side</strong>")
	assert.True(t, strings.HasPrefix(strings.TrimSpace(cut), `<p class="care">`+texts.CareKnife), "the caution comes before the words")
}

// The picture of a foundation gives the number of every patch.
func TestAFoundationIsShownWithAllItsNumbers(t *testing.T) {
	for _, p := range demo(t) {
		plan := p.Plan()
		for i := range plan.Sections {
			s := &plan.Sections[i]
			said := map[string]int{}
			for _, text := range hands.NewScene(plan, s, hands.Options{}).Whole(hands.Whole).Texts() {
				said[text.String]++
			}
			for _, step := range s.Steps {
				assert.Equal(t, 1, said[steps.Label(step.Patch)], "%s %s", p.Block.Of.Name, steps.Label(step.Patch))
			}
		}
	}
}

// A guide to what cannot be sewn says what to fix, on its first page and where the step is that cannot be done.
func TestAGuideSaysWhatToFix(t *testing.T) {
	const way = "Divide the sections along one line."
	f := block.NewLoader(syntax.NewReader(), nil).OpenText("t.block", `fabric sky
block "Three Corners" 4 by 4 {
  allowance 1/4
  section A { patch 1 sky (0, 0) (4, 0) (4, 1) (2, 2) (0, 1)
  }
  section B { patch 1 sky (0, 1) (2, 2) (2, 4) (0, 4)
  }
  section C { patch 1 sky (2, 2) (4, 1) (4, 4) (2, 4)
  }
  join A to B
  join A to C
}
`)
	p := sheet.Pattern{Block: sew.Analyse(f.Blocks[0]), Faults: []string{"The join of A to C is bent. " + way}}
	parts := guide.Parts(p, guide.Options{})
	assert.Contains(t, strings.Join(parts[len(parts)-1].Notes, " "), way)
	pages, err := guide.Pages(p, sheet.Options{}, guide.Options{})
	require.NoError(t, err)
	for i, page := range pages {
		said, band := "", ""
		for _, text := range page.Texts() {
			said += text.String + " "
			if strings.HasPrefix(text.String, "Cannot be sewn.") {
				band = text.String
			}
		}
		assert.Equal(t, "Cannot be sewn. The join of A to C is bent.", band)
		assert.Equal(t, i == 0 || i == len(pages)-1, strings.Contains(said, way), "page %d", i+1)
	}
}

// No heading is the last thing on its page: a part's title has its first step's title, and that its pictures, below it.
func TestNoHeadingIsAlone(t *testing.T) {
	for _, p := range demo(t) {
		titles := map[string]bool{}
		for _, part := range guide.Parts(p, guide.Options{}) {
			titles[part.Title] = true
		}
		pages, err := guide.Pages(p, sheet.Options{}, guide.Options{})
		require.NoError(t, err)
		for i, page := range pages[1:] {
			lowest, last := 0.0, ""
			for _, text := range page.Layer("text").Items {
				if text, ok := text.(*ink.Text); ok && text.At.Y > lowest {
					lowest, last = text.At.Y, text.String
				}
			}
			assert.False(t, titles[last], "%s, page %d ends with %q", p.Block.Of.Name, i+2, last)
		}
	}
}
