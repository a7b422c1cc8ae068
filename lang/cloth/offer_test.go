package cloth

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/syntax"
)

// usual is how pieces are cut unless settings say otherwise.
var usual = Options{Step: in / 4, Placement: Placement{Shift: in / 8, Turn: 3, Swing: in / 4}, Extra: in / 4}

// open reads a text as a file.
func open(t *testing.T, text string) *block.File {
	t.Helper()
	f := block.NewLoader(syntax.NewReader(), nil).OpenText(t.TempDir()+"/test.block", text)
	require.Empty(t, f.Problems)
	require.Empty(t, f.Tree.Errors)
	return f
}

// quarter is a need of 1/4 in past every edge.
func quarter(n int) []float64 {
	need := make([]float64, n)
	for i := range need {
		need[i] = in / 4
	}
	return need
}

// A book on foundation piecing (ISBN 9781607051824): a precut strip is at least
// 1/2 in wider and longer than the patch, a half-square's square 1 in larger than the finished
// leg, a quarter-square's 1 1/2 in larger than the long side. Such pieces cover when they are laid
// straight, the triangles with something to spare; the offered ones, which also
// allow for a piece that lands askew, are as large or larger.
func TestPrecutSizesOfABook(t *testing.T) {
	s := NewShape(inches(square, 1), Sewn(inches(square, 1).Edge(0)), in/4, quarter(4))
	assert.InDelta(t, 0, s.Margin(s.rectangle(3.5*in, 3.5*in, in/4, s.exactly(0)), Placement{}).Least, 1e-9)
	o := s.RectangleOffer(usual)
	assert.InDelta(t, 3.5*in, o.LeastAlong, 1e-9)
	assert.GreaterOrEqual(t, o.Along, 3.5*in)

	half := inches(geom.Polygon{{X: 0, Y: 0}, {X: 3, Y: 0}, {X: 0, Y: 3}}, 1)
	s = NewShape(half, Sewn(half.Edge(1)), in/4, quarter(3))
	assert.Greater(t, s.Margin(s.triangle(4*in*1.41421356, in/4, s.exactly(0)), Placement{}).Least, in/20)
	assert.GreaterOrEqual(t, s.TriangleOffer(HalfSquare, usual).Along, 4*in)

	long := inches(geom.Polygon{{X: 0, Y: 0}, {X: 3, Y: 0}, {X: 1.5, Y: 1.5}}, 1)
	s = NewShape(long, Sewn(long.Edge(0)), in/4, quarter(3))
	assert.Greater(t, s.Margin(s.triangle(4.5*in, in/4, s.exactly(0)), Placement{}).Least, in/20)
	assert.GreaterOrEqual(t, s.TriangleOffer(QuarterSquare, usual).Along, 4.5*in)
}

// A 3 in square worked by hand, with a shift of 1/8 in and a turn of 3°. Along: its far
// corner, 1 1/2 in to the side and 3 1/4 in above the edge that the piece turns about, comes nearest
// to the piece's side when the piece turns towards it. The ends of a 4.087 in edge swing by
// 0.107 in then, which leaves 0.018 in of the eighth for a shift across. Across: a piece that is
// shifted by the whole eighth and not turned needs most.
func TestWorstPlacementByHand(t *testing.T) {
	s := NewShape(inches(square, 1), Sewn(inches(square, 1).Edge(0)), in/4, quarter(4))
	exact := usual
	exact.Step = 0
	along := s.leastSize(Rectangle, s.exactly, exact)
	const cos, sin = 0.99862953, 0.05233596
	left := 0.125 - along/in/2*sin
	assert.InDelta(t, 2*(1.5*cos+3.25*sin+0.125*cos+left*sin+0.25)*in, along, 1e-3)
	across := s.across(s.exactly(0), along, in/4, usual.Placement, 0)
	assert.InDelta(t, (0.25+3+0.125+0.25)*in, across, 1e-6)
	o := s.RectangleOffer(usual)
	assert.Equal(t, "4 1/4 in", geom.FormatExact(o.Along, geom.Inches))
	assert.Equal(t, "3 3/4 in", geom.FormatExact(o.Across, geom.Inches))
}

// First pieces, worked by hand: steps of 1/4 in, shift 1/8 in, turn 3°, the ends swinging by 1/4 in
// at most. A square patch gets a square.
func TestFirstPiecesByHand(t *testing.T) {
	first := func(width, height float64, o Options) string {
		p := inches(geom.Polygon{{X: 0, Y: 0}, {X: width, Y: 0}, {X: width, Y: height}, {X: 0, Y: height}}, 1)
		got := NewShape(p, Unsewn(p), in/4, quarter(4)).RectangleOffer(o)
		assert.Equal(t, ByEye, got.Laid.Way)
		return geom.FormatExact(got.Along, geom.Inches) + " by " + geom.FormatExact(got.Across, geom.Inches)
	}
	for _, row := range []struct {
		width, height float64
		want          string
	}{
		{2, 2, "3 in by 3 in"},
		{5, 5, "6 1/4 in by 6 1/4 in"},
		{8.5, 8.5, "9 3/4 in by 9 3/4 in"},
		{11, 11, "12 1/4 in by 12 1/4 in"},
		{20, 2, "21 in by 3 1/2 in"},
		{12, 1, "13 in by 2 1/4 in"},
	} {
		assert.Equal(t, row.want, first(row.width, row.height, usual))
	}
	free := usual
	free.Placement.Swing = math.Inf(1)
	assert.Equal(t, "21 in by 4 in", first(20, 2, free), "without the limit of swing")
}

// A beam 7 1/4 by 5 in that is sewn on a short seam at its end: centered on its patch it takes
// 8 1/4 in along the seam, centered on the seam some 4 in more. It goes by the patch, and reaches
// past the far end of its line by a distance that a ruler has.
func TestBeamGoesByItsPatch(t *testing.T) {
	beam := inches(geom.Polygon{{X: 0, Y: 0}, {X: 2.25, Y: 0}, {X: 7.25, Y: 5}, {X: 5, Y: 5}}, 1)
	s := NewShape(beam, Sewn(beam.Edge(0)), in/4, quarter(4))
	s.mark = in / 8
	got := s.RectangleOffer(usual)
	t.Log(geom.FormatExact(got.Along, geom.Inches), geom.FormatExact(got.Across, geom.Inches), got.OnLine/in, got.OnPatch/in, got.Laid.Reach/in)
	assert.False(t, got.Laid.Centered)
	assert.True(t, got.Laid.AtB)
	assert.InDelta(t, math.Round(got.Laid.Reach/in*8), got.Laid.Reach/in*8, 1e-9)
	onLine := usual
	onLine.Center = CenterLine
	line := s.RectangleOffer(onLine)
	assert.True(t, line.Laid.Centered)
	assert.InDelta(t, got.OnLine, line.Along, 1e-9)
}

const housesText = `
fabric boards directional
fabric sky
allowance 1/4
block "Gable" 4 by 4 {
  section A {
    patch 1 boards (0, 0) (4, 0) (4, 3/2) (0, 5/2)
    patch 2 sky (0, 5/2) (4, 3/2) (4, 4) (0, 4)
  }
  section B = A turned 90 about (2, 2)
}
`

// Directional cloth is cut along the block's axes whichever way the seam runs, in
// a turned copy too, and takes more cloth for it.
func TestDirectionalCloth(t *testing.T) {
	f := open(t, housesText)
	a, b := f.Blocks[0].Sections[0].Patches[0], f.Blocks[0].Sections[1].Patches[0]
	slant := geom.Segment{A: a.Corners[2], B: a.Corners[3]}
	p, ok := Place(a, Sewn(slant), Placed{}, usual)
	require.True(t, ok)
	assert.True(t, p.Pick.Keeps)
	assert.Zero(t, p.Pick.Angle)
	assert.InDelta(t, p.Pick.Cloth()-p.Ways().Rectangle.Cloth(), p.Extra(), 1e-9)
	assert.InDelta(t, 4.5*in, p.Pick.LeastAlong, 1e-6)
	assert.InDelta(t, 3*in, p.Pick.LeastAcross, 1e-6)
	assert.GreaterOrEqual(t, p.Pick.Worst.Least, 0.0)

	turned, ok := Place(b, Sewn(geom.Segment{A: b.Corners[2], B: b.Corners[3]}), Placed{}, usual)
	require.True(t, ok)
	assert.InDelta(t, 3*in, turned.Pick.LeastAlong, 1e-6, "the patch has turned, the print has not")
	assert.InDelta(t, 4.5*in, turned.Pick.LeastAcross, 1e-6)

	// A plain fabric follows the seam, unless grain along the block's sides is asked for.
	sky := f.Blocks[0].Sections[0].Patches[1]
	plain, _ := Place(sky, Sewn(slant), Placed{}, usual)
	assert.NotZero(t, plain.Pick.Angle)
	outer := usual
	outer.Outer = true
	grain, _ := Place(sky, Sewn(slant), Placed{}, outer)
	assert.False(t, grain.Pick.Keeps, "plain cloth may be turned by a quarter")
	assert.Zero(t, grain.Pick.Angle)
}

// A designer's cut on directional cloth is given by the seam; when the seam runs up the
// print the numbers change places.
func TestOwnCutOfDirectionalCloth(t *testing.T) {
	f := open(t, `
fabric boards directional
allowance 1/4
block "Post" 4 by 4 {
  section A {
    patch 1 boards (0, 0) (3, 0) (3, 4) (0, 4)
    patch 2 boards (3, 0) (4, 0) (4, 4) (3, 4) cut 4 1/2 by 1 1/2
  }
}
`)
	p := f.Blocks[0].Sections[0].Patches[1]
	got, ok := Place(p, Sewn(geom.Segment{A: p.Corners[0], B: p.Corners[3]}), Placed{}, usual)
	require.True(t, ok)
	assert.InDelta(t, 1.5*in, got.Pick.Along, 1e-9)
	assert.InDelta(t, 4.5*in, got.Pick.Across, 1e-9)
	assert.InDelta(t, 4.5*in, got.Own.Along, 1e-9, "as the designer has it")
	assert.InDelta(t, 0, got.Own.Nominal.Least, 1e-9)
}

// A triangle on its long side saves cloth as half of a square; a rectangle on its
// side never does.
func TestTrianglesWhereTheySaveCloth(t *testing.T) {
	f := open(t, `
fabric sky
allowance 1/4
block "Corner" 4 by 4 {
  section A {
    patch 1 sky (0, 0) (4, 0) (0, 4)
    patch 2 sky (4, 0) (4, 4) (0, 4)
  }
}
`)
	p := f.Blocks[0].Sections[0].Patches[1]
	seam := geom.Segment{A: p.Corners[0], B: p.Corners[2]}
	got, _ := Place(p, Sewn(seam), Placed{}, usual)
	ways := got.Ways()
	require.NotNil(t, ways.HalfSquare)
	assert.Less(t, ways.HalfSquare.Cloth(), ways.Rectangle.Cloth())
	assert.Equal(t, Rectangle, got.Pick.Form, "an offer, until it is asked for")
	assert.Len(t, ways.Trade, 2)
	saving := usual
	saving.Triangles = true
	got, _ = Place(p, Sewn(seam), Placed{}, saving)
	assert.Equal(t, Rectangle, got.Pick.Form, "one alone takes a whole square, which is more than the rectangle")
	shapes, free := got.Shapes()
	require.True(t, free)
	two := cheapest(shapes, 2)
	assert.Equal(t, HalfSquare, two.Form, "two share the square")
	assert.GreaterOrEqual(t, two.Worst.Least, 0.0)

	s := NewShape(inches(square, 1), Sewn(inches(square, 1).Edge(0)), in/4, quarter(4))
	assert.Greater(t, s.TriangleOffer(HalfSquare, usual).Cloth(), s.RectangleOffer(usual).Cloth())
}

// Past the block's outer edge a piece reaches further where the block says so.
func TestOuterAllowance(t *testing.T) {
	f := open(t, `
fabric sky
block "Edge" 4 by 4 {
  allowance 1/4
  allowance outer 1/2
  section A {
    patch 1 sky (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
}
`)
	p := f.Blocks[0].Sections[0].Patches[1]
	got, _ := Place(p, Sewn(p.Corners.Edge(0)), Placed{}, usual)
	assert.InDelta(t, 5*in, got.Pick.LeastAlong, 1e-6)
	assert.InDelta(t, 2.75*in, got.Pick.LeastAcross, 1e-6)
}

// The margins of every edge, and the place of the piece in the block: its least
// margin is the least of them, and it lies around its patch.
func TestMarginsOfEveryEdge(t *testing.T) {
	for _, f := range harbour(t) {
		for _, b := range f.Blocks {
			seams := Seams(sew.Analyse(b))
			for _, sec := range b.Sections {
				for _, p := range sec.Patches {
					got, ok := Place(p, seams[p], Placed{}, usualFor(f))
					require.True(t, ok)
					least := got.Margins(got.Pick)[0]
					for _, m := range got.Margins(got.Pick) {
						assert.LessOrEqual(t, m.Worst, m.Nominal+eps)
						if m.Worst < least.Worst {
							least = m
						}
					}
					assert.InDelta(t, got.Pick.Worst.Least, least.Worst, eps)
					outline := got.Outline(got.Pick)
					for _, c := range p.Corners {
						assert.Equal(t, geom.Inside, outline.Contains(c), "%s %s", b.Name, got.Label)
					}
				}
			}
		}
	}
}

// What somebody measures past the end of a line is on her ruler, whatever the step of sizes: half
// of 5 mm is no whole number of millimetres.
func TestReachIsOnTheRuler(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 1))
	seen := 0
	for range 400 {
		s := randomShape(r)
		s.mark = geom.Millimetre
		got := s.RectangleOffer(Options{Step: 5 * geom.Millimetre, Placement: usual.Placement, Center: CenterPatch})
		if !s.sewn || got.Laid.Centered {
			continue
		}
		seen++
		assert.InDelta(t, math.Round(got.Laid.Reach/s.mark), got.Laid.Reach/s.mark, 1e-9)
		ends := [2]float64{s.from - got.Laid.Outline[0].X, got.Laid.Outline[1].X - s.to}
		assert.InDelta(t, max(ends[0], ends[1]), got.Laid.Reach, 1e-9, "the end past which it reaches furthest is named")
	}
	assert.Greater(t, seen, 50)
}

// A piece that is centered on its line as it is printed covers by its patch too, for somebody who
// has learned to lay it so; and an edge that goes elsewhere than the allowance past its line goes
// to a mark of the ruler.
func TestCenteredPiecesCoverByThePatchToo(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	centered, hooked := 0, 0
	for range 3000 {
		s := randomShape(r)
		got := s.RectangleOffer(usual)
		if !s.sewn {
			continue
		}
		if past := got.Laid.Past; past > s.allowance+eps && s.mark > 0 {
			hooked++
			assert.InDelta(t, math.Round(past/s.mark), past/s.mark, 1e-9)
		}
		if got.Laid.Centered && math.Abs(s.onLine(0).x-s.exactly(0).x) > geom.Hair {
			centered++
			other := s.rectangle(got.Along, got.Across, got.Laid.Past, s.onPatch(got.Along))
			assert.GreaterOrEqual(t, s.Margin(other, usual.Placement).Least, -eps)
		}
	}
	assert.Greater(t, centered, 50)
	assert.Greater(t, hooked, 50)
}

// A patch that hooks round the end of its seam and reaches further on the other side lies where it
// meets the seam.
func TestHookReachesFurther(t *testing.T) {
	hook := inches(geom.Polygon{{X: 0, Y: 0}, {X: 6, Y: 0}, {X: 6, Y: -1}, {X: -2, Y: -1}, {X: -2, Y: 4}, {X: -0.5, Y: 4}}, 1)
	s := NewShape(hook, Sewn(hook.Edge(0)), in/4, quarter(len(hook)))
	assert.InDelta(t, 1*in, s.box.Max.Y, 1e-9)
	assert.InDelta(t, -4*in, s.box.Min.Y, 1e-9)
	got := s.RectangleOffer(usual)
	assert.Greater(t, got.Laid.Past, 4.25*in, "the edge lies past all that hooks round")
	assert.GreaterOrEqual(t, got.Worst.Least, -eps)
}
