package lint_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/cloth"
	"sewable/lang/files"
	"sewable/lang/geom"
	"sewable/lang/source"
	"sewable/lint"
)

// The defaults are those of common practice: 1/4 in allowance, 1/8 in and 3°
// of placement error, Letter paper; round metric figures in metric files.
func TestDefaults(t *testing.T) {
	in, mm := lint.DefaultSettings(geom.Inches), lint.DefaultSettings(geom.Millimetres)
	inch := func(n, d int64) geom.Num { return geom.Frac(n*127, d) }

	assert.Equal(t, inch(1, 4), in.LeastAllowance)
	assert.Equal(t, inch(1, 4), in.LeastPatch)
	assert.Equal(t, inch(1, 2), in.SmallPatch)
	assert.Equal(t, inch(1, 2), in.LeastSeam)
	assert.Equal(t, inch(6, 1), in.UnmarkedJoin)
	assert.Equal(t, inch(1, 4), in.Step)
	assert.Equal(t, geom.Int(20), in.SharpCorner)
	assert.Equal(t, 8, in.BulkyPoint)
	assert.Equal(t, inch(1, 8), in.Shift)
	assert.Equal(t, geom.Int(3), in.Turn)
	assert.Equal(t, inch(1, 4), in.Swing)
	assert.Equal(t, inch(1, 4), in.Extra, "one step")
	assert.Equal(t, cloth.CenterAuto, in.Center)
	assert.False(t, in.Sold)
	assert.Equal(t, geom.Int(6*5), mm.Swing)
	assert.Equal(t, geom.Int(5*5), mm.Extra)
	assert.Equal(t, "letter", in.Paper.Name)
	assert.Equal(t, [3]geom.Num{inch(2, 1), inch(1, 1), inch(1, 8)}, [3]geom.Num{in.LabelWidth, in.LabelHeight, in.LabelGap})
	assert.Equal(t, lint.AlongSeam, in.Grain)

	assert.Equal(t, geom.Int(6*5), mm.LeastAllowance, "6 mm")
	assert.Equal(t, "a4", mm.Paper.Name)
	assert.Equal(t, [3]geom.Num{geom.Int(50 * 5), geom.Int(25 * 5), geom.Int(3 * 5)}, [3]geom.Num{mm.LabelWidth, mm.LabelHeight, mm.LabelGap})
	assert.Equal(t, geom.Int(210*5), mm.Paper.Width, "ISO 216: 210 mm")
	assert.Equal(t, mm, lint.DefaultSettings(geom.Centimetres))
}

func TestEveryKeyIsRead(t *testing.T) {
	s := settings(`
grain = "outer"
exclude = ["drafts/**", 'old/*.block']
levels.plum-patch = "off"
[limits]
allowance = "3/16 in"
patch = "5 mm"
small-patch = "1/3 in"
seam = "3/8 in"
corner = 17.5
bulky = 6
unmarked = "20 cm"
step = "½ in"
[paper]
size = "a4"
margin = "0.5 cm"
[labels]
width = "3 in"
height = "3 cm"
gap = "0 in"
[plan]
split = 11
section = 12
patch = 13
sliver = 14
asymmetry = 15
line = 16
match = 2
bulky = 5
balance = 1
[placement]
shift = "0 in"
turn = 2
swing = "1 in"
center = "patch"
[cuts]
sold = true
`, plum)
	require.Empty(t, s.Problems)
	got := s.For(geom.Inches)
	assert.Equal(t, &lint.Settings{
		Levels: map[string]lint.Level{"plum-patch": lint.Off}, Exclude: []string{"drafts/**", "old/*.block"},
		Grain: lint.AlongOuter, LeastAllowance: geom.Frac(3*127, 16), LeastPatch: geom.Int(25),
		SmallPatch: geom.Frac(127, 3), LeastSeam: geom.Frac(3*127, 8), UnmarkedJoin: geom.Int(1000),
		Step: geom.Frac(127, 2), SharpCorner: geom.Float(17.5), BulkyPoint: 6,
		Paper: lint.Papers[1], Margin: geom.Int(25),
		PlanMatch: 2, PlanBulky: 5, PlanBalance: 1,
		PlanSplit: 11, PlanSection: 12, PlanPatch: 13, PlanSliver: 14, PlanAsymmetry: 15, PlanLine: 16,
		LabelWidth: geom.Int(381), LabelHeight: geom.Int(150), LabelGap: geom.Int(0), Shift: geom.Int(0), Turn: geom.Int(2),
		Swing: geom.Int(127), Center: cloth.CenterPatch, Extra: geom.Frac(127, 2), Sold: true,
	}, got)
	assert.Equal(t, got, s.For(geom.Millimetres), "what is set holds in every unit")

	seen := map[string]bool{}
	for _, k := range lint.Keys {
		assert.False(t, seen[k.Path()], "%s is there twice", k.Path())
		seen[k.Path()] = true
		assert.NotEmpty(t, k.Doc, k.Path())
	}
}

func TestProblemsOfSettings(t *testing.T) {
	for _, c := range []struct {
		text string
		kind lint.SettingProblemKind
		at   string // line:column
		name string
		near string
		want string
	}{
		{"[limits]\nalowance = \"1/8 in\"", lint.UnknownKey, "2:1", "limits.alowance", "limits.allowance", ""},
		{"[limits]\nshift = \"1/8 in\"", lint.UnknownKey, "2:1", "limits.shift", "placement.shift", ""},
		{"allowance = \"1/8 in\"", lint.UnknownKey, "1:1", "allowance", "limits.allowance", ""},
		{"[limit]\nallowance = \"1/8 in\"", lint.UnknownKey, "1:2", "limit", "limits", ""},
		{"[[limits]]\nallowance = \"1/8 in\"", lint.UnknownKey, "1:3", "limits", "", "write its name once, in single brackets: [limits]"},
		{"[severity]\nsharp-corner = \"off\"", lint.UnknownKey, "1:2", "severity", "", "the tables are cuts, labels, levels, limits, paper, "},
		{"level.plum-patch = \"off\"", lint.UnknownKey, "1:1", "level.plum-patch", "levels.plum-patch", ""},
		{"zzzzzzzzz = 1", lint.UnknownKey, "1:1", "zzzzzzzzz", "", ""},
		{"limits = { alowance = \"1 in\" }", lint.UnknownKey, "1:12", "limits.alowance", "limits.allowance", ""},
		{"[levels]\nplum-pach = \"off\"", lint.UnknownRule, "2:1", "plum-pach", "plum-patch", ""},
		{"[levels]\nplum-patch = \"of\"", lint.BadValue, "2:14", "plum-patch", "", `a level is "off", "hint", "warning" or "error"`},
		{"[levels]\nplum-patch = 3", lint.BadValue, "2:14", "plum-patch", "", "a level is"},
		{"[limits]\nallowance = 0.25", lint.BadValue, "2:13", "limits.allowance", "", "a length with its unit"},
		{"[limits]\nallowance = \"1/4\"", lint.BadValue, "2:13", "limits.allowance", "", "a length with its unit"},
		{"[limits]\nallowance = \"-1 in\"", lint.BadValue, "2:13", "limits.allowance", "", "a length with its unit"},
		{"[limits]\nallowance = \"1 in\\npatch 3\"", lint.BadValue, "2:13", "limits.allowance", "", "a length with its unit"},
		{"[limits]\nallowance = \"1 in // x\"", lint.BadValue, "2:13", "limits.allowance", "", "a length with its unit"},
		{"[limits]\ncorner = \"20\"", lint.BadValue, "2:10", "limits.corner", "", "an angle in degrees"},
		{"[limits]\ncorner = 200", lint.BadValue, "2:10", "limits.corner", "", "an angle in degrees"},
		{"[limits]\ncorner = nan", lint.BadValue, "2:10", "limits.corner", "", "an angle in degrees"},
		{"[limits]\nbulky = 2.5", lint.BadValue, "2:9", "limits.bulky", "", "a whole number"},
		{"[limits]\nbulky = 0", lint.BadValue, "2:9", "limits.bulky", "", "a whole number"},
		{"[plan]\nmatch = 1001", lint.BadValue, "2:9", "plan.match", "", "from 0 to 1000"},
		{"[plan]\nlump = 4", lint.Renamed, "2:1", "plan.lump", "plan.bulky", ""},
		{"[plan]\nbulky = 0.5", lint.BadValue, "2:9", "plan.bulky", "", "from 0 to 1000"},
		{"[paper]\nsize = \"A5\"", lint.BadValue, "2:8", "paper.size", "", `"letter" or "a4"`},
		{"exclude = \"x\"", lint.BadValue, "1:11", "exclude", "", "a list of patterns"},
		{"exclude = [\"[x\"]", lint.BadValue, "1:1", "exclude", "", "a list of patterns"},
		{"exclude = [1]", lint.BadValue, "1:1", "exclude", "", "a list of patterns"},
		{"[limits]\nseam = \"1 in\"\nseam = \"2 in\"", lint.SetTwice, "3:1", "limits.seam", "", ""},
		{"[limits]\nseam \"1 in\"", lint.NotTOML, "2:6", "", "", "="},
		{"[limits\n", lint.NotTOML, "1:8", "", "", "]"},
		{"a = \"\xff\"", lint.NotTOML, "1:6", "", "", "UTF-8"},
	} {
		t.Run(c.text, func(t *testing.T) {
			s := settings(c.text, plum)
			require.Len(t, s.Problems, 1)
			p := s.Problems[0]
			assert.Equal(t, c.kind, p.Kind)
			assert.Equal(t, c.at, s.Source.Position(p.At.Start).String())
			assert.Equal(t, c.name, p.Name)
			assert.Equal(t, c.near, p.Near)
			assert.Contains(t, p.Want, c.want)
		})
	}
}

// A file with a bad line still sets what its good lines say.
func TestGoodLinesCount(t *testing.T) {
	s := settings("[limits]\nalowance = \"1 in\"\npatch = \"1 in\"\n[placment]\nturn = 9\n[levels]\nplum-patch = \"hint\"\n", plum)
	assert.Len(t, s.Problems, 2)
	assert.Equal(t, geom.Int(127), s.For(geom.Inches).LeastPatch)
	assert.Equal(t, geom.Int(3), s.For(geom.Inches).Turn)
	assert.Equal(t, lint.Hint, s.For(geom.Inches).Levels["plum-patch"])
}

func FuzzReadSettings(f *testing.F) {
	for _, seed := range []string{
		"", "[limits]\nallowance = \"1/8 in\"", "exclude = [\"a\", [1], {}]", "limits = {patch = \"1 in\", x = {}}",
		"levels = { plum-patch = \"off\" }\n[levels]", "a.b.c = 1979-05-27", "[levels]\n\"\" = \"\"", "levels = 3", "paper.size.x = 1",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s := settings(text, plum)
		for _, p := range s.Problems {
			if p.At.Start < 0 || p.At.End > len(text) || p.At.Start > p.At.End {
				t.Errorf("place %v in %d bytes", p.At, len(text))
			}
		}
		s.For(geom.Inches)
	})
}

// tree writes files below a new folder and goes there.
func tree(t *testing.T, files map[string]string) {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		at := filepath.Join(dir, filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(at), 0o755))
		require.NoError(t, os.WriteFile(at, []byte(text), 0o644))
	}
	t.Chdir(dir)
}

func TestSettingsAreFoundUpwards(t *testing.T) {
	level := func(l string) string { return fmt.Sprintf("[levels]\nplum-patch = %q\n", l) }
	tree(t, map[string]string{
		"sewable.toml":             level("hint"),
		"a/b/x.block":              "",
		"a/c/sewable.toml":         level("error"),
		"a/c/d/x.block":            "",
		"repo/.git/HEAD":           "",
		"repo/blocks/x.block":      "",
		"a/settings.toml/x.block":  "",
		"e/sewable.toml/not.block": "", // a folder of that name cannot be read
	})
	c := lint.NewConfig([]*lint.Rule{plum})
	at := func(path string) lint.Level { return c.For(path).For(geom.Inches).Levels["plum-patch"] }
	assert.Equal(t, lint.Hint, at("x.block"))
	assert.Equal(t, lint.Hint, at("a/b/x.block"))
	assert.Equal(t, lint.Error, at("a/c/d/x.block"), "the nearest counts, alone")
	assert.Equal(t, lint.Level(0), at("repo/blocks/x.block"), "not above a repository")
	assert.Same(t, c.For("a/b/x.block"), c.For("x.block"), "read once")
	assert.Len(t, c.For("e/x.block").Problems, 1)

	var files []string
	for _, f := range c.Files() {
		files = append(files, f.Source.Path)
	}
	assert.Equal(t, []string{"a/c/sewable.toml", "e/sewable.toml", "sewable.toml"}, files)
}

func TestAFixedConfig(t *testing.T) {
	tree(t, map[string]string{"sewable.toml": "[limits]\nbulky = 5", "other.toml": "[limits]\nbulky = 6"})
	c, err := lint.FixedConfig("other.toml", nil, new(files.Gate))
	require.NoError(t, err)
	assert.Equal(t, 6, c.For("x.block").For(geom.Inches).BulkyPoint)
	_, err = lint.FixedConfig("none.toml", nil, new(files.Gate))
	assert.EqualError(t, err, "none.toml: no such file or directory")
}

// The old name of a key works, and is the same key.
func TestARenamedKey(t *testing.T) {
	read := func(text string) *lint.SettingsFile { return lint.ReadSettings(source.New("sewable.toml", text), nil) }
	assert.Equal(t, 4, read("[plan]\nlump = 4").For(geom.Inches).PlanBulky)
	both := read("[plan]\nbulky = 1\nlump = 4")
	assert.Equal(t, 1, both.For(geom.Inches).PlanBulky)
	require.Len(t, both.Problems, 2)
	assert.Equal(t, lint.SetTwice, both.Problems[1].Kind)
}
