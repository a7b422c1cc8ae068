package review_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/cloth/cutlist"
	"sewable/lang/draw/guide"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/sheet"
	"sewable/lang/draw/svg"
	"sewable/lang/sew"
	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lint"
	"sewable/lint/review"
	"sewable/lint/rules"
)

// printedText is everything that is printed of a block, by artifact, as the commands print it: another way than
// the review's. Page numbers are left out.
func printedText(t testing.TB, dir, file, title string) map[string]string {
	t.Helper()
	path := filepath.Join(dir, file)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	loader := block.NewLoader(syntax.NewReader(), func(p string) (string, error) { b, err := os.ReadFile(p); return string(b), err })
	f := loader.OpenText(path, string(text))
	settings := &lint.SettingsFile{}
	if toml, err := os.ReadFile(filepath.Join(dir, "sewable.toml")); err == nil {
		settings = lint.ReadSettings(source.New("sewable.toml", string(toml)), rules.All)
	}
	set := settings.For(f.Unit)
	i := slices.IndexFunc(f.Blocks, func(b *block.Block) bool { return b.Name == title })
	if i < 0 {
		return nil
	}
	b := f.Blocks[i]
	list, err := cloth.NewList(cloth.Order{Blocks: []cloth.Placed{{Block: b, Count: 1}}, Kits: 1}, cloth.OrderOptions{
		Options: func(*block.File) cloth.Options { return set.Cutting() }, Unit: f.Unit, Ruler: cloth.DefaultRuler, Squaring: cloth.DefaultSquaring(f.Unit)})
	if err != nil {
		return nil
	}
	out := map[string]string{}
	var cuts, labels, steps bytes.Buffer
	require.NoError(t, cutlist.Text(&cuts, list, false))
	require.NoError(t, cutlist.LabelsCSV(&labels, list))
	out["cut list"], out["labels"] = cuts.String(), labels.String()
	p := sheet.Pattern{Block: sew.Analyse(b), Cuts: list, Cloth: set.Cutting()}
	how := sheet.Options{Paper: sheet.Paper{Name: set.Paper.Name, Width: set.Paper.Width.Float64(), Height: set.Paper.Height.Float64()}, Margin: set.Margin.Float64()}
	require.NoError(t, guide.HTML(&steps, []sheet.Pattern{p}, guide.Options{}))
	pages, err := sheet.Pages([]sheet.Pattern{p}, how)
	if err != nil {
		return nil
	}
	out["guide"] = steps.String() + fmt.Sprint(how)
	bare := how
	bare.Bare = true
	foundations, err := sheet.Pages([]sheet.Pattern{p}, bare)
	require.NoError(t, err)
	first := pages[:len(pages)-len(foundations)]
	out["first page"] = seen(first) + fmt.Sprint(how)
	out["foundations"] = seen(pages[len(first):]) + fmt.Sprint(how)
	return out
}

var numbered = regexp.MustCompile(`[Pp]age \d+ of \d+`)

// seen is what pages show.
func seen(pages []*ink.Drawing) string {
	var b []byte
	for _, p := range pages {
		b = svg.Append(b, p, svg.Options{})
	}
	return numbered.ReplaceAllString(string(b), "page")
}

// edits are changes of a text, as people make them; each gives what to look for and what to put there.
var edits = []struct{ name, pattern, into string }{
	{"section title", `section A "([^"]*)"`, `section A "$1 again"`},
	{"fabric title", `fabric (\w+)( +)"([^"]*)"`, `fabric $1$2"$3 two"`},
	{"fabric color", `#([0-9a-f])([0-9a-f]{5})`, `#8$2`},
	{"width", `width 42`, `width 38`},
	{"note", `(?m)^(\s+section \w+[^\n{=]*\{)$`, "$1\n    note \"Use a short stitch.\""},
	{"comment", `(?m)^(\s+section)`, "  // nothing is sewn by this\n$1"},
	{"press", `press toward (\w)\w*`, `press open`},
	{"allowance", `allowance 1/4`, `allowance 3/8`},
	{"corner", `1/2`, `5/8`},
	{"title", `block "([^"]*)"`, `block "$1"`},
	{"order", `patch 1 (\w+)`, `patch 1 $1`},
	{"notch", `(?m)^(\s+)join (\w+) to (\w+)`, "$1join $2 to $3"},
	{"spaces", `(?m)^  `, "    "},
}

// Reprint is said just when what is printed differs: every artifact of every block of the demo, over random edits of the
// file, the palette and the settings.
func TestReprintIsWhatDiffers(t *testing.T) {
	t.Parallel()
	r := harbour(t)
	rng := rand.New(rand.NewPCG(7, 11))
	files, err := filepath.Glob(filepath.Join(r.dir, "*.block"))
	require.NoError(t, err)
	times := 12
	if os.Getenv("SEWABLE_LONG") != "" {
		times = 200
	}
	said := map[string]int{}
	for n := range times {
		path := files[rng.IntN(len(files))]
		file := filepath.Base(path)
		old, err := os.ReadFile(path)
		require.NoError(t, err)
		edit := edits[rng.IntN(len(edits))]
		re := regexp.MustCompile(edit.pattern)
		all := re.FindAllStringIndex(string(old), -1)
		toml := ""
		if len(all) == 0 {
			toml = []string{"[paper]\nsize = \"a4\"\n", "[limits]\nstep = \"1/8 in\"\n", "[labels]\nwidth = \"3 in\"\n", "[limits]\nseam = \"1/4 in\"\n"}[rng.IntN(4)]
		}
		f := block.NewLoader(syntax.NewReader(), func(p string) (string, error) { b, err := os.ReadFile(p); return string(b), err }).OpenText(path, string(old))
		var titles []string
		before := map[string]map[string]string{}
		for _, b := range f.Blocks {
			titles = append(titles, b.Name)
			before[b.Name] = printedText(t, r.dir, file, b.Name)
		}
		if toml != "" {
			r.write("sewable.toml", toml)
		} else {
			at := all[rng.IntN(len(all))]
			r.write(file, string(old[:at[0]])+re.ReplaceAllString(string(old[at[0]:at[1]]), edit.into)+string(old[at[1]:]))
		}
		got := r.review("HEAD")
		for _, title := range titles {
			after := printedText(t, r.dir, file, title)
			if before[title] == nil || after == nil {
				continue // it is new, gone or cannot be printed
			}
			paper := review.Paper{}
			for _, b := range got.Blocks {
				if b.Name() == title && b.File == file {
					paper = b.Paper
				}
			}
			for artifact, is := range map[string]bool{"cut list": paper.Cuts, "guide": paper.Guide, "first page": paper.First,
				"foundations": len(paper.Foundations) > 0} {
				assert.Equal(t, before[title][artifact] != after[artifact], is, "%s of %s after %s %s (%d)", artifact, title, edit.name, toml, n)
				if is {
					said[artifact]++
				}
			}
			if toml == "" {
				assert.Equal(t, before[title]["labels"] != after["labels"], paper.Labels, "labels of %s after %s", title, edit.name)
			}
		}
		r.git("checkout", "-q", ".")
		r.git("clean", "-q", "-f")
	}
	assert.NotEmpty(t, strings.Join(slices.Sorted(func(yield func(string) bool) {
		for a := range said {
			yield(a)
		}
	}), " "))
}
