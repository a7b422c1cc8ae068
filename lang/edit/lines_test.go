package edit_test

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/edit"
	"sewable/lang/geom"
)

// slicing cuts a square along random lines, each through one piece, and gives the lines.
func slicing(r *rand.Rand, side float64, n int) (cuts []geom.Segment) {
	pieces := []geom.Polygon{geom.Box{Max: geom.Point{X: side, Y: side}}.Polygon()}
	for tries := 0; len(cuts) < n && tries < 200; tries++ {
		k := r.IntN(len(pieces))
		p := pieces[k]
		a, b := r.IntN(len(p)), r.IntN(len(p))
		if a == b {
			continue
		}
		place := func(i int) geom.Point { // now and then a corner
			return p.Edge(i).At([]float64{0, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.85}[r.IntN(8)])
		}
		cut := geom.Segment{A: place(a), B: place(b)}
		if cut.Len() < geom.Inch/2 {
			continue
		}
		left, right := p.LeftOf(cut), p.LeftOf(cut.Reverse())
		wide := func(p geom.Polygon) bool { return len(p) > 2 && geom.InscribedCircle(p).R > geom.Inch/8 }
		if !wide(left) || !wide(right) {
			continue
		}
		cuts = append(cuts, cut)
		pieces[k] = left.Weld()
		pieces = append(pieces, right.Weld())
	}
	return cuts
}

// drawnOff is a block drawn in lines, each end off by so much along its own line, short of where it belongs or past it.
func drawnOff(r *rand.Rand, side float64, cuts []geom.Segment, off float64) string {
	var b strings.Builder
	fmt.Fprintf(&b, "allowance 1/4\nblock \"Cut up\" %g by %g {\n", side/geom.Inch, side/geom.Inch)
	at := func(p geom.Point) string { return fmt.Sprintf("(%.4f, %.4f)", p.X/geom.Inch, p.Y/geom.Inch) }
	for i, c := range cuts {
		by := func() geom.Point {
			switch r.IntN(3) {
			case 0:
				return c.Dir().Scale(off)
			case 1:
				return c.Dir().Scale(-off)
			}
			return geom.Point{}
		}
		fmt.Fprintf(&b, "  seam s%d from %s to %s\n", i, at(c.A.Add(by())), at(c.B.Add(by())))
	}
	return b.String() + "}\n"
}

// A drawing in lines whose ends are off is planned as its exact twin is.
func TestEndsOff(t *testing.T) {
	t.Parallel()
	trees := 480 // a few seconds
	if testing.Short() {
		trees = 60
	}
	for seed := range uint64(trees) {
		r := rand.New(rand.NewPCG(seed, 19))
		side := []float64{6, 8, 10}[seed%3] * geom.Inch
		cuts := slicing(r, side, 4+int(seed%21))
		planned := func(off float64) *edit.Planned {
			text := drawnOff(r, side, cuts, off)
			f := read(text)
			p, err := edit.Plan(context.Background(), f, f.Blocks[0], planFor())
			require.NoError(t, err, "seed %d, off by %g\n%s", seed, off, text)
			require.NotNil(t, p.Plan, "seed %d, off by %g\n%s", seed, off, text)
			return p
		}
		exact := planned(0)
		off := planned([]float64{0.25, 0.28, 0.3}[r.IntN(3)] * geom.Millimetre)
		assert.Equal(t, exact.Plan.Cost, off.Plan.Cost, "seed %d\n%s", seed, drawnOff(r, side, cuts, 0))
		assert.Equal(t, exact.Names, off.Names, "seed %d", seed)
		assert.Len(t, off.Patches, len(cuts)+1, "seed %d", seed)
		for i, area := range areas(exact) {
			assert.InDelta(t, area, areas(off)[i], 2*side*geom.Hair, "seed %d", seed)
		}
	}
}

// areas are those of the patches of a drawing, the smallest first.
func areas(p *edit.Planned) (out []float64) {
	for _, x := range p.Patches {
		out = append(out, x.Corners.Area())
	}
	slices.Sort(out)
	return out
}

// Whatever ends are off by, and to whichever side, a drawing in lines is planned or refused for what is
// wrong with it.
func TestEndsOffAnyWay(t *testing.T) {
	t.Parallel()
	planned := 0
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 20))
		cuts := slicing(r, 8*geom.Inch, 4+int(seed%21))
		off := 0.1 * float64(1+seed%20) * geom.Millimetre
		for i, c := range cuts {
			by := func() geom.Point { return geom.Point{X: (r.Float64() - 0.5) * off, Y: (r.Float64() - 0.5) * off} }
			cuts[i] = geom.Segment{A: c.A.Add(by()), B: c.B.Add(by())}
		}
		text := drawnOff(r, 8*geom.Inch, cuts, 0)
		f := read(text)
		o := planFor()
		if seed%3 == 0 {
			o.Close = 0
		}
		p, err := edit.Plan(context.Background(), f, f.Blocks[0], o)
		require.NotErrorIs(t, err, edit.ErrUnsound, "seed %d\n%s", seed, text)
		var flawed edit.FlawedDrawing
		require.False(t, errors.As(err, &flawed), "seed %d: %v\n%s", seed, flawed.Flaws, text)
		if err == nil && p.Plan != nil {
			planned++
		}
	}
	assert.Greater(t, planned, 100)
}
