package rules

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/memo"
	"sewable/lang/sew"
	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lint"
)

// touches are edits that leave what most rules recall, and limits and distances that lie between
// the limits.
var touches = []slip{
	{"the usual allowance", inLine(`(allowance )(\d[\d/ ]*)`, "${1}1/4"), false},
	{"a wide allowance", inLine(`(allowance )(\d[\d/ ]*)`, "${1}3/8"), false},
	{"a small allowance", inLine(`(allowance )(\d[\d/ ]*)`, "${1}1/16"), false},
	{"another fabric", inLine(`(patch +\d+ +)(\w+)`, "${1}slate"), false},
	{"a notch on an edge", anew(`^\s*(join|section \w+ \{|patch)`, "notch m part 2/5 of (0, 0) (2, 0)"), false},
	{"a notch moved a little", inLine(`^(\s*notch \w+ \([^,]+)(,)`, "${1} + 1/25 in${2}"), false},
	{"a corner moved a little", inLine(`\(([^(),]+), ([^(),]+)\)`, "(${1} + 3/20 in, ${2})"), false},
	{"a notch in the middle", anew(`^\s*(join|section \w+ \{)`, "notch n (2, 2)"), false},
	{"an accept of the block", anew(`^block`, "// accept off-page: so"), false},
	{"an accept", anew(`^\s*(patch|join|notch)`, "// accept unmatched-notch: so"), false},
	{"a join inset", inLine(`^(\s*join \w+ to \w+)()`, "${1} inset"), false},
}

// anew puts a line behind one that looks so.
func anew(like, text string) func(*rand.Rand, []string) ([]string, bool) {
	return func(r *rand.Rand, lines []string) ([]string, bool) {
		return onLine(r, lines, regexp.MustCompile(like), func(_ *rand.Rand, lines []string, at int) ([]string, bool) {
			return slices.Insert(slices.Clone(lines), at+1, text), true
		})
	}
}

// Whatever is done to a file, line by line and back again, its findings and its joins are those
// of a file that nothing is recalled of.
func TestEditsRecallNothingWrong(t *testing.T) {
	t.Parallel()
	finished, err := filepath.Glob(testdata + "/harbour/*.block")
	require.NoError(t, err)
	broken, err := filepath.Glob(testdata + "/broken/*.block")
	require.NoError(t, err)
	reader := syntax.NewReader()
	loader := block.NewLoader(reader, nil)
	config := lint.NewConfig(All)
	notched := filepath.Join(t.TempDir(), "boom.block") // a mark or two marks, as the allowance has it
	require.NoError(t, os.WriteFile(notched, []byte(`fabric canvas
fabric slate
block "Boom" 5 by 4 {
  allowance 1/4
  section A {
    patch 1 slate (0, 0) (5, 0) (5, 1) (0, 1)
    notch k (2, 1)
  }
  section B {
    patch 1 canvas (0, 1) (5, 1) (5, 4) (0, 4)
    notch k (2 1/25, 1)
  }
  join A to B
}
`), 0o644))
	for n, path := range slices.Concat(finished, broken, []string{notched}) {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		if len(text) > 64<<10 {
			continue // over-limit.block is slow, and holds no sewing
		}
		r := rand.New(rand.NewPCG(uint64(n), 3))
		texts := []string{string(text)}
		m := memo.New()
		for range 60 {
			now := texts[len(texts)-1]
			m.Turn()
			model := loader.BuildIn(m, reader.ParseIn(m, source.New(path, now)))
			if r.IntN(4) > 0 { // else a text that nobody asked about
				settings := config.For(path).For(model.Unit)
				got, _, err := lint.FileWith(t.Context(), model, All, settings, 1)
				require.NoError(t, err)
				fresh := loader.Build(syntax.NewReader().Parse(source.New(path, now)))
				want, _ := lint.File(fresh, All, settings)
				require.Equal(t, want, got, now)
				for i, b := range fresh.Blocks {
					require.Equal(t, joined(sew.Analyse(b)), joined(sew.Analyse(model.Blocks[i])), now)
				}
			}
			edits := [][]slip{touches[:3], touches, slips}[r.IntN(3)]
			if len(texts) > 1 && r.IntN(2) == 0 { // it is undone
				texts = texts[:len(texts)-1]
			} else if lines, ok := edits[r.IntN(len(edits))].spoil(r, strings.Split(now, "\n")); ok {
				texts = append(texts, strings.Join(lines, "\n"))
			}
		}
	}
}

// Limits are set, or follow an allowance that is edited: what was found by others is not taken for it, neither
// there nor back.
func TestLimitsAreNotMissed(t *testing.T) {
	const piers = `fabric sky
fabric sea
block "Two Piers" 8 by 4 {
  allowance 1/4
  section A {
    patch 1 sea (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4)
    notch k (4, 1)
  }
  section B {
    patch 1 sky (4, 0) (8, 0) (8, 2 1/12) (4, 2 1/12)
    patch 2 sea (4, 2 1/12) (8, 2 1/12) (8, 4) (4, 4)
    notch k (4, 1 1/25)
  }
  join A to B
}
`
	inches := func(n, d int64) geom.Num { return geom.Frac(127*n, d) }
	for _, e := range []struct {
		file     string // of testdata/broken, or a text
		old, new string
		set      func(*lint.Settings)
	}{
		{file: "bulky-point", set: func(s *lint.Settings) { s.BulkyPoint = 100 }},
		{file: "sharp-corner", set: func(s *lint.Settings) { s.SharpCorner = geom.Int(1) }},
		{file: "sharp-corner", set: func(s *lint.Settings) { s.SharpCorner = geom.Int(60) }},
		{file: "short-seam", set: func(s *lint.Settings) { s.LeastSeam = inches(1, 4) }},
		{file: "short-seam", set: func(s *lint.Settings) { s.LeastSeam = inches(2, 1) }},
		{file: "short-seam", set: func(s *lint.Settings) { s.SmallPatch = inches(2, 1) }},
		{file: "short-seam", old: "allowance 1/4", new: "allowance 1/16"},
		{file: "small-patch", set: func(s *lint.Settings) { s.LeastPatch, s.SmallPatch = inches(1, 64), inches(1, 64) }},
		{file: "small-patch", set: func(s *lint.Settings) { s.LeastPatch, s.SmallPatch = inches(3, 1), inches(3, 1) }},
		{file: "unmarked-join", set: func(s *lint.Settings) { s.UnmarkedJoin = inches(50, 1) }},
		{file: "wide-allowance", old: "allowance", new: "allowance 1/4 // "},
		{file: strings.Replace(piers, "1/4", "1/2", 1), old: "allowance 1/2", new: "allowance 2 3/8"},
		{file: piers, old: "allowance 1/4", new: "allowance 1/8"},
		{file: piers, old: "allowance 1/4", new: "allowance 1/2"},
		{file: piers, old: "  allowance 1/4\n", new: "", set: func(s *lint.Settings) { s.LeastAllowance = inches(1, 2) }},
	} {
		text := e.file
		if !strings.Contains(text, "\n") {
			broken, err := os.ReadFile(testdata + "/broken/" + e.file + ".block")
			require.NoError(t, err)
			text = string(broken)
		}
		other := strings.Replace(text, e.old, e.new, 1)
		require.True(t, e.old == "" || other != text, e.file)
		reader, m := syntax.NewEditorReader(), memo.New()
		loader := block.NewLoader(reader, nil)
		found := func(text string, set func(*lint.Settings), of *block.File) []lint.Finding {
			settings := *lint.NewConfig(All).For("/a.block").For(of.Unit)
			if set != nil {
				set(&settings)
			}
			findings, failures := lint.File(of, All, &settings)
			require.Empty(t, failures)
			return findings
		}
		var all [2][]lint.Finding
		for i := range 5 {
			text, set := text, e.set
			if i%2 == 1 {
				text = other
			} else {
				set = nil
			}
			f := source.New("/a.block", text)
			got := found(text, set, loader.BuildIn(m, reader.ParseIn(m, f)))
			all[i%2] = found(text, set, loader.Build(syntax.Parse(f)))
			require.Equal(t, all[i%2], got, text)
		}
		if reflect.DeepEqual(all[0], all[1]) {
			t.Errorf("the limit of %s finds the same: %v", e.file, e.new)
		}
	}
}

// joined is how a block's sections are joined and marked.
func joined(b *sew.Block) []string {
	var out []string
	for _, j := range b.JoinLines() {
		out = append(out, sprintf("%s to %s, line %d: %s | %s, %+v, %v %+v", j.Join.A.Name, j.Join.B.Name, j.Join.At.Start,
			sectionNames(j.A), sectionNames(j.B), j.Marks, j.Line, j.Ends))
	}
	for _, n := range b.Notches() {
		of := ""
		if n.Join != nil {
			of = n.Join.Join.A.Name + " to " + n.Join.Join.B.Name
		}
		out = append(out, sprintf("notch %s, %d, on %q, side %d at %g of %d", n.Notch.Name, n.Where, of, n.Side, n.At, len(n.Partners)))
	}
	return out
}
