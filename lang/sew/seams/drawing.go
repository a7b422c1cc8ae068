package seams

import (
	"cmp"
	"math"
	"slices"

	"sewable/lang/faces"
	"sewable/lang/geom"
)

// tol is the distance, in hairs, below which two places, or a place and a line, are one.
const tol = geom.Hair / 2

// A drawing is what is seen: the lines that edges lie on, which parts of them are edges, and the
// corners where edges meet.
type drawing struct {
	outline geom.Polygon
	shapes  []Shape
	label   []int // by shape: of those that are one patch where they touch
	o       Options

	lines  []*line
	meets  [][]float64 // meets[i][j] is the place on line i where line j meets it; NaN: nowhere
	points []*corner   // inside the block
	motifs int         // patches that are no background, before anything is added
	mirror []func(geom.Point) geom.Point
	faces  []face
}

// A line holds edges, and may hold seams. Places on it are distances along it from its first point.
type line struct {
	id    int
	at    geom.Point
	dir   geom.Point
	edges []span // on it, apart from each other
	// cuts are where edges of others meet it; between two of them it runs through one patch.
	cuts   []float64
	labels []int  // by stretch between cuts: the shape seen there; -1 outside the block
	border []bool // by cut: on the block's outline
	gap    bool   // added between motifs, no edge's
	mirror []int  // by mirror: its image, or -1
}

type span struct{ from, to float64 }

// A corner is where edges meet.
type corner struct {
	at geom.Point
	on []place // the lines through it
}

type place struct {
	line int
	t    float64
}

// A face is what is seen of one patch.
type face struct {
	geom.Polygon
	holes []geom.Polygon
	shape int
}

func (l *line) point(t float64) geom.Point { return l.at.Add(l.dir.Scale(t)) }

func (l *line) place(p geom.Point) (t, off float64) {
	v := p.Sub(l.at)
	return v.Dot(l.dir), math.Abs(l.dir.Cross(v))
}

func newDrawing(outline geom.Polygon, shapes []Shape, o Options) (*drawing, error) {
	d := &drawing{outline: outline.CCW(), shapes: shapes, o: o}
	d.label = make([]int, len(shapes))
	for i, x := range shapes {
		d.label[i] = i
		for j, y := range shapes[:i] {
			if x.Fabric == y.Fabric && x.Background == y.Background && x.Whole == y.Whole && (x.Background || o.Merge) {
				d.label[i] = d.label[j]
				break
			}
		}
	}
	var lines []geom.Segment
	for _, x := range shapes {
		for i := range x.Outline {
			lines = append(lines, x.Outline.Edge(i))
		}
	}
	all, err := faces.Subdivide(lines, faces.Options{Outline: outline})
	if err != nil {
		return nil, err
	}
	d.see(all)
	d.intersect()
	d.mirrors()
	return d, nil
}

// see keeps the edges between patches, and finds their lines and corners.
func (d *drawing) see(all *faces.Subdivision) {
	beside := map[[2]int]int{} // the face on the left of a dart
	shape := make([]int, len(all.Faces))
	for i, f := range all.Faces {
		shape[i] = d.top(all, f)
		for _, ring := range append([][]int{f.Ring}, f.Holes...) {
			for k, u := range ring {
				beside[[2]int{u, ring[(k+1)%len(ring)]}] = i + 1
			}
		}
	}
	labelOf := func(dart [2]int) int {
		if i := beside[dart]; i > 0 && shape[i-1] >= 0 {
			return d.label[shape[i-1]]
		}
		return -1
	}
	var edges []geom.Segment
	var ends [][2]int
	for _, e := range all.Edges {
		a, b := labelOf(e), labelOf([2]int{e[1], e[0]})
		if a != b || a == -1 {
			edges = append(edges, geom.Segment{A: all.Points[e[0]], B: all.Points[e[1]]})
			ends = append(ends, e)
		}
	}
	order := make([]int, len(edges)) // long ones tell best where their line is
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(edges[b].Len(), edges[a].Len()) })
	for _, i := range order {
		l := d.lineOf(edges[i])
		a, _ := l.place(edges[i].A)
		b, _ := l.place(edges[i].B)
		l.edges = join(append(l.edges, span{min(a, b), max(a, b)}))
	}
	known := map[int]bool{}
	for _, e := range ends {
		for _, v := range e {
			if p := all.Points[v]; !known[v] && d.outline.Contains(p) == geom.Inside {
				d.points = append(d.points, &corner{at: p})
			}
			known[v] = true
		}
	}
	slices.SortFunc(d.points, func(a, b *corner) int { return cmp.Or(cmp.Compare(a.at.Y, b.at.Y), cmp.Compare(a.at.X, b.at.X)) })
	// The patches, before anything is added.
	merged, err := faces.Subdivide(edges, faces.Options{Outline: d.outline})
	if err != nil {
		return
	}
	for _, f := range merged.Faces {
		x := face{Polygon: f.Outline, shape: d.top(merged, f)}
		for _, h := range f.Holes {
			x.holes = append(x.holes, merged.Polygon(h))
		}
		d.faces = append(d.faces, x)
		if x.shape >= 0 && !d.shapes[x.shape].Background {
			d.motifs++
		}
	}
}

// lineOf is the line of a segment.
func (d *drawing) lineOf(s geom.Segment) *line {
	for _, l := range d.lines {
		_, a := l.place(s.A)
		_, b := l.place(s.B)
		if a <= tol && b <= tol {
			return l
		}
	}
	l := &line{id: len(d.lines), at: s.A, dir: s.Dir()}
	d.lines = append(d.lines, l)
	return l
}

// top is the shape that is seen in a face; -1 where there is none.
func (d *drawing) top(all *faces.Subdivision, f faces.Face) int {
	p := f.Outline.InteriorPoint()
	if len(f.Holes) > 0 {
		p = inside(all, f)
	}
	return d.shapeAt(p)
}

// inside is a place in a face with holes: near the middle of its longest edge that has room.
func inside(all *faces.Subdivision, f faces.Face) geom.Point {
	ring := all.Polygon(f.Ring)
	best, deepest := ring[0], 0.0
	for i := range ring {
		e := ring.Edge(i)
		for _, deep := range []float64{geom.Inch / 8, geom.Inch / 32, 2 * geom.Hair} {
			p := e.Mid().Add(geom.Point{X: -e.Dir().Y, Y: e.Dir().X}.Scale(deep))
			free := ring.Contains(p) == geom.Inside
			for _, h := range f.Holes {
				free = free && all.Polygon(h).Contains(p) == geom.Outside
			}
			if free && deep > deepest {
				best, deepest = p, deep
			}
		}
	}
	return best
}

// shapeAt is the topmost shape at a place; -1: none, or outside the block.
func (d *drawing) shapeAt(p geom.Point) int {
	if winding(d.outline, p) == 0 {
		return -1
	}
	for i := len(d.shapes) - 1; i >= 0; i-- {
		if winding(d.shapes[i].Outline, p) != 0 {
			return i
		}
	}
	return -1
}

// winding is how often a polygon goes round a place.
func winding(poly geom.Polygon, p geom.Point) int {
	n := 0
	for i := range poly {
		e := poly.Edge(i)
		switch up := e.A.Y <= p.Y; {
		case up && e.B.Y > p.Y && e.LineDist(p) > 0:
			n++
		case !up && e.B.Y <= p.Y && e.LineDist(p) < 0:
			n--
		}
	}
	return n
}

// join makes one of spans that touch.
func join(spans []span) []span {
	slices.SortFunc(spans, func(a, b span) int { return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to)) })
	out := spans[:0]
	for _, s := range spans {
		if n := len(out); n > 0 && s.from <= out[n-1].to+tol {
			out[n-1].to = max(out[n-1].to, s.to)
			continue
		}
		out = append(out, s)
	}
	return out
}

// intersect finds where lines meet, what lies along each, and the lines through each corner.
func (d *drawing) intersect() {
	d.gaps()
	if d.o.variety {
		d.various()
	}
	if d.o.everyLine {
		d.every()
	}
	d.meets = make([][]float64, len(d.lines))
	for i, a := range d.lines {
		d.meets[i] = make([]float64, len(d.lines))
		for j, b := range d.lines {
			d.meets[i][j] = math.NaN()
			if i == j {
				continue
			}
			if p, ok := geom.MeetLines(geom.Segment{A: a.at, B: a.at.Add(a.dir)}, geom.Segment{A: b.at, B: b.at.Add(b.dir)}); ok {
				t, _ := a.place(p)
				d.meets[i][j] = t
			}
		}
	}
	for i, l := range d.lines {
		for j, m := range d.lines {
			if i == j || math.IsNaN(d.meets[i][j]) {
				continue
			}
			if slices.ContainsFunc(m.edges, func(s span) bool { return s.holds(d.meets[j][i]) }) {
				l.cuts = append(l.cuts, d.meets[i][j])
			}
		}
		slices.Sort(l.cuts)
		l.cuts = slices.CompactFunc(l.cuts, func(a, b float64) bool { return math.Abs(b-a) <= tol })
		for k := range l.cuts {
			l.border = append(l.border, d.outline.Contains(l.point(l.cuts[k])) != geom.Inside)
			if k > 0 {
				l.labels = append(l.labels, d.shapeAt(l.point((l.cuts[k-1]+l.cuts[k])/2)))
			}
		}
	}
	for _, c := range d.points {
		for i, l := range d.lines {
			if t, off := l.place(c.at); off <= tol {
				c.on = append(c.on, place{i, t})
			}
		}
	}
}

func (s span) holds(t float64) bool { return s.from-tol <= t && t <= s.to+tol }

// gaps adds the level and upright lines that go between motifs, touching none.
func (d *drawing) gaps() {
	box := d.outline.Bounds()
	var xs, ys []span
	for _, f := range d.faces {
		if f.shape >= 0 && !d.shapes[f.shape].Background {
			b := f.Bounds()
			xs, ys = append(xs, span{b.Min.X, b.Max.X}), append(ys, span{b.Min.Y, b.Max.Y})
		}
	}
	for _, way := range []struct {
		spans  []span
		middle float64
		seam   func(at float64) geom.Segment
	}{
		{xs, box.Centre().X, func(x float64) geom.Segment {
			return geom.Segment{A: geom.Point{X: x, Y: box.Min.Y}, B: geom.Point{X: x, Y: box.Max.Y}}
		}},
		{ys, box.Centre().Y, func(y float64) geom.Segment {
			return geom.Segment{A: geom.Point{X: box.Min.X, Y: y}, B: geom.Point{X: box.Max.X, Y: y}}
		}},
	} {
		spans := join(way.spans)
		for i := 1; i < len(spans); i++ {
			from, to := spans[i-1].to, spans[i].from
			if to-from < geom.Inch/8 {
				continue
			}
			at := (from + to) / 2
			if from < way.middle && way.middle < to {
				at = way.middle
			} else if r := math.Round(at/(geom.Inch/8)) * geom.Inch / 8; from < r && r < to {
				at = r
			}
			before := len(d.lines)
			if l := d.lineOf(way.seam(at)); len(d.lines) > before {
				l.gap = true
			}
		}
	}
}

// various adds the level and upright lines through blocked corners, and those from one to another.
func (d *drawing) various() {
	var blocked []geom.Point
	for _, c := range d.points {
		var on []place
		for i, l := range d.lines {
			if t, off := l.place(c.at); off <= tol {
				on = append(on, place{i, t})
			}
		}
		if d.blockedAt(&state{}, &corner{c.at, on}) {
			blocked = append(blocked, c.at)
		}
	}
	for i, p := range blocked {
		d.lineOf(geom.Segment{A: p, B: p.Add(geom.Point{X: geom.Inch})})
		d.lineOf(geom.Segment{A: p, B: p.Add(geom.Point{Y: geom.Inch})})
		for _, q := range blocked[:i] {
			d.lineOf(geom.Segment{A: p, B: q})
		}
	}
}

// every adds the lines through any two corners.
func (d *drawing) every() {
	var all []geom.Point
	for _, f := range d.faces {
		for _, ring := range append([]geom.Polygon{f.Polygon}, f.holes...) {
			for _, p := range ring {
				if !slices.ContainsFunc(all, func(q geom.Point) bool { return p.Dist(q) <= tol }) {
					all = append(all, p)
				}
			}
		}
	}
	for i, p := range all {
		for _, q := range all[:i] {
			d.lineOf(geom.Segment{A: p, B: q})
		}
	}
}

// mirrors finds the upright and the level axis that the drawing is the same on both sides of, and
// the images of its lines.
func (d *drawing) mirrors() {
	mid := d.outline.Bounds().Centre()
	for _, m := range []func(geom.Point) geom.Point{
		func(p geom.Point) geom.Point { return geom.Point{X: 2*mid.X - p.X, Y: p.Y} },
		func(p geom.Point) geom.Point { return geom.Point{X: p.X, Y: 2*mid.Y - p.Y} },
	} {
		images := make([]int, len(d.lines))
		same := true
		for i, l := range d.lines {
			images[i] = d.image(m, l)
			if len(l.edges) == 0 {
				continue
			}
			same = same && images[i] >= 0 && len(d.lines[images[i]].edges) == len(l.edges)
			for _, e := range l.edges {
				same = same && slices.ContainsFunc(d.lines[max(images[i], 0)].edges, func(f span) bool {
					a, _ := d.lines[images[i]].place(m(l.point(e.from)))
					b, _ := d.lines[images[i]].place(m(l.point(e.to)))
					return math.Abs(min(a, b)-f.from) <= tol && math.Abs(max(a, b)-f.to) <= tol
				})
			}
			if !same {
				break
			}
		}
		if same {
			d.mirror = append(d.mirror, m)
			for i, l := range d.lines {
				l.mirror = append(l.mirror, images[i])
			}
		}
	}
}

// image is the line that a line becomes in a mirror; -1: none that is known.
func (d *drawing) image(m func(geom.Point) geom.Point, l *line) int {
	a, b := m(l.at), m(l.at.Add(l.dir.Scale(geom.Inch)))
	for i, o := range d.lines {
		_, off := o.place(a)
		_, off2 := o.place(b)
		if off <= tol && off2 <= tol {
			return i
		}
	}
	return -1
}

// Background are the fabrics that take up a whole side of the block, as far as they are seen: sky, sea,
// ground. Where none does, it is the one that takes up most of the block's outline.
func Background(outline geom.Polygon, shapes []Shape) []int {
	d, err := newDrawing(outline, shapes, Options{})
	if err != nil {
		return nil
	}
	along := map[int]float64{}
	var out []int
	for i := range d.outline {
		side := d.outline.Edge(i)
		on := map[int]float64{}
		for _, f := range d.faces {
			if f.shape < 0 {
				continue
			}
			for k := range f.Polygon {
				if e := f.Edge(k); side.Holds(e) {
					on[shapes[f.shape].Fabric] += e.Len()
				}
			}
		}
		for fabric, l := range on {
			along[fabric] += l
			if l >= side.Len()-2*geom.Hair && !slices.Contains(out, fabric) {
				out = append(out, fabric)
			}
		}
	}
	if len(out) == 0 && len(along) > 0 {
		best := -1
		for fabric, l := range along {
			if best < 0 || l > along[best]+tol || l > along[best]-tol && fabric < best {
				best = fabric
			}
		}
		out = []int{best}
	}
	slices.Sort(out)
	return out
}
