package cloth

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/geom"
)

const tileText = `
fabric sky
fabric sea
fabric sand
fabric rope
allowance 1/4
block "Tile" 6 by 6 {
  section A {
    patch 1 sky (0, 0) (6, 0) (6, 6) (0, 6)
  }
}
block "Small" 4 by 4 {
  section A {
    patch 1 sky (0, 0) (4, 0) (4, 4) (0, 4)
  }
}
block "Long" 6 by 9 {
  section A {
    patch 1 sky (0, 0) (6, 0) (6, 9) (0, 9)
  }
}
`

func quiltFrom(t *testing.T, setting string) *Quilt {
	t.Helper()
	f := open(t, tileText+setting)
	q, err := QuiltOf(f.Settings[0])
	require.NoError(t, err)
	return q
}

// parts writes a quilt's own pieces: "8 sashing 2 × 6.5 sea".
func parts(q *Quilt) []string {
	var out []string
	for _, p := range q.Parts {
		out = append(out, fmt.Sprintf("%d %s %.5g × %.5g %s", p.Count, p.Name, p.Along/in, p.Across/in, p.Fabric.Name))
	}
	return out
}

func TestStraightSetting(t *testing.T) {
	q := quiltFrom(t, `setting "Grid" {
  rows 2
  columns 3
  fill "Tile"
  sashing 3/2 sea
  cornerstone sand
  border 2 sea
  border 3 rope
}`)
	assert.Equal(t, 6, q.Blocks[0].Count)
	assert.Equal(t, []string{
		"4 sashing 2 × 6.5 sea", // two a row
		"3 sashing 6.5 × 2 sea", // one a column
		"2 cornerstone 2 × 2 sand",
		"2 border 1, top or bottom 21.5 × 2.5 sea", "2 border 1, side 2.5 × 18 sea",
		"2 border 2, top or bottom 25.5 × 3.5 rope", "2 border 2, side 3.5 × 24 rope",
	}, parts(q))
	assert.InDelta(t, (3*6+2*1.5+2*5)*in, q.Width, 1e-9)
	assert.InDelta(t, (2*6+1.5+2*5)*in, q.Height, 1e-9)

	// Without cornerstones the sashing between rows goes right along.
	q = quiltFrom(t, "setting \"Grid\" {\n rows 3\n columns 2\n fill \"Tile\"\n sashing 1 sea\n}")
	assert.Contains(t, parts(q), "2 sashing between rows 13.5 × 1.5 sea")
}

// Sashing round the outside adds a strip and a column of cornerstones at each side, worked out by hand: three columns
// and two rows have four strips up each row, three along each of three lines between rows, and 4 × 3 cornerstones.
func TestSashingAround(t *testing.T) {
	const grid = "setting \"Grid\" {\n rows 2\n columns 3\n fill \"Tile\"\n sashing 3/2 sea around\n"
	q := quiltFrom(t, grid+"cornerstone sand\nborder 2 rope\n}")
	assert.Equal(t, []string{
		"12 cornerstone 2 × 2 sand", "9 sashing 6.5 × 2 sea", "8 sashing 2 × 6.5 sea",
		"2 border, top or bottom 24.5 × 2.5 rope", "2 border, side 2.5 × 21 rope",
	}, parts(q))
	assert.InDelta(t, (3*6+4*1.5+2*2)*in, q.Width, 1e-9)
	assert.InDelta(t, (2*6+3*1.5+2*2)*in, q.Height, 1e-9)

	q = quiltFrom(t, grid+"}")
	assert.Equal(t, []string{"2 sashing, top or bottom 24.5 × 2 sea", "8 sashing 2 × 6.5 sea", "1 sashing between rows 24.5 × 2 sea"}, parts(q))
}

// Rows of their own, worked out by hand: 6 + 1 + 6 and 4 + 4 + 5 are 13 in wide; 6, 4 and 9 in high.
func TestOwnRows(t *testing.T) {
	const rows = `setting "Sampler" {
  row "Tile", sashing 1 sand, "Tile" mirrored
  row "Small", "Small" turned 90, spacer 5 rope
  row spacer 2 sand, "Long" turned 90, spacer 2 sand
  sashing 1/2 sea
`
	wide := strings.Replace(rows, `row spacer 2 sand, "Long" turned 90, spacer 2 sand`, `row "Long", spacer 1 sand, "Long" turned 180`, 1)
	q := quiltFrom(t, wide+"border 1 rope\n}")
	assert.Equal(t, []string{
		"1 sashing 1.5 × 6.5 sand", "2 sashing between rows 13.5 × 1 sea", "1 spacer 5.5 × 4.5 rope", "1 spacer 1.5 × 9.5 sand",
		"2 border, side 1.5 × 20.5 rope", "2 border, top or bottom 15.5 × 1.5 rope",
	}, parts(q))
	assert.InDelta(t, 15*in, q.Width, 1e-9)
	assert.InDelta(t, (6+4+9+2*0.5+2)*in, q.Height, 1e-9)
	assert.Equal(t, []int{0, 1, 2, 3, 4, 5}, q.Where, "left to right, row by row")

	// A block turned by 90 is as high as it was wide.
	q = quiltFrom(t, rows+"}")
	assert.Contains(t, parts(q), "2 spacer 2.5 × 6.5 sand")
	assert.InDelta(t, (6+4+6+1)*in, q.Height, 1e-9)

	// Sashing around: a strip along each side of each row, and cornerstones at the ends of what is across.
	around := strings.Replace(wide, "1/2 sea", "1/2 sea around\n cornerstone rope", 1)
	q = quiltFrom(t, around+"}")
	got := parts(q)
	assert.Contains(t, got, "8 cornerstone 1 × 1 rope")
	assert.Contains(t, got, "2 sashing, top or bottom 13.5 × 1 sea")
	assert.Contains(t, got, "2 sashing between rows 13.5 × 1 sea")
	assert.Contains(t, got, "2 sashing 1 × 6.5 sea")
	assert.Contains(t, got, "2 sashing 1 × 4.5 sea")
	assert.Contains(t, got, "2 sashing 1 × 9.5 sea")
	assert.InDelta(t, 14*in, q.Width, 1e-9)
	assert.InDelta(t, (6+4+9+4*0.5)*in, q.Height, 1e-9)

	// The area of all pieces is that of the quilt.
	for _, text := range []string{wide + "}", rows + "}", around + "}", strings.Replace(around, "cornerstone rope", "", 1) + "}"} {
		q := quiltFrom(t, text)
		area := 0.0
		for _, p := range q.Parts {
			area += (p.Along - in/2) * (p.Across - in/2) * float64(p.Count)
		}
		for _, p := range q.Blocks {
			area += p.Block.Width.Float64() * p.Block.Height.Float64() * float64(p.Count)
		}
		assert.InDelta(t, q.Width*q.Height/in/in, area/in/in, 1e-6, text)
	}
}

func TestRowsThatDoNotFit(t *testing.T) {
	for text, says := range map[string]string{
		"row \"Tile\", \"Tile\"\n row \"Tile\", spacer 4 sand": `row 2 of "S" is 2 in shorter than the longest row; add blocks, or a ` + "`spacer`" + ` of that width`,
		"row \"Tile\", \"Small\"":                              `"Small" is 4 in high, but in row 1 of "S" it must be 6 in high, as "Tile" is`,
		"row spacer 3 sand":                                    `row 1 of "S" has no block, so its height is unknown`,
	} {
		f := open(t, tileText+"setting \"S\" {\n"+text+"\n}")
		_, err := QuiltOf(f.Settings[0])
		assert.EqualError(t, err, says)
	}
}

// Moonlight Quilters (guild), on-point settings: block 6 → side 9 3/4, corner 5 1/8.
// Rows 3, columns 4 on point are 12 blocks and 6 between them; common practice.
func TestOnPoint(t *testing.T) {
	q := quiltFrom(t, "setting \"Diamonds\" {\n rows 3\n columns 4\n fill \"Tile\"\n on point sand\n}")
	assert.Equal(t, 18, q.Blocks[0].Count)
	assert.Equal(t, []string{
		"10 side setting triangle 9.75 × 9.75 sand", "4 corner setting triangle 5.125 × 5.125 sand",
	}, parts(q))
	assert.InDelta(t, 4*6*1.41421356*in, q.Width, 1e-3)
	assert.InDelta(t, 3*6*1.41421356*in, q.Height, 1e-3)

	// The area adds up: blocks, half-squares at the sides, quarter-squares at the corners.
	block := 36.0
	assert.InDelta(t, (18+10.0/2+4.0/4)*block, q.Width*q.Height/in/in, 1e-2)
}

// On point the quilt's up is a corner of the block: a print with an up is cut along the
// block's diagonals, 6√2 and twice the allowance of a block of 6 in.
func TestDirectionalClothOnPoint(t *testing.T) {
	f := open(t, strings.Replace(tileText, "fabric sky\n", "fabric sky directional\n", 1)+"setting \"D\" {\n rows 2\n columns 2\n fill \"Tile\"\n on point sand\n}")
	q, err := QuiltOf(f.Settings[0])
	require.NoError(t, err)
	how := usualHow()
	how.Options = func(*block.File) Options { return Options{} }
	l := listFrom(t, Order{Kits: 1, Quilts: []*Quilt{q}}, how)
	sky := l.Fabrics[slices.IndexFunc(l.Fabrics, func(f FabricList) bool { return f.Fabric.Name == "sky" })]
	require.Len(t, sky.Pieces, 1)
	assert.True(t, sky.Pieces[0].Keeps)
	assert.Equal(t, "9 in", geom.FormatExact(sky.Pieces[0].Along, geom.Inches), "8.985, up to a sixteenth")
	assert.Equal(t, "9 in", geom.FormatExact(sky.Pieces[0].Across, geom.Inches))
}

// With sashing, too, every piece's finished area adds up to the quilt's.
func TestOnPointWithSashing(t *testing.T) {
	for rows := 1; rows <= 4; rows++ {
		for columns := 1; columns <= 4; columns++ {
			for _, stones := range []string{"", "cornerstone rope\n"} {
				q := quiltFrom(t, fmt.Sprintf("setting \"D\" {\n rows %d\n columns %d\n fill \"Tile\"\n on point sand\n sashing 1 sea\n%s}", rows, columns, stones))
				area := 36.0 * float64(q.Blocks[0].Count)
				for _, p := range q.Parts {
					switch {
					case strings.HasPrefix(p.Name, "side"): // half of a square of block and sashing
						pitch := 7.0
						if rows == 1 || columns == 1 {
							pitch = 6 // blocks meet at corners only: there is no sashing
						}
						area += pitch * pitch / 2 * float64(p.Count)
					case strings.HasPrefix(p.Name, "corner setting"):
						area += 36.0 / 4 * float64(p.Count)
					default:
						area += (p.Along/in - 0.5) * (p.Across/in - 0.5) * float64(p.Count)
					}
				}
				assert.InDelta(t, q.Width*q.Height/in/in, area, 1e-6, "%d by %d %s", rows, columns, stones)
			}
		}
	}
}

// The fill goes on from row to row, and turned and mirrored cells have their own up.
func TestFill(t *testing.T) {
	q := quiltFrom(t, `setting "Mixed" {
  rows 2
  columns 2
  fill "Tile", "Tile" turned 90, "Tile" mirrored turned 90
}`)
	var got []string
	for _, b := range q.Blocks {
		got = append(got, fmt.Sprintf("%d up %v", b.Count, b.Up))
	}
	assert.Equal(t, []string{"2 up 0", "1 up -90", "1 up 90"}, got)
}

func TestBadSettings(t *testing.T) {
	for setting, want := range map[string]string{
		"setting \"S\" {\n rows 2\n columns 2\n}":                                            "needs `rows`, `columns` and `fill`",
		"setting \"S\" {\n rows 2\n columns 2\n fill \"Tile\", \"Long\"\n}":                  `"Long" is 6 × 9 in, but in row 1 and column 2 of "S" it must be 6 × 6 in`,
		"setting \"S\" {\n rows 1\n columns 1\n fill \"Long\"\n on point sand\n}":            `"Long" is 6 × 9 in, not square, and cannot be set on point`,
		"setting \"S\" {\n rows 2\n columns 2\n fill \"Tile\", \"Small\"\n on point sand\n}": `"Small" is 4 × 4 in, but the first block of "S" is 6 in wide; on point all blocks must be the same size`,
		"setting \"S\" {\n rows 9999\n columns 9999\n fill \"Tile\"\n}":                      "more than 100000 blocks",
	} {
		f := open(t, tileText+setting)
		_, err := QuiltOf(f.Settings[0])
		require.Error(t, err, setting)
		assert.Contains(t, err.Error(), want)
	}
}

func listFrom(t *testing.T, o Order, how OrderOptions) *List {
	t.Helper()
	l, err := NewList(o, how)
	require.NoError(t, err)
	for _, f := range l.Fabrics {
		wanted := make([]Wanted, len(f.Pieces))
		for i, p := range f.Pieces {
			wanted[i] = Wanted{p.Along, p.Across, p.Keeps, p.Cuts}
		}
		checkPlan(t, f.Plan, wanted)
	}
	return l
}

// Every piece has one label, and every label says what it is for.
func TestLabels(t *testing.T) {
	f := open(t, `
fabric sky
fabric sea
allowance 1/4
block "Corner" 4 by 4 {
  section A {
    patch 1 sky (0, 0) (4, 0) (0, 4) cut square 5 halved
    patch 2 sea (4, 0) (4, 4) (0, 4)
  }
  colourway calm {
    sea = sky
  }
}
`)
	b := f.Blocks[0]
	o := Order{Kits: 2, Blocks: []Placed{{Block: b, Count: 3}, {Block: b, Colourway: b.Colourways[0], Count: 1}}}
	l := listFrom(t, o, usualHow())
	require.Len(t, l.Fabrics, 2)
	seen := make(map[string]int)
	for lab := range l.Labels() {
		seen[fmt.Sprintf("%s: kit %d, %s %s %d, %s", lab.Fabric.Name, lab.Kit, lab.Use.Block, lab.Use.Way, lab.Copy, lab.Use.Label)]++
		assert.Equal(t, len(seen), lab.Number)
	}
	assert.Len(t, seen, 16)
	assert.Equal(t, 1, seen["sea: kit 2, Corner  3, A2"])
	assert.Equal(t, 1, seen["sky: kit 1, Corner calm 1, A2"])

	sky := l.Fabrics[1]
	assert.Equal(t, HalfSquare, sky.Pieces[0].Form)
	assert.Equal(t, 8, sky.Pieces[0].Count)
	assert.Equal(t, 4, sky.Pieces[0].Cuts, "two triangles from a square")
	assert.True(t, sky.Assumed)
	assert.InDelta(t, DefaultWidth, sky.Width, 0)
}

// A border longer than its cloth is wide: along the length, joined, or refused.
func TestLongBorders(t *testing.T) {
	q := quiltFrom(t, "setting \"Row\" {\n rows 1\n columns 9\n fill \"Tile\"\n border 2 sea\n}") // 54 wide
	plain := slices.Clone(q.Parts)
	border := func(long Long) (FabricList, error) {
		how := usualHow()
		how.Long = long
		l, err := NewList(Order{Kits: 1, Quilts: []*Quilt{q}}, how)
		if err != nil {
			return FabricList{}, err
		}
		return l.Fabrics[0], nil
	}
	along, err := border(Lengthwise)
	require.NoError(t, err)
	assert.Equal(t, "sea", along.Fabric.Name)
	assert.InDelta(t, 54.5*in, along.Used, 1e-9)
	joined, err := border(Joined)
	require.NoError(t, err)
	require.Len(t, joined.Whole, 1)
	assert.Equal(t, 3, joined.Whole[0].Count, "109 in and 3 joins of 2 1/2 in from 40 in")
	for i := range q.Parts {
		print := *q.Parts[i].Fabric
		print.Directional = true
		q.Parts[i].Fabric = &print
	}
	joined, err = border(Joined)
	require.NoError(t, err)
	assert.Len(t, joined.Whole, 1)
	_, err = border(Lengthwise)
	require.Error(t, err)
	assert.Contains(t, err.Error(), `border, top or bottom of "Row" is cut 54 1/2 × 2 1/2 in, but sea is 40 in wide: a directional print cannot be turned, so allow joined strips`)
	q.Parts = plain
	_, err = border(Refused)
	require.Error(t, err)
	assert.Contains(t, err.Error(), `border, top or bottom of "Row" is cut 54 1/2 × 2 1/2 in, but sea is 40 in wide: allow it to be cut along the length of the fabric`)
}

// Every kit and every quilt has binding of its own, and each strip a label: what is left of
// a last strip goes round nothing. 54 by 6 with joins is 144 in of binding, 4 strips of 40.
func TestWholeStripsHaveLabels(t *testing.T) {
	q := quiltFrom(t, "setting \"Row\" {\n rows 1\n columns 9\n fill \"Tile\"\n border 2 sea\n binding cut 5/2 sand\n backing rope\n}")
	how := usualHow()
	how.Long = Joined
	l := listFrom(t, Order{Kits: 3, Quilts: []*Quilt{q, q}}, how)
	got := make(map[string]int)
	last := make(map[string]string)
	n := 0
	for lab := range l.Labels() {
		if n++; lab.Piece.Form == Strip {
			assert.Equal(t, "Row", lab.Use.Block)
			got[lab.Use.Label]++
			last[lab.Use.Label] = fmt.Sprintf("%s: kit %d, %d of %d, %.4g by %.4g", lab.Fabric.Name, lab.Kit, lab.Copy, lab.Use.Count, lab.Piece.Along/in, lab.Piece.Across/in)
		}
	}
	assert.Equal(t, l.Count(), n)
	assert.Equal(t, map[string]int{"binding": 3 * 2 * 4, "backing": 3 * 2 * 2, "border, top or bottom, joined end to end": 3 * 2 * 3}, got)
	assert.Equal(t, "sand: kit 3, 8 of 8, 40 by 2.5", last["binding"])
	assert.Equal(t, "rope: kit 3, 4 of 4, 40 by 18", last["backing"])
}

// A block and its mirror image are sewn on different foundations: their pieces are counted
// apart, though of one size they are cut together.
func TestMirroredBlocksHaveTheirOwnLabels(t *testing.T) {
	q := quiltFrom(t, "setting \"Pair\" {\n rows 1\n columns 3\n fill \"Tile\", \"Tile\" mirrored, \"Tile\" turned 90\n}")
	l := listFrom(t, Order{Kits: 1, Quilts: []*Quilt{q}}, usualHow())
	require.Len(t, l.Fabrics[0].Pieces, 1)
	assert.Equal(t, []Use{
		{Block: "Tile", Label: "A1", Along: 7.25 * in, Across: 7.25 * in, First: 1, Count: 2, Places: []int{1, 3}},
		{Block: "Tile", Mirrored: true, Label: "A1", Along: 7.25 * in, Across: 7.25 * in, First: 1, Count: 1, Places: []int{2}},
	}, l.Fabrics[0].Pieces[0].Uses)
}

// Shares of a list add up to 100.
func TestSharesAddUp(t *testing.T) {
	fabrics := []FabricList{{Used: 3, Bound: 1}, {Used: 7, Bound: 7}, {Used: 200, Bound: 1}}
	for kits := range 3 {
		l, err := NewList(harbourOrder(t, kits+1), usualHow())
		require.NoError(t, err)
		fabrics = append(fabrics, l.Fabrics...)
	}
	for _, f := range fabrics {
		f.Width = max(f.Width, in)
		pieces, ends, offcuts := f.Shares()
		assert.Equal(t, 100, pieces+ends+offcuts)
		assert.InDelta(t, 100*f.Bound/f.Used, float64(pieces), 1)
		assert.InDelta(t, 100*f.Plan.Ends()/f.Width/f.Used, float64(ends), 1)
	}
}

// Bad orders are errors in words, and nothing is cut.
func TestBadOrders(t *testing.T) {
	f := open(t, tileText+`
block "Bare" 6 by 6 {
  allowance 1/4
  section A {
    patch 1 sky (0, 0) (6, 0) (6, 6) (0, 6)
  }
}
`)
	tile := f.Blocks[0]
	for _, row := range []struct {
		o    Order
		want string
	}{
		{Order{Blocks: []Placed{{Block: tile, Count: 1}}}, "kits must be at least 1"},
		{Order{Kits: 1, Blocks: []Placed{{Block: tile, Count: 0}}}, `"Tile" is requested 0 times`},
		{Order{Kits: 1, Blocks: []Placed{{Block: tile, Count: -3}}}, "requested -3 times"},
		{Order{Kits: 1, Blocks: []Placed{{Block: tile, Count: 1 << 40}}}, "use a number"},
		{Order{Kits: 1000, Blocks: []Placed{{Block: tile, Count: 100_000}}}, "more than 2000000 pieces"},
	} {
		_, err := NewList(row.o, usualHow())
		require.Error(t, err)
		assert.Contains(t, err.Error(), row.want)
	}
	bare := f.Blocks[len(f.Blocks)-1]
	bare.Allowance = nil
	_, err := NewList(Order{Kits: 1, Blocks: []Placed{{Block: bare, Count: 1}}}, usualHow())
	require.Error(t, err)
	assert.Contains(t, err.Error(), `"Bare" has no seam allowance`)

	wide := open(t, "fabric sky width 20\nallowance 1/4\nblock \"Wide\" 30 by 30 {\n section A {\n patch 1 sky (0, 0) (30, 0) (30, 30) (0, 30)\n }\n}\n")
	_, err = NewList(Order{Kits: 1, Blocks: []Placed{{Block: wide.Blocks[0], Count: 1}}}, usualHow())
	require.Error(t, err)
	assert.Contains(t, err.Error(), "sky is 20 in wide: divide the patch, or use a wider fabric")
}

// Sizes that no ruler has are rounded up to one it has, in the list's own unit.
func TestSizesOnARuler(t *testing.T) {
	f := open(t, "fabric sky\nallowance 6 mm\nblock \"Tile\" 100 mm by 100 mm {\n section A {\n patch 1 sky (0, 0) (100 mm, 0) (100 mm, 100 mm) (0, 100 mm) cut 113 mm by 4.4 in\n }\n}\n")
	for unit, want := range map[geom.Unit]string{geom.Inches: "4 1/2 by 4 7/16", geom.Millimetres: "113 by 112"} {
		how := usualHow()
		how.Unit = unit
		p := listFrom(t, Order{Kits: 1, Blocks: []Placed{{Block: f.Blocks[0], Count: 1}}}, how).Fabrics[0].Pieces[0]
		assert.Equal(t, want, geom.FormatNumber(p.Along, unit)+" by "+geom.FormatNumber(p.Across, unit))
	}
}
