package faces_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"sewable/lang/faces"
	"sewable/lang/geom"
)

var sizes = []int{1000, 2000, 4000, 8000, 10000, 16000, 32000}

// The drawings that the face finder is measured on. All are in a square of side
// hairs that grows with the number of lines, but for the bad cases.
var drawings = []struct {
	name string
	make func(n int) []geom.Segment
}{
	{"mesh", func(n int) []geom.Segment { // a grid of squares, each side a line
		k := int(math.Sqrt(float64(n) / 2))
		var out []geom.Segment
		for i := range k + 1 {
			for j := range k {
				a, b, c := float64(i)*20, float64(j)*20, float64(j+1)*20
				out = append(out, seg(b, a, c, a), seg(a, b, a, c))
			}
		}
		return out
	}},
	{"random", func(n int) []geom.Segment { // short lines, about one crossing each
		side := 30 * math.Sqrt(float64(n))
		return random(rand.New(rand.NewPCG(1, 1)), n, side, 80)
	}},
	{"rungs", func(n int) []geom.Segment { // long parallels that one line crosses
		out := []geom.Segment{seg(0, -5, 0, float64(n)*4)}
		for i := range n {
			out = append(out, seg(-1e5, float64(i)*4, 1e5, float64(i)*4))
		}
		return out
	}},
	{"slanting", func(n int) []geom.Segment { // long slanting parallels that touch nothing
		var out []geom.Segment
		for i := range n {
			x := float64(i) * 8
			out = append(out, seg(x, 0, x+1e5, 1e5))
		}
		return out
	}},
	{"fan", func(n int) []geom.Segment { // rays from a circle that touch nothing
		var out []geom.Segment
		for i := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			r := float64(n)
			out = append(out, seg(r*cos, r*sin, 30*r*cos, 30*r*sin))
		}
		return out
	}},
	{"nested", func(n int) []geom.Segment { // islands in islands
		var out []geom.Segment
		for i := range n / 4 {
			r := 5 * float64(i+1)
			out = append(out, lines(geom.Polygon{{X: -r, Y: -r}, {X: r, Y: -r}, {X: r, Y: r}, {X: -r, Y: r}})...)
		}
		return out
	}},
	{"crowd", func(n int) []geom.Segment { // all in one corner, and one far away
		side := 30 * math.Sqrt(float64(n))
		return append(random(rand.New(rand.NewPCG(1, 1)), n, side, 80), seg(1e8, 1e8, 1e8+100, 1e8))
	}},
}

func BenchmarkSubdivide(b *testing.B) {
	for _, d := range drawings {
		for _, n := range sizes {
			lines := d.make(n)
			b.Run(fmt.Sprintf("%s/%d", d.name, n), func(b *testing.B) {
				b.ReportAllocs()
				found := 0
				for b.Loop() {
					s, err := faces.Subdivide(lines, faces.Options{Close: 2.5})
					if err != nil {
						b.Fatal(err)
					}
					found = len(s.Faces)
				}
				b.ReportMetric(float64(found), "faces")
			})
		}
	}
}
