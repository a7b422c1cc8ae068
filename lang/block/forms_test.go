package block

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sewable/lang/geom"
	"sewable/lang/memo"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// around is a file in which there is a place for every form of statement, and the names that the
// forms say; each mark is a place.
const around = `//file
fabric sky
fabric plum
fabric coral
fabric sand
fabric cedar
fabric water
colourway day {
//colourway
}
block "Little Sloop" 6 by 6 {
//block
point P = (0, 0)
point Q = (6, 0)
point R = (6, 6)
point S = (0, 6)
point hub = (3, 3)
section A {
//section
patch 1 sky (0, 0) (6, 0) (6, 2) (0, 2)
patch 2 plum (0, 2) (6, 2) (6, 3) (0, 3)
}
section E "Above" {
patch 1 plum (0, 3) (6, 3) (6, 6) (0, 6)
}
}
block "Lantern" 6 by 6 {
}
setting "Runner" {
//setting
}
`

// placed is the file with a form of statement at a place where it may stand.
func placed(form *syntax.StatementInfo, place syntax.Place, mark string) string {
	text := strings.NewReplacer("…", "S", "section B = A", "section Z = A", "section A \"", "section Y \"").Replace(form.Shape)
	if form.Body != 0 {
		text += "\n}"
	}
	return strings.Replace(around, mark, text, 1)
}

// What every form of statement says is there after an edit elsewhere, to the last place, as
// in a fresh reading; and it says something.
func TestEveryFormOutlivesAnEdit(t *testing.T) {
	places := map[syntax.Place]string{
		syntax.InFile: "//file", syntax.InBlock: "//block", syntax.InSection: "//section", syntax.InColourway: "//colourway", syntax.InSetting: "//setting",
	}
	elsewhere := []struct{ old, new string }{
		{"fabric cedar", "fabric cedar \"Cedar\""}, {"plum (0, 3) (6, 3)", "plum (0, 3) (6, 3) "}, {"block \"Lantern\"", "\n\nblock \"Lantern\""},
		{"fabric water", "\nfabric water\nlet more = 3"}, {"point hub = (3, 3)", "point hub = (3, 2)"}, {"fabric sky", "fabric sky #aabbcc"},
		{"patch 2 plum", "patch 2 coral"}, {"section E \"Above\"", "section E \"Over\""}, {"\"Little Sloop\" 6 by", "\"Little Sloop\" 12 / 2 by"},
	}
	for _, form := range syntax.Statements() {
		for place, mark := range places {
			if form.Where&place == 0 {
				continue
			}
			t.Run(form.Shape+" "+place.String(), func(t *testing.T) {
				text := placed(form, place, mark)
				reader, m := syntax.NewEditorReader(), memo.New()
				l := NewLoader(reader, func(string) (string, error) { return "fabric foreign\n", nil }).Within("/")
				texts := []string{text}
				model := func(text string) *File {
					m.Turn()
					f := l.BuildIn(m, reader.ParseIn(m, source.New("/a.block", text)))
					f.Memo = nil
					return f
				}
				first := model(text)
				require.Empty(t, first.Tree.Errors, text)
				said := 0
				syntax.Walk(first.Tree.Items, func(it *syntax.Item) bool {
					if it.Node != nil && first.Source.Text[it.Stmt.Start:it.Stmt.End] != "" {
						said++
					}
					return true
				})
				bare := 0
				syntax.Walk(syntax.Parse(source.New("/a.block", around)).Items, func(it *syntax.Item) bool {
					if it.Node != nil {
						bare++
					}
					return true
				})
				require.Equal(t, bare+1, said, "the form is read")
				for _, e := range elsewhere {
					require.Contains(t, text, e.old)
					text = strings.Replace(text, e.old, e.new, 1)
					texts = append(texts, text)
					sameModels(t, l.Build(syntax.Parse(source.New("/a.block", text))), model(text), texts)
				}
			})
		}
	}
}

// All that a section is made of, one thing at a time: an edit of it is not missed, neither there nor back.
func TestWhatASectionIsMadeOf(t *testing.T) {
	const text = `fabric sky
let h = 1
block "T" 6 by 6 {
  point p = (0, 2)
  seam m from (0, 3) to (6, 3)
  section A {
    outline (0, 0) (6, 0) (6, 6) (0, 6)
    patch 1 sky around (1, h)

    note x
    patch 2 sky beyond m cut 2 by 3
    notch n p
  }
  section B {
    patch 1 plums p (6, 2) (6, 6)
    patch 2 nigth p (6, 6) (0, 6)
  }
  section C = A moved (1, 0)
  section D = C mirrored across m with sky = foreign
}
`
	for _, e := range []struct{ what, old, new string }{
		{"its brace", "    notch n p\n  }\n", "    notch n p\n"},
		{"what cannot be read", "\n\n    note x", "\n    \"x\n    note x"},
		{"the word of what cannot be read", "note x", "notch x"},
		{"a number", "let h = 1", "let h = 2"},
		{"a number that has no value", "let h = 1", "let h = 1 / 0"},
		{"a point", "point p = (0, 2)", "point p = (0, 1)"},
		{"a point that has no value", "point p = (0, 2)", "point p = where m meets m"},
		{"a point that is a seam", "point p = (0, 2)", "seam p from (0, 2) to (1, 2)"},
		{"a seam", "to (6, 3)", "to (6, 2)"},
		{"the unit", "let h = 1", "units mm\nlet h = 1"},
		{"the nearest name", "let h = 1", "fabric plum\nlet h = 1"},
		{"a name that is lost", "let h = 1", "fabric nigth #\nlet h = 1"},
		{"a name of another file", "let h = 1", "use \"other.block\"\nlet h = 1"},
		{"the fabric itself", "fabric sky", "fabric sky \"Sky\""},
		{"the place of a copy", "= A moved (1, 0)", "= A moved (2, 0)"},
		{"what is copied", "= A moved (1, 0)", "= B moved (1, 0)"},
		{"how it is copied", "= C mirrored across m", "= C mirrored across p (6, 6)"},
		{"the swaps of a copy", "sky = foreign", "sky = sky"},
		{"its order", "    outline (0, 0) (6, 0) (6, 6) (0, 6)\n    patch 1 sky around (1, h)\n", "    patch 1 sky around (1, h)\n    outline (0, 0) (6, 0) (6, 6) (0, 6)\n"},
	} {
		t.Run(e.what, func(t *testing.T) {
			require.Contains(t, text, e.old)
			other := strings.Replace(text, e.old, e.new, 1)
			texts := []string{text, other, "\n" + text, other, text}
			reader, m := syntax.NewEditorReader(), memo.New()
			l := NewLoader(reader, func(string) (string, error) { return "fabric foreign\nfabric plums\n", nil }).Within("/")
			for i, text := range texts {
				got := l.BuildIn(m, reader.ParseIn(m, source.New("/a.block", text)))
				got.Memo = nil
				sameModels(t, l.Build(syntax.Parse(source.New("/a.block", text))), got, texts[:i+1])
			}
		})
	}
}

// A used file changes: a section that says its names is made again.
func TestAUsedFileChanges(t *testing.T) {
	texts := map[string]string{"/palette.block": "let h = 1\nfabric sky\n"}
	read := func(path string) (string, error) { return texts[path], nil }
	reader, m := syntax.NewEditorReader(), memo.New()
	f := source.New("/a.block", "use \"palette.block\"\nblock \"T\" 6 by 6 {\n  section A {\n    patch 1 sky (0, 0) (h, 0) (0, h)\n  }\n}\n")
	l := NewLoader(reader, read).Within("/")
	for _, text := range []string{"let h = 1\nfabric sky\n", "let h = 2\nfabric sky\n", "let h = 2\n", "let h = 2\nfabric sky \"Sky\"\n", "let h = 1\nfabric sky\n"} {
		texts["/palette.block"] = text
		l = l.Fork(read, func(path string) bool { return path == "/palette.block" })
		got := l.BuildIn(m, reader.ParseIn(m, f))
		got.Memo = nil
		sameModels(t, l.Build(syntax.Parse(f)), got, []string{text})
	}
}

// A file that a used file uses changes: what it says is not missed, and what does not depend on it is
// not read again.
func TestAFileFurtherOffChanges(t *testing.T) {
	texts := map[string]string{"/palette.block": "use \"dyes.block\"\nfabric sky\nlet k = h\n", "/dyes.block": "let h = 1\n", "/other.block": "fabric sea\n"}
	reads := map[string]int{}
	read := func(path string) (string, error) {
		reads[path]++
		if text, ok := texts[path]; ok {
			return text, nil
		}
		return "", os.ErrNotExist
	}
	f := source.New("/a.block", "use \"palette.block\"\nuse \"other.block\"\nuse \"late.block\"\nblock \"T\" 6 by 6 {\n  section A {\n    patch 1 sky (0, 0) (k, 0) (0, k)\n  }\n}\n")
	l := NewLoader(syntax.NewReader(), read).Within("/")
	width := func() float64 { return l.Build(syntax.Parse(f)).Blocks[0].Sections[0].Patches[0].Corners[1].X }
	before := width()
	for _, h := range []string{"2", "1"} {
		texts["/dyes.block"] = "let h = " + h + "\n"
		l = l.Fork(read, func(path string) bool { return path == "/dyes.block" })
		require.Equal(t, h == "1", width() == before)
	}
	require.Equal(t, 1, reads["/other.block"])
	texts["/late.block"] = "fabric late\n"
	l = l.Fork(read, func(path string) bool { return path == "/late.block" })
	require.NotNil(t, l.Build(syntax.Parse(f)).Uses[2].File)
}

// A copy's shapes are the original's at its place, each part of them.
func TestWhatIsPlaced(t *testing.T) {
	dir := folder(t)
	f := NewLoader(syntax.NewReader(), nil).Within(dir).OpenText(dir+"/a.block", mole)
	sections := f.Blocks[0].Sections
	require.Len(t, sections, 3)
	a, c := sections[0], sections[2]
	require.Equal(t, a, c.CopyOf)
	require.Equal(t, c.Placed.ApplyTo(a.Outline), c.Outline)
	for i, p := range c.Patches {
		of := a.Patches[i]
		require.Equal(t, c.Placed.ApplyTo(of.Corners), p.Corners)
		require.Equal(t, geom.Segment{A: c.Placed.Apply(of.Line.A), B: c.Placed.Apply(of.Line.B)}, p.Line)
	}
	require.NotEqual(t, a.Patches[1].Line, c.Patches[1].Line)
	require.Equal(t, c.Placed.Apply(a.Notches[0].Point), c.Notches[0].Point)
	for _, s := range sections {
		require.Equal(t, newGeometry(s.Outline, s.Shapes), &Geometry{Outline: s.Geometry.Outline, Corners: s.Geometry.Corners})
	}
	require.Equal(t, "sky", sections[1].Patches[1].Fabric.Name, "and not what its cut is made of")
}

// Shapes are the same when outline and corners are, to the last bit.
func TestGeometryIsOne(t *testing.T) {
	square := geom.Polygon{{X: 0, Y: 0}, {X: 1, Y: 0}, {X: 1, Y: 1}}
	other := geom.Polygon{{X: 0, Y: 0}, {X: 1, Y: 0}, {X: 1, Y: 2}}
	g := &Geometry{Outline: square, Corners: []geom.Polygon{square, other}}
	require.True(t, g.equal(&Geometry{Outline: square, Corners: []geom.Polygon{square, other}}))
	for _, o := range []*Geometry{
		{Outline: other, Corners: g.Corners}, {Corners: g.Corners}, {Outline: square, Corners: []geom.Polygon{square, square}}, {Outline: square, Corners: g.Corners[:1]},
	} {
		require.False(t, g.equal(o))
		require.False(t, o.equal(g))
	}
	require.False(t, (&Geometry{}).equal(&Geometry{Outline: geom.Polygon{}}), "an outline without corners is one")
}

// A line that cannot be read leaves a section broken, unless it is a note; a name that is missing
// comes with the nearest there is.
func TestWhatIsLostInASection(t *testing.T) {
	read := func(line string) *File {
		return NewLoader(syntax.NewReader(), nil).OpenText("/a.block", "fabric sky\nblock \"T\" 6 by 6 {\n  section A {\n    patch 1 skyy (0, 0) (6, 0) (6, 6)\n"+line+"\n  }\n}\n")
	}
	require.False(t, read("").Blocks[0].Sections[0].Broken)
	require.False(t, read("    note x").Blocks[0].Sections[0].Broken)
	for _, line := range []string{"    notch x", "    patch 2", "    \"x", "    what {", "    outline"} {
		require.True(t, read(line).Blocks[0].Sections[0].Broken, line)
	}
	require.Equal(t, "sky", read("").Problems[0].Near)
}
