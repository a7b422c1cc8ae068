package sew

import (
	"cmp"
	"slices"

	"sewable/lang/geom"
)

// measure finds gaps, overlaps and parts outside, with their areas.
func (b *builder) measure() {
	o := &overlay{b: b, setNo: map[string]int32{}}
	if !o.cross() {
		return
	}
	o.trace()
	o.cover()
	o.report()
}

// report turns the faces that are not covered exactly once into flaws.
func (o *overlay) report() {
	// A face is its outer cycle and the outside cycles of what lies in it.
	size := make([]float64, len(o.start))
	inner := make([][]int32, len(o.start))
	for c := range o.start {
		if into := o.into[c]; into != none {
			size[into] += o.area[c]
			if into != int32(c) {
				inner[into] = append(inner[into], int32(c))
			}
		}
	}
	type group struct {
		kind FlawKind
		key  int32
	}
	found := map[group]*Flaw{}
	largest := map[group]float64{}
	var order []group
	add := func(g group, parts []int32, c int32) {
		f := found[g]
		if f == nil {
			f = &Flaw{Kind: g.kind}
			for _, p := range parts {
				f.Parts = append(f.Parts, int(p-1))
			}
			found[g] = f
			order = append(order, g)
		}
		f.Area += size[c]
		if size[c] > largest[g] {
			largest[g] = size[c]
			f.Where = o.cycle(c)
			f.At = o.inside(c, inner[c])
		}
	}
	for c := range int32(len(o.start)) {
		if o.into[c] != c || !(size[c] > 0) {
			continue
		}
		of := o.sets[o.holds[c]]
		covered := !o.b.hasOutline || len(of) > 0 && of[0] == 0 // should be covered
		if len(of) > 0 && of[0] == 0 {
			of = of[1:]
		}
		if covered && len(of) == 0 {
			add(group{Gap, c}, nil, c)
		}
		if len(of) > 1 {
			add(group{Overlap, o.set(of)}, of, c)
		}
		if !covered {
			for i := range of {
				add(group{Outside, of[i]}, of[i:i+1], c)
			}
		}
	}
	var flaws []Flaw
	for _, g := range order {
		flaws = append(flaws, *found[g])
	}
	slices.SortStableFunc(flaws, func(f, g Flaw) int { return cmp.Compare(g.Area, f.Area) })
	// Beside a true flaw, slivers that come of cutting and welding say nothing.
	for len(flaws) > 1 && flaws[len(flaws)-1].Area < geom.Hair*geom.Hair {
		flaws = flaws[:len(flaws)-1]
	}
	if len(flaws) == 0 && len(o.b.flaws) == 0 {
		flaws = []Flaw{{Kind: Gap}} // too thin to be seen, yet the edges do not fit
		if len(o.edges) > 0 {
			flaws[0].At = o.points[o.edges[0].lo]
		}
	}
	o.b.flaws = append(o.b.flaws, flaws...)
}

func (o *overlay) cycle(c int32) geom.Polygon {
	var poly geom.Polygon
	for d := o.start[c]; ; {
		poly = append(poly, o.points[o.origin(d)])
		if d = o.next[d]; d == o.start[c] {
			return poly
		}
	}
}

// inside is a place well inside a face: the middle of the widest level line
// across it, among the heights halfway between its corners.
func (o *overlay) inside(c int32, holes []int32) geom.Point {
	loops := []geom.Polygon{o.cycle(c)}
	for _, h := range holes {
		loops = append(loops, o.cycle(h))
	}
	var ys []float64
	for _, l := range loops {
		for _, p := range l {
			ys = append(ys, p.Y)
		}
	}
	slices.Sort(ys)
	ys = slices.Compact(ys)
	for len(ys) > 200 { // far more than a face needs
		half := ys[:0]
		for i := 0; i < len(ys); i += 2 {
			half = append(half, ys[i])
		}
		ys = half
	}
	best, widest := loops[0][0], 0.0
	var xs []float64
	for i := 1; i < len(ys); i++ {
		y := (ys[i-1] + ys[i]) / 2
		xs = xs[:0]
		for _, l := range loops {
			for k := range l {
				a, b := l[k], l[(k+1)%len(l)]
				if (a.Y <= y) != (b.Y <= y) {
					xs = append(xs, a.X+(b.X-a.X)*(y-a.Y)/(b.Y-a.Y))
				}
			}
		}
		slices.Sort(xs)
		for k := 0; k+1 < len(xs); k += 2 {
			// Wide and high: the least of the two counts.
			if w := min(xs[k+1]-xs[k], ys[i]-ys[i-1]); w > widest {
				widest = w
				best = geom.Point{X: (xs[k] + xs[k+1]) / 2, Y: y}
			}
		}
	}
	return best
}
