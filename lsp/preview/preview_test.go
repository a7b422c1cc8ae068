package preview_test

import (
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lint"
	"sewable/lint/rules"
	"sewable/lsp/preview"
)

// A page says and shows all there is of a block.
func TestPage(t *testing.T) {
	path := filepath.Join(harbour(t), "lighthouse.block")
	w := open(t, follow(t, start(t, preview.Options{}), path), preview.Look{})
	s := w.words(nil)
	assert.Equal(t, "Light at the Mole End", s.Title)
	assert.Equal(t, "9 × 13 in, 9 sections, 54 patches", s.Summary)
	assert.Equal(t, "sewable", s.State)
	assert.True(t, s.Sewable)
	assert.Empty(t, s.Findings)
	assert.Len(t, s.Sections, 9)
	assert.Len(t, s.Patches, 54)
	assert.Len(t, s.Steps, 54+8, "every patch and every join")
	require.Len(t, s.Colourways, 1)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	for _, p := range s.Patches {
		assert.NotEmpty(t, p.Cut, p.Label)
		line := strings.Split(string(text), "\n")[p.Line-1]
		assert.Contains(t, strings.Join(strings.Fields(line), " "), "patch "+strings.TrimLeft(p.Label, "ABCDEFGHIJKLMNOPQRSTUVWXYZ")+" ", p.Label)
	}
	drawn := w.picture(nil)
	for _, p := range s.Patches {
		assert.Contains(t, drawn.SVG, `data-patch="`+p.Label+`"`)
	}

	// In a colourway.
	assert.NotContains(t, drawn.SVG, "#8fbcd8")
	w.turn(preview.Look{Title: s.Title, Colourway: "dawn"})
	s = w.words(nil)
	assert.Equal(t, "dawn", s.Look.Colourway)
	assert.Contains(t, w.picture(nil).SVG, "#8fbcd8", "Noon blue stands in for Night sky")

	// A step of the sewing: of the patches only those that are sewn on have their colour.
	w.turn(preview.Look{Title: s.Title, Step: 2})
	step := w.picture(func(p shown) bool { return p.Look.Step == 2 })
	assert.Contains(t, step.SVG, "stroke-dasharray", "the line that is stitched")
	assert.NotContains(t, step.SVG, ">T1<", "no label on what is not sewn yet")

	// A section alone, and from the other side.
	w.turn(preview.Look{Title: s.Title, Section: "T", Printed: true})
	alone := w.picture(func(p shown) bool { return p.Look.Section == "T" })
	assert.Contains(t, alone.SVG, "mirrored")
	assert.Contains(t, alone.SVG, `data-patch="T11"`)
	assert.NotContains(t, alone.SVG, `data-patch="H1"`)

	// What is not there leads to what is.
	w.turn(preview.Look{Title: "No such block", At: 70, Section: "Z", Colourway: "none", Step: 1 << 40})
	p := w.picture(func(p shown) bool { return p.Look.Section == "" })
	assert.Equal(t, preview.Look{Title: s.Title, Step: 62}, p.Look)
}

// A setting is shown as a quilt.
func TestSetting(t *testing.T) {
	w := open(t, follow(t, start(t, preview.Options{}), filepath.Join(harbour(t), "wall.block")), preview.Look{})
	s := w.words(nil)
	assert.Equal(t, "setting", s.Kind)
	assert.Contains(t, w.picture(nil).SVG, "<svg")
}

const two = `use "palette.block"
allowance 1/4
block "Buoy" 4 by 4 {
  section A {
    outline (0, 0) (4, 0) (4, 4) (0, 4)
    patch 1 signal around (2, 2)
    patch 2 sea beyond (0, 1) (4, 1)
  }
}
block "Float" 4 by 4 {
  section B {
    outline (0, 0) (4, 0) (4, 4) (0, 4)
    patch 1 sea around (2, 2)
    patch 2 signal beyond (0, 2) (4, 3)
  }
}
`

const palette = "fabric signal \"Signal red\" #c5352f\nfabric sea \"Harbour blue\" #2f7098\n"

// Of several blocks one is looked at; it is still the one when a title changes.
func TestSeveralBlocks(t *testing.T) {
	dir := repository(t, map[string]string{"palette.block": palette, "two.block": two})
	path := filepath.Join(dir, "two.block")
	w := open(t, follow(t, start(t, preview.Options{}), path), preview.Look{Title: "Float", At: 1})
	s := w.words(nil)
	assert.Len(t, s.Choices, 2)
	assert.Equal(t, "Float", s.Title)
	edit(t, path, `"Float"`, `"Cork float"`)
	s = w.words(func(s said) bool { return s.Title != "Float" })
	assert.Equal(t, "Cork float", s.Title)
}

// The steps of a block are its own, whichever was looked at before.
func TestStepsOfSeveralBlocks(t *testing.T) {
	dir := repository(t, map[string]string{"palette.block": palette, "two.block": two})
	path, float := filepath.Join(dir, "two.block"), preview.Look{Title: "Float", At: 1, Step: 2}
	fresh := open(t, follow(t, start(t, preview.Options{}), path), float).picture(nil)
	w := open(t, follow(t, start(t, preview.Options{}), path), preview.Look{Title: "Buoy", Step: 2})
	buoy := w.picture(nil)
	w.turn(float)
	after := w.picture(func(p shown) bool { return p.Look.Title == "Float" })
	assert.Equal(t, fresh.SVG, after.SVG)
	assert.NotEqual(t, buoy.SVG, after.SVG)
}

// A drawing without sections has no steps, and says how it gets them.
func TestUndivided(t *testing.T) {
	for drawn, summary := range map[string]string{
		"patch signal (0, 0) (4, 0) (4, 2) (0, 2)\n  patch sea (0, 2) (4, 2) (4, 4) (0, 4)": "4 × 4 in, 2 patches",
		"seam tide from (0, 2) to (4, 2)": "4 × 4 in, 1 line",
	} {
		dir := repository(t, map[string]string{
			"palette.block":   palette,
			"two tides.block": "use \"palette.block\"\nallowance 1/4\nblock \"Tides\" 4 by 4 {\n  " + drawn + "\n}\n",
		})
		w := open(t, follow(t, start(t, preview.Options{}), filepath.Join(dir, "two tides.block")), preview.Look{})
		s := w.words(nil)
		assert.Equal(t, summary, s.Summary)
		assert.Equal(t, "not divided into sections yet", s.State)
		assert.Contains(t, s.Undivided, "`sewable plan \"two tides.block\"`")
		assert.Empty(t, s.Steps)
	}
}

// While a line cannot be read, the block is drawn as it is typed; while its title cannot be read, as it was last. The
// findings are of now.
func TestWhileTyping(t *testing.T) {
	dir := repository(t, map[string]string{"palette.block": palette, "two.block": two})
	path := filepath.Join(dir, "two.block")
	w := open(t, follow(t, start(t, preview.Options{}), path), preview.Look{Title: "Buoy"})
	good := w.picture(nil)
	for name, broken := range map[string]string{
		"a patch":      strings.Replace(two, "beyond (0, 1) (4, 1)", "beyond (0, ", 1),
		"a shape":      strings.Replace(two, "beyond (0, 1) (4, 1)", "(0, 1) (5, 1) (2, 2)", 1),
		"a corner":     strings.Replace(two, "around (2, 2)\n    patch 2 sea beyond (0, 1) (4, 1)", "(0, 1) (4, 1) (4, 4) (0, 4)\n    patch 2 sea (0, 0) (4, ", 1),
		"a title":      strings.Replace(two, `block "Buoy" 4 by 4 {`, `block "Buo`, 1),
		"the settings": strings.Replace(two, `allowance 1/4`, `allowance`, 1),
		"nothing":      "",
	} {
		write(t, path, broken)
		s := w.words(func(s said) bool { return len(s.Findings) > 0 })
		assert.NotEmpty(t, s.Findings, name)
		switch name {
		case "a patch":
			assert.False(t, s.Old)
			text := w.picture(func(p shown) bool { return !strings.Contains(p.SVG, `data-patch="A2"`) }).SVG
			assert.Contains(t, text, `data-patch="A1"`)
			require.NotEmpty(t, s.Patches)
			assert.Equal(t, "A1", s.Patches[0].Label)
			assert.NotEmpty(t, s.Patches[0].Cut)
		case "a shape":
			assert.False(t, s.Old)
			text := w.picture(func(p shown) bool { return strings.Contains(p.SVG, "Error 1: ") }).SVG
			assert.Contains(t, text, `data-patch="A1"`)
			assert.Contains(t, text, `data-patch="A2"`)
		case "a corner":
			w.picture(func(p shown) bool { return strings.Contains(p.SVG, "Still open in section A") })
		case "a title":
			assert.True(t, s.Old)
			assert.Contains(t, w.picture(nil).SVG, `data-patch="A2"`)
		}
		write(t, path, two)
		w.words(func(s said) bool { return len(s.Findings) == 0 && s.Title == "Buoy" && !s.Old })
		assert.Equal(t, good.SVG, w.picture(func(p shown) bool { return p.Look.Title == "Buoy" }).SVG, name)
	}
}

// A block that never could be read whole is drawn as far as it goes.
func TestNeverGood(t *testing.T) {
	dir := repository(t, map[string]string{"palette.block": palette, "houses.block": strings.Replace(two, "beyond (0, 1) (4, 1)\n  }\n", "beyond (0\n  }\n"+`
  section C {
    patch 1 sea (0, 0) (4, 0) (4, 4)
  }
`, 1)})
	w := open(t, follow(t, start(t, preview.Options{}), filepath.Join(dir, "houses.block")), preview.Look{})
	s := w.words(nil)
	assert.False(t, s.Old)
	assert.NotEmpty(t, s.Findings)
	assert.NotEqual(t, "sewable", s.State)
	assert.Contains(t, w.picture(nil).SVG, `data-patch="C1"`)
}

// A file that is gone is said to be, and shown again when it is back.
func TestGoneAndBack(t *testing.T) {
	dir := repository(t, map[string]string{"palette.block": palette, "two.block": two})
	path := filepath.Join(dir, "two.block")
	w := open(t, follow(t, start(t, preview.Options{}), path), preview.Look{})
	w.words(nil)
	require.NoError(t, os.Remove(path))
	s := w.words(func(s said) bool { return s.Why != "" })
	assert.Contains(t, s.Why, "no longer exists")
	assert.Equal(t, "Buoy", s.Title, "what was shown stays")
	write(t, path, two)
	w.words(func(s said) bool { return s.Why == "" && !s.Old })
}

// The page follows a file that is saved by giving a new one its name, the files
// it uses, a file it could not use yet, and its settings.
func TestFollowsWhateverCounts(t *testing.T) {
	dir := repository(t, map[string]string{"palette.block": palette, "two.block": two})
	path := filepath.Join(dir, "two.block")
	w := open(t, follow(t, start(t, preview.Options{}), path), preview.Look{})
	w.words(nil)

	for i, size := range []string{"1 1/2", "1 3/4"} { // twice: the watch outlives the first
		beside := filepath.Join(dir, ".two.block.new")
		write(t, beside, strings.Replace(two, "beyond (0, 1) (4, 1)", "beyond (0, "+size+") (4, "+size+")", 1))
		require.NoError(t, os.Rename(beside, path))
		w.words(nil)
		assert.NotEmpty(t, w.picture(nil).SVG, i)
	}

	edit(t, filepath.Join(dir, "palette.block"), "#2f7098", "#3f9ea3")
	w.picture(func(p shown) bool { return strings.Contains(p.SVG, "#3f9ea3") })

	require.NoError(t, os.Rename(filepath.Join(dir, "palette.block"), filepath.Join(dir, "colours.block")))
	w.words(func(s said) bool { return len(s.Findings) > 0 })
	require.NoError(t, os.Rename(filepath.Join(dir, "colours.block"), filepath.Join(dir, "palette.block")))
	w.words(func(s said) bool { return len(s.Findings) == 0 })

	write(t, filepath.Join(dir, "sewable.toml"), "[limits]\nsmall-patch = \"3 in\"\n")
	w.words(func(s said) bool { return len(s.Findings) > 0 })
}

// A finding is said, and marked in the drawing of its block.
func TestFindings(t *testing.T) {
	dir := repository(t, map[string]string{"palette.block": palette, "two.block": strings.Replace(two, "patch 2 signal", "patch 2 signl", 1)})
	w := open(t, follow(t, start(t, preview.Options{}), filepath.Join(dir, "two.block")), preview.Look{})
	s := w.words(nil)
	require.NotEmpty(t, s.Findings)
	assert.Equal(t, "unknown-name", s.Findings[0].Rule)
	assert.Equal(t, "Float", s.Findings[0].Block)
	assert.Equal(t, 14, s.Findings[0].Line)
	assert.Empty(t, w.picture(nil).Marks, "the other block has none")
	w.turn(preview.Look{Title: "Float"})
	p := w.picture(func(p shown) bool { return p.Look.Title == "Float" })
	assert.Equal(t, []int{0}, p.Marks)
	assert.Contains(t, p.SVG, "Error 1: ")
	assert.NotContains(t, p.SVG, ">Error: ", "it is said beside the drawing, and not in it")
}

// A click leads to the editor; a line that is not there leads nowhere.
func TestGoto(t *testing.T) {
	dir := repository(t, map[string]string{"palette.block": palette, "two.block": two})
	path := filepath.Join(dir, "two.block")
	var went []any
	s := start(t, preview.Options{Goto: func(path string, line, column int) string {
		went = append(went, path, line, column)
		return "The editor shows it."
	}})
	w := open(t, follow(t, s, path), preview.Look{})
	status, text := w.post("goto", object{"line": 7, "column": 5})
	assert.Equal(t, http.StatusOK, status)
	assert.JSONEq(t, `{"said": "The editor shows it."}`, text)
	assert.Equal(t, []any{path, 7, 5}, went)
	for _, body := range []any{object{"line": 0}, object{"line": 17_000}, object{"line": -1}, object{"line": "7"}, object{"path": "/etc/passwd", "line": 1}, 7, nil} {
		status, _ := w.post("goto", body)
		assert.GreaterOrEqual(t, status, 400, "%v", body)
	}
	assert.Len(t, went, 3)
}

// Whoever looks is sent what the cursor means.
func TestLight(t *testing.T) {
	dir := repository(t, map[string]string{"palette.block": palette, "two.block": two})
	page := follow(t, start(t, preview.Options{}), filepath.Join(dir, "two.block"))
	w := open(t, page, preview.Look{})
	page.Light(preview.Lit{Block: "Buoy", Patches: []string{"A2"}, What: "A2"})
	var lit preview.Lit
	for lit.What != "A2" {
		w.next("light", &lit)
	}
	assert.Equal(t, []string{"A2"}, lit.Patches)
	again := open(t, page, preview.Look{})
	again.next("light", &lit)
	assert.Equal(t, "A2", lit.What, "a new window is told too")
}

// Only the newest of many moments has to be drawn.
func TestOnlyTheNewest(t *testing.T) {
	dir := repository(t, map[string]string{"palette.block": palette, "two.block": two})
	path := filepath.Join(dir, "two.block")
	page := follow(t, start(t, preview.Options{}), path)
	w := open(t, page, preview.Look{})
	w.words(nil)
	for i := range 1000 {
		page.Show(preview.Moment{Why: strings.Repeat("x", i)})
	}
	got := 0
	for w.words(nil).Why != strings.Repeat("x", 999) {
		got++
	}
	assert.Less(t, got, 500)
}

// The windows are told when the preview ends.
func TestEnd(t *testing.T) {
	dir := repository(t, map[string]string{"palette.block": palette, "two.block": two})
	s := start(t, preview.Options{})
	w := open(t, follow(t, s, filepath.Join(dir, "two.block")), preview.Look{})
	require.NoError(t, s.Close())
	var why string
	w.next("bye", &why)
	assert.Equal(t, "ended", why)
}

// A sixth window makes the first stop, since a browser would let none of them answer.
func TestTooManyWindows(t *testing.T) {
	dir := repository(t, map[string]string{"palette.block": palette, "two.block": two})
	page := follow(t, start(t, preview.Options{}), filepath.Join(dir, "two.block"))
	first := open(t, page, preview.Look{})
	for range 5 {
		open(t, page, preview.Look{})
	}
	var why string
	first.next("bye", &why)
	assert.Equal(t, "elsewhere", why)
}

// What cannot be read at the start is an error.
func TestNoFile(t *testing.T) {
	s := start(t, preview.Options{})
	page, err := s.Page(filepath.Join(t.TempDir(), "none.block"))
	require.NoError(t, err)
	err = page.Follow(t.Context(), preview.Following{Rules: rules.All, Config: func() (*lint.Config, error) { return lint.NewConfig(rules.All), nil }})
	assert.ErrorIs(t, err, os.ErrNotExist)
}

// A file that becomes a link out of the repository is told as one: what was shown stays, and nothing of what it leads to is sent.
func TestALinkOutIsNotShown(t *testing.T) {
	outside := filepath.Join(t.TempDir(), "zebra.block")
	write(t, outside, "block \"Zebra\" 4 by 4 {\n  zebra stripes\n}\n")
	dir := repository(t, map[string]string{"palette.block": palette, "two.block": two})
	path := filepath.Join(dir, "two.block")
	w := open(t, follow(t, start(t, preview.Options{}), path), preview.Look{})
	w.words(nil)
	require.NoError(t, os.Remove(path))
	if err := os.Symlink(outside, path); err != nil {
		t.Skip(err)
	}
	s := w.words(func(s said) bool { return strings.Contains(s.Why, "link") })
	assert.Contains(t, s.Why, "two.block: it is a link that leads out of the repository")
	assert.Equal(t, "Buoy", s.Title)
	assert.NotContains(t, strings.ToLower(fmt.Sprint(s)), "zebra")
	again := open(t, w.page, preview.Look{Title: "Zebra"}) // nor to a window that comes later
	assert.NotContains(t, strings.ToLower(fmt.Sprint(again.words(nil))), "zebra")
	assert.NotContains(t, strings.ToLower(again.picture(nil).SVG), "zebra")
	require.NoError(t, os.Remove(path))
	write(t, path, two)
	w.words(func(s said) bool { return s.Why == "" && !s.Old })
}
