package sew_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"sewable/lang/geom"
	"sewable/lang/sew"
)

// The benchmark divisions, all of n patches and sewable as written.
var benchDivisions = []struct {
	name  string
	build func(n int) (geom.Polygon, []geom.Polygon)
}{
	{"strips", func(n int) (geom.Polygon, []geom.Polygon) {
		var parts []geom.Polygon
		w := 20.0
		for i := range n {
			x := float64(i) * w
			parts = append(parts, hairs(x, 0, x+w, 0, x+w, 2000, x, 2000))
		}
		return hairs(0, 0, float64(n)*w, 0, float64(n)*w, 2000, 0, 2000), parts
	}},
	{"logcabin", func(n int) (geom.Polygon, []geom.Polygon) {
		x0, y0, x1, y1 := 0.0, 0.0, 30.0, 30.0
		parts := []geom.Polygon{hairs(x0, y0, x1, y0, x1, y1, x0, y1)}
		for i := 1; i < n; i++ {
			const w = 30
			switch i % 4 {
			case 0:
				parts = append(parts, hairs(x0, y0-w, x1, y0-w, x1, y0, x0, y0))
				y0 -= w
			case 1:
				parts = append(parts, hairs(x1, y0, x1+w, y0, x1+w, y1, x1, y1))
				x1 += w
			case 2:
				parts = append(parts, hairs(x0, y1, x1, y1, x1, y1+w, x0, y1+w))
				y1 += w
			case 3:
				parts = append(parts, hairs(x0-w, y0, x0, y0, x0, y1, x0-w, y1))
				x0 -= w
			}
		}
		return hairs(x0, y0, x1, y0, x1, y1, x0, y1), parts
	}},
	{"slants", slants},
}

// slants cuts piece after piece of equal area off a square, at any slant.
func slants(n int) (geom.Polygon, []geom.Polygon) {
	r := rand.New(rand.NewPCG(5, 5))
	side := 100 * math.Sqrt(float64(n))
	outline := hairs(0, 0, side, 0, side, side, 0, side)
	parts := make([]geom.Polygon, n)
	rest := outline
	for k := n - 1; k > 0; {
		sin, cos := math.Sincos(r.Float64() * 2 * math.Pi)
		dir := geom.Point{X: cos, Y: sin}
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, c := range rest {
			lo, hi = min(lo, dir.Dot(c)), max(hi, dir.Dot(c))
		}
		want := rest.Area() / float64(k+1)
		for range 40 {
			if mid := (lo + hi) / 2; clip(rest, dir.Scale(-1), -mid).Area() > want {
				lo = mid
			} else {
				hi = mid
			}
		}
		if slices.ContainsFunc(rest, func(c geom.Point) bool { return math.Abs(dir.Dot(c)-hi) < 8 }) {
			continue // nothing near misses
		}
		parts[k] = clip(rest, dir.Scale(-1), -hi)
		rest = clip(rest, dir, hi)
		k--
	}
	parts[0] = rest
	return outline, parts
}

// One section: its division, its order checked, and (backwards) found.
func BenchmarkSection(b *testing.B) {
	for _, kind := range benchDivisions {
		for _, n := range []int{30, 50, 500, 5000, 50000} {
			b.Run(fmt.Sprintf("%s/%d", kind.name, n), func(b *testing.B) { benchmarkSection(b, kind.build, n) })
		}
	}
}

func benchmarkSection(b *testing.B, build func(int) (geom.Polygon, []geom.Polygon), n int) {
	outline, parts := build(n)
	d := sew.Divide(outline, parts)
	if d.Flawed() || d.CheckOrder(d.Written()) != nil {
		b.Fatal(d.Flaws(), d.CheckOrder(d.Written()))
	}
	reversed := slices.Clone(parts)
	slices.Reverse(reversed)
	back := sew.Divide(outline, reversed)
	b.Run("divide", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			sew.Divide(outline, parts)
		}
	})
	b.Run("check", func(b *testing.B) {
		for b.Loop() {
			d.CheckOrder(d.Written())
		}
	})
	b.Run("find", func(b *testing.B) {
		for b.Loop() {
			if order, _ := back.FindOrder(); order == nil {
				b.Fatal("no order")
			}
		}
	})
	b.Run("nearmiss", func(b *testing.B) {
		for b.Loop() {
			d.NearMisses(8)
		}
	})
}

// A division with one patch laid over others: what a flaw costs.
func BenchmarkFlawed(b *testing.B) {
	for _, n := range []int{50, 500, 5000} {
		outline, parts := slants(n)
		parts = append(parts, hairs(10, 10, 300, 20, 200, 290))
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				if d := sew.Divide(outline, parts); !d.Flawed() || d.Tangled() {
					b.Fatal(d.Flaws())
				}
			}
		})
	}
}
