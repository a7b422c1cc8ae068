package cloth

import (
	"math"
	"slices"
)

// AreaBound is the length that the pieces would take if they filled the cloth
// without waste; no plan is shorter.
func AreaBound(wanted []Wanted, width float64) float64 {
	var area float64
	for _, w := range wanted {
		area += w.Along * w.Across * float64(w.Count)
	}
	return area / width
}

// LeastLength is a better bound: no way of cutting the pieces, with a ruler or
// without, takes less of the cloth's length. It is at least AreaBound, and at least
// the piece that reaches furthest up the cloth however it is turned. Of few sizes it
// also knows that nothing fits above a piece that is nearly as high as the cloth is
// long, nor beside one that is nearly as wide: see refuted.
func LeastLength(wanted []Wanted, width float64) float64 {
	least := max(AreaBound(wanted, width), furthestUp(wanted, width))
	const maxSizes = 48 // more of them fill each other's gaps
	if len(wanted) > maxSizes {
		return least
	}
	b, whole := newBounds(wanted, width)
	from := int(math.Ceil(least/b.unit - eps))
	length := from
	for ; length < from+64 && b.refuted(length); length++ {
	}
	if !whole { // lengths are no whole units; all that is known is that a unit less will not do
		length--
	}
	return max(least, float64(length)*b.unit)
}

// furthestUp is how far the piece reaches that reaches furthest up the cloth
// when each lies as low as it can.
func furthestUp(wanted []Wanted, width float64) (least float64) {
	for _, w := range wanted {
		if w.Count == 0 {
			continue
		}
		up := math.Inf(1)
		if w.Along <= width+eps {
			up = w.Across
		}
		if !w.Keeps && w.Across <= width+eps {
			up = min(up, w.Along)
		}
		if !math.IsInf(up, 1) {
			least = max(least, up)
		}
	}
	return least
}

// bounds are pieces in whole units, rounded so that what holds of them holds of
// the pieces themselves: pieces down and the cloth up.
type bounds struct {
	unit  float64
	width int
	boxes []box
	sides []int // all that there are
}

type box struct {
	along, across, count int
	keeps                bool
}

// newBounds also says whether the sizes are whole units. Then so is the length of a
// shortest plan: pushed down as far as they go, pieces stand on each other.
func newBounds(wanted []Wanted, width float64) (b *bounds, whole bool) {
	b = &bounds{unit: unitOf(wanted, width)}
	whole = true
	units := func(x float64) int {
		n := x / b.unit
		whole = whole && math.Abs(n-math.Round(n)) <= eps
		return int(math.Floor(n + eps))
	}
	for _, w := range wanted {
		if w.Count > 0 {
			b.boxes = append(b.boxes, box{units(w.Along), units(w.Across), w.Count, w.Keeps})
		}
	}
	b.width = int(math.Ceil(width/b.unit - eps))
	if whole { // pushed to the left they end at a whole unit too
		b.width = int(math.Floor(width/b.unit + eps))
	}
	for _, x := range b.boxes {
		b.sides = append(b.sides, x.along, x.across)
	}
	slices.Sort(b.sides)
	b.sides = slices.Compact(b.sides)
	return b, whole
}

// scale rates lengths up to a whole one so that those that lie end to end in it
// never rate more than it does: a dual feasible function.
type scale struct {
	whole, rated int
	of           func(x int) int
}

// scales are the plain one and, for half of the whole and every side e up to that, two more.
// In the first nothing shorter than e counts, so what leaves less than e beside it
// counts for the whole; in the second lengths count in steps of e. Both are
// from memory: Fekete and Schepers, "A general framework for bounds for
// higher-dimensional orthogonal packing problems", Mathematical Methods of Operations Research
// 60 (2004); Carlier, Clautiaux and Moukrim, "New reduction procedures and lower bounds for the
// two-dimensional bin packing problem with fixed orientation", Computers & Operations Research
// 34 (2007).
func (b *bounds) scales(whole int) []scale {
	out := []scale{{whole, whole, func(x int) int { return x }}}
	for _, e := range append([]int{whole / 2}, b.sides...) {
		if e < 1 || 2*e > whole {
			continue
		}
		out = append(out, scale{whole, whole, func(x int) int {
			switch {
			case x < e:
				return 0
			case x > whole-e:
				return whole
			}
			return x
		}}, scale{whole, 2 * (whole / e), func(x int) int {
			switch {
			case 2*x < whole:
				return 2 * (x / e)
			case 2*x > whole:
				return 2 * (whole/e - (whole-x)/e)
			}
			return whole / e
		}})
	}
	return out
}

// refuted says whether a length is shown to be too short. Whatever two scales the
// cloth's width and length are measured by, pieces that lie on it have no greater area than
// it has, each turned as it may lie.
func (b *bounds) refuted(length int) bool {
	across, up := rate(b.sides, b.scales(b.width)), rate(b.sides, b.scales(length))
	index := make(map[int]int, len(b.sides))
	for i, s := range b.sides {
		index[s] = i
	}
	for _, f := range across {
		for _, g := range up {
			area := 0
			for _, x := range b.boxes {
				i, j := index[x.along], index[x.across]
				least := math.MaxInt
				if x.along <= b.width && x.across <= length {
					least = f.by[i] * g.by[j]
				}
				if !x.keeps && x.across <= b.width && x.along <= length {
					least = min(least, f.by[j]*g.by[i])
				}
				if least < math.MaxInt { // else the cloth is too narrow for it at any length
					area += least * x.count
				}
			}
			if area > f.rated*g.rated {
				return true
			}
		}
	}
	return false
}

// rated are all sides by a scale.
type rated struct {
	rated int
	by    []int
}

func rate(sides []int, scales []scale) []rated {
	out := make([]rated, len(scales))
	for i, s := range scales {
		out[i] = rated{s.rated, make([]int, len(sides))}
		for j, x := range sides {
			if x <= s.whole {
				out[i].by[j] = s.of(x)
			}
		}
	}
	return out
}
