package sew

import (
	"slices"
	"sync"

	"sewable/lang/geom"
	"sewable/lang/memo"
)

// A Division is a region cut into parts: a section into its patches, or a
// block into its sections. It is built once, by the tolerances of cloth, and
// from then on everything is decided by which edges the parts share:
//
//   - corners nearer than a hair are one corner, at the place of the first
//     typed (the outline's corners first, then the parts' in order);
//   - an edge with a corner on it, within a hair, is cut there, and equal edges
//     are cut equally;
//   - what is left are edges that two parts share, and edges of the border.
//
// Parts are counted from 0 in the order given, which for a section is the
// written sewing order. A Division does not change once built and may be read
// by many goroutines at once.
type Division struct {
	points []geom.Point // the corners, by number
	halves []half       // the sides of the edges, part after part
	first  []int32      // part p has the halves first[p] to first[p+1]
	out    []int32      // the halves that leave a corner, corner after corner
	outAt  []int32      // corner v has out[outAt[v]] to out[outAt[v+1]]
	turn   []bool       // half h leaves a corner where its part turns for certain

	typed   []int32 // the corner each typed corner became; -1 for one without a place
	typedAt []int32 // polygon g has typed[typedAt[g]:typedAt[g+1]]; 0 is the outline, part p is p+1

	hasOutline bool
	flaws      []Flaw
	tangled    bool

	grid struct { // of the edges, half by half
		sync.Once
		of *geom.SegmentGrid
	}
	facts memo.Facts
}

// A half is one side of an edge, with its part on the left. It runs from the
// corner from to the corner its next one runs from.
type half struct {
	from, next, prev int32
	twin             int32 // the other side of the edge, or none
	part             int32
}

const none = -1

// far is the distance in hairs, some 200 km, past which a corner has no place.
const far = 1e9

// Parts is the number of parts.
func (d *Division) Parts() int { return len(d.first) - 1 }

// Corners is the number of different corners.
func (d *Division) Corners() int { return len(d.points) }

// Corner is the place of corner v.
func (d *Division) Corner(v int) geom.Point { return d.points[v] }

// Flawed says whether the parts fail to fill the outline exactly once. Nothing
// can be said of orders and joins then.
func (d *Division) Flawed() bool { return len(d.flaws) > 0 }

// Part is part p as it came to be: its corners welded, with those of its
// neighbours that lie on its edges, anticlockwise.
func (d *Division) Part(p int) geom.Polygon {
	var poly geom.Polygon
	for h := d.first[p]; h < d.first[p+1]; h++ {
		poly = append(poly, d.points[d.halves[h].from])
	}
	return poly
}

// Border is the edge of the region, loop by loop, each with the region on its
// left; one loop unless the region has holes or falls apart.
func (d *Division) Border() []geom.Polygon {
	var loops []geom.Polygon
	for _, loop := range d.borders() {
		poly := make(geom.Polygon, len(loop))
		for i, h := range loop {
			poly[i] = d.points[d.halves[h].from]
		}
		loops = append(loops, poly)
	}
	return loops
}

// Neighbours gives the parts that share an edge with part p, in increasing
// order.
func (d *Division) Neighbours(p int) []int {
	var ps []int
	for h := d.first[p]; h < d.first[p+1]; h++ {
		if t := d.halves[h].twin; t != none {
			ps = append(ps, int(d.halves[t].part))
		}
	}
	slices.Sort(ps)
	return slices.Compact(ps)
}

func (d *Division) from(h int32) geom.Point { return d.points[d.halves[h].from] }
func (d *Division) to(h int32) int32        { return d.halves[d.halves[h].next].from }

// segment is the edge of half h, with its part on the left.
func (d *Division) segment(h int32) geom.Segment {
	return geom.Segment{A: d.from(h), B: d.points[d.to(h)]}
}

// edges are the edges of the halves, by place.
func (d *Division) edges() *geom.SegmentGrid {
	d.grid.Do(func() {
		edges := make([]geom.Segment, len(d.halves))
		for h := range edges {
			edges[h] = d.segment(int32(h))
		}
		d.grid.of = geom.NewSegmentGrid(edges)
	})
	return d.grid.of
}

// across is the part on the other side of half h, or none.
func (d *Division) across(h int32) int32 {
	if t := d.halves[h].twin; t != none {
		return d.halves[t].part
	}
	return none
}

// borders gives the halves without another side, loop by loop. At a corner
// where the region touches itself a loop stays with the parts it came along.
func (d *Division) borders() [][]int32 {
	var loops [][]int32
	seen := make([]bool, len(d.halves))
	for h := range d.halves {
		if d.halves[h].twin != none || seen[h] {
			continue
		}
		var loop []int32
		for g := int32(h); !seen[g]; {
			seen[g] = true
			loop = append(loop, g)
			g = d.halves[g].next
			for d.halves[g].twin != none {
				g = d.halves[d.halves[g].twin].next
			}
		}
		loops = append(loops, loop)
	}
	return loops
}

// Flaws gives what is wrong, crossings and parts without area first, then by
// area, the largest first.
func (d *Division) Flaws() []Flaw { return d.flaws }

// Tangled says that the edges cross so often that gaps and overlaps were not
// measured: Flaws then holds one example.
func (d *Division) Tangled() bool { return d.tangled }

// way is the way that half h goes.
func (d *Division) way(h int32) geom.Point { return d.points[d.to(h)].Sub(d.from(h)) }
