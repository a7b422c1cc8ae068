package geom

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

func BenchmarkArea(b *testing.B) {
	poly := Polygon{{0, 0}, {500, 0}, {430, 170}, {60, 150}}
	for b.Loop() {
		poly.Area()
	}
}

func BenchmarkCrossing(b *testing.B) {
	for _, n := range []int{20, 500, 5000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			poly := bay(n)
			for b.Loop() {
				Crossing(poly)
			}
		})
	}
}

func BenchmarkCut(b *testing.B) {
	for _, c := range []struct {
		name string
		poly Polygon
	}{{"square", block(0, 0, 762)}, {"L", ell}, {"bay-500", bay(500)}, {"bay-5000", bay(5000)}} {
		bounds := c.poly.Bounds()
		p, q := bounds.Min.Add(Point{10, bounds.Height() / 9}), bounds.Max.Sub(Point{10, bounds.Height() * 0.8})
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				for _, chord := range Chords(c.poly, p, q) {
					Split(c.poly, chord)
				}
			}
		})
	}
}

func BenchmarkGrow(b *testing.B) {
	for name, poly := range map[string]Polygon{"square": block(0, 0, 762), "L": ell, "bay-100": bay(100)} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				Grow(poly, Inch/4)
			}
		})
	}
}

func BenchmarkMinAreaRectangle(b *testing.B) {
	for b.Loop() {
		MinAreaRectangle(ell)
	}
}

// A division of 5,000 parts has about 20,000 edges; a tenth of it is there to
// show how the work grows.
func BenchmarkDivision(b *testing.B) {
	for _, parts := range []int{500, 5000} {
		rng := rand.New(rand.NewPCG(1, 2))
		division := division(b, rng, block(0, 0, 40*Inch), parts)
		var corners []Point
		var edges []Segment
		for _, part := range division {
			for i := range part {
				corners, edges = append(corners, part[i]), append(edges, part.Edge(i))
			}
		}
		b.Run(fmt.Sprintf("weld-%d", len(edges)), func(b *testing.B) {
			for b.Loop() {
				var w Welder
				for _, p := range corners {
					w.Add(p)
				}
			}
		})
		b.Run(fmt.Sprintf("corners-on-edges-%d", len(edges)), func(b *testing.B) {
			for b.Loop() {
				grid, found := NewPointGrid(corners), 0
				for _, e := range edges {
					for range grid.Near(e, Hair) {
						found++
					}
				}
			}
		})
		b.Run(fmt.Sprintf("edges-near-edges-%d", len(edges)), func(b *testing.B) {
			for b.Loop() {
				grid := NewSegmentGrid(edges)
				var near []int
				for _, e := range edges {
					near = grid.AppendNear(near[:0], e, 0)
				}
			}
		})
		b.Run(fmt.Sprintf("union-%d", len(edges)), func(b *testing.B) {
			for b.Loop() {
				UnionOutline(division)
			}
		})
	}
}
