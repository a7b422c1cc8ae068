package plan_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/sew/plan"
)

// in gives a polygon in inches from its coordinates.
func in(xy ...float64) geom.Polygon {
	var p geom.Polygon
	for i := 0; i < len(xy); i += 2 {
		p = append(p, geom.Point{X: xy[i] * geom.Inch, Y: xy[i+1] * geom.Inch})
	}
	return p
}

func box(x0, y0, x1, y1 float64) geom.Polygon { return in(x0, y0, x1, y0, x1, y1, x0, y1) }

// grid is a rectangle of one-inch squares.
func grid(columns, rows int) []geom.Polygon {
	var parts []geom.Polygon
	for j := range rows {
		for i := range columns {
			x, y := float64(i), float64(j)
			parts = append(parts, box(x, y, x+1, y+1))
		}
	}
	return parts
}

// regular is the i-th corner of a regular n-gon about (0, 0), in inches.
func regular(n, i int, radius, start float64) geom.Point {
	sin, cos := math.Sincos((start + 360*float64(i)/float64(n)) * math.Pi / 180)
	return geom.Point{X: radius * cos * geom.Inch, Y: radius * sin * geom.Inch}
}

func of(d *sew.Division) *plan.Plan {
	return plan.Of(context.Background(), d, plan.Options{Weights: plan.DefaultWeights})
}

// pinwheelSquare is a square with a smaller one in its middle, whose sides run on, each one
// way, to the edge.
var pinwheelSquare = []geom.Polygon{
	box(1, 1, 2, 2), box(0, 0, 2, 1), box(2, 0, 3, 2), box(1, 2, 3, 3), box(0, 1, 1, 3),
}

// How many sections classic blocks need: common practice.
func TestClassicBlocks(t *testing.T) {
	var pinwheel []geom.Polygon // of four squares, each of two triangles
	for _, c := range []geom.Polygon{
		in(0, 0, 2, 0, 2, 2, 0, 2), in(2, 0, 4, 0, 4, 2, 2, 2), in(2, 2, 4, 2, 4, 4, 2, 4), in(0, 2, 2, 2, 2, 4, 0, 4),
	} {
		mid := geom.Point{X: 2 * geom.Inch, Y: 2 * geom.Inch}
		for i := range c {
			if c[i] == mid {
				k := (i + 2) % 4
				pinwheel = append(pinwheel, geom.Polygon{c[i], c[(i+1)%4], c[k]}, geom.Polygon{c[i], c[k], c[(i+3)%4]})
			}
		}
	}
	hexagon := func(c geom.Point) geom.Polygon {
		var p geom.Polygon
		for i := range 6 {
			p = append(p, regular(6, i, 1, 0).Add(c))
		}
		return p
	}
	rosette := []geom.Polygon{hexagon(geom.Point{})}
	for i := range 6 {
		rosette = append(rosette, hexagon(regular(6, i, math.Sqrt(3), 30)))
	}
	tests := []struct {
		name     string
		patches  []geom.Polygon
		sections int // 0: none without an inset or partial seam
		matches  int
	}{
		{"nine-patch", grid(3, 3), 3, 4},
		{"four-patch", grid(2, 2), 2, 1},
		{"offset four-patch", []geom.Polygon{box(0, 0, 2, 2), box(2, 0, 4, 2), box(0, 2, 1, 4), box(1, 2, 4, 4)}, 2, 0},
		{"quarter-square X", []geom.Polygon{in(0, 0, 4, 0, 2, 2), in(4, 0, 4, 4, 2, 2), in(4, 4, 0, 4, 2, 2), in(0, 4, 0, 0, 2, 2)}, 2, 1},
		{"pinwheel of half-squares", pinwheel, 2, 1}, // two rows of two squares
		{"log cabin", []geom.Polygon{
			box(2, 2, 3, 3), box(2, 1, 3, 2), box(3, 1, 4, 3), box(2, 3, 4, 4), box(1, 1, 2, 4),
			box(1, 0, 4, 1), box(4, 0, 5, 4), box(1, 4, 5, 5), box(0, 0, 1, 5),
		}, 1, 0},
		{"square in a square", []geom.Polygon{
			in(2, 0, 4, 2, 2, 4, 0, 2), in(0, 0, 2, 0, 0, 2), in(2, 0, 4, 0, 4, 2), in(4, 2, 4, 4, 2, 4), in(0, 2, 2, 4, 0, 4),
		}, 1, 0},
		{"pinwheel with a square centre", pinwheelSquare, 0, 0},
		{"three-way Y", []geom.Polygon{in(0, 0, 4, 0, 4, 1, 2, 2, 0, 1), in(0, 1, 2, 2, 2, 4, 0, 4), in(2, 2, 4, 1, 4, 4, 2, 4)}, 0, 0},
		{"hexagon rosette", rosette, 0, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			d := sew.Divide(nil, tt.patches)
			require.Empty(t, d.Flaws())
			p := of(d)
			if tt.sections == 0 {
				require.Nil(t, p)
				knots := plan.Blame(d)
				require.Len(t, knots, 1)
				return
			}
			require.NotNil(t, p)
			assert.Equal(t, tt.sections, p.Cost.Sections)
			assert.Equal(t, tt.matches, p.Cost.Matches)
			assert.True(t, p.Proved)
			assert.Empty(t, plan.Blame(d))
		})
	}
}

// Blocks of equal patches are divided into rows, from the top.
func TestRows(t *testing.T) {
	p := of(sew.Divide(nil, grid(3, 3)))
	require.NotNil(t, p)
	assert.Equal(t, []plan.Section{{Parts: []int{6, 7, 8}}, {Parts: []int{3, 4, 5}}, {Parts: []int{0, 1, 2}}}, p.Sections)
	require.Len(t, p.Joins, 2)
	assert.Equal(t, [2]int{0, 1}, [2]int{p.Joins[0].A, p.Joins[0].B})
	assert.Equal(t, [2]int{1, 2}, [2]int{p.Joins[1].A, p.Joins[1].B}, "the lowest row is sewn to the one above it")
}

// The pinwheel with a square centre is to blame, and what is beside it is not.
func TestBlame(t *testing.T) {
	d := sew.Divide(nil, append(append([]geom.Polygon{}, pinwheelSquare...), box(3, 0, 5, 3)))
	require.Nil(t, of(d))
	knots := plan.Blame(d)
	require.Len(t, knots, 1)
	assert.Equal(t, []int{0, 1, 2, 3, 4}, knots[0].Parts, "the strip beside it is not to blame")
}

// The same drawing and effort give the same plan, cut short or not.
func TestSamePlan(t *testing.T) {
	for _, d := range []*sew.Division{squareGrid(5, 8), squares(6, 6, 4), ruled(1, 24), sliced(3, 120, nil)} {
		for _, effort := range []int{50, 700, 0} {
			o := plan.Options{Weights: plan.DefaultWeights, Effort: effort}
			if effort == 0 && d.Parts() > 40 {
				continue
			}
			first := plan.Of(context.Background(), d, o)
			require.NotNil(t, first)
			assert.Equal(t, first, plan.Of(context.Background(), d, o))
			assert.LessOrEqual(t, first.Least, first.Cost.Sections)
		}
	}
}

// A context that is done ends the search at once, with a plan all the same.
func TestStopped(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	d := squareGrid(12, 12)
	p := plan.Of(ctx, d, plan.Options{Weights: plan.DefaultWeights})
	require.NotNil(t, p)
	assert.True(t, p.Stopped)
	assert.False(t, p.Proved)
	n := 0
	for _, s := range p.Sections {
		n += len(s.Parts)
	}
	assert.Equal(t, d.Parts(), n)
}

// In a section a person begins with what the others are sewn around.
func TestStart(t *testing.T) {
	logs := []geom.Polygon{
		box(0, 0, 1, 5), box(1, 4, 5, 5), box(4, 0, 5, 4), box(1, 0, 4, 1), box(1, 1, 2, 4),
		box(2, 3, 4, 4), box(3, 1, 4, 3), box(2, 1, 3, 2), box(2, 2, 3, 3),
	}
	d := sew.Divide(nil, logs)
	order := plan.Start(d, d.Written())
	assert.Equal(t, 8, order[0], "the square in the middle")
	assert.Nil(t, d.CheckOrder(order))

	strips := sew.Divide(nil, []geom.Polygon{box(0, 0, 1, 3), box(1, 0, 2, 3), box(2, 0, 3, 3)})
	assert.Equal(t, []int{0, 1, 2}, plan.Start(strips, strips.Written()), "the order typed, when it can be sewn")
}

// What no straight seams divide is sewn with as few set-in and partial seams as can be.
func TestLastResort(t *testing.T) {
	y := []geom.Polygon{in(0, 0, 4, 0, 4, 1, 2, 2, 0, 1), in(0, 1, 2, 2, 2, 4, 0, 4), in(2, 2, 4, 1, 4, 4, 2, 4)}
	notch := []geom.Polygon{in(0, 0, 4, 0, 4, 4, 3, 4, 3, 2, 1, 2, 1, 4, 0, 4), box(1, 2, 3, 4)}
	for _, tt := range []struct {
		name                    string
		patches                 []geom.Polygon
		inset, partial, section int
	}{
		{"three-way Y", y, 1, 0, 2},
		{"pinwheel with a square centre", pinwheelSquare, 0, 1, 5},
		{"beside a strip", append(append([]geom.Polygon{}, pinwheelSquare...), box(3, 0, 5, 3)), 0, 1, 6},
		{"a notch", notch, 1, 0, 2},
		{"strips", []geom.Polygon{box(0, 0, 1, 3), box(1, 0, 2, 3), box(2, 0, 3, 3)}, 0, 0, 1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d := sew.Divide(nil, tt.patches)
			require.Empty(t, d.Flaws())
			p := plan.LastResort(context.Background(), d, plan.Options{Weights: plan.DefaultWeights})
			require.NotNil(t, p)
			assert.Len(t, p.Sections, tt.section)
			assert.Equal(t, tt.section, p.Cost.Sections)
			var outlines []geom.Polygon
			for _, s := range p.Sections {
				var parts []geom.Polygon
				for _, k := range s.Parts {
					parts = append(parts, d.Part(k))
				}
				own := sew.Divide(nil, parts)
				require.Nil(t, own.CheckOrder(own.Written()))
				outlines = append(outlines, own.Border()[0])
			}
			kinds := map[sew.JoinKind]int{}
			var steps []sew.JoinStep
			for _, j := range p.Joins {
				kinds[j.Kind]++
				steps = append(steps, sew.JoinStep{A: j.A, B: j.B, Kind: j.Kind})
			}
			assert.Equal(t, [2]int{tt.inset, tt.partial}, [2]int{kinds[sew.Inset], kinds[sew.Partial]})
			assert.Equal(t, kinds[sew.Partial], kinds[sew.Finish])
			assert.Empty(t, sew.Divide(nil, outlines).CheckJoins(steps))
		})
	}
}
