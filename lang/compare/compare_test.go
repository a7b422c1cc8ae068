package compare_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/compare"
	"sewable/lang/edit"
	"sewable/lang/files"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/syntax"
	"sewable/lang/syntax/format"
	"sewable/lint/linttest"
)

var cutting = cloth.OrderOptions{
	Options: func(*block.File) cloth.Options { return cloth.Options{Step: geom.Inch / 4} },
	Ruler:   cloth.DefaultRuler, Squaring: geom.Inch,
}

var how = compare.Options{Before: cutting, After: cutting}

// read reads a text as if it lay in a folder with a palette.
func read(dir, text string) *block.File {
	l := block.NewLoader(syntax.NewReader(), func(path string) (string, error) {
		if filepath.Base(path) == linttest.PaletteName && dir == "" {
			return linttest.Palette, nil
		}
		return new(files.Gate).Block(path)
	})
	return l.OpenText(filepath.Join(dir, "a.block"), text)
}

func blocks(f *block.File) []*sew.Block {
	var out []*sew.Block
	for _, b := range f.Blocks {
		out = append(out, sew.Analyse(b))
	}
	return out
}

// compareTexts compares the first blocks of two texts.
func compareTexts(t require.TestingT, before, after string) *compare.Block {
	x, y := blocks(read("", before)), blocks(read("", after))
	require.NotEmpty(t, x)
	require.NotEmpty(t, y)
	return compare.Blocks(x[0], y[0], how)
}

// respellings write the same block otherwise.
var respellings = map[string]func(dir string, f *block.File) string{
	"formatted": func(_ string, f *block.File) string { return format.Format(f.Tree) },
	"with blank lines and comments": func(_ string, f *block.File) string {
		return "// a comment\n\n" + strings.ReplaceAll(f.Source.Text, "\n  section ", "\n\n  // another\n\n  section ")
	},
	"by corners": func(_ string, f *block.File) string {
		var edits []edit.Edit
		for _, b := range f.Blocks {
			for _, s := range b.Sections {
				for _, p := range s.Patches {
					if s.CopyOf == nil && !s.Broken && p.Given != block.ByCorners {
						edits = append(edits, edit.ByCorners(p))
					}
				}
			}
		}
		return edit.Apply(f.Source.Text, edits)
	},
	"by seam": func(dir string, f *block.File) string {
		text := f.Source.Text
		for i := range f.Blocks {
			for j := range f.Blocks[i].Sections {
				for k := range f.Blocks[i].Sections[j].Patches {
					now := read(dir, text)
					b := sew.Analyse(now.Blocks[i])
					if j >= len(b.Sections) {
						continue
					}
					e, ok := edit.BySeam(b.Sections[j], b.Sections[j].Of.Patches[k])
					if ok && edit.Keeps(now, []edit.Edit{e}, func(text string) *block.File { return read(dir, text) }) {
						text = edit.Apply(text, []edit.Edit{e})
					}
				}
			}
		}
		return text
	},
	"with a named point": func(_ string, f *block.File) string {
		for _, b := range f.Blocks {
			for _, it := range b.Item.Body {
				var edits []edit.Edit
				syntax.Walk([]*syntax.Item{it}, func(x *syntax.Item) bool {
					syntax.Visitor{Point: func(p syntax.Point) {
						if pair, ok := p.(*syntax.Pair); ok && edits == nil && x.Word == "patch" {
							edits = edit.NamePoint(f, b, x, pair, "named_here")
						}
					}}.Statement(x.Node)
					return true
				})
				if edits != nil {
					return edit.Apply(f.Source.Text, edits)
				}
			}
		}
		return f.Source.Text
	},
	"corners the other way round": func(_ string, f *block.File) string {
		var edits []edit.Edit
		for _, b := range f.Blocks {
			for _, s := range b.Sections {
				for _, p := range s.Patches {
					if s.CopyOf != nil || s.Broken || p.Given != block.ByCorners || p.Cut != nil || p.Note != "" {
						continue
					}
					var corners []string
					turned := slices.Concat(p.Corners[1:], p.Corners[:1]).Reverse()
					for _, c := range turned {
						corners = append(corners, geom.FormatPoint(c, f.Unit))
					}
					edits = append(edits, edit.Edit{At: p.ShapeAt().Span, New: strings.Join(corners, ", ")})
				}
			}
		}
		return edit.Apply(f.Source.Text, edits)
	},
}

func TestRespellingChangesNothing(t *testing.T) {
	dir, err := filepath.Abs("../../testdata/harbour")
	require.NoError(t, err)
	paths, err := filepath.Glob(filepath.Join(dir, "*.block"))
	require.NoError(t, err)
	require.NotEmpty(t, paths)
	for name, respell := range respellings {
		t.Run(name, func(t *testing.T) {
			texts := 0
			for _, path := range paths {
				text, err := os.ReadFile(path)
				require.NoError(t, err)
				f := read(dir, string(text))
				other := respell(dir, f)
				if other != string(text) {
					texts++
				}
				was, is := blocks(f), blocks(read(dir, other))
				require.Len(t, is, len(was), path)
				for i := range was {
					c := compare.Blocks(was[i], is[i], how)
					assert.True(t, c.Same(), "%s\n%s", path, dump(c))
				}
			}
			if name != "formatted" { // the harbour is formatted
				assert.Greater(t, texts, 3)
			}
		})
	}
}

// dump says what a comparison found, for a test that fails.
func dump(c *compare.Block) string {
	var b strings.Builder
	for _, p := range c.Patches {
		if !p.Same() {
			fmt.Fprintf(&b, "patch %s → %s %+v\n", label(p.Before), label(p.After), p)
		}
	}
	for _, s := range c.Sections {
		if !s.Same() {
			fmt.Fprintf(&b, "section %+v\n", s)
		}
	}
	fmt.Fprintf(&b, "title %v size %v outline %v fabrics %v joins %v %v notches %v cloth %v", c.Title, c.Size, c.Outline, c.Fabrics, c.Joins, c.JoinOrder, c.Notches, c.Cloth)
	return b.String()
}

func label(p *compare.Piece) string {
	if p == nil {
		return "none"
	}
	return p.Label
}

// Sections of a random block get other letters, and its lines another order: the patches
// are the same, each found again under its new label.
func TestReletteringIsFoundInRandomBlocks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64().Draw(t, "seed")
		text := linttest.GenerateBlock(seed, rapid.IntRange(2, 60).Draw(t, "patches"))
		f := read("", text)
		var names []string
		for _, s := range f.Blocks[0].Sections {
			names = append(names, s.Name)
		}
		other := slices.Clone(names)
		rand.New(rand.NewPCG(seed, 1)).Shuffle(len(other), func(i, j int) { other[i], other[j] = other[j], other[i] })
		to := map[string]string{}
		for i, n := range names {
			to[n] = other[i]
		}
		var edits []edit.Edit
		for _, s := range f.Blocks[0].Sections {
			edits = append(edits, edit.Edit{At: s.At.Span, New: to[s.Name]})
		}
		for _, r := range f.References() {
			if r.To.Kind == block.KindSection {
				edits = append(edits, edit.Edit{At: r.At, New: to[r.To.Name]})
			}
		}
		c := compareTexts(t, text, edit.Apply(text, edits))
		for _, p := range c.Patches {
			if !assert.NotNil(t, p.Before) || !assert.NotNil(t, p.After) {
				t.FailNow()
			}
			assert.True(t, p.Same(), "%s → %s", p.Before.Label, p.After.Label)
			assert.Equal(t, to[p.Before.Patch.Section.Name], p.After.Patch.Section.Name)
			assert.Equal(t, p.Before.Number, p.After.Number)
		}
		for _, s := range c.Sections {
			assert.Equal(t, s.Before.Name != s.After.Name, s.Letter)
		}
		assert.Empty(t, c.Joins)
		assert.False(t, c.JoinOrder)
		assert.Empty(t, c.Cloth)
	})
}

// Whatever is compared with itself, nothing changes; the other way round what was added is removed.
func TestComparingBothWaysAgrees(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := linttest.GenerateBlock(rapid.Uint64().Draw(t, "a"), rapid.IntRange(2, 30).Draw(t, "patches"))
		b := linttest.GenerateBlock(rapid.Uint64().Draw(t, "b"), rapid.IntRange(2, 30).Draw(t, "patches"))
		assert.True(t, compareTexts(t, a, a).Same())
		there, back := compareTexts(t, a, b), compareTexts(t, b, a)
		count := func(c *compare.Block) (added, removed int) {
			for _, p := range c.Patches {
				if p.Before == nil {
					added++
				}
				if p.After == nil {
					removed++
				}
			}
			return added, removed
		}
		added, removed := count(there)
		backAdded, backRemoved := count(back)
		assert.Equal(t, len(there.Patches), len(back.Patches))
		assert.Equal(t, added, backRemoved)
		assert.Equal(t, removed, backAdded)
	})
}

const sloop = `fabric sky "Evening sky" #f2c9a1
fabric canvas "Sailcloth" #f4efe3
fabric cedar "Cedar" #8a4b2a
fabric water "Harbour water" #2f5d73
block "Little Sloop" 6 by 6 {
  allowance 1/4
  section A {
    outline (0, 2) (3, 2) (3, 6) (0, 6)
    patch 1 canvas (1, 2) (3, 2) (3, 5 1/2)
    patch 2 sky beyond (1, 2) (3, 5 1/2)
    notch m (3, 5 1/2)
  }
  section B {
    outline (3, 2) (6, 2) (6, 6) (3, 6)
    patch 1 canvas (3, 2) (5 1/2, 2) (3, 5 1/2)
    patch 2 sky beyond (5 1/2, 2) (3, 5 1/2)
    notch m (3, 5 1/2)
  }
  section C {
    outline (0, 0) (6, 0) (6, 2) (0, 2)
    patch 1 cedar around (3, 1 1/2)
    patch 2 sky beyond (1/2, 2) (1 1/2, 1)
    patch 3 sky beyond (5 1/2, 2) (4 1/2, 1)
    patch 4 water beyond (1 1/2, 1) (4 1/2, 1)
  }
  join A to B
  join C to A
}
`

// kinds are the changes of a comparison in a few words, for the table below.
func kinds(c *compare.Block) []string {
	var out []string
	say := func(is bool, format string, args ...any) {
		if is {
			out = append(out, fmt.Sprintf(format, args...))
		}
	}
	for _, p := range c.Patches {
		name := label(p.Before) + "→" + label(p.After)
		recut := []string{"keep", "trim", "recut"}[p.Recut]
		switch {
		case p.Before == nil:
			say(true, "+%s", p.After.Label)
		case p.After == nil:
			say(true, "-%s", p.Before.Label)
		default:
			say(p.Shape, "%s shape %s", name, recut)
			say(p.Moved, "%s moved %s", name, recut)
			say(p.Fabric, "%s fabric %s", name, recut)
			say(p.Section, "%s section", name)
			say(p.Number, "%s number", name)
			say(p.Cut && !p.Shape, "%s cut %s", name, recut)
		}
	}
	for _, s := range c.Sections {
		switch {
		case s.Unread:
			say(true, "section %s unread", name(s))
		case s.Before == nil:
			say(true, "+section %s", s.After.Name)
		case s.After == nil:
			say(true, "-section %s", s.Before.Name)
		default:
			say(s.Letter, "section %s→%s", s.Before.Name, s.After.Name)
			say(s.Outline, "section %s outline", s.After.Name)
			say(s.Order != nil, "section %s order %v", s.After.Name, s.Order)
		}
	}
	for _, j := range c.Joins {
		switch {
		case j.Before == nil:
			say(true, "+join %v", j.Units.After)
		case j.After == nil:
			say(true, "-join %v", j.Units.Before)
		default:
			say(j.Press, "join %v pressed otherwise", j.Units.After)
			say(j.Kind, "join %v sewn otherwise", j.Units.After)
		}
	}
	say(c.JoinOrder, "join order")
	for _, n := range c.Notches {
		switch {
		case n.Before == nil:
			say(true, "+notch %s", n.After.Name)
		case n.After == nil:
			say(true, "-notch %s", n.Before.Name)
		default:
			say(n.Moved, "notch %s moved", n.After.Name)
			say(n.Name, "notch %s→%s", n.Before.Name, n.After.Name)
		}
	}
	say(c.Title != nil, "title")
	say(c.Size != nil, "size")
	say(c.Outline, "outline")
	say(c.Allowance != nil, "allowance")
	say(c.Outer != nil, "outer allowance")
	for _, f := range c.Fabrics {
		say(f.Renamed, "fabric %s is %s", f.Before.Name, f.After.Name)
		say(f.Colour, "fabric %s colour", f.After.Name)
		say(f.Width, "fabric %s width", f.After.Name)
		say(f.Directional, "fabric %s directional", f.After.Name)
	}
	for _, w := range c.Cloth {
		say(true, "cloth %s %d→%d", w.Name, w.Before.Pieces, w.After.Pieces)
	}
	for _, n := range c.Notes {
		say(true, "note %s", n.Where)
	}
	for _, w := range c.Colourways {
		say(w.Before == nil, "+colourway")
		say(w.After == nil, "-colourway")
		say(w.Before != nil && w.After != nil, "colourway")
	}
	return out
}

func name(s compare.Section) string {
	if s.After != nil {
		return s.After.Name
	}
	return s.Before.Name
}

// Each case is edits of the sloop, old and new text by turns, and what they do.
func TestChanges(t *testing.T) {
	for _, c := range []struct {
		what  string
		edits []string
		want  []string
	}{
		{"nothing", nil, nil},
		{"another fabric", []string{"patch 4 water", "patch 4 cedar"},
			[]string{"C4→C4 fabric recut", "cloth cedar 1→2", "cloth water 1→0"}},
		{"a fabric that is not known", []string{"patch 4 water", "patch 4 waater"}, nil},
		{"prints that are not known, and a seam moved", []string{"fabric cedar", "fabric ceder", "(5 1/2, 2) (4 1/2, 1)", "(6, 2) (4 1/2, 1)"},
			[]string{"C1→C1 shape recut", "C3→C3 shape trim"}},
		{"a fabric under another name", []string{"fabric water", "fabric harbour", "4 water", "4 harbour"},
			[]string{"fabric water is harbour", "cloth harbour 0→1", "cloth water 1→0"}},
		{"another colour", []string{"#2f5d73", "#2f5d74"}, []string{"fabric water colour"}},
		{"a narrower cloth", []string{"#2f5d73", "#2f5d73 width 20"}, []string{"fabric water width"}},
		{"a print with an up", []string{"#8a4b2a", "#8a4b2a directional"}, []string{"C1→C1 cut recut", "fabric cedar directional"}},
		{"a seam moved", []string{"(5 1/2, 2) (4 1/2, 1)", "(6, 2) (4 1/2, 1)"},
			[]string{"C1→C1 shape recut", "C3→C3 shape trim"}},
		{"a wider hull, a lower water", []string{"(1 1/2, 1) (4 1/2, 1)", "(1 1/2, 3/4) (4 1/2, 3/4)"},
			[]string{"C1→C1 shape recut", "C2→C2 shape recut", "C3→C3 shape recut", "C4→C4 shape trim"}},
		{"sections with each other's letters", []string{"section A", "section X", "section B", "section A", "section X", "section B", "join A to B", "join B to A", "join C to A", "join C to B"},
			[]string{"section B→A", "section A→B"}},
		{"numbers of a section", []string{"patch 2 sky beyond (1/2, 2)", "patch X sky beyond (1/2, 2)", "patch 3 sky", "patch 2 sky", "patch X", "patch 3"},
			[]string{"C3→C2 number", "C2→C3 number", "section C order [1 3 2 4]"}},
		{"a join to another section of the unit", []string{"join C to A", "join B to C"}, nil},
		{"a join pressed", []string{"join A to B", "join A to B press toward A"}, []string{"join {[A] [B]} pressed otherwise"}},
		{"pressed toward the same side", []string{"join C to A", "join C to A press toward C"}, []string{"join {[C] [A B]} pressed otherwise"}},
		{"joins in another order", []string{"join A to B\n  join C to A", "join C to A\n  join A to B"},
			[]string{"-join {[A] [B]}", "-join {[C] [A B]}", "+join {[C] [A]}", "+join {[A C] [B]}"}},
		{"a note and a colourway", []string{"  join A to B", "  note \"Press well.\"\n  colourway night {\n    sky = water\n  }\n  join A to B"}, []string{"note ", "+colourway"}},
		{"a notch moved", []string{"notch m (3, 5 1/2)\n  }\n  section B", "notch m (3, 5)\n  }\n  section B"}, []string{"notch m moved"}},
		{"a notch renamed", []string{"notch m (3, 5 1/2)\n  }\n  section B", "notch n (3, 5 1/2)\n  }\n  section B"}, []string{"notch m→n"}},
		{"another allowance", []string{"allowance 1/4", "allowance 3/8"}, []string{"A1→A1 cut recut", "allowance"}},
		{"another title", []string{"Little Sloop", "Small Sloop"}, []string{"title"}},
		{"a section that cannot be read", []string{"patch 2 sky beyond (1, 2)", "patch 2 sky beyond (1, 2"}, []string{"section A unread"}},
		{"a section divided", []string{
			"  section C {", "  section D {\n    patch 1 water (0, 0) (6, 0) (6, 1) (0, 1)\n  }\n  section C {",
			"outline (0, 0) (6, 0) (6, 2) (0, 2)", "outline (0, 1) (6, 1) (6, 2) (0, 2)",
			"    patch 4 water beyond (1 1/2, 1) (4 1/2, 1)\n", "", "join C to A", "join D to C\n  join C to A",
		}, []string{"C4→D1 section", "section C outline", "+section D", "+join {[D] [C]}"}},
	} {
		t.Run(c.what, func(t *testing.T) {
			text := sloop
			for i := 0; i+1 < len(c.edits); i += 2 {
				require.Contains(t, text, c.edits[i])
				text = strings.Replace(text, c.edits[i], c.edits[i+1], 1)
			}
			got := kinds(compareTexts(t, sloop, text))
			if c.what == "another allowance" { // everything is cut anew; one stands for all
				assert.Contains(t, got, c.want[0])
				assert.Contains(t, got, c.want[1])
				return
			}
			for _, w := range got {
				if strings.HasPrefix(w, "cloth") && !slices.ContainsFunc(c.want, func(s string) bool { return strings.HasPrefix(s, "cloth") }) {
					got = slices.DeleteFunc(got, func(s string) bool { return strings.HasPrefix(s, "cloth") })
					break
				}
			}
			assert.Equal(t, c.want, got)
		})
	}
}

// A block drawn larger is the same block: each patch is found again.
func TestAnotherSizeOfABlock(t *testing.T) {
	scale := strings.NewReplacer("6 by 6", "12 by 12", "5 1/2", "11", "4 1/2", "9", "1 1/2", "3", "1/2", "1", "(1,", "(2,", "(3,", "(6,", "(6,", "(12,", "(0,", "(0,",
		" 6)", " 12)", " 2)", " 4)", " 1)", " 2)")
	c := compareTexts(t, sloop, scale.Replace(sloop))
	require.NotNil(t, c.Size)
	for _, p := range c.Patches {
		require.NotNil(t, p.Before)
		require.NotNil(t, p.After)
		assert.Equal(t, p.Before.Label, p.After.Label)
		assert.True(t, p.Shape)
		assert.Equal(t, compare.Anew, p.Recut)
		assert.InDelta(t, 2*p.Before.Width, p.After.Width, 1e-6)
	}
}

func TestBlocksThatCameAndWent(t *testing.T) {
	b := blocks(read("", sloop))[0]
	came, went := compare.Blocks(nil, b, how), compare.Blocks(b, nil, how)
	assert.False(t, came.Same())
	assert.Len(t, came.Patches, 8)
	assert.Len(t, came.Cloth, 4)
	for i, w := range went.Cloth {
		assert.Equal(t, came.Cloth[i].After, w.Before)
		assert.Zero(t, w.After)
	}
}

// Fabrics whose names read as the same number are told in the same order each time.
func TestNamesThatReadAlike(t *testing.T) {
	text := `fabric sky1 #112233
fabric sky01 #445566
block "Night" 2 by 1 {
  allowance 1/4
  section A {
    patch 1 sky01 (0, 0) (1, 0) (1, 1) (0, 1)
    patch 2 sky1 (1, 0) (2, 0) (2, 1) (1, 1)
  }
}
`
	other := strings.NewReplacer("#112233", "#112244", "#445566", "#445577").Replace(text)
	for range 20 {
		assert.Equal(t, []string{"fabric sky01 colour", "fabric sky1 colour"}, kinds(compareTexts(t, text, other)))
	}
}
