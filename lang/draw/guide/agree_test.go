package guide_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/cloth/cutlist"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/syntax"
)

// A patch in a place of a quilt, as printed things name it.
type placeKey struct {
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

// List, labels and the patches of 200 random settings, read back as they are printed, say the
// same of every patch in every place.
func TestListLabelsAndPatchesAgree(t *testing.T) {
	r := rand.New(rand.NewPCG(200, 11))
	o := cloth.Options{Step: geom.Inch / 4, Placement: cloth.Placement{Shift: geom.Inch / 8, Turn: 3, Swing: geom.Inch / 4}, Extra: geom.Inch / 4}
	settings, slanted, differ := 0, 0, 0
	for tries := 0; settings < 200 && tries < 2000; tries++ {
		text := settingOf(r)
		f := block.NewLoader(syntax.NewReader(), nil).OpenText("/quilt.block", text)
		require.Empty(t, f.Tree.Errors, text)
		require.Empty(t, f.Problems, text)
		sewn := sew.Analyse(f.Blocks[0])
		if s := sewn.Section(f.Blocks[0].Sections[0]); s == nil || s.Flawed() || !s.InOrder() {
			continue
		}
		q, err := cloth.QuiltOf(f.Settings[0])
		require.NoError(t, err)
		settings++
		l, err := cloth.NewList(cloth.Order{Quilts: []*cloth.Quilt{q}, Kits: 1}, cloth.How{
			Options: func(*block.File) cloth.Options { return o }, Unit: geom.Inches, Ruler: cloth.DefaultRuler, Squaring: geom.Inch / 2,
		})
		require.NoError(t, err)

		// What each place is to be cut, by the placed pieces as they are printed.
		want := map[placeKey]cutAs{}
		copies := map[placeKey]int{}
		for _, at := range q.Blocks {
			for _, pr := range read(t, f, at, o) {
				key := placeKey{pr.Label, at.Mirrored, 0}
				if pr.Cut.KeepsDirection {
					key.turned = at.Turned
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
					if other.label == key.label && other != key && was != cut {
						differ++
					}
				}
				if pr.Cut.Slant != nil {
					slanted++
				}
				want[key] = cut
				copies[key] += at.Count
			}
		}

		// The list.
		var out bytes.Buffer
		require.NoError(t, cutlist.JSON(&out, l))
		var list struct {
			Fabrics []struct {
				Pieces []struct {
					Size           string
					KeepsDirection bool
					Slant          *struct{ Along, Across, Angle float64 }
					Uses           []struct {
						Block, Label string
						Mirrored     bool
						Turned       float64
						Copies       int
					}
				}
			}
		}
		require.NoError(t, json.Unmarshal(out.Bytes(), &list))
		listed := map[placeKey]int{}
		for _, fabric := range list.Fabrics {
			for _, p := range fabric.Pieces {
				for _, u := range p.Uses {
					if u.Block != "Scrap" {
						continue
					}
					key := placeKey{u.Label, u.Mirrored, u.Turned}
					listed[key] += u.Copies
					assert.Equal(t, sorted(want[key].size), sorted(p.Size), "%v of\n%s", key, text)
					assert.Equal(t, want[key].then != "", p.Slant != nil, text)
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
			if row[at["block"]] != "Scrap" {
				continue
			}
			key := placeKey{label: row[at["label"]], mirrored: row[at["mirrored"]] != ""}
			fmt.Sscanf(row[at["turned"]], "turned %g°", &key.turned)
			labeled[key]++
			size := row[at["along"]] + " by " + row[at["across"]] + " in"
			if strings.Contains(want[key].size, "wide") {
				size = row[at["along"]] + " in wide, " + row[at["across"]] + " in up the print"
			}
			assert.Equal(t, sorted(want[key].size), sorted(size), text)
			assert.Equal(t, want[key].then, row[at["then"]], text)
		}
		assert.Equal(t, copies, labeled, text)
	}
	t.Logf("%d settings, %d places with another size than elsewhere, %d pieces cut at an angle", settings, differ, slanted)
	assert.Equal(t, 200, settings)
	assert.Greater(t, differ, 100)
	assert.Positive(t, slanted)
}

// sorted is a size with its sides in one order: a print has one, other pieces may be turned.
func sorted(size string) string {
	if side, ok := strings.CutSuffix(size, " in square"); ok {
		return side + " by " + side + " in"
	}
	a, b, ok := strings.Cut(strings.TrimSuffix(size, " in"), " by ")
	if ok && b < a {
		a, b = b, a
	}
	if ok {
		return a + " by " + b + " in"
	}
	return size
}
