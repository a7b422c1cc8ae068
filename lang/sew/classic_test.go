package sew_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"sewable/lang/geom"
	"sewable/lang/sew"
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

// regular is the i-th corner of a regular n-gon about (0, 0), in inches.
func regular(n, i int, radius, start float64) geom.Point {
	sin, cos := math.Sincos((start + 360*float64(i)/float64(n)) * math.Pi / 180)
	return geom.Point{X: radius * cos * geom.Inch, Y: radius * sin * geom.Inch}
}

// Which classic blocks are sewable in one section: common practice. They are
// drawn from their descriptions; the written order is the trade's where there
// is one.
func TestClassicBlocks(t *testing.T) {
	var rosette, starSetIn []geom.Polygon
	hexagon := func(cx, cy float64) geom.Polygon {
		var p geom.Polygon
		for i := range 6 {
			p = append(p, regular(6, i, 1, 0).Add(geom.Point{X: cx * geom.Inch, Y: cy * geom.Inch}))
		}
		return p
	}
	rosette = append(rosette, hexagon(0, 0))
	for i := range 6 {
		c := regular(6, i, math.Sqrt(3)/geom.Inch, 30)
		rosette = append(rosette, hexagon(c.X, c.Y))
	}
	// An eight-pointed star of diamonds, with squares and triangles set in.
	star := func(i int) geom.Point { return regular(8, i, 2, 22.5) }
	for i := range 8 {
		starSetIn = append(starSetIn, geom.Polygon{{}, star(i), star(i).Add(star(i + 1)), star(i + 1)})
	}
	corner := func(i int) geom.Point { return star(i).Add(star(i + 1)) }
	for i := range 8 { // between two points: to the corner of the block, or to its edge
		a, b, v := corner(i), corner(i+1), star(i+1)
		starSetIn = append(starSetIn, geom.Polygon{v, a, b})
	}
	// A pineapple is a square in rounds of straight strips and of diagonal ones,
	// each round beyond four lines at a distance from the middle, in inches.
	var lines []line
	for _, round := range []struct{ turned, distance float64 }{{0, 1}, {45, 1.2}, {0, 1.5}, {45, 1.9}, {0, 2.1}, {45, 2.6}} {
		for i := range 4 {
			lines = append(lines, line{round.turned + 90*float64(i), round.distance})
		}
	}
	pineapple := beyond(box(-3, -3, 3, 3), lines)

	tests := []struct {
		name    string
		outline geom.Polygon
		patches []geom.Polygon
		order   bool // sewable as written
		sewable bool // in some order
	}{
		{"strips", box(0, 0, 6, 6), []geom.Polygon{box(0, 0, 2, 6), box(2, 0, 4, 6), box(4, 0, 6, 6)}, true, true},
		{"strips from the outside in", box(0, 0, 6, 6), []geom.Polygon{box(0, 0, 2, 6), box(4, 0, 6, 6), box(2, 0, 4, 6)}, false, true},
		{"log cabin", box(0, 0, 5, 5), []geom.Polygon{
			box(2, 2, 3, 3), box(2, 1, 3, 2), box(3, 1, 4, 3), box(2, 3, 4, 4), box(1, 1, 2, 4),
			box(1, 0, 4, 1), box(4, 0, 5, 4), box(1, 4, 5, 5), box(0, 0, 1, 5),
		}, true, true},
		{"flying geese", box(0, 0, 4, 4), []geom.Polygon{
			in(0, 0, 4, 0, 2, 2), in(0, 0, 2, 2, 0, 2), in(4, 0, 4, 2, 2, 2),
			in(0, 2, 4, 2, 2, 4), in(0, 2, 2, 4, 0, 4), in(4, 2, 4, 4, 2, 4),
		}, true, true},
		{"flying geese, goose last", box(0, 0, 4, 2), []geom.Polygon{
			in(0, 0, 2, 2, 0, 2), in(4, 0, 4, 2, 2, 2), in(0, 0, 4, 0, 2, 2),
		}, false, true},
		{"square in a square", box(0, 0, 4, 4), []geom.Polygon{
			in(2, 0, 4, 2, 2, 4, 0, 2), in(0, 0, 2, 0, 0, 2), in(2, 0, 4, 0, 4, 2), in(4, 2, 4, 4, 2, 4), in(0, 2, 2, 4, 0, 4),
		}, true, true},
		{"half-square triangle", box(0, 0, 3, 3), []geom.Polygon{in(0, 0, 3, 0, 3, 3), in(0, 0, 3, 3, 0, 3)}, true, true},
		{"half-rectangle triangle", box(0, 0, 2, 4), []geom.Polygon{in(0, 0, 2, 0, 2, 4), in(0, 0, 2, 4, 0, 4)}, true, true},
		{"pineapple", box(-3, -3, 3, 3), pineapple, true, true},
		{"crazy-pieced chain", nil, []geom.Polygon{
			in(0, 0, 3, 0.5, 2.5, 2), in(2.5, 2, 0, 0, -0.5, 2.5), in(2.5, 2, -0.5, 2.5, 1.5, 4), in(1.5, 4, -0.5, 2.5, -1, 4.5),
		}, true, true},

		{"four-patch", box(0, 0, 4, 4), []geom.Polygon{box(0, 0, 2, 2), box(2, 0, 4, 2), box(0, 2, 2, 4), box(2, 2, 4, 4)}, false, false},
		{"offset four-patch", box(0, 0, 4, 4), []geom.Polygon{box(0, 0, 2, 2), box(2, 0, 4, 2), box(0, 2, 1, 4), box(1, 2, 4, 4)}, false, false},
		{"quarter-square X", box(0, 0, 4, 4), []geom.Polygon{in(0, 0, 4, 0, 2, 2), in(4, 0, 4, 4, 2, 2), in(4, 4, 0, 4, 2, 2), in(0, 4, 0, 0, 2, 2)}, false, false},
		{"nine-patch", box(0, 0, 3, 3), []geom.Polygon{
			box(0, 0, 1, 1), box(1, 0, 2, 1), box(2, 0, 3, 1), box(0, 1, 1, 2), box(1, 1, 2, 2), box(2, 1, 3, 2), box(0, 2, 1, 3), box(1, 2, 2, 3), box(2, 2, 3, 3),
		}, false, false},
		{"pinwheel with a square centre", box(0, 0, 3, 3), []geom.Polygon{
			box(1, 1, 2, 2), box(0, 0, 2, 1), box(2, 0, 3, 2), box(1, 2, 3, 3), box(0, 1, 1, 3),
		}, false, false},
		{"three-way Y", box(0, 0, 4, 4), []geom.Polygon{in(0, 0, 4, 0, 4, 1, 2, 2, 0, 1), in(0, 1, 2, 2, 2, 4, 0, 4), in(2, 2, 4, 1, 4, 4, 2, 4)}, false, false},
		{"hexagon rosette", nil, rosette, false, false},
		{"eight-pointed star with set-in corners", nil, starSetIn, false, false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			d := sew.Divide(tt.outline, tt.patches)
			require.Empty(t, d.Flaws())
			bad := d.CheckOrder(d.Written())
			require.Equal(t, tt.order, bad == nil, "%+v", bad)
			order, core := d.FindOrder()
			require.Equal(t, tt.sewable, order != nil, "core %v", core)
			if order != nil {
				require.Nil(t, d.CheckOrder(order), "%v", order)
			}
		})
	}
}

// line is at a distance from (0, 0), in inches, in a direction in degrees.
type line struct{ turned, distance float64 }

// beyond cuts a convex outline as the language does: each line's patch is what
// lies on its far side, until later ones take their part.
func beyond(outline geom.Polygon, lines []line) []geom.Polygon {
	patches := make([]geom.Polygon, len(lines)+1)
	rest := outline
	for i := len(lines) - 1; i >= 0; i-- {
		sin, cos := math.Sincos(lines[i].turned * math.Pi / 180)
		n, at := geom.Point{X: cos, Y: sin}, lines[i].distance*geom.Inch
		patches[i+1] = clip(rest, n.Scale(-1), -at)
		rest = clip(rest, n, at)
	}
	patches[0] = rest
	return patches
}

// clip is the part of a convex polygon where n · p is at most a limit.
func clip(poly geom.Polygon, n geom.Point, limit float64) geom.Polygon {
	var out geom.Polygon
	for i := range poly {
		e := poly.Edge(i)
		da, db := n.Dot(e.A)-limit, n.Dot(e.B)-limit
		if da <= 0 {
			out = append(out, e.A)
		}
		if da < 0 && db > 0 || da > 0 && db < 0 {
			out = append(out, e.At(da/(da-db)))
		}
	}
	return out
}
