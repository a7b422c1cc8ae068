package svgimport

import (
	"math"
	"slices"

	"sewable/lang/english"
	"sewable/lang/geom"
)

// straight is how far, in user units of the page, a curve may bulge and still be a straight
// line: drawing programs write straight lines as curves.
const straight = 0.05

const (
	fine        = 64     // steps in which the length of a curve is measured
	maxCurves   = 20_000 // of a drawing
	nearCurve   = geom.Inch / 16
	sharplyBent = 0.9 // a chord shorter than this part of its curve turns it by a right angle or more
)

// A curve is gone along by a parameter from 0 to 1.
type curve struct {
	at   func(t float64) geom.Point
	upTo [fine + 1]float64 // its length up to each step
}

func newCurve(at func(t float64) geom.Point) *curve {
	c := &curve{at: at}
	last := at(0)
	for i := 1; i <= fine; i++ {
		p := at(float64(i) / fine)
		c.upTo[i] = c.upTo[i-1] + p.Dist(last)
		last = p
	}
	return c
}

func (c *curve) length() float64 { return c.upTo[fine] }

// along is the point at a length from the start. Equal lengths, not equal steps of the parameter: so that a
// curve has the same points however it is written, and from whichever end.
func (c *curve) along(s float64) geom.Point {
	i, _ := slices.BinarySearch(c.upTo[1:], s)
	i = min(i, fine-1)
	t := 0.0
	if step := c.upTo[i+1] - c.upTo[i]; step > 0 {
		t = (s - c.upTo[i]) / step
	}
	return c.at((float64(i) + max(0, min(1, t))) / fine)
}

// step is the chord of a step.
func (c *curve) step(i int) geom.Segment {
	return geom.Segment{A: c.at(float64(i) / fine), B: c.at(float64(i+1) / fine)}
}

func cubic(a, b, c, d geom.Point) *curve {
	if flat(a, d, b, c) {
		return nil
	}
	return newCurve(func(t float64) geom.Point {
		u := 1 - t
		return a.Scale(u * u * u).Add(b.Scale(3 * u * u * t)).Add(c.Scale(3 * u * t * t)).Add(d.Scale(t * t * t))
	})
}

func quadratic(a, b, c geom.Point) *curve {
	if flat(a, c, b) {
		return nil
	}
	return newCurve(func(t float64) geom.Point {
		u := 1 - t
		return a.Scale(u * u).Add(b.Scale(2 * u * t)).Add(c.Scale(t * t))
	})
}

// flat says whether control points lie on the line between the ends, and between them.
func flat(a, b geom.Point, controls ...geom.Point) bool {
	s := geom.Segment{A: a, B: b}
	for _, c := range controls {
		if !(s.Dist(c) <= straight) {
			return false
		}
	}
	return true
}

// arc is an elliptical arc, from its ends to its centre: SVG 1.1, F.6.5 and F.6.6. The ends and
// radii are in the path's own units; m places what comes of it.
func arc(from, to geom.Point, rx, ry, turn float64, large, sweep bool, m affine) *curve {
	rx, ry = math.Abs(rx), math.Abs(ry)
	if from == to || !(rx > 0 && ry > 0) {
		return nil // F.6.2: nothing, or a straight line
	}
	sin, cos := sincos(turn)
	half := from.Sub(to).Scale(0.5)
	x, y := cos*half.X+sin*half.Y, cos*half.Y-sin*half.X
	if k := x*x/(rx*rx) + y*y/(ry*ry); k > 1 { // too small to reach: F.6.6
		rx, ry = rx*math.Sqrt(k), ry*math.Sqrt(k)
	}
	k := math.Sqrt(max(0, (rx*rx*ry*ry-rx*rx*y*y-ry*ry*x*x)/(rx*rx*y*y+ry*ry*x*x)))
	if large == sweep {
		k = -k
	}
	cx, cy := k*rx*y/ry, -k*ry*x/rx
	mid := geom.Segment{A: from, B: to}.Mid()
	centre := geom.Point{X: cos*cx - sin*cy + mid.X, Y: sin*cx + cos*cy + mid.Y}
	a := math.Atan2((y-cy)/ry, (x-cx)/rx)
	b := math.Atan2((-y-cy)/ry, (-x-cx)/rx)
	span := b - a
	if sweep && span < 0 {
		span += 2 * math.Pi
	} else if !sweep && span > 0 {
		span -= 2 * math.Pi
	}
	return ellipseArc(centre, rx, ry, turn, a, span, m)
}

// ellipseArc is an arc of an ellipse that is turned by degrees. Angles are in radians, from its x axis towards y.
func ellipseArc(centre geom.Point, rx, ry, turn, from, span float64, m affine) *curve {
	sin, cos := sincos(turn)
	return newCurve(func(t float64) geom.Point {
		s, c := sincos((from + span*t) * 180 / math.Pi)
		x, y := rx*c, ry*s
		return m.apply(centre.Add(geom.Point{X: cos*x - sin*y, Y: sin*x + cos*y}))
	})
}

// A bend is where in the drawing a curve is: edge k of a chain.
type bend struct {
	of *element
	c  *chain
	k  int
}

// straighten makes straight edges of all curves, given how many hairs a unit of the page is. A curve is parted
// where any other corner is on it, and a part that two shapes share is split once for both.
func (t *tracer) straighten(scale float64) {
	var bends []bend
	var corners []geom.Point
	for _, a := range t.areas {
		for i := range a.chains {
			c := &a.chains[i]
			corners = append(corners, c.points...)
			for k := range c.points {
				if c.curves[k] != nil {
					bends = append(bends, bend{a.of, c, k})
				}
			}
		}
	}
	if len(bends) == 0 {
		return
	}
	grid := geom.NewPointGrid(corners)
	s := splitter{o: t.o, scale: scale, known: make(map[[3]int][]geom.Point)}
	s.welder.Expect(len(corners))
	pieces := make(map[*chain][][]geom.Point)
	for _, b := range bends {
		if pieces[b.c] == nil {
			pieces[b.c] = make([][]geom.Point, len(b.c.points))
		}
		curve := b.c.curves[b.k]
		last := 0.0
		to := b.c.points[(b.k+1)%len(b.c.points)]
		var between []geom.Point
		for _, at := range append(s.parts(curve, grid, corners), curve.length()) {
			end := to
			if at < curve.length() {
				end = curve.along(at)
			}
			between = append(between, s.split(curve, last, at, end)...)
			last = at
		}
		pieces[b.c][b.k] = between[:len(between)-1] // the last is a corner of the chain
	}
	for c, between := range pieces {
		var all []geom.Point
		for k, p := range c.points {
			all = append(append(all, p), between[k]...)
		}
		c.points, c.curves = all, nil
	}
	if t.o.Segments == Auto {
		t.note(nil, "%s made of straight edges, within %s", english.Count(len(bends), "curve is", "curves are"), geom.Format(nearCurve, t.unit))
	}
	if s.coarse > 0 {
		t.note(bends[0].of, "%s up to %s off: with more segments a patch would be narrower than %s",
			english.Count(s.coarse, "curve is", "curves are"), geom.Format(s.off, t.unit), geom.Format(t.o.Smallest, t.unit))
	}
}

// A splitter knows the parts of curves that it has split.
type splitter struct {
	o      Options
	scale  float64
	welder geom.Welder // of places in hairs
	known  map[[3]int][]geom.Point
	coarse int     // parts with fewer edges than they need
	off    float64 // hairs that the worst of them is off
}

// parts are the lengths at which corners are on a curve.
func (s *splitter) parts(c *curve, grid *geom.PointGrid, corners []geom.Point) (out []float64) {
	within := geom.Hair / s.scale
	for i := range fine {
		step := c.step(i)
		for k := range grid.Near(step, 2*within) {
			u := step.Nearest(corners[k])
			at := c.upTo[i] + u*(c.upTo[i+1]-c.upTo[i])
			if at > 2*within && at < c.length()-2*within && c.along(at).Dist(corners[k]) <= within {
				out = append(out, at)
			}
		}
	}
	slices.Sort(out)
	return slices.CompactFunc(out, func(a, b float64) bool { return b-a < 2*within })
}

// split gives the ends of the edges of a part of a curve, all but its first point.
func (s *splitter) split(c *curve, from, to float64, end geom.Point) []geom.Point {
	place := func(at float64) int {
		i, _ := s.welder.Add(c.along(at).Scale(s.scale))
		return i
	}
	a, b, mid := place(from), place(to), place((from+to)/2)
	key := [3]int{min(a, b), max(a, b), mid}
	if known, ok := s.known[key]; ok && a != b {
		out := slices.Clone(known)
		if a > b {
			slices.Reverse(out)
		}
		return append(out, end)
	}
	n := s.segments(c, from, to, a == b)
	out := make([]geom.Point, n-1, n)
	for i := range out {
		out[i] = c.along(from + (to-from)*float64(i+1)/float64(n))
	}
	kept := slices.Clone(out)
	if a > b {
		slices.Reverse(kept)
	}
	s.known[key] = kept
	return append(out, end)
}

// segments is how many edges a part of a curve gets.
func (s *splitter) segments(c *curve, from, to float64, closed bool) int {
	least, length := 1, to-from
	switch {
	case closed:
		least = 3
	case c.along(from).Dist(c.along(to)) < sharplyBent*length:
		least = 2
	}
	if s.o.Segments != Auto {
		return max(least, s.o.Segments)
	}
	most := MaxSegments
	if s.o.Smallest > 0 {
		most = max(least, min(most, int(length*s.scale/s.o.Smallest)))
	}
	n, off := least, 0.0
	for ; ; n++ {
		if off = s.scale * c.off(from, to, n); off <= nearCurve || n >= most {
			break
		}
	}
	if off > nearCurve {
		s.coarse++
		s.off = max(s.off, off)
	}
	return n
}

// off is how far a part of a curve is from n edges along it.
func (c *curve) off(from, to float64, n int) float64 {
	worst := 0.0
	for i := range n {
		at := func(k float64) float64 { return from + (to-from)*(float64(i)+k)/float64(n) }
		edge := geom.Segment{A: c.along(at(0)), B: c.along(at(1))}
		for k := 1; k < 8; k++ {
			worst = max(worst, edge.Dist(c.along(at(float64(k)/8))))
		}
	}
	return worst
}
