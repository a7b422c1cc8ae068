package cutlist

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"io"
	"math/big"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/syntax"
)

// listOf is a cut list of testdata/cloth/fleet.block.
func listOf(t *testing.T, kits int, unit geom.Unit) *cloth.List {
	t.Helper()
	f, err := block.NewLoader(syntax.NewReader(), nil).Open("../../../testdata/cloth/fleet.block")
	require.NoError(t, err)
	require.Empty(t, f.Problems)
	require.Empty(t, f.Tree.Errors)
	o := cloth.Order{Kits: kits}
	for _, set := range f.Settings {
		q, err := cloth.QuiltOf(set)
		require.NoError(t, err)
		o.Quilts = append(o.Quilts, q)
	}
	l, err := cloth.NewList(o, cloth.OrderOptions{
		Options: func(*block.File) cloth.Options {
			return cloth.Options{Step: geom.Inch / 4, Placement: cloth.Placement{Shift: geom.Inch / 8, Turn: 3}, Triangles: true}
		},
		Unit: unit, Ruler: cloth.DefaultRuler, Squaring: cloth.DefaultSquaring(unit),
	})
	require.NoError(t, err)
	return l
}

// The lists read as they should.
func TestLists(t *testing.T) {
	for name, write := range map[string]func(io.Writer, *cloth.List) error{
		"fleet.txt":     func(out io.Writer, l *cloth.List) error { return Text(out, l, false) },
		"fleet-why.txt": func(out io.Writer, l *cloth.List) error { return Text(out, l, true) },
		"fleet.md":      func(out io.Writer, l *cloth.List) error { return Markdown(out, l, false) },
		"fleet-why.md":  func(out io.Writer, l *cloth.List) error { return Markdown(out, l, true) },
		"fleet.csv":     CSV, "fleet.json": JSON, "fleet-labels.csv": LabelsCSV,
	} {
		var out bytes.Buffer
		require.NoError(t, write(&out, listOf(t, 1, geom.Inches)))
		golden(t, name, out.String())
	}
}

// A list for what cannot be sewn says so first.
func TestListForWhatCannotBeSewn(t *testing.T) {
	l := listOf(t, 1, geom.Inches)
	l.Faults = []string{"Section A has a *gap*."}
	for want, write := range map[string]func(io.Writer, *cloth.List) error{
		"\nCANNOT BE SEWN. Section A has a *gap*.\n":               func(out io.Writer, l *cloth.List) error { return Text(out, l, true) },
		"\n\n**Cannot be sewn.** Section A has a \\*gap\\*.\n":     func(out io.Writer, l *cloth.List) error { return Markdown(out, l, true) },
		"\"cannotBeSewn\": [\n    \"Section A has a *gap*.\"\n  ]": JSON,
	} {
		var out bytes.Buffer
		require.NoError(t, write(&out, l))
		assert.Contains(t, out.String(), want)
	}
	for _, write := range []func(io.Writer, *cloth.List) error{CSV, LabelsCSV} {
		var out bytes.Buffer
		require.NoError(t, write(&out, l))
		rows, err := csv.NewReader(&out).ReadAll()
		require.NoError(t, err)
		require.Greater(t, len(rows), 2)
		last := len(rows[0]) - 1
		assert.Equal(t, "warning", rows[0][last])
		for _, row := range rows[1:] {
			assert.Equal(t, "CANNOT BE SEWN. Section A has a *gap*.", row[last], "in every row, which may be sorted or merged into a label")
		}
	}
	var out bytes.Buffer
	require.NoError(t, PatchesJSON(&out, nil, l.Faults, geom.Inches))
	assert.Contains(t, out.String(), "\"cannotBeSewn\": [\n    \"Section A has a *gap*.\"\n  ]")
}

// What is said of every patch. The skiff's hull is cut along the print's up, and one patch
// of it from a square that its designer halves.
func TestPatches(t *testing.T) {
	f, err := block.NewLoader(syntax.NewReader(), nil).Open("../../../testdata/cloth/fleet.block")
	require.NoError(t, err)
	seams := cloth.Seams(sew.Analyse(f.Blocks[0]))
	skiff := BlockPatches{Block: f.Blocks[0].Name}
	for _, s := range f.Blocks[0].Sections {
		for _, p := range s.Patches {
			c, ok := cloth.Place(p, seams[p], cloth.Placed{}, cloth.Options{Step: geom.Inch / 4, Placement: cloth.Placement{Shift: geom.Inch / 8, Turn: 3, Swing: geom.Inch / 4}})
			require.True(t, ok)
			skiff.Patches = append(skiff.Patches, c)
		}
	}
	for name, unit := range map[string]geom.Unit{"fleet-patches.txt": geom.Inches, "fleet-patches-mm.txt": geom.Millimetres} {
		var out bytes.Buffer
		require.NoError(t, Patches(&out, []BlockPatches{skiff}, unit))
		golden(t, name, out.String())
	}
}

// golden holds a text to the file that has it. UPDATE=1 writes it anew.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := "../../../testdata/cloth/" + name
	if os.Getenv("UPDATE") != "" {
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(want), got, name)
}

// RFC 4180: the tables are well formed, and multiplied out the runs of the CSV
// give as many pieces of cloth as there are cuts in the list.
func TestCSVAddsUp(t *testing.T) {
	l := listOf(t, 7, geom.Inches)
	var out bytes.Buffer
	require.NoError(t, CSV(&out, l))
	rows, err := csv.NewReader(&out).ReadAll()
	require.NoError(t, err)
	column := make(map[string]int)
	for i, name := range rows[0] {
		column[name] = i
	}
	got := 0
	for _, row := range rows[1:] {
		n := 1
		for _, name := range []string{"strips", "segments", "rows", "in a row"} {
			if x, err := strconv.Atoi(row[column[name]]); err == nil {
				n *= x
			} else {
				n = 0 // takes the whole width of the cloth
			}
		}
		got += n
	}
	want, pieces := 0, 0
	for _, f := range l.Fabrics {
		for _, p := range f.Pieces {
			want += p.Cuts
			pieces += p.Count
		}
		for _, x := range f.Whole {
			pieces += x.Count
		}
	}
	assert.Equal(t, want, got)

	out.Reset()
	require.NoError(t, LabelsCSV(&out, l))
	rows, err = csv.NewReader(&out).ReadAll()
	require.NoError(t, err)
	assert.Equal(t, pieces, len(rows)-1)
}

// What a strip says is enough to cut it: its segments, each as long as is said, fill no
// more than the cloth's width, its rows no more than the strip's height.
func TestStripsCanBeCutAsTheyRead(t *testing.T) {
	l := listOf(t, 7, geom.Inches)
	w := words{unit: geom.Inches}
	length := func(s string) (sum float64) {
		for _, part := range strings.Fields(s) {
			n, ok := new(big.Rat).SetString(part)
			require.True(t, ok, s)
			x, _ := n.Float64()
			sum += x
		}
		return sum
	}
	const fraction = `(\d+(?: \d+/\d+)?|\d+/\d+) in`
	number := func(s string) float64 {
		for i, word := range numbers {
			if word == s {
				return float64(i)
			}
		}
		return length(s)
	}
	start := regexp.MustCompile(`^subcut (\w+) ` + fraction + ` segments?(.*)$`)
	single := regexp.MustCompile(`^(?:, trim to ` + fraction + `)?: (\w+) \w+ \(.*\)$`)
	one := regexp.MustCompile(`^; crosscut (?:it|each) (.*)$`)
	rows := regexp.MustCompile(`^; from (?:it|each) cut (.*)$`)
	row := regexp.MustCompile(`(\w+) ` + fraction + ` rows?, then crosscut (?:(?:it|each) )?([^;]*)`)
	cross := regexp.MustCompile(`(at|every) ` + fraction + `(?: for|:) (\w+) \w+ \([^)]*\)`)
	item := regexp.MustCompile(`(\w+) \w+ \(` + `(?:(\d[\d /]*) × |)` + fraction + `([^)]*)\)`)
	seen, crossed, mixed := 0, 0, 0
	// Beside each other in a row are no more than fit its length.
	along := func(cuts string, n, long float64, line string) {
		sum := 0.0
		for _, c := range cross.FindAllStringSubmatch(cuts, -1) {
			sum += length(c[2]) * number(c[3]) / n
			crossed++
		}
		assert.Positive(t, sum, line)
		assert.LessOrEqual(t, sum, long+1e-9, line)
	}
	for _, f := range l.Fabrics {
		for _, s := range f.Plan.Strips {
			across := 0.0
			for _, g := range s.Segments {
				line := segmentLine(&f, g, s.Height, w)
				m := start.FindStringSubmatch(line)
				require.NotNil(t, m, line)
				n, long := number(m[1]), length(m[2])
				across += n * long
				if of := single.FindStringSubmatch(m[3]); of != nil {
					assert.Equal(t, m[1], of[2], line)
					if of[1] != "" {
						assert.Less(t, length(of[1]), s.Height/geom.Inch, line)
					}
				} else if of := one.FindStringSubmatch(m[3]); of != nil {
					along(of[1], 1, long, line)
				} else if of := rows.FindStringSubmatch(m[3]); of != nil {
					mixed++
					up := 0.0
					for _, r := range row.FindAllStringSubmatch(of[1], -1) {
						up += number(r[1]) * length(r[2])
						along(r[3], number(r[1]), long, line)
					}
					for _, i := range item.FindAllStringSubmatch(row.ReplaceAllString(of[1], ""), -1) {
						side, other := length(i[3]), length(i[3])
						if i[2] != "" {
							other = length(i[2])
						}
						if up2 := regexp.MustCompile(`wide, ` + fraction + ` up`).FindStringSubmatch(i[0]); up2 != nil {
							side, other = length(up2[1]), length(up2[1])
						}
						if side > long+1e-9 || other < side && other <= long+1e-9 && side <= s.Height/geom.Inch && other > long+1e-9 {
							side, other = other, side
						}
						up += number(i[1]) * min(side, other)
					}
					assert.Positive(t, up, line)
					assert.LessOrEqual(t, up, s.Height/geom.Inch+1e-9, line)
				} else {
					t.Errorf("cannot be cut: %s", line)
				}
				seen++
			}
			assert.LessOrEqual(t, across, f.Width/geom.Inch+1e-9)
		}
	}
	assert.Greater(t, seen, 15)
	assert.Positive(t, mixed)
}

// What a list says of itself is true: a bound is said where it holds, and what is bought is what
// the fabrics come to. Beside the backing there is room for the rest of the quilt, so a yard does.
func TestWhatAListClaims(t *testing.T) {
	const text = `fabric kelp width 40
allowance 1/4
block "Flat" 6 by 6 {
  section A { patch 1 kelp (0, 0) (6, 0) (6, 6) (0, 6)
  }
}
setting "Napkin" {
  rows 2
  columns 2
  fill "Flat"
  sashing 1 kelp
  border 1 1/2 kelp
  binding cut 2 1/4 kelp
  backing kelp
}
setting "Wide" {
  rows 12
  columns 9
  fill "Flat"
  backing kelp
}
`
	f := block.NewLoader(syntax.NewReader(), nil).OpenText("t.block", text)
	require.Empty(t, f.Problems)
	list := func(setting, kits int) (*cloth.List, string) {
		q, err := cloth.QuiltOf(f.Settings[setting])
		require.NoError(t, err)
		l, err := cloth.NewList(cloth.Order{Kits: kits, Quilts: []*cloth.Quilt{q}}, cloth.OrderOptions{
			Options: func(*block.File) cloth.Options { return cloth.Options{Step: geom.Inch / 4} },
			Unit:    geom.Inches, Ruler: cloth.DefaultRuler, Squaring: geom.Inch / 2,
		})
		require.NoError(t, err)
		var out bytes.Buffer
		require.NoError(t, Text(&out, l, true))
		return l, out.String()
	}
	l, out := list(0, 1)
	assert.Contains(t, out, "Buy 1 yd")
	assert.Contains(t, out, ", 1 yd.\n")
	assert.NotContains(t, out, "No layout", "the strips of the binding are not filled")
	// Worked out by hand: the backing 24 × 24; the binding's 64 in round and 24 in for joins, 2 1/4 wide; four
	// blocks; the sashing; the border.
	area := 24*24 + (64+24)*2.25 + 4*l.Fabrics[0].Pieces[1].Along/geom.Inch*l.Fabrics[0].Pieces[1].Across/geom.Inch +
		2*6.5*1.5 + 13.5*1.5 + 2*13.5*2 + 2*16.5*2
	assert.InDelta(t, area/40, l.Fabrics[0].Bound/geom.Inch, 1e-6)

	_, out = list(1, 1)
	assert.Contains(t, out, "Cut 2 WOF lengths, 80 in long (backing), and sew them")
	_, out = list(1, 3)
	assert.Contains(t, out, "Cut 6 WOF lengths, 80 in long")
	assert.Regexp(t, `sew 2\s+together side by side for each kit`, out)
}

// Every number in inches on a printed list is a whole number or a fraction; a
// metric list has no inches but in what the trade's constants are called.
func TestNumbersAsPeopleWriteThem(t *testing.T) {
	var text bytes.Buffer
	require.NoError(t, Text(&text, listOf(t, 3, geom.Inches), true))
	body := strings.NewReplacer("× 1.414 + 1 1/4", "", "÷ 1.414 + 7/8", "").Replace(text.String())
	assert.NotRegexp(t, `\d\.\d`, body)
	text.Reset()
	require.NoError(t, Text(&text, listOf(t, 3, geom.Centimetres), true))
	assert.NotRegexp(t, `\d+/\d+ (in|yd)|\d in\b`, strings.Split(text.String(), "Side triangles")[0])
	assert.Regexp(t, `, \d+(\.\d+)? m\.\n`, text.String())
	assert.Contains(t, text.String(), Caution)
}

func TestJSONIsOneObject(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, JSON(&out, listOf(t, 2, geom.Inches)))
	var doc map[string]any
	require.NoError(t, json.Unmarshal(out.Bytes(), &doc))
	assert.Equal(t, "in", doc["unit"])
	assert.Equal(t, 2.0, doc["kits"])
}

func TestWords(t *testing.T) {
	assert.Equal(t, []string{"A1–A3", "A5", "B1", "B2"}, ranges([]string{"A1", "A2", "A3", "A5", "B1", "B2"}))
	assert.Equal(t, []string{"cornerstone"}, ranges([]string{"cornerstone"}))
	assert.Equal(t, []string{"a", "z", "aa", "ab", "zz", "aaa"},
		[]string{letter(0), letter(25), letter(26), letter(27), letter(701), letter(702)})
	in, metric := words{unit: geom.Inches}, words{unit: geom.Millimetres}
	assert.Equal(t, "1 1/4 yd", in.buy(45*geom.Inch))
	assert.Equal(t, "85 cm", metric.buy(85*geom.Centimetre))
	assert.Equal(t, "1.15 m", metric.buy(115*geom.Centimetre))
	assert.Equal(t, "3 7/8 in square", in.by(3.875*geom.Inch, 3.875*geom.Inch))
	assert.Equal(t, "2 1/4 × 3 1/2 in", in.by(2.25*geom.Inch, 3.5*geom.Inch))
	assert.Equal(t, "'=1+1", guard("=1+1"))
	assert.Equal(t, "a\\|b \\*c\\*", plain("a|b *c*"))
	assert.Equal(t, []string{"one two", "     three"}, wrap("one two three", 9))
}

// The side along the seam comes first. Pieces of one size that go either way are cut together, and the list
// says which edge of them goes to the seam.
func TestTheSideAlongTheSeamComesFirst(t *testing.T) {
	textOf := func(name string) string {
		f, err := block.NewLoader(syntax.NewReader(), nil).Open("../../../testdata/harbour/" + name + ".block")
		require.NoError(t, err)
		l, err := cloth.NewList(cloth.Order{Kits: 1, Blocks: []cloth.Placed{{Block: f.Blocks[0], Count: 1}}}, cloth.OrderOptions{
			Options: func(*block.File) cloth.Options {
				return cloth.Options{Step: geom.Inch / 4, Placement: cloth.Placement{Shift: geom.Inch / 8, Turn: 3, Swing: geom.Inch / 4}, Extra: geom.Inch / 4}
			},
			Unit: geom.Inches, Ruler: cloth.DefaultRuler, Squaring: geom.Inch / 2,
		})
		require.NoError(t, err)
		var out bytes.Buffer
		require.NoError(t, Text(&out, l, true))
		return out.String()
	}
	assert.Contains(t, textOf("galley-window"), "cut 1: 3 3/4 × 4 in — Galley Window B3\n")
	assert.Contains(t, textOf("crab"), "cut 4: 2 3/4 × 2 1/2 in — Shore Crab C1, G1; Shore Crab D4, H4, 2 1/2 in edge to the seam\n")
}
