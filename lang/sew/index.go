package sew

import (
	"math"
	"slices"

	"sewable/lang/geom"
)

// An index finds the corners near a segment. Corners are put in Z-order
// (Morton, 1966) and boxed in groups, the groups boxed in groups, and so on.
// Unlike cells of one size, the boxes fit tightly wherever the corners are, so a
// long seam costs little where nothing lies beside it.
type index struct {
	points []geom.Point
	ids    []int32      // in Z-order
	levels [][]geom.Box // groups of groupSize ids, then groups of groupSize boxes below
}

const groupSize = 6

// fewPoints is the number up to which looking at each is fastest.
const fewPoints = 32

func newIndex(points []geom.Point) *index {
	if len(points) <= fewPoints {
		return &index{points: points}
	}
	x := &index{points: points, ids: make([]int32, len(points))}
	for i := range x.ids {
		x.ids[i] = int32(i)
	}
	if len(points) > 8*groupSize { // few come nearly in order by themselves
		b := geom.Polygon(points).Bounds()
		scale := (1<<16 - 1) / max(b.Width(), b.Height(), geom.Hair)
		keys := make([]uint64, len(points))
		for i, p := range points {
			z := spread(uint32((p.X-b.Min.X)*scale)) | spread(uint32((p.Y-b.Min.Y)*scale))<<1
			keys[i] = uint64(z)<<32 | uint64(i)
		}
		slices.Sort(keys)
		for i, k := range keys {
			x.ids[i] = int32(uint32(k))
		}
	}
	level := make([]geom.Box, 0, len(points)/groupSize+1)
	for at := 0; at < len(x.ids); at += groupSize {
		box := geom.Box{Min: points[x.ids[at]], Max: points[x.ids[at]]}
		for _, i := range x.ids[at:min(at+groupSize, len(x.ids))] {
			p := points[i]
			box = box.Union(geom.Box{Min: p, Max: p})
		}
		level = append(level, box)
	}
	x.levels = append(x.levels, level)
	for len(level) > 1 {
		up := make([]geom.Box, 0, len(level)/groupSize+1)
		for at := 0; at < len(level); at += groupSize {
			box := level[at]
			for _, b := range level[at:min(at+groupSize, len(level))] {
				box = box.Union(b)
			}
			up = append(up, box)
		}
		level = up
		x.levels = append(x.levels, level)
	}
	return x
}

// spread puts a zero bit before each of 16 bits.
func spread(v uint32) uint32 {
	v = (v | v<<8) & 0x00ff00ff
	v = (v | v<<4) & 0x0f0f0f0f
	v = (v | v<<2) & 0x33333333
	return (v | v<<1) & 0x55555555
}

// A reach is a segment and all places within a distance of it.
type reach struct {
	s        geom.Segment
	d        geom.Point
	dd       float64 // length squared
	within2  float64
	strip    float64 // distance times length
	box      geom.Box
	adx, ady float64
}

// near appends the corners no further than a distance from the segment.
func (x *index) near(dst []int32, s geom.Segment, within float64) []int32 {
	if len(x.points) == 0 {
		return dst
	}
	d := s.B.Sub(s.A)
	r := reach{s: s, d: d, dd: d.Dot(d), within2: within * within, box: s.Bounds().Grow(within), adx: math.Abs(d.X), ady: math.Abs(d.Y)}
	if x.levels == nil {
		for i, p := range x.points {
			if p.X >= r.box.Min.X && p.X <= r.box.Max.X && p.Y >= r.box.Min.Y && p.Y <= r.box.Max.Y && r.has(p) {
				dst = append(dst, int32(i))
			}
		}
		return dst
	}
	r.strip = within * math.Sqrt(r.dd)
	return x.visit(dst, &r, len(x.levels)-1, 0, len(x.levels[len(x.levels)-1]))
}

func (x *index) visit(dst []int32, r *reach, level, from, to int) []int32 {
	for i := from; i < min(to, len(x.levels[level])); i++ {
		if !r.meets(&x.levels[level][i]) {
			continue
		}
		if level > 0 {
			dst = x.visit(dst, r, level-1, i*groupSize, (i+1)*groupSize)
			continue
		}
		for _, id := range x.ids[i*groupSize : min((i+1)*groupSize, len(x.ids))] {
			if r.has(x.points[id]) {
				dst = append(dst, id)
			}
		}
	}
	return dst
}

// meets says whether a box may hold a place within reach.
func (r *reach) meets(b *geom.Box) bool {
	if b.Min.X > r.box.Max.X || b.Max.X < r.box.Min.X || b.Min.Y > r.box.Max.Y || b.Max.Y < r.box.Min.Y {
		return false
	}
	c := geom.Point{X: (b.Min.X+b.Max.X)/2 - r.s.A.X, Y: (b.Min.Y+b.Max.Y)/2 - r.s.A.Y}
	cross := math.Abs(r.d.X*c.Y - r.d.Y*c.X)
	// The factor leaves room for rounding.
	return cross <= (r.strip+(r.adx*(b.Max.Y-b.Min.Y)+r.ady*(b.Max.X-b.Min.X))/2)*(1+1e-12)+noise
}

func (r *reach) has(p geom.Point) bool {
	v := p.Sub(r.s.A)
	if t := v.Dot(r.d); t > 0 {
		if t >= r.dd {
			v = p.Sub(r.s.B)
		} else {
			cross := v.Cross(r.d)
			return cross*cross <= r.within2*r.dd
		}
	}
	return v.Dot(v) <= r.within2
}

// noise is the distance in hairs that arithmetic alone can make.
const noise = 1e-6
