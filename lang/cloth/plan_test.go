package cloth

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// hopper are instances of Hopper and Turton, "An empirical investigation of
// meta-heuristic and heuristic algorithms for a 2D packing problem", European
// Journal of Operational Research 128 (2001), class C1: width 20, optimum
// height 20. A guillotine layout of that height exists for P1 and P3.
var hopper = map[string][][2]float64{
	"P1": {{2, 12}, {7, 12}, {8, 6}, {3, 6}, {3, 5}, {5, 5}, {3, 12}, {3, 7}, {5, 7}, {2, 6}, {3, 2}, {4, 2}, {3, 4}, {4, 4}, {9, 2}, {11, 2}},
	"P2": {{4, 1}, {4, 5}, {9, 4}, {3, 5}, {3, 9}, {1, 4}, {5, 3}, {4, 1}, {5, 5}, {7, 2}, {9, 3}, {3, 13}, {2, 8}, {15, 4}, {5, 4}, {10, 6}, {7, 2}},
	"P3": {{4, 14}, {5, 2}, {2, 2}, {9, 7}, {5, 5}, {2, 5}, {7, 7}, {3, 5}, {6, 5}, {3, 2}, {6, 2}, {4, 6}, {6, 3}, {10, 3}, {6, 3}, {10, 3}},
}

func TestHopperTurton(t *testing.T) {
	for name, sizes := range hopper {
		for seed := range uint64(5) {
			r := rand.New(rand.NewPCG(seed, 20))
			var wanted []Wanted
			for _, i := range r.Perm(len(sizes)) {
				wanted = append(wanted, Wanted{Along: sizes[i][0], Across: sizes[i][1], Count: 1})
			}
			require.InDelta(t, 20, AreaBound(wanted, 20), 1e-12)
			plan, err := MakePlan(wanted, Cutter{Width: 20})
			require.NoError(t, err)
			checkPlan(t, plan, wanted)
			t.Log(name, seed, plan.Length())
			if name != "P2" {
				assert.LessOrEqual(t, plan.Length(), 22.0, "%s, shuffle %d: within 10 %% of the optimum", name, seed)
			}
		}
	}
}

// checkPlan cuts a plan with a ruler: every cut goes from edge to edge of what
// it cuts, everything wanted comes out once, and nothing sticks out.
func checkPlan(t *testing.T, p Plan, wanted []Wanted) {
	t.Helper()
	got := make([]int, len(wanted))
	for _, s := range p.Strips {
		require.Positive(t, s.Count)
		var across float64
		for _, g := range s.Segments {
			across += g.Length * float64(g.Count)
			var up float64
			for _, r := range g.Rows {
				up += r.Height * float64(r.Count)
				var along float64
				for _, u := range r.Runs {
					w := wanted[u.Wanted]
					require.False(t, u.Turned && w.Keeps, "a directional piece is turned")
					along += u.width(w) * float64(u.Count)
					require.LessOrEqual(t, u.height(w), r.Height+eps)
					got[u.Wanted] += u.Count * r.Count * g.Count * s.Count
				}
				require.LessOrEqual(t, along, g.Length+eps)
			}
			require.LessOrEqual(t, up, s.Height+eps)
		}
		require.LessOrEqual(t, across, p.Width+eps)
	}
	for i, w := range wanted {
		require.Equal(t, w.Count, got[i], "%v by %v", w.Along, w.Across)
	}
	require.GreaterOrEqual(t, p.Length(), LeastLength(wanted, p.Width)-eps)
}
