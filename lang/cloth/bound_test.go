package cloth

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// What the bound knows of a few pieces that the area does not, worked out by hand.
func TestLeastLength(t *testing.T) {
	for _, row := range []struct {
		name   string
		width  float64
		wanted []Wanted
		want   float64
	}{
		{"two squares wider than half the cloth lie one above the other", 10, []Wanted{{Along: 6, Across: 6, Count: 3}}, 18},
		{"less than 10 long, nothing lies above a 5 × 5, and only two lie side by side", 10, []Wanted{{Along: 5, Across: 5, Count: 3}}, 10},
		{"beside the long one there is room for two above each other", 20, []Wanted{{Along: 12, Across: 2, Keeps: true, Count: 1}, {Along: 5, Across: 1, Count: 2}}, 2},
		{"and for a third there is not", 20, []Wanted{{Along: 12, Across: 2, Keeps: true, Count: 1}, {Along: 5, Across: 1, Count: 3}}, 3},
		{"lengths that are no whole units are bounded too", 10, []Wanted{{Along: 6.000123, Across: 6.000123, Count: 2}}, 12},
		{"one strip is as high as its highest piece", 40, []Wanted{{Along: 5, Across: 4, Count: 1}, {Along: 2, Across: 1, Count: 3}}, 4},
	} {
		got := LeastLength(row.wanted, row.width)
		assert.LessOrEqual(t, got, row.want+0.01, row.name)
		assert.Greater(t, got, row.want-0.5, row.name)
	}
}

// A cloth cut up at random, not by a ruler either: whatever comes out fits it again, so
// the bound is never above its length; turned pieces and pieces left out included.
func TestLeastLengthOfACutUpCloth(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		width := rapid.IntRange(2, 60).Draw(r, "width")
		length := rapid.IntRange(1, 40).Draw(r, "length")
		rnd := rand.New(rand.NewPCG(rapid.Uint64().Draw(r, "seed"), 1))
		unit := rapid.SampledFrom([]float64{1, in / 4, 0.7}).Draw(r, "unit")
		var wanted []Wanted
		var cut func(w, h int)
		cut = func(w, h int) {
			if w > 4 && h > 4 && rnd.IntN(3) == 0 { // five pieces round a middle, which no ruler cuts
				x1, y1 := 1+rnd.IntN(w/2-1), 1+rnd.IntN(h/2-1)
				x2, y2 := w/2+rnd.IntN(w-w/2-1)+1, h/2+rnd.IntN(h-h/2-1)+1
				if x2 < w && y2 < h && x1 < x2 && y1 < y2 {
					for _, p := range [][2]int{{x2, y1}, {w - x2, y2}, {w - x1, h - y2}, {x1, h - y1}, {x2 - x1, y2 - y1}} {
						cut(p[0], p[1])
					}
					return
				}
			}
			switch {
			case w > 1 && (w > h || h == 1) && rnd.IntN(8) > 0:
				x := 1 + rnd.IntN(w-1)
				cut(x, h)
				cut(w-x, h)
			case h > 1 && rnd.IntN(8) > 0:
				y := 1 + rnd.IntN(h-1)
				cut(w, y)
				cut(w, h-y)
			case rnd.IntN(20) > 0:
				p := Wanted{Along: float64(w) * unit, Across: float64(h) * unit, Keeps: rnd.IntN(2) == 0, Count: 1}
				if !p.Keeps && rnd.IntN(2) == 0 {
					p.Along, p.Across = p.Across, p.Along
				}
				wanted = append(wanted, p)
			}
		}
		cut(width, length)
		least := LeastLength(wanted, float64(width)*unit)
		if most := float64(length) * unit; least > most+eps {
			r.Fatalf("%v on %d wide: %v, and %v is enough", wanted, width, least/unit, most/unit)
		}
		if area := AreaBound(wanted, float64(width)*unit); least < area-eps {
			r.Fatalf("%v is below the area bound %v", least, area)
		}
	})
}
