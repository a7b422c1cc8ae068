package cloth

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/geom"
	"sewable/lang/sew"
)

// first is the piece of a patch that a section of its own starts with.
func first(t *testing.T, fabric, corners, cut string) *PlacedPiece {
	t.Helper()
	f := open(t, fmt.Sprintf("allowance 1/4\nfabric f #445566 %s\nblock \"B\" 12 by 12 {\n section A {\n patch 1 f %s %s\n }\n}\n", fabric, corners, cut))
	pieces := Pieces(sew.Analyse(f.Blocks[0]), Placed{}, usual)
	require.Len(t, pieces, 1)
	return pieces[0]
}

// A first piece has no edge that guides it. Where it covers only square to the block, or only
// along the patch's longest edge, that is said; where it covers both ways nothing is.
func TestHowAFirstPieceIsTurned(t *testing.T) {
	for _, c := range []struct {
		what, fabric, corners, cut string
		size                       string
		lie                        Lie
	}{
		{"an upright strip", "", "(2, 1) (4, 1) (4, 9) (2, 9)", "", "9 by 3 1/4", AnyLie},
		{"a square", "", "(2, 2) (4, 2) (4, 4) (2, 4)", "", "3 by 3", AnyLie},
		{"a triangle", "", "(3, 6) (1, 2) (5, 2)", "", "5 by 5", SquareToBlock},
		// As wide as it is high: nobody sees which side of 9 by 9 1/4 goes which way.
		{"nearly a square", "", "(6.979, 0) (7.095, 0) (8, 4.27) (8, 6.238) (2.601, 8) (1.072, 8) (0, 6.054) (0, 5.407)", "", "9 1/4 by 9 1/4", SquareToBlock},
		{"a strip on the slant", "", "(2, 0) (8, 6) (7, 7) (1, 1)", "", "9 1/2 by 2 3/4", AlongLongest},
		// A square on its point has four longest edges, and covers along each.
		{"a square on point", "", "(6, 2) (10, 6) (6, 10) (2, 6)", "", "6 3/4 by 6 3/4", AlongLongest},
		// Two edges of one length that lie unlike: along the other one the tilted piece would be short.
		{"two longest edges", "", "(0, 0) (8, 4) (4, 8) (3 1/2, 7 1/2) (6, 4 1/2)", "", "9 1/4 by 9 1/4", SquareToBlock},
		{"two edges of nearly one length", "", "(0, 0) (6.93, 4) (3.7, 6.41)", "", "8 1/4 by 7 3/4", SquareToBlock},
		{"a print", "directional", "(2, 0) (8, 6) (7, 7) (1, 1)", "", "8 1/4 by 8 1/4", SquareToBlock},
		{"a designer's strip", "", "(2, 0) (8, 6) (7, 7) (1, 1)", "cut 10 by 2 3/4", "10 by 2 3/4", AlongLongest},
		{"a designer's square", "", "(2, 0) (8, 6) (7, 7) (1, 1)", "cut 11 by 11", "11 by 11", AnyLie},
		{"a designer's strip the other way round", "", "(2, 1) (4, 1) (4, 9) (2, 9)", "cut 3 1/2 by 9 1/2", "3 1/2 by 9 1/2", AnyLie},
		{"a designer's triangle", "", "(2, 2) (8, 2) (2, 8)", "cut square 9 halved", "9 by 9", AlongLongest},
		{"a designer's print", "directional", "(2, 1) (4, 1) (4, 9) (2, 9)", "cut 9 1/2 by 3 1/2", "3 1/2 by 9 1/2", AnyLie},
	} {
		p := first(t, c.fabric, c.corners, c.cut)
		o := p.Pick
		assert.Equal(t, c.size, geom.FormatNumber(o.Along, geom.Inches)+" by "+geom.FormatNumber(o.Across, geom.Inches), c.what)
		assert.Equal(t, c.lie, o.Laid.Lie, c.what)
		assert.Equal(t, ByEye, o.Laid.Way, c.what)
		assert.GreaterOrEqual(t, o.Worst.Least, -eps, c.what)
	}
}

// A designer's cut is laid to marks that somebody can measure: whole eighths, at last sixteenths.
func TestADesignersCutIsLaidToAMark(t *testing.T) {
	halves := 0
	for _, across := range []string{"3", "3 1/2", "4", "5"} {
		for along := 4.0; along < 8; along += 0.0625 {
			f := open(t, fmt.Sprintf(`allowance 1/4
fabric f
block "B" 6 by 6 {
 section A {
  patch 1 f (0, 0) (6, 0) (6, 1) (0, 4)
  patch 2 f (0, 4) (6, 1) (6, 2 1/3) (0, 5 3/16) cut %g by %s
 }
}`, along, across))
			o := Pieces(sew.Analyse(f.Blocks[0]), Placed{}, usual)[1].Pick
			if o.Laid.Centered {
				continue
			}
			sixteenths := o.Laid.Reach / (in / 16)
			assert.InDelta(t, math.Round(sixteenths), sixteenths, 1e-6)
			if math.Abs(sixteenths/2-math.Round(sixteenths/2)) > 1e-6 {
				halves++
			}
		}
	}
	assert.Positive(t, halves)
}
