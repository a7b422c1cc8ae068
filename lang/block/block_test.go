package block

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/geom"
	"sewable/lang/syntax"
)

// open builds a text and requires that all of it can be read.
func open(t *testing.T, text string) *File {
	t.Helper()
	f := NewLoader(syntax.NewReader(), nil).OpenText("x.block", text)
	require.Empty(t, f.Tree.Errors, "the text can be read")
	return f
}

// in is a block of 4 by 4 around the given statements.
func in(t *testing.T, statements string) *Block {
	t.Helper()
	f := open(t, "fabric sky\nfabric sea\nblock \"Test\" 4 by 4 {\n"+statements+"\n}\n")
	require.Empty(t, f.Problems)
	return f.Blocks[0]
}

// inches shows a polygon in inches.
func inches(p geom.Polygon) string {
	s := ""
	for _, c := range p {
		s += geom.FormatPlace(c, geom.Inches) + " "
	}
	return s
}

func TestPointForms(t *testing.T) {
	for form, want := range map[string]string{
		"(1, 2 1/2)":                              "(1, 2 1/2)",
		"(25.4 mm, 2.54 cm)":                      "(1, 1)", // Federal Register, 1 July 1959: 1 in = 25.4 mm
		"(h, h / 2)":                              "(2, 1)",
		"(h * 2 - 1, -h + 4)":                     "(3, 2)",
		"mid (0, 0) (3, 1)":                       "(1 1/2, 1/2)",
		"along (0, 0) (3, 4) by 2 1/2":            "(1 1/2, 2)",
		"along edge by 1":                         "(1, 4)",
		"part 1/3 of (0, 0) (3, 3)":               "(1, 1)",
		"part 1/4 of edge":                        "(1, 4)",
		"where (0, 0) (4, 4) meets (0, 4) (4, 0)": "(2, 2)",
		"where edge meets (1, 0) (1, 1)":          "(1, 4)",
		"mirror (1, 0) across (2, 0) (2, 9)":      "(3, 0)",
		"mirror (1, 3) across edge":               "(1, 5)",
		"turn (3, 2) about (2, 2) by 90":          "(2, 3)",
		"turn (3, 2) about (2, 2) by 90 / 2":      "(2.71, 2.71)",
		"move later by (-1, 1/2)":                 "(0, 1 1/2)",
	} {
		b := in(t, "let h = 2\nseam edge from (0, 4) to (4, 4)\npoint p = "+form+"\npoint later = (1, 1)")
		p := b.Points[0]
		assert.False(t, p.Broken, form)
		assert.Equal(t, want, geom.FormatPlace(p.Exact.Point(), geom.Inches), form)
	}
}

// Lengths are exact where the text is exact: three thirds are one.
func TestExact(t *testing.T) {
	b := in(t, "let third = 1/3\npoint p = (third + third + third, 1 / 3 * 3)")
	x := b.Points[0].Exact
	assert.Zero(t, x.X.Cmp(geom.Int(127)))
	assert.Zero(t, x.Y.Cmp(geom.Int(127)))
	assert.True(t, x.IsExact())
}

// A bare number keeps the unit of the file it was typed in.
func TestUnitsAcrossFiles(t *testing.T) {
	files := map[string]string{
		"mm.block": "units mm\nlet wide = 50\nlet ratio = 1/2\nlet said = 1 in\n",
		"in.block": `use "mm.block"
block "Test" 4 by 4 {
  point p = (wide, wide * ratio)
  point q = (wide + 1, 2 * said)
  point r = (said / said, 1 in + 1)
}`,
	}
	f := load(t, files, "in.block")
	require.Empty(t, f.Problems)
	var got []string
	for _, p := range f.Blocks[0].Points {
		got = append(got, geom.FormatPlace(p.Exact.Point(), geom.Millimetres))
	}
	assert.Equal(t, []string{"(50, 25)", "(75.4, 50.8)", "(25.4, 50.8)"}, got)
}

// A length over a length is a plain number, in a metric file too.
func TestRatioOfLengths(t *testing.T) {
	f := open(t, "units mm\nlet wide = 50.8 mm\nblock \"Test\" 4 by 4 {\npoint p = (wide / 1 in + 1, 0)\n}")
	assert.Equal(t, "(3, 0)", geom.FormatPlace(f.Blocks[0].Points[0].Exact.Point(), geom.Millimetres))
}

// load writes files into a fresh repository and opens one of them.
func load(t *testing.T, files map[string]string, name string) *File {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "sewable.toml"), nil, 0o644))
	for path, text := range files {
		path = filepath.Join(dir, path)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	}
	f, err := NewLoader(syntax.NewReader(), nil).Open(filepath.Join(dir, name))
	require.NoError(t, err)
	return f
}

func TestBeyond(t *testing.T) {
	b := in(t, `
section A {
  outline (0, 0) (4, 0) (4, 4) (0, 4)
  patch 1 sea around (2, 1)
  patch 2 sky beyond (0, 2) (4, 2)
  patch 3 sea beyond (3, 0) (3, 4)
}`)
	s := b.Sections[0]
	require.False(t, s.Broken)
	want := []string{
		"(0, 0) (3, 0) (3, 2) (0, 2)",
		"(3, 2) (3, 4) (0, 4) (0, 2)",
		"(3, 0) (4, 0) (4, 4) (3, 4)",
	}
	for i, p := range s.Patches {
		assert.ElementsMatch(t, parse(t, want[i]), p.Corners, "patch %d is %s", i+1, inches(p.Corners))
	}
}

// parse reads corners written in inches.
func parse(t *testing.T, corners string) geom.Polygon {
	f := open(t, "block \"B\" 9 by 9 {\noutline "+corners+"\n}")
	return f.Blocks[0].Outline
}

// A line may meet a non-convex rest in two chords: the one meant shares a
// piece with the two points given; a chord ends at a reflex corner.
func TestBeyondInTheRest(t *testing.T) {
	horseshoe := `
section A {
  outline (0, 0) (4, 0) (4, 4) (3, 4) (3, 1) (1, 1) (1, 4) (0, 4)
  patch 1 sea around (2, 1/2)
  patch 2 sky beyond %s
}`
	b := in(t, fmt.Sprintf(horseshoe, "(0, 2) (1, 2)"))
	assert.ElementsMatch(t, parse(t, "(0, 2) (1, 2) (1, 4) (0, 4)"), b.Sections[0].Patches[1].Corners)

	for given, cause := range map[string]Cause{
		"(1 1/4, 2) (2 3/4, 2)": TwoChords, // between the arms: either could be meant
		"(0, 2) (4, 2)":         TwoChords, // over both arms
		"(0, 5) (4, 5)":         Misses,
		"(0, 1/2) (4, 1/2)":     CutsFirst,
		"(2, 2) (2, 2)":         OnePoint,
	} {
		f := open(t, "fabric sky\nfabric sea\nblock \"Test\" 4 by 4 {"+fmt.Sprintf(horseshoe, given)+"\n}")
		require.Len(t, f.Problems, 1, given)
		assert.Equal(t, UnclearSeam, f.Problems[0].Kind, given)
		assert.Equal(t, cause, f.Problems[0].Cause, given)
		assert.True(t, f.Blocks[0].Broken)
	}
}

func TestBeyondThenCorners(t *testing.T) {
	b := in(t, `
section A {
  outline (0, 0) (4, 0) (4, 4) (0, 4)
  patch 1 sea (0, 0) (3, 0) (3, 2) (0, 2)
  patch 2 sky beyond (0, 2) (4, 2)
  patch 3 sea (3, 0) (4, 0) (4, 4) (3, 4)
}`)
	assert.ElementsMatch(t, parse(t, "(3, 2) (3, 4) (0, 4) (0, 2)"), b.Sections[0].Patches[1].Corners)
}

func TestCopies(t *testing.T) {
	b := in(t, `
section E = C mirrored across (0, 2) (4, 2) with sky = sea, sea = sky
section C = A moved (2, 0)
section A {
  notch m (1, 0)
  patch 1 sky (0, 0) (2, 0) (0, 2)
  patch 2 sea (2, 0) (2, 2) (0, 2)
}`)
	require.False(t, b.Broken)
	e := b.Sections[0]
	assert.Equal(t, "C", e.CopyOf.Name)
	assert.Equal(t, "A", e.Original().Name)
	assert.Equal(t, "(2, 4) (4, 4) (2, 2) ", inches(e.Patches[0].Corners), "corners keep their order")
	assert.Equal(t, "sea", e.Patches[0].Fabric.Name, "swaps are done all at once")
	assert.Equal(t, "sky", e.Patches[1].Fabric.Name)
	assert.Equal(t, geom.Point{X: 3 * 127, Y: 4 * 127}, e.Notches[0].Point)
}

// Sections copied together bring the joins among them, right after each.
func TestCopiedJoins(t *testing.T) {
	b := in(t, `
section A {
  patch 1 sky (0, 0) (2, 0) (2, 1) (0, 1)
}
section B {
  patch 1 sea (0, 1) (2, 1) (2, 2) (0, 2)
}
section C, D = A, B turned 90 about (2, 2)
section E, F, G, H = A, B, C, D turned 180 about (2, 2)
join A to B press toward B
join B to C
`)
	var got []string
	for _, j := range b.Joins {
		s := j.A.Name + j.B.Name
		if j.PressToward != nil {
			s += ">" + j.PressToward.Name
		}
		got = append(got, s)
	}
	assert.Equal(t, []string{"AB>B", "CD>D", "GH>H", "EF>F", "BC", "FG"}, got)
}

func TestColourways(t *testing.T) {
	f := open(t, `
fabric sky
fabric sea
block "Test" 4 by 4 {
  section A {
    patch 1 sky (0, 0) (4, 0) (4, 4) (0, 4)
  }
  colorway dusk "After sundown" {
    sky = sea
    sea = sky
  }
}
colourway dawn {
  sky = sea
}
setting "Both" {
  rows 1
  columns 2
  fill "Test" dusk, "Test" dawn turned 90, "Test" mirrored
}
`)
	require.Empty(t, f.Problems)
	cells := f.Settings[0].Cells
	assert.Equal(t, "After sundown", cells[0].Colourway.Title)
	assert.Equal(t, "dawn", cells[1].Colourway.Name)
	assert.Zero(t, cells[1].Turned.Cmp(geom.Int(90)))
	assert.True(t, cells[2].Mirrored)
	assert.Len(t, f.Blocks[0].Colourways[0].Swaps, 2)
}

// Each problem text gives exactly one problem.
func TestProblems(t *testing.T) {
	for name, c := range map[string]struct {
		text string
		kind ProblemKind
		name string
	}{
		"unknown fabric once":  {"section A {\npatch 1 sly (0, 0) (1, 0) (1, 1)\npatch 2 sly (0, 0) (1, 1) (0, 1)\n}", UnknownName, "sly"},
		"unknown point":        {"notch m foot", UnknownName, "foot"},
		"unknown let":          {"point p = (h, 1)", UnknownName, "h"},
		"unknown section":      {"join A to A", UnknownName, "A"},
		"copy of nothing":      {"section B = A moved (1, 1)", UnknownName, "A"},
		"copy of itself":       {"section B = B moved (1, 1)", CopyCycle, "B"},
		"copies in a round":    {"section B = C moved (1, 1)\nsection C = B moved (1, 1)", CopyCycle, "B"},
		"point twice":          {"point p = (0, 0)\npoint p = (1, 1)", DuplicateName, "p"},
		"point and seam":       {"point p = (0, 0)\nseam p from (0, 0) to (1, 1)", DuplicateName, "p"},
		"file and block":       {"fabric sky", DuplicateName, "sky"},
		"section twice":        {"section A {\n}\nsection A {\n}", DuplicateName, "A"},
		"allowance twice":      {"allowance 1/4\nallowance 1/2", DuplicateName, "allowance"},
		"outline twice":        {"outline (0, 0) (4, 0) (4, 4) (0, 4)\noutline (0, 0) (4, 0) (4, 4)", DuplicateName, "outline"},
		"swap twice in a copy": {"section A {\npatch 1 sky (0, 0) (1, 0) (1, 1)\n}\nsection B = A moved (1, 1) with sky = sea, sky = sky", DuplicateName, "sky"},
		"swap twice":           {"colourway c {\nsky = sea\nsky = sea\n}", DuplicateName, "sky"},
		"number twice":         {"section A {\npatch 1 sky (0, 0) (1, 0) (1, 1)\npatch 1 sky (0, 0) (1, 1) (0, 1)\n}", PatchNumber, ""},
		"number missing":       {"section A {\npatch 2 sky (0, 0) (1, 0) (1, 1)\n}", PatchNumber, ""},
		"around later":         {"section A {\npatch 1 sky (0, 0) (1, 0) (1, 1)\npatch 2 sky around (1, 1)\n}", PatchNumber, ""},
		"division by zero":     {"let h = 1 / 0", NoValue, ""},
		"let by itself":        {"let h = k\nlet k = h", NoValue, "h"},
		"point by itself":      {"point p = mid p (1, 1)", NoValue, "p"},
		"seam of one point":    {"seam s from (1, 1) to (1, 1)", NoValue, ""},
		"parallel":             {"point p = where (0, 0) (1, 0) meets (0, 1) (1, 1)", NoValue, ""},
		"area":                 {"point p = (1 in * 1 in, 0)", NoValue, ""},
		"one over a length":    {"point p = (1 / 1 in, 0)", NoValue, ""},
		"length for an angle":  {"point p = turn (1, 0) about (0, 0) by 3 in", NoValue, ""},
		"seam for a point":     {"seam s from (0, 0) to (1, 1)\npoint p = mid s (1, 1)", NoValue, "s"},
		"point for a line":     {"point q = (1, 1)\npoint p = along q by 1", NoValue, "q"},
		"cut of nothing":       {"section A {\npatch 1 sky (0, 0) (1, 0) (1, 1) cut strip 0\n}", NoValue, ""},
		"outline of its own":   {"outline (0, 0) (4, 0) (4, 3)", OutlineSize, ""},
		"too long":             {"point p = (200 * 200, 0)", OverLimit, ""},
		"too far to meet":      {"point p = where (0, 0) (4, 0.0001) meets (0, 1) (4, 1)", OverLimit, ""},
		"too far to move":      {"point p = move (9000, 0) by (9000, 0)", OverLimit, ""},
		"beyond, no outline":   {"section A {\npatch 1 sky (0, 0) (1, 0) (1, 1)\npatch 2 sky beyond (0, 0) (1, 1)\npatch 3 sky beyond (0, 5) (1, 5)\n}", UnclearSeam, ""},
		"crossed outline":      {"section A {\noutline (0, 0) (4, 4) (4, 0) (0, 4)\npatch 1 sky around (1, 2)\npatch 2 sky beyond (3, 0) (3, 4)\n}", CrossedOutline, ""},
	} {
		t.Run(name, func(t *testing.T) {
			f := open(t, "fabric sky\nfabric sea\nblock \"Test\" 4 by 4 {\n"+c.text+"\n}\n")
			require.Len(t, f.Problems, 1, "%+v", f.Problems)
			assert.Equal(t, c.kind, f.Problems[0].Kind)
			assert.Equal(t, c.name, f.Problems[0].Name)
		})
	}
}

// A setting's blocks lie square to each other, and a title is one setting's.
func TestSettingProblems(t *testing.T) {
	const head = "block \"T\" 4 by 4 {\n}\n"
	f := open(t, head+"setting \"S\" {\nrows 1\ncolumns 1\nfill \"T\" turned 33\n}\n")
	require.Len(t, f.Problems, 1)
	assert.Equal(t, NotAQuarter, f.Problems[0].Cause)
	f = open(t, head+"setting \"S\" {\nfill \"T\" turned 270\n}\nsetting \"S\" {\nfill \"T\" turned -90\n}\n")
	require.Len(t, f.Problems, 1)
	assert.Equal(t, DuplicateName, f.Problems[0].Kind)
}

// What a line that cannot be read would have declared is not missed.
func TestUnreadableIsSilent(t *testing.T) {
	f := NewLoader(syntax.NewReader(), nil).OpenText("x.block", `
fabric sky
block "Test" 4 by 4 {
  point foot = (3, 
  section A {
    patch 1 sky (0, 0) foot (4, 4)
  }
}
`)
	assert.NotEmpty(t, f.Tree.Errors)
	assert.Empty(t, f.Problems)
	assert.True(t, f.Blocks[0].Sections[0].Broken)
}

func TestUse(t *testing.T) {
	files := map[string]string{
		"sub/a.block":    "use \"../palette.block\"\nblock \"A\" 1 by 1 {\nsection S {\npatch 1 sky (0, 0) (1, 0) (1, 1)\n}\n}",
		"palette.block":  "use \"deep.block\"\nfabric sky\nallowance 1/2\nunits mm\n",
		"deep.block":     "fabric abyss\n",
		"round.block":    "use \"back.block\"\nfabric one\n",
		"back.block":     "use \"round.block\"\nfabric two\n",
		"self.block":     "use \"self.block\"\n",
		"both.block":     "use \"round.block\"\nuse \"back.block\"\nblock \"B\" 1 by 1 {\nsection S {\npatch 1 one (0, 0) (1, 0) (1, 1)\n}\n}",
		"folder.block/x": "",
		"clash.block":    "use \"palette.block\"\nfabric sky\n",
		"again.block":    "use \"palette.block\"\nuse \"palette.block\"\n",
	}
	f := load(t, files, "sub/a.block")
	assert.Empty(t, f.Problems)
	assert.Equal(t, "sky", f.Blocks[0].Sections[0].Patches[0].Fabric.Name)
	assert.Nil(t, f.Blocks[0].Allowance, "a used file's allowance stays there")

	assert.Empty(t, load(t, files, "both.block").Problems, "a cycle elsewhere is reported there")
	assert.Empty(t, load(t, files, "again.block").Problems)
	assert.Equal(t, DuplicateName, load(t, files, "clash.block").Problems[0].Kind)

	for path, cause := range map[string]Cause{
		"round.block": UseCycle, "back.block": UseCycle, "self.block": UseCycle,
	} {
		f := load(t, files, path)
		require.Len(t, f.Problems, 1, path)
		assert.Equal(t, cause, f.Problems[0].Cause, path)
	}
	for use, cause := range map[string]Cause{
		"no.block": UseMissing, "folder.block": UseNotAFile, "secrets.env": UseNotABlock, "palette": UseNotABlock, "../../x.block": UseOutside,
		"/etc/passwd": UseAbsolute, "": UseMissing,
		`C:\x.block`: UseAbsolute, "c:x.block": UseAbsolute, `\\server\share\x.block`: UseAbsolute,
		"aux.block": UseNotPortable, `sub\x.block`: UseNotPortable, "x.block.": UseNotPortable, "x.block:s": UseNotPortable,
	} {
		files["u.block"] = fmt.Sprintf("use %q\nblock \"B\" 1 by 1 {\nsection S {\npatch 1 lost (0, 0) (1, 0) (1, 1)\n}\n}", use)
		f := load(t, files, "u.block")
		require.Len(t, f.Problems, 1, use)
		assert.Equal(t, cause, f.Problems[0].Cause, use)
	}
}

// A link inside the repository may not lead out of it.
func TestUseThroughALink(t *testing.T) {
	outside := filepath.Join(t.TempDir(), "secret.block")
	require.NoError(t, os.WriteFile(outside, []byte("fabric secret\n"), 0o644))
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "sewable.toml"), nil, 0o644))
	require.NoError(t, os.Symlink(outside, filepath.Join(dir, "link.block")))
	f := NewLoader(syntax.NewReader(), nil).OpenText(filepath.Join(dir, "x.block"), "use \"link.block\"\n")
	require.Len(t, f.Problems, 1)
	assert.Equal(t, UseOutside, f.Problems[0].Cause)
}

// Many files may be opened at once on one Loader, cycles among them included.
func TestLoaderIsShared(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "sewable.toml"), nil, 0o644))
	const n = 8
	for i := range n {
		text := fmt.Sprintf("use \"f%d.block\"\nuse \"f%d.block\"\nfabric fabric%d\n", (i+1)%n, (i+3)%n, i)
		require.NoError(t, os.WriteFile(filepath.Join(dir, fmt.Sprintf("f%d.block", i)), []byte(text), 0o644))
	}
	l := NewLoader(syntax.NewReader(), nil)
	var wg sync.WaitGroup
	for i := range 4 * n {
		wg.Go(func() {
			f, err := l.Open(filepath.Join(dir, fmt.Sprintf("f%d.block", i%n)))
			assert.NoError(t, err)
			assert.Len(t, f.Problems, 2, "both uses come back round")
		})
	}
	wg.Wait()
}

// Taking a patch off by one chord leaves what taking it off by its area leaves.
func TestTakeOff(t *testing.T) {
	square := parse(t, "(0, 0) (4, 0) (4, 4) (0, 4)")
	horseshoe := parse(t, "(0, 0) (4, 0) (4, 4) (3, 4) (3, 1) (1, 1) (1, 4) (0, 4)")
	for name, c := range map[string]struct{ rest, patch geom.Polygon }{
		"a strip":               {square, parse(t, "(3, 0) (4, 0) (4, 4) (3, 4)")},
		"a corner, reversed":    {square, parse(t, "(4, 3) (3, 4) (4, 4)")},
		"a corner, typed twice": {square, parse(t, "(4, 3) (4, 3) (4, 4) (3, 4)")},
		"an arm":                {horseshoe, parse(t, "(3, 1) (4, 1) (4, 4) (3, 4)")},
		"bent":                  {square, parse(t, "(2, 2) (4, 2) (4, 4) (2, 4)")},
		"all of it":             {square, square},
		"outside":               {square, parse(t, "(3, 0) (5, 0) (5, 4) (3, 4)")},
		"an island":             {square, parse(t, "(1, 1) (2, 1) (2, 2)")},
		"the middle":            {square, parse(t, "(1, 0) (2, 0) (2, 4) (1, 4)")},
	} {
		got, gotOK := takeOff(c.rest, c.patch)
		want, wantOK := geom.Subtract(c.rest, c.patch)
		assert.Equal(t, wantOK, gotOK, name)
		require.Len(t, got, len(want), name)
		for i := range got {
			assert.InDelta(t, math.Abs(want[i].Area()), math.Abs(got[i].Area()), 1e-6, name)
			assert.ElementsMatch(t, want[i].Straighten(), got[i].Straighten(), name)
		}
	}
}
