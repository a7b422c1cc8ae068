package plan_test

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/sew/plan"
)

// sliced cuts a square by random chords of the largest piece, or of any.
func sliced(seed uint64, n int, places []float64) *sew.Division {
	r := rand.New(rand.NewPCG(seed, 1))
	whole := box(0, 0, 30, 30)
	parts := []geom.Polygon{whole}
	for len(parts) < n {
		k := r.IntN(len(parts))
		if r.IntN(3) > 0 {
			for i := range parts {
				if parts[i].Area() > parts[k].Area() {
					k = i
				}
			}
		}
		p := parts[k]
		i, j := r.IntN(len(p)), r.IntN(len(p))
		if i == j {
			continue
		}
		i, j = min(i, j), max(i, j)
		at := func(k int) geom.Point {
			t := 0.25 + 0.5*r.Float64()
			if places != nil {
				t = places[r.IntN(len(places))]
			}
			return p.Edge(k).At(t)
		}
		from, to := at(i), at(j)
		a := append(append(geom.Polygon{from}, p[i+1:j+1]...), to)
		b := append(append(append(geom.Polygon{to}, p[j+1:]...), p[:i+1]...), from)
		if min(a.Area(), b.Area()) > geom.Inch*geom.Inch/4 {
			parts[k] = a
			parts = append(parts, b)
		}
	}
	return sew.Divide(whole, parts)
}

// ruled cuts a square by lines through all of it.
func ruled(seed uint64, lines int) *sew.Division {
	r := rand.New(rand.NewPCG(seed, 2))
	whole := box(0, 0, 30, 30)
	parts := []geom.Polygon{whole}
	for range lines {
		p, q := whole.Edge(r.IntN(4)).At(0.1+0.8*r.Float64()), whole.Edge(r.IntN(4)).At(0.1+0.8*r.Float64())
		var next []geom.Polygon
		for _, x := range parts {
			if cs := geom.Chords(x, p, q); len(cs) > 0 {
				a, b := geom.Split(x, cs[0])
				next = append(next, a, b)
			} else {
				next = append(next, x)
			}
		}
		parts = next
	}
	return sew.Divide(whole, parts)
}

// star is a middle with n sides, and beyond each a point in so many pieces.
func star(n, pieces int) *sew.Division {
	var middle geom.Polygon
	for i := range n {
		middle = append(middle, regular(n, i, 10, 0))
	}
	parts := []geom.Polygon{middle}
	for i := range n {
		e := middle.Edge(i)
		tip := e.Mid().Scale(1.3)
		for j := range pieces {
			parts = append(parts, geom.Polygon{e.At(float64(j) / float64(pieces)), tip, e.At(float64(j+1) / float64(pieces))})
		}
	}
	return sew.Divide(nil, parts)
}

// squares is a grid of squares, each of so many triangles: two or four.
func squares(columns, rows, triangles int) *sew.Division {
	var parts []geom.Polygon
	for i, b := range grid(columns, rows) {
		c := b.Bounds().Centre()
		k := (i*i + i/3) % 4
		for t := range triangles {
			if triangles == 4 {
				parts = append(parts, geom.Polygon{b[t], b[(t+1)%4], c})
			} else {
				parts = append(parts, geom.Polygon{b[(k+2*t)%4], b[(k+2*t+1)%4], b[(k+2*t+2)%4]})
			}
		}
	}
	return sew.Divide(nil, parts)
}

func squareGrid(columns, rows int) *sew.Division { return sew.Divide(nil, grid(columns, rows)) }

// What 40 patches cost at worst, proof included; and what is found in 5 s for 300.
func BenchmarkPlan(b *testing.B) {
	halfway := []float64{0.25, 1. / 3, 0.5, 0.5, 0.75}
	for _, x := range []struct {
		name string
		d    *sew.Division
	}{
		{"40/grid", squareGrid(5, 8)},
		{"40/halves", squares(4, 5, 2)},
		{"40/quarters", squares(2, 5, 4)},
		{"40/lines", ruled(79, 16)},
		{"40/sliced", sliced(3, 40, nil)},
		{"40/halfway", sliced(0, 40, halfway)},
		{"40/star of pairs", star(19, 2)},
		{"40/star of threes", star(13, 3)},
		{"300/grid", squareGrid(15, 20)},
		{"300/halves", squares(10, 15, 2)},
		{"300/quarters", squares(5, 15, 4)},
		{"300/lines", ruled(1, 43)},
		{"300/sliced", sliced(3, 300, nil)},
		{"300/halfway", sliced(1, 300, halfway)},
	} {
		b.Run(x.name, func(b *testing.B) {
			b.ReportAllocs()
			var p *plan.Plan
			for b.Loop() {
				ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
				p = plan.Of(ctx, x.d, plan.Options{Weights: plan.DefaultWeights})
				cancel()
			}
			if p == nil {
				b.Fatal("no plan")
			}
			proved := 0.0
			if p.Proved {
				proved = 1
			}
			b.ReportMetric(float64(x.d.Parts()), "patches")
			b.ReportMetric(float64(p.Cost.Sections), "sections")
			b.ReportMetric(float64(p.Cost.Sections-p.Least), "gap")
			b.ReportMetric(proved, "proved")
			b.ReportMetric(math.Round(float64(p.Regions)), "regions")
		})
	}
}
