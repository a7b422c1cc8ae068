package cmd_test

import (
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/compare"
	"sewable/lang/geom"
	"sewable/lang/query"
	"sewable/lang/sew"
	"sewable/lang/show"
	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lang/syntax/format"
)

// yard is a file in which every form of statement has a place, and of what the forms say
// most is used, so that another value shows.
const yard = `fabric sky
fabric plum
fabric coral
fabric sand
fabric cedar
fabric water
//file
allowance w
block "Little Sloop" 6 by 6 {
  //block
  point P = (0, 0)
  point Q = (6, 0)
  section A {
    //section
    patch 1 sky (0, 0) (6, 0) (6, 2) (0, 2)
    patch 2 plum (0, 2) (6, 2) (6, 3) (0, 3)
  }
  section E {
    patch 1 plum (0, 3) (6, 3) (6, 6) (0, 6)
  }
  colourway day {
    //colourway
  }
  join A to E
}
block "Lantern" 6 by 6 {
  section A {
    patch 1 sky (0, 0) (6, 0) (6, 6) (0, 6)
  }
}
setting "Runner" {
  //setting
  rows 1
  columns 2
  fill "Little Sloop", "Lantern"
}
`

// change is how a statement comes into the yard, or changes there: one text, another, and what is
// put in place of what else is in the way.
type change struct{ before, after string }

// changes are those of the forms for which it is not enough that the statement comes: it says
// nothing until something uses it, or the yard has one, or needs one.
var changes = map[string]change{
	`use "path"`:    {"//file", `use "path"`},
	"units in":      {"//file\nallowance w", "units mm\nallowance w"},
	"allowance 1/4": {"allowance w", "allowance 1/2"},
	`fabric night "Night sky" #1d2b4f width 42 directional`: {"fabric sky", `fabric sky "Night sky" #1d2b4f width 40 directional`},
	"let h = 2 1/2":                    {"//file", "let w = 3/8"},
	`colourway dusk "After sundown" {`: {"//colourway\n  }", "//colourway\n  }\n  colourway dusk \"After sundown\" {\n    sky = plum\n  }"},
	`colorway dusk "After sundown" {`:  {"//colourway\n  }", "//colourway\n  }\n  colorway dusk \"After sundown\" {\n    sky = plum\n  }"},
	`block "Little Sloop" 6 by 6 {`:    {`block "Little Sloop" 6 by 6`, `block "Little Sloop" 6 by 7`},
	`setting "Harbour runner" {`:       {`setting "Runner"`, `setting "Harbour runner"`},
	"point p = (3, 5 1/2)":             {"point Q = (6, 0)\n  section A {\n    //section\n    patch 1 sky (0, 0)", "point p = (0, 1/2)\n  point Q = (6, 0)\n  section A {\n    patch 1 sky p"},
	"seam ridge from P to Q": {"  section A {\n    //section\n    patch 1 sky (0, 0) (6, 0) (6, 2) (0, 2)\n    patch 2 plum (0, 2) (6, 2) (6, 3) (0, 3)",
		"  seam ridge from (0, 1) to (6, 1)\n  section A {\n    outline P Q (6, 3) (0, 3)\n    patch 1 sky around (1, 1/2)\n    patch 2 plum beyond ridge"},
	`section A "Left of the mast" {`:     {"section A {", "section Z {"},
	"section B = A mirrored across P Q":  {"section E {\n    patch 1 plum (0, 3) (6, 3) (6, 6) (0, 6)\n  }", "section E = A moved (0, 3)"},
	`size mini "Three inch mini" 3 by 3`: {"//block", `size mini "Three inch mini" 3 by 3`},
	"join A to B":                        {"join A to E", "join A to E press toward A"},
	"finish A to E":                      {"  join A to E", "  join A to E partial\n  finish A to E"},
	"notch m P":                          {"//section", "notch m (2, 3)"},
	"outline P Q R …":                    {"//block", "outline P Q (6, 6) (3, 5) (0, 6)"},
	"patch 3 sky beyond P Q":             {"patch 2 plum", "patch 2 coral"},
	"patch sky P Q R …":                  {"  section A {\n    patch 1 sky (0, 0) (6, 0) (6, 6) (0, 6)\n  }", "  patch sky (0, 0) (6, 0) (6, 6) (0, 6)"},
	"rows 2":                             {"rows 1", "rows 2"},
	"columns 2":                          {"columns 2", "columns 1"},
	`row "Little Sloop", sashing 1 sand, "Lantern" turned 90`: {"rows 1\n  columns 2\n  fill \"Little Sloop\", \"Lantern\"",
		`row "Little Sloop", sashing 1 sand, "Lantern" turned 90`},
	`fill "Little Sloop", "Lantern" turned 90`: {`fill "Little Sloop", "Lantern"`, `fill "Little Sloop", "Lantern" turned 90`},
}

var marks = map[syntax.Place]string{
	syntax.InFile: "//file", syntax.InBlock: "//block", syntax.InSection: "//section", syntax.InColourway: "//colourway", syntax.InSetting: "//setting",
}

func yardOf(t *testing.T, text string) *block.File {
	read := func(string) (string, error) { return "let w = 5/16\n", nil }
	if !strings.Contains(text, "let w") && !strings.Contains(text, "use ") {
		text = "let w = 1/4\n" + text
	}
	f := block.NewLoader(syntax.NewReader(), read).Within("/").OpenText("/yard/a.block", text)
	require.Empty(t, f.Tree.Errors, text)
	return f
}

// Whoever adds a form of statement to the grammar table is told here where it is not served: by the
// model, in reviews, in the shown form, by the formatter, and in the editor. (That it outlives
// an edit elsewhere is held in lang/block.)
func TestEveryStatementIsServed(t *testing.T) {
	cutting := cloth.OrderOptions{
		Options: func(*block.File) cloth.Options { return cloth.Options{Step: geom.Inch / 4} },
		Ruler:   cloth.DefaultRuler, Squaring: geom.Inch,
	}
	how := compare.Options{Before: cutting, After: cutting}
	page, err := os.ReadFile("../lang/REFERENCE.md")
	require.NoError(t, err)
	for _, form := range syntax.Statements() {
		assert.Contains(t, string(page), "\n"+form.Grammar()+"\n", "lang/REFERENCE.md does not have its form")
		var ways []change
		if c, ok := changes[form.Shape]; ok {
			ways = []change{c}
		} else { // it comes, wherever it may stand
			for place, mark := range marks {
				if form.Where&place != 0 {
					ways = append(ways, change{mark, strings.ReplaceAll(form.Shape, "dusk", "day")})
				}
			}
		}
		for _, c := range ways {
			t.Run(form.Shape+c.before, func(t *testing.T) { served(t, form, c, how) })
		}
	}
}

func served(t *testing.T, form *syntax.StatementInfo, c change, how compare.Options) {
	require.Contains(t, yard, c.before)
	before, after := yardOf(t, yard), yardOf(t, strings.Replace(yard, c.before, c.after, 1))

	// Reviews see it, and so does the model.
	was, is := inSizes(before), inSizes(after)
	same := len(was) == len(is)
	for i := range was[:min(len(was), len(is))] {
		same = same && compare.Blocks(sew.Analyse(was[i]), sew.Analyse(is[i]), how).Same()
	}
	for i, s := range before.Settings {
		same = same && compare.Quilts(s, after.Settings[i], how).Same()
	}
	assert.False(t, same, "lang/compare does not see that this changes")

	// The shown form shows it.
	shown := func(f *block.File) string { return show.Text(f, false, how.Before.Options) }
	assert.NotEqual(t, shown(before), shown(after), "lang/show does not show it")

	// The formatter keeps it.
	laid := format.Format(after.Tree)
	assert.Equal(t, tokens(after.Source.Text), tokens(laid), "lang/syntax/format loses something")
	assert.Equal(t, laid, format.Format(syntax.Parse(source.New("a.block", laid))), "lang/syntax/format is not done at once")

	// The editor offers it where it may stand, and says what it is.
	if form.Word == "" || form.Word == "colorway" {
		return
	}
	for place, mark := range marks {
		if form.Where&place == 0 {
			continue
		}
		text := strings.Replace(yard, mark, form.Word+" ", 1)
		at := strings.Index(yard, mark)
		f := &query.File{File: block.NewLoader(syntax.NewReader(), nil).Within("/").OpenText("/yard/a.block", text)}
		offered := slices.ContainsFunc(query.Complete(f, at, query.Around{}), func(c query.Choice) bool {
			return strings.Fields(c.Label)[0] == form.Word
		})
		assert.True(t, offered, "it is not offered %s", place)
		assert.True(t, form.Snippet() != form.Word || form.Shape == form.Word, "it has no places to fill in")
		s := query.SignatureAt(f, at+len(form.Word)+1)
		require.NotNil(t, s, "it has no signature %s", place)
		if s.Shape == form.Shape && len(s.Params) > 0 && form.Word != "units" { // whose one part is a word
			assert.Zero(t, s.Active, "its signature does not say what comes first")
		}
	}
}

// inSizes are the blocks of a file, each size by itself, as reviews compare them.
func inSizes(f *block.File) (out []*block.Block) {
	for _, b := range f.Blocks {
		out = append(out, b.InSizes()...)
	}
	return out
}

func tokens(text string) (out []string) {
	for _, t := range syntax.Tokens(text) {
		out = append(out, t.Text)
	}
	return out
}
