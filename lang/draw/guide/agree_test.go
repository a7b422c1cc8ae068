package guide_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/cloth/cutlist"
	"sewable/lang/draw/sheet"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/syntax"
)

// A patch in a place of a quilt, as printed things name it.
type placeKey struct {
	block    string
	way      string
	label    string
	mirrored bool
	turned   float64
}

// cutAs is how a piece is cut, as it is printed.
type cutAs struct{ size, then string }

// settingOf writes a random block with a directional fabric, and a setting that turns and mirrors
// its copies.
func settingOf(r *rand.Rand) string {
	outline := regions[r.IntN(2)]
	if r.IntN(2) == 0 {
		outline = []xy{{0, 0}, {6, 0}, {6, 6}, {0, 6}}
	}
	patches := cutUp(r, outline, 1+r.IntN(5))
	text := fileOf(patches, outline, true)
	wide, high := outline[2][0], outline[2][1]
	for i := range patches {
		if r.IntN(3) == 0 {
			text = strings.Replace(text, fmt.Sprintf("patch %d print", i+1), fmt.Sprintf("patch %d plain", i+1), 1)
		}
	}
	turn := 90
	if wide != high {
		turn = 180
	}
	columns := 1 + r.IntN(5)
	fill := make([]string, columns)
	for i := range fill {
		fill[i] = `"Scrap"`
		if n := r.IntN(360 / turn); n > 0 {
			fill[i] += fmt.Sprintf(" turned %d", n*turn)
		}
		if r.IntN(3) == 0 {
			fill[i] += " mirrored"
		}
	}
	point := ""
	if wide == high && r.IntN(4) == 0 {
		point = "  on point plain\n"
	}
	return text + fmt.Sprintf("setting \"Quilt\" {\n  rows 1\n  columns %d\n  fill %s\n%s}\n", columns, strings.Join(fill, ", "), point)
}

// List, labels, patches, guides and foundations of 200 random settings, read back as they are printed, say
// the same of every patch in every place.
func TestListLabelsGuideAndFoundationAgree(t *testing.T) {
	r := rand.New(rand.NewPCG(200, 11))
	var seen agreed
	for tries := 0; seen.settings < 200 && tries < 2000; tries++ {
		text := settingOf(r)
		f := block.NewLoader(syntax.NewReader(), nil).OpenText("/quilt.block", text)
		require.Empty(t, f.Tree.Errors, text)
		require.Empty(t, f.Problems, text)
		if s := sew.Analyse(f.Blocks[0]).Section(f.Blocks[0].Sections[0]); s == nil || s.Flawed() || !s.InOrder() {
			continue
		}
		seen.agree(t, f.Settings[0], text)
	}
	t.Logf("%+v", seen)
	assert.Equal(t, 200, seen.settings)
	assert.Greater(t, seen.differ, 100)
	assert.Positive(t, seen.slanted)
	assert.Greater(t, seen.guided, 1000)
	assert.Greater(t, seen.arrows, 100)
}

// So do those of the demo's settings.
func TestTheDemoAgrees(t *testing.T) {
	var seen agreed
	paths, err := filepath.Glob("../../../testdata/harbour/*.block")
	require.NoError(t, err)
	loader := block.NewLoader(syntax.NewReader(), nil)
	for _, path := range paths {
		f, err := loader.Open(path)
		require.NoError(t, err)
		for _, s := range f.Settings {
			seen.agree(t, s, path)
		}
	}
	t.Logf("%+v", seen)
	assert.Positive(t, seen.settings)
	assert.Greater(t, seen.guided, 50)
}

// agreed counts what was held against each other.
type agreed struct{ settings, differ, slanted, guided, arrows int }

var (
	labelEdge  = regexp.MustCompile(`^(\S+(?: \S+)?) in edge to the seam`)
	labelLong  = regexp.MustCompile(`^(\S+(?: \S+)?) in edge along the longest edge of the patch$`)
	labelReach = regexp.MustCompile(`(?:^|, )(\S+(?: \S+)?) in (past|before) the (\S+) end$`)
	labelPast  = regexp.MustCompile(`(?:^|, )(\S+(?: \S+)?) in past the line`)
	textsOf    = regexp.MustCompile(`(?s)<text[^>]*>(.*?)</text>`)
)

func (seen *agreed) agree(t *testing.T, s *block.Setting, text string) {
	t.Helper()
	o := cloth.Options{Step: geom.Inch / 4, Placement: cloth.Placement{Shift: geom.Inch / 8, Turn: 3, Swing: geom.Inch / 4}, Extra: geom.Inch / 4}
	q, err := cloth.QuiltOf(s)
	require.NoError(t, err)
	seen.settings++
	l, err := cloth.NewList(cloth.Order{Quilts: []*cloth.Quilt{q}, Kits: 1}, cloth.OrderOptions{
		Options: func(*block.File) cloth.Options { return o }, Unit: geom.Inches, Ruler: cloth.DefaultRuler, Squaring: geom.Inch / 2,
	})
	require.NoError(t, err)

	// What each place is to be cut, by the placed pieces as they are printed, and what the guide says there.
	want := map[placeKey]cutAs{}
	copies := map[placeKey]int{}
	guides := map[placeKey]reading{}
	for _, at := range q.Blocks {
		pattern := patternOf(at.Block, at, o)
		page := guidePage(t, pattern, true)
		said, why := readGuide(page)
		sizes := guideSizes(page)
		var upright []string
		for _, pr := range readBlock(t, at, o) {
			key := placeKey{at.Block.Name, wayOf(at), pr.Label, at.Mirrored, 0}
			if pr.Cut.KeepsDirection {
				key.turned = at.Turned
				upright = append(upright, pr.Label)
			}
			size, then, _ := strings.Cut(pr.Cut.Size, ", ")
			if rest, up, ok := strings.Cut(pr.Cut.Size, " up the print"); ok { // its comma belongs to the size
				size, then = rest+" up the print", strings.TrimPrefix(up, ", ")
			}
			cut := cutAs{size, then}
			if was, ok := want[key]; ok {
				require.Equal(t, was, cut)
			}
			for other, was := range want {
				if other.label == key.label && other.block == key.block && other != key && was != cut {
					seen.differ++
				}
			}
			if pr.Cut.Slant != nil {
				seen.slanted++
			}
			want[key] = cut
			copies[key] += at.Count
			if g, ok := said[pr.Label]; ok {
				require.Empty(t, why[pr.Label], text)
				seen.guided++
				guides[key] = g
				assert.Equal(t, strings.TrimSuffix(size+", "+then, ", "), sizes[pr.Label], "the guide's size of %v of\n%s", key, text)
			}
		}
		seen.foundation(t, pattern, upright, text)
	}

	// The list.
	var out bytes.Buffer
	require.NoError(t, cutlist.JSON(&out, l))
	var list struct {
		Fabrics []struct {
			Pieces []struct {
				Size  string
				Slant *struct{ Along, Across, Angle float64 }
				Uses  []struct {
					Block, Label, Colorway, Laid string
					Mirrored                     bool
					Turned, EdgeToSeam           float64
					Copies                       int
				}
			}
		}
	}
	require.NoError(t, json.Unmarshal(out.Bytes(), &list))
	listed := map[placeKey]int{}
	laid := map[placeKey]string{}
	for _, fabric := range list.Fabrics {
		for _, p := range fabric.Pieces {
			for _, u := range p.Uses {
				if u.Block == s.Name {
					continue
				}
				key := placeKey{u.Block, u.Colorway, u.Label, u.Mirrored, u.Turned}
				listed[key] += u.Copies
				laid[key] = u.Laid
				if p.Size != want[key].size { // cut with others that go the other way round, and says so
					assert.Equal(t, sorted(want[key].size), sorted(p.Size), "%v of\n%s", key, text)
					assert.True(t, u.EdgeToSeam == 0 || u.EdgeToSeam == inches(strings.Split(want[key].size, " × ")[0]), "%v of\n%s", key, text)
				}
				assert.Equal(t, strings.Contains(want[key].then, "°"), p.Slant != nil, text)
			}
		}
	}
	assert.Equal(t, copies, listed, text)

	// The labels.
	out.Reset()
	require.NoError(t, cutlist.LabelsCSV(&out, l))
	rows, err := csv.NewReader(&out).ReadAll()
	require.NoError(t, err)
	labeled := map[placeKey]int{}
	at := map[string]int{}
	for i, name := range rows[0] {
		at[name] = i
	}
	for _, row := range rows[1:] {
		col := func(name string) string { return row[at[name]] }
		if col("block") == s.Name {
			continue
		}
		key := placeKey{block: col("block"), way: col("colorway"), label: col("label"), mirrored: col("mirrored") != ""}
		fmt.Sscanf(col("turned"), "turned %g°", &key.turned)
		labeled[key]++
		size := col("along") + " × " + col("across") + " in"
		if strings.Contains(want[key].size, "wide") {
			wide := col("across")
			if col("up the print") == wide {
				wide = col("along")
			}
			size = wide + " in wide, " + col("up the print") + " in up the print"
		}
		if form := col("form"); strings.HasSuffix(form, "triangle") {
			assert.Contains(t, want[key].then, "from a "+col("along")+" in square cut ", text)
			size = form
		} else if side, square := strings.CutSuffix(want[key].size, " in square"); square {
			size = strings.Replace(size, side+" × "+side+" in", side+" in square", 1)
		}
		assert.Equal(t, want[key].size, size, text)
		assert.Equal(t, want[key].then, col("then"), text)
		assert.Equal(t, laid[key], col("laid"), text)
		if g, ok := guides[key]; ok {
			sameLaid(t, g, col("laid"), inches(col("along")), fmt.Sprintf("%v of\n%s", key, text))
		}
	}
	assert.Equal(t, copies, labeled, text)
}

// sameLaid holds what a label says of how a piece is laid to what the guide says.
func sameLaid(t *testing.T, g reading, laid string, first float64, which string) {
	t.Helper()
	edge := 0.0
	for _, of := range [2]*regexp.Regexp{labelEdge, labelLong} {
		if m := of.FindStringSubmatch(laid); m != nil {
			edge = inches(m[1])
			assert.True(t, edge == first, "its first side is the edge: %s", which)
		}
	}
	if g.slant == nil {
		assert.Equal(t, g.edge, edge, which)
	}
	assert.Equal(t, g.lie == "square", laid == "edges square with the block", which)
	assert.Equal(t, !g.first && !g.byEdge, laid == "lay upright, fold under along the line", which)
	by, end := 0.0, ""
	if m := labelReach.FindStringSubmatch(laid); m != nil {
		if by, end = inches(m[1]), m[3]; m[2] == "before" {
			by = -by
		}
	} else if _, of, ok := strings.Cut(laid, "even with the "); ok {
		end = strings.TrimSuffix(of, " end")
	}
	assert.Equal(t, strings.TrimSuffix(g.end, "-hand"), end, which)
	assert.Equal(t, g.by, by, which)
	if m := labelPast.FindStringSubmatch(laid); m != nil {
		assert.Equal(t, g.past, inches(m[1]), which)
	} else if g.byEdge {
		assert.Equal(t, 0.25, g.past, which)
	}
}

// guideSizes are the sizes that a guide gives, as the cut list would say them.
func guideSizes(page string) map[string]string {
	out := map[string]string{}
	as := strings.NewReplacer("and from it", "from it", " edge at ", " edge to the seam at ")
	for _, m := range stepItem.FindAllStringSubmatch(pictures.ReplaceAllString(page, ""), -1) {
		if piece := pieceOf.FindStringSubmatch(m[3]); piece != nil {
			out[m[1]] = as.Replace(spoken(piece[1]))
		}
	}
	return out
}

// foundation holds what the foundations say to the pieces that are kept upright: whose print it is, which way its
// up goes, and how the copy lies.
func (seen *agreed) foundation(t *testing.T, p sheet.Pattern, upright []string, text string) {
	t.Helper()
	page := foundationsPage(t, p)
	words := ""
	for _, m := range textsOf.FindAllStringSubmatch(page, -1) {
		words += " " + spoken(m[1])
	}
	assert.Equal(t, p.Mirrored, strings.Contains(words, "MIRRORED"), text)
	assert.Equal(t, p.Turned != 0, strings.Contains(words, "TURNED"), text)
	var said []string
	for _, m := range regexp.MustCompile(`Keep the print of (.*?) upright`).FindAllStringSubmatch(words, -1) {
		said = append(said, regexp.MustCompile(`[A-Z]+[0-9]+`).FindAllString(m[1], -1)...)
	}
	assert.ElementsMatch(t, upright, said, text)
	if len(p.Block.Sections) > 1 {
		return
	}
	sec := p.Block.Sections[0].Of
	var patches []cutPatch
	var outline []xy
	for _, c := range p.Block.Of.Outline {
		outline = append(outline, xy{c.X / geom.Inch, c.Y / geom.Inch})
	}
	seams := cloth.Seams(p.Block)
	for _, patch := range sec.Patches {
		s := seams[patch]
		patches = append(patches, cutPatch{seam: [2]xy{{s.A.X / geom.Inch, s.A.Y / geom.Inch}, {s.B.X / geom.Inch, s.B.Y / geom.Inch}}})
	}
	got, ok := readSheet(page, outline, patches, p.Mirrored)
	if !ok {
		return
	}
	up := xy{0, 1}.turn(p.Up * math.Pi / 180)
	for _, d := range got.ups {
		seen.arrows++
		assert.InDelta(t, 1, d.unit().dot(up), 1e-3, text)
	}
}

func wayOf(at cloth.Placed) string {
	if at.Colourway == nil {
		return ""
	}
	return at.Colourway.Name
}

// sorted is a size with its sides in one order: a print has one, other pieces may be turned.
func sorted(size string) string {
	if side, ok := strings.CutSuffix(size, " in square"); ok {
		return side + " × " + side + " in"
	}
	a, b, ok := strings.Cut(strings.TrimSuffix(size, " in"), " × ")
	if ok && b < a {
		a, b = b, a
	}
	if ok {
		return a + " × " + b + " in"
	}
	return size
}
