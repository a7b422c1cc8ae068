package edit_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sewable/lang/block"
	"sewable/lang/edit"
	"sewable/lang/sew"
	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lint/linttest"
)

// read gives the model of a text; the palette of generated blocks is at hand.
func read(text string) *block.File {
	l := block.NewLoader(syntax.NewReader(), func(string) (string, error) { return linttest.Palette, nil })
	return l.OpenText("/generated/a.block", text)
}

func TestSectionName(t *testing.T) {
	for i, want := range map[int]string{0: "A", 25: "Z", 26: "AA", 27: "AB", 52: "BA", 701: "ZZ", 702: "AAA"} {
		assert.Equal(t, want, edit.SectionName(i))
	}
}

// Renumbering any section to start at any of its patches keeps the picture, and the new
// numbers can be sewn.
func TestStartAnywhere(t *testing.T) {
	tried := 0
	for seed := range uint64(40) {
		f := read(linttest.GenerateBlock(seed, 15))
		for _, b := range f.Blocks {
			sewing := sew.Analyse(b)
			for _, s := range sewing.Sections {
				for _, p := range s.Of.Patches {
					order := s.OrderFrom(p)
					if order == nil {
						continue
					}
					tried++
					edits := edit.Renumber(s.Of, order)
					require.True(t, edit.Keeps(f, edits, read), "seed %d, %s from %d", seed, s.Of.Name, p.Number)
					after := read(edit.Apply(f.Source.Text, edits))
					again := sew.Analyse(after.Blocks[0])
					for _, x := range again.Sections {
						if x.Of.Name == s.Of.Name {
							assert.True(t, x.InOrder(), "seed %d, %s from %d", seed, s.Of.Name, p.Number)
						}
					}
				}
			}
		}
	}
	assert.Greater(t, tried, 200)
}

// A patch given by its seam and then by its corners is the patch it was.
func TestBySeamAndBack(t *testing.T) {
	there, back := 0, 0
	for seed := range uint64(20) {
		f := read(linttest.GenerateBlock(seed, 15))
		for _, b := range f.Blocks {
			sewing := sew.Analyse(b)
			for _, s := range sewing.Sections {
				for _, p := range s.Of.Patches {
					if p.Given != block.ByCorners {
						back++
						assert.True(t, edit.Keeps(f, []edit.Edit{edit.ByCorners(p)}, read), "seed %d, %s%d by corners", seed, s.Of.Name, p.Number)
						continue
					}
					e, ok := edit.BySeam(s, p)
					if ok && edit.Keeps(f, []edit.Edit{e}, read) {
						there++
					}
				}
			}
		}
	}
	assert.Greater(t, there, 50)
	assert.Greater(t, back, 50)
}

// Keeps sees what would change the picture.
// What is asked of an excerpt of the file is what is asked of the whole: slips of all kinds in a
// section are told alike. An edit that does nothing outside the section makes it read the whole.
func TestKeepsOfAnExcerpt(t *testing.T) {
	words := []string{"", "}", "{", "1", "2", "(0, 0)", "sky", "nosuch", "\"", "patch 1 sky (0, 0) (1, 0) (0, 1)", "\n", " // a remark", "section A {"}
	kept := 0
	rapid.Check(t, func(r *rapid.T) {
		f := read(linttest.GenerateSections(rapid.Uint64Range(0, 20).Draw(r, "seed"), 40, 6))
		sections := f.Blocks[0].Sections
		s := sections[rapid.IntRange(0, len(sections)-1).Draw(r, "section")]
		p := s.Patches[rapid.IntRange(0, len(s.Patches)-1).Draw(r, "patch")]
		e := edit.ByCorners(p)
		switch at := p.Item.Stmt; rapid.IntRange(0, 2).Draw(r, "kind") {
		case 0:
			cut := at.Start + rapid.IntRange(0, at.Len()).Draw(r, "from")
			e = edit.Edit{At: source.Span{Start: cut, End: min(at.End, cut+rapid.IntRange(0, 6).Draw(r, "length"))}, New: rapid.SampledFrom(words).Draw(r, "new")}
		case 1:
			e = edit.Edit{At: p.FabricAt().Span, New: rapid.SampledFrom(words).Draw(r, "new")}
		}
		here := edit.Keeps(f, []edit.Edit{e}, read)
		nowhere := edit.Edit{At: source.Span{Start: len(f.Source.Text), End: len(f.Source.Text)}}
		assert.Equal(r, edit.Keeps(f, []edit.Edit{e, nowhere}, read), here, "%q at %v", e.New, e.At)
		if here {
			kept++
		}
	})
	assert.Positive(t, kept)
}

func TestKeeps(t *testing.T) {
	text := linttest.GenerateBlock(3, 12)
	f := read(text)
	p := f.Blocks[0].Sections[0].Patches[0]
	assert.True(t, edit.Keeps(f, nil, read))
	assert.False(t, edit.Keeps(f, []edit.Edit{{At: p.Item.Raw, New: ""}}, read), "a patch is gone")
	assert.False(t, edit.Keeps(f, []edit.Edit{{At: p.FabricAt().Span, New: "nosuch"}}, read), "a fabric is gone")
	assert.False(t, edit.Keeps(f, []edit.Edit{{At: p.ShapeAt().Span, New: "(0, 0) (1, 0) (0, 1)"}}, read), "a shape is another")
}

func ExampleApply() {
	f := read("let a = 1\n")
	fmt.Print(edit.Apply(f.Source.Text, []edit.Edit{{At: f.Lets[0].At.Span, New: "b"}}))
	// Output: let b = 1
}
