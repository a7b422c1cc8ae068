package faces

import (
	"cmp"
	"math"
	"slices"

	"sewable/lang/geom"
)

// A tree finds the segments near a segment among many. Upright boxes around
// long slanted segments all overlap, however far apart the segments are; so long
// ones are sorted by direction, and the boxes of each direction lie along it.
type tree struct{ stands []*stand }

// A stand is the segments of about one direction, in boxes that are turned with
// it: levels[0] has a box for every segment, each further level one for every
// fan boxes of the level below.
type stand struct {
	cos, sin float64
	items    []int32
	levels   [][]box
}

type box struct{ x0, y0, x1, y1 float64 }

const (
	fan        = 6
	directions = 256  // into which long segments are sorted, at most
	slack      = 1e-5 // hairs: what turning costs at the furthest
)

func newTree(segments []geom.Segment) *tree {
	all := geom.Box{}
	for i, s := range segments {
		if i == 0 {
			all = s.Bounds()
		}
		all = all.Union(s.Bounds())
	}
	long := 3 * (all.Width() + all.Height()) / math.Sqrt(float64(len(segments)))
	n := 0
	for _, s := range segments {
		if s.Len() > long {
			n++
		}
	}
	sorted := make([][]int32, min(int(math.Sqrt(float64(n))), directions)+1)
	toward := make([]geom.Point, len(sorted)) // the sum of each direction's segments
	short := len(sorted) - 1
	for i, s := range segments {
		k, d := short, s.B.Sub(s.A)
		if short > 0 && d.Len() > long {
			turn := math.Round(math.Atan2(d.Y, d.X) / math.Pi * float64(short))
			k = (int(turn) + 2*short) % short
			if d.Dot(toward[k]) < 0 {
				d = d.Scale(-1)
			}
			toward[k] = toward[k].Add(d)
		}
		sorted[k] = append(sorted[k], int32(i))
	}
	t := &tree{}
	for k, items := range sorted {
		if len(items) == 0 {
			continue
		}
		st := &stand{cos: 1, items: items}
		if k < short {
			d := toward[k].Scale(1 / toward[k].Len())
			st.cos, st.sin = d.X, d.Y
		}
		st.build(segments)
		t.stands = append(t.stands, st)
	}
	return t
}

func newPointTree(points []geom.Point) *tree {
	segments := make([]geom.Segment, len(points))
	for i, p := range points {
		segments[i] = geom.Segment{A: p, B: p}
	}
	return newTree(segments)
}

func (st *stand) turn(p geom.Point) geom.Point {
	return geom.Point{X: p.X*st.cos + p.Y*st.sin, Y: p.Y*st.cos - p.X*st.sin}
}

// build orders the segments along a curve that keeps near what is near, and
// boxes them. How far apart two places are is measured in boxes: long flat boxes
// are told apart by height first.
func (st *stand) build(segments []geom.Segment) {
	boxes := make([]box, len(st.items))
	w, h := 0.0, 0.0
	all := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for i, item := range st.items {
		p, q := st.turn(segments[item].A), st.turn(segments[item].B)
		b := box{min(p.X, q.X), min(p.Y, q.Y), max(p.X, q.X), max(p.Y, q.Y)}
		boxes[i] = b
		w, h = w+b.x1-b.x0, h+b.y1-b.y0
		all = all.with(b)
	}
	n := float64(len(boxes))
	const finest = 1 << 20
	w = max(w/n/2, (all.x1-all.x0)/finest, slack)
	h = max(h/n/2, (all.y1-all.y0)/finest, slack)
	type place struct {
		key uint64
		i   int32
	}
	order := make([]place, len(boxes))
	for i, b := range boxes {
		x := ((b.x0+b.x1)/2 - all.x0) / w
		y := ((b.y0+b.y1)/2 - all.y0) / h
		order[i] = place{spread(x) | spread(y)<<1, int32(i)}
	}
	slices.SortFunc(order, func(a, b place) int { return cmp.Or(cmp.Compare(a.key, b.key), cmp.Compare(a.i, b.i)) })
	items, level := make([]int32, len(order)), make([]box, len(order))
	for k, o := range order {
		items[k], level[k] = st.items[o.i], boxes[o.i]
	}
	st.items = items
	for {
		st.levels = append(st.levels, level)
		if len(level) <= 1 {
			return
		}
		up := make([]box, (len(level)+fan-1)/fan)
		for i := range up {
			up[i] = level[i*fan]
			for _, b := range level[i*fan+1 : min(len(level), (i+1)*fan)] {
				up[i] = up[i].with(b)
			}
		}
		level = up
	}
}

func (b box) with(c box) box {
	return box{min(b.x0, c.x0), min(b.y0, c.y0), max(b.x1, c.x1), max(b.y1, c.y1)}
}

// spread puts a zero before every bit.
func spread(f float64) uint64 {
	x := uint64(max(0, min(f, 1<<31-1)))
	x = (x | x<<16) & 0x0000ffff0000ffff
	x = (x | x<<8) & 0x00ff00ff00ff00ff
	x = (x | x<<4) & 0x0f0f0f0f0f0f0f0f
	x = (x | x<<2) & 0x3333333333333333
	return (x | x<<1) & 0x5555555555555555
}

// near visits the segments that may come within a distance of s: all that do,
// and few that do not.
func (t *tree) near(s geom.Segment, within float64, visit func(i int32)) {
	within += slack
	for _, st := range t.stands {
		p, q := st.turn(s.A), st.turn(s.B)
		d := q.Sub(p)
		st.search(len(st.levels)-1, 0, 1, probe{
			box:  box{min(p.X, q.X) - within, min(p.Y, q.Y) - within, max(p.X, q.X) + within, max(p.Y, q.Y) + within},
			p:    p,
			d:    d,
			ax:   math.Abs(d.X),
			ay:   math.Abs(d.Y),
			room: within * (math.Abs(d.X) + math.Abs(d.Y)),
		}, visit)
	}
}

// A probe is the segment that is asked about, in the frame of a stand.
type probe struct {
	box
	p, d         geom.Point
	ax, ay, room float64
}

func (pr *probe) meets(b box) bool {
	if b.x0 > pr.x1 || b.x1 < pr.x0 || b.y0 > pr.y1 || b.y1 < pr.y0 {
		return false
	}
	// Is the box on both sides of the line?
	cx, cy := (b.x0+b.x1)/2-pr.p.X, (b.y0+b.y1)/2-pr.p.Y
	hx, hy := (b.x1-b.x0)/2, (b.y1-b.y0)/2
	return math.Abs(pr.d.X*cy-pr.d.Y*cx) <= pr.ax*hy+pr.ay*hx+pr.room
}

func (st *stand) search(level, from, to int, pr probe, visit func(i int32)) {
	boxes := st.levels[level]
	for i := from; i < min(to, len(boxes)); i++ {
		switch {
		case !pr.meets(boxes[i]):
		case level == 0:
			visit(st.items[i])
		default:
			st.search(level-1, i*fan, (i+1)*fan, pr, visit)
		}
	}
}

// firstLeft is the segment that a level ray from p to the left meets first, as far as x = far. A
// segment meets it when it has one end above the ray and the other on it or below,
// strictly left of p. The ray is made longer until it meets something.
func (t *tree) firstLeft(segments []geom.Segment, p geom.Point, step, far float64) (best int32, found bool) {
	bestX, bestSlope := math.Inf(-1), 0.0
	for reach := step; !found; reach *= 2 {
		end := max(far, p.X-reach)
		t.near(geom.Segment{A: geom.Point{X: end, Y: p.Y}, B: p}, 0, func(i int32) {
			a, b := segments[i].A, segments[i].B
			if a.Y > b.Y {
				a, b = b, a
			}
			if !(a.Y <= p.Y && p.Y < b.Y) {
				return
			}
			slope := (b.X - a.X) / (b.Y - a.Y)
			x := a.X + slope*(p.Y-a.Y)
			if end <= x && x < p.X && (x > bestX || x == bestX && (slope > bestSlope || slope == bestSlope && i < best)) {
				best, bestX, bestSlope, found = i, x, slope, true
			}
		})
		if end == far {
			break
		}
	}
	return best, found
}

func sortEdges(edges []edge) {
	for i, e := range edges {
		if e.a > e.b {
			edges[i].a, edges[i].b = e.b, e.a
		}
	}
	slices.SortFunc(edges, func(p, q edge) int {
		return cmp.Or(cmp.Compare(p.a, q.a), cmp.Compare(p.b, q.b), cmp.Compare(p.of, q.of))
	})
}
