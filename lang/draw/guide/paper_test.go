package guide_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/cloth/cutlist"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/syntax"
)

// The simulation: somebody who reads what is printed of each patch, and nothing else, cuts the
// piece, lays it, stitches, flips it open and measures, an ordinary hand off each time. It shares no
// code with package cloth: sections are cut up here, by lines that are known here, and what is
// printed is read back as text and JSON. Lengths are inches.

// xy is a place.
type xy [2]float64

func (a xy) sub(b xy) xy      { return xy{a[0] - b[0], a[1] - b[1]} }
func (a xy) add(b xy) xy      { return xy{a[0] + b[0], a[1] + b[1]} }
func (a xy) by(k float64) xy  { return xy{k * a[0], k * a[1]} }
func (a xy) dot(b xy) float64 { return a[0]*b[0] + a[1]*b[1] }
func (a xy) left() xy         { return xy{-a[1], a[0]} }
func (a xy) long() float64    { return math.Hypot(a[0], a[1]) }
func (a xy) unit() xy         { return a.by(1 / a.long()) }
func (a xy) turn(rad float64) xy {
	s, c := math.Sincos(rad)
	return xy{a[0]*c - a[1]*s, a[0]*s + a[1]*c}
}
func (a xy) flat(mirror bool) xy    { return map[bool]xy{true: {-a[0], a[1]}, false: a}[mirror] }
func rel(a, o, u xy) (x, y float64) { d := a.sub(o); return d.dot(u), d.dot(u.left()) }

func areaOf(p []xy) (sum float64) {
	for i, a := range p {
		b := p[(i+1)%len(p)]
		sum += a[0]*b[1] - a[1]*b[0]
	}
	return sum / 2
}

// cutPatch is a patch that is known here: its corners, its seam and the line that is seen of it.
type cutPatch struct {
	corners []xy
	seam    [2]xy
	line    [2]xy
	first   bool
	hooked  bool
}

// cutUp cuts a region into patches by chords, the last patch first: read backwards that is a
// sewing order.
func cutUp(r *rand.Rand, region []xy, n int) []cutPatch {
	var last []cutPatch
	whole := region
	for tries := 0; len(last) < n && tries < 60; tries++ {
		var a, b xy
		i, j := r.IntN(len(region)), r.IntN(len(region))
		at := func(i int) xy {
			t := 0.15 + 0.7*r.Float64()
			return region[i].add(region[(i+1)%len(region)].sub(region[i]).by(t))
		}
		var line [2]xy
		hooked := false
		if reflex := reflexOf(region); reflex >= 0 && r.IntN(2) == 0 {
			// From an inner corner straight on along an edge, so that the patch may hook round.
			k := (reflex + len(region) - 1) % len(region)
			d := region[reflex].sub(region[k]).unit()
			hit, edge, ok := ray(region, region[reflex], d)
			if !ok || d[0] != 0 && d[1] != 0 { // only lines that rounding leaves straight
				continue
			}
			left, right, ok := split(region, reflex, region[reflex], edge, hit, true)
			if !ok {
				continue
			}
			a, b, line, hooked = region[reflex], hit, [2]xy{region[k], hit}, true
			keep, off := left, right
			if r.IntN(2) == 0 {
				keep, off = right, left
			}
			if !sound(keep, a, b) || !sound(off, a, b) {
				continue
			}
			last = append(last, cutPatch{corners: off, seam: [2]xy{a, b}, line: line, hooked: hooked})
			region = keep
			continue
		}
		if i == j {
			continue
		}
		a, b = round(at(i)), round(at(j))
		if !clearChord(region, i, j, a, b) {
			continue
		}
		left, right, ok := split(region, i, a, j, b, false)
		if !ok || !sound(left, a, b) || !sound(right, a, b) {
			continue
		}
		keep, off := left, right
		if math.Abs(areaOf(keep)) < math.Abs(areaOf(off)) {
			keep, off = off, keep
		}
		last = append(last, cutPatch{corners: off, seam: [2]xy{a, b}, line: [2]xy{a, b}})
		region = keep
	}
	out := []cutPatch{{corners: region, first: true}}
	for i := len(last) - 1; i >= 0; i-- {
		out = append(out, last[i])
	}
	for i := range out[1:] {
		out[i+1].line = seen(out, out[i+1].line)
	}
	if len(out) > 1 && !plain(out) {
		return cutUp(r, whole, n)
	}
	return out
}

// plain says whether every corner of the section lies on the line of a seam or clearly off it: what
// lies between is one line or two to the eye, and fabric does not know either.
func plain(all []cutPatch) bool {
	for _, p := range all[1:] {
		u := p.seam[1].sub(p.seam[0]).unit()
		for _, q := range all {
			for _, c := range q.corners {
				if _, y := rel(c, p.seam[0], u); math.Abs(y) > 0.0015 && math.Abs(y) < 0.03 {
					return false
				}
			}
		}
	}
	return true
}

// seen is a line with every edge of the section that goes straight on from its ends.
func seen(all []cutPatch, line [2]xy) [2]xy {
	u := line[1].sub(line[0]).unit()
	for grown := true; grown; {
		grown = false
		for _, p := range all {
			for i, a := range p.corners {
				b := p.corners[(i+1)%len(p.corners)]
				xa, ya := rel(a, line[0], u)
				xb, yb := rel(b, line[0], u)
				if xa > xb {
					a, b, xa, xb = b, a, xb, xa
				}
				long := line[1].sub(line[0]).long()
				if math.Abs(ya) > 0.005 || math.Abs(yb) > 0.005 || xa > long+0.005 || xb < -0.005 {
					continue
				}
				if xb > long+0.005 {
					line[1], grown = b, true
				}
				if xa < -0.005 {
					line[0], grown = a, true
				}
			}
		}
	}
	return line
}

func round(a xy) xy { return xy{math.Round(a[0]*1000) / 1000, math.Round(a[1]*1000) / 1000} }

func reflexOf(p []xy) int {
	for i := range p {
		a, b, c := p[(i+len(p)-1)%len(p)], p[i], p[(i+1)%len(p)]
		if b.sub(a).left().dot(c.sub(b)) < -0.05 {
			return i
		}
	}
	return -1
}

// ray is where a ray from a corner leaves a region.
func ray(p []xy, from, d xy) (hit xy, edge int, ok bool) {
	best := math.Inf(1)
	for i := range p {
		a, b := p[i], p[(i+1)%len(p)]
		e := b.sub(a)
		det := d[0]*-e[1] + d[1]*e[0]
		if math.Abs(det) < 1e-9 {
			continue
		}
		w := a.sub(from)
		t, s := (w[0]*-e[1]+w[1]*e[0])/det, (d[0]*w[1]-d[1]*w[0])/det
		if t > 0.2 && s > 0.08 && s < 0.92 && t < best {
			best, hit, edge, ok = t, from.add(d.by(t)), i, true
		} else if t > 1e-6 && t < best && s > -0.01 && s < 1.01 {
			return xy{}, 0, false
		}
	}
	return round(hit), edge, ok
}

// split cuts a region from a place on edge i, or at corner i, to a place on edge j.
func split(p []xy, i int, a xy, j int, b xy, corner bool) (left, right []xy, ok bool) {
	left, right = []xy{a}, []xy{b}
	for k := (i + 1) % len(p); ; k = (k + 1) % len(p) {
		left = append(left, p[k])
		if k == j {
			break
		}
		if len(left) > 20 {
			return nil, nil, false
		}
	}
	left = append(left, b)
	for k := (j + 1) % len(p); ; k = (k + 1) % len(p) {
		if corner && k == i {
			break
		}
		right = append(right, p[k])
		if k == i {
			break
		}
		if len(right) > 20 {
			return nil, nil, false
		}
	}
	right = append(right, a)
	return left, right, len(left) > 2 && len(right) > 2
}

// sound says whether a part is fit for a patch: simple enough, not tiny, its seam long enough.
func sound(p []xy, a, b xy) bool {
	if math.Abs(areaOf(p)) < 0.15 || b.sub(a).long() < 0.3 {
		return false
	}
	for i := range p {
		if p[(i+1)%len(p)].sub(p[i]).long() < 0.08 {
			return false
		}
	}
	return areaOf(p) > 0
}

// clearChord says whether a chord meets the outline at its ends alone.
func clearChord(p []xy, i, j int, a, b xy) bool {
	d := b.sub(a)
	for k := range p {
		if k == i || k == j {
			continue
		}
		u, v := p[k].sub(a), p[(k+1)%len(p)].sub(a)
		if s, t := d.left().dot(u), d.left().dot(v); s*t <= 1e-6 {
			// The edge crosses the line of the chord: within the chord?
			at := u.add(v.sub(u).by(s / (s - t)))
			if x := at.dot(d) / d.dot(d); x > -0.05 && x < 1.05 {
				return false
			}
		}
	}
	m := a.add(b).by(0.5)
	return within(p, m)
}

func within(p []xy, q xy) bool {
	in := false
	for i := range p {
		a, b := p[i], p[(i+1)%len(p)]
		if (a[1] > q[1]) != (b[1] > q[1]) && q[0] < (b[0]-a[0])*(q[1]-a[1])/(b[1]-a[1])+a[0] {
			in = !in
		}
	}
	return in
}

var regions = [][]xy{
	{{0, 0}, {8, 0}, {8, 8}, {0, 8}},
	{{0, 0}, {12, 0}, {12, 2}, {0, 2}},
	{{0, 0}, {6, 0}, {6, 3}, {3, 3}, {3, 7}, {0, 7}},
	{{0, 0}, {9, 0}, {9, 6}, {6, 6}, {6, 2}, {3, 2}, {3, 6}, {0, 6}},
	{{0, 0}, {7, 0}, {3, 6}},
	{{0, 0}, {5, 1}, {9, 0}, {9, 5}, {4, 7}, {0, 5}},
}

// fileOf writes a block of one section, in a setting that turns and mirrors it.
func fileOf(patches []cutPatch, outline []xy, directional bool) string {
	var s strings.Builder
	way := ""
	if directional {
		way = " directional"
	}
	wide, high := 0.0, 0.0
	for _, c := range outline {
		wide, high = max(wide, c[0]), max(high, c[1])
	}
	fmt.Fprintf(&s, "allowance 1/4\nfabric plain\nfabric print%s\nblock \"Scrap\" %g by %g {\n  outline", way, wide, high)
	for _, c := range outline {
		fmt.Fprintf(&s, " (%g, %g)", c[0], c[1])
	}
	s.WriteString("\n  section A {\n")
	for i, p := range patches {
		fabric := "print"
		fmt.Fprintf(&s, "    patch %d %s", i+1, fabric)
		for _, c := range p.corners {
			fmt.Fprintf(&s, " (%g, %g)", c[0], c[1])
		}
		s.WriteString("\n")
	}
	s.WriteString("  }\n}\n")
	return s.String()
}

// What is read of the printed pieces.
type (
	patchesPage struct {
		Blocks []struct {
			Mirrored bool
			Turned   float64
			Patches  []printed
		}
	}
	printed struct {
		Label              string
		Sewn, DesignersCut bool
		Cut                struct {
			Size, Form     string
			Along, Across  float64
			KeepsDirection bool
			Slant          *struct{ Along, Across, Angle float64 }
			Laid           string
			SidesRun       string
			EdgeToSeam     float64
			EdgePastLine   float64
			SpareAtWorst   float64
			CenteredOnLine bool
			Reach          *struct {
				Called string
				By     float64
			}
		}
	}
)

// hand is how ordinary error goes.
type hand struct{ shift, turn, swing, allowance float64 }

var ordinary = hand{0.125, 3 * math.Pi / 180, 0.25, 0.25}

// reading is what somebody knows of a piece who has read of it what is printed.
type reading struct {
	first    bool
	along    float64 // the size, as its sides are named
	across   float64
	upright  bool   // its sides are named by the print: wide, up
	form     string // "", "half", "quarter": of a square with the side along, its long edge to the seam
	slant    *[2]float64
	angle    float64 // of the first side of slant to the level of the print
	byEdge   bool
	lie      string  // how a first piece is turned: "", "square", "along"
	edge     float64 // the edge that goes to the seam, or along the longest edge; 0: any, or the slanted one
	past     float64 // how far that edge lies past the line
	centered bool
	end      string // else how far it reaches past which end
	by       float64
	middle   *xy // or where its middle comes by the marks
}

// reading is what the patches say.
func (pr printed) reading() reading {
	c := pr.Cut
	out := reading{
		first: !pr.Sewn, along: c.Along, across: c.Across, upright: c.KeepsDirection, byEdge: c.Laid == "by edge",
		lie:  map[string]string{"square to the block": "square", "along the longest edge": "along"}[c.SidesRun],
		edge: c.EdgeToSeam, past: c.EdgePastLine, centered: c.CenteredOnLine,
	}
	if half, ok := strings.CutSuffix(c.Form, "-square triangle"); ok {
		out.form, out.edge = half, 0
	}
	if c.Slant != nil {
		out.slant, out.angle = &[2]float64{c.Slant.Along, c.Slant.Across}, c.Slant.Angle
	}
	if out.lie == "along" {
		out.edge = c.Along
	}
	if c.Reach != nil {
		out.end, out.by = c.Reach.Called, c.Reach.By
	}
	return out
}

// shortage lays a piece as it is printed, with error, and gives by how much it is short at worst: positive
// where it is. mirror and up are how the block lies in the quilt.
func shortage(p cutPatch, cut reading, h hand, mirror bool, up float64) (float64, string) {
	corners := make([]xy, len(p.corners))
	for i, c := range p.corners {
		corners[i] = c.flat(mirror)
	}
	see := func(l [2]xy) [2]xy { return [2]xy{l[0].flat(mirror), l[1].flat(mirror)} }
	if p.first != cut.first || p.first && cut.byEdge {
		return 99, "a first piece is laid by eye, and no other"
	}
	level := xy{1, 0}.turn(up)
	if !cut.byEdge {
		if cut.form != "" {
			if cut.lie != "along" {
				return 99, "which way a triangle is turned is not said"
			}
			return byEyeTriangle(corners, cut.long(), h), ""
		}
		if cut.upright {
			return byEye(corners, cut.along, cut.across, level, h), ""
		}
		// Its long side goes the way the patch is long. Where nothing is said of how it is turned,
		// somebody lays it square to the block, and somebody along the patch's longest edge.
		long, short := max(cut.along, cut.across), min(cut.along, cut.across)
		worst := math.Inf(-1)
		if cut.lie != "along" {
			worst = byEither(corners, long, short, xy{1, 0}, h)
		}
		switch cut.lie {
		case "":
			worst = max(worst, byEither(corners, long, short, longestOf(corners), h))
		case "along": // the words name the edge
			worst = byEye(corners, cut.edge, cut.along+cut.across-cut.edge, longestOf(corners), h)
		}
		return worst, ""
	}
	seam, line := see(p.seam), see(p.line)
	u := seam[1].sub(seam[0]).unit()
	o := seam[0]
	if !within(corners, seam[0].add(seam[1]).by(0.5).add(u.left().by(0.01))) { // the patch lies on the left of its seam
		u = u.by(-1)
		o = seam[1]
	}
	along, across := cut.along, cut.across
	if cut.upright {
		angle := math.Atan2(u[1], u[0]) - math.Atan2(level[1], level[0])
		switch {
		case cut.slant != nil:
			along, across = cut.slant[0], cut.slant[1]
			if off := math.Abs(math.Sin(angle - cut.angle*math.Pi/180)); off > 2e-3 { // a tenth of a degree
				return 99, "the print is not upright"
			}
		case math.Abs(math.Sin(angle)) > 1e-4 && math.Abs(math.Cos(angle)) > 1e-4:
			return 99, "a slanted edge goes to the seam of an upright print"
		case math.Abs(math.Sin(angle)) > 0.5:
			along, across = across, along
		}
	}
	if cut.form != "" {
		along = cut.long()
		across = along / 2
		cut.edge = along
	}
	if cut.edge > 0 && math.Abs(along-cut.edge) > 1e-6 {
		along, across = across, along // the short edge goes to the seam
	}
	if cut.edge > 0 && math.Abs(along-cut.edge) > 1e-6 {
		return 99, "no edge is so long"
	}
	if cut.edge == 0 && cut.slant == nil && math.Abs(along-across) > 1e-6 {
		return 99, "which edge goes to the seam is not said"
	}
	// Where it goes along the line.
	x0, _ := rel(line[0], o, u)
	x1, _ := rel(line[1], o, u)
	middle := (x0 + x1) / 2
	switch {
	case cut.middle != nil:
		middle, _ = rel(cut.middle.flat(mirror), o, u)
	case !cut.centered:
		end, other := line[0], line[1]
		if !isEnd(cut.end, corners, o, u, end, other) {
			end, other = other, end
		}
		if !isEnd(cut.end, corners, o, u, end, other) {
			return 99, "no end is the " + cut.end + " one"
		}
		xe, _ := rel(end, o, u)
		xo, _ := rel(other, o, u)
		if xe > xo {
			middle = xe + cut.by - along/2
		} else {
			middle = xe - cut.by + along/2
		}
	}
	// Before it is flipped it lies below the line, its edge past it; the error is made there. The
	// edge's middle is what it turns about.
	past, budget, arm := cut.past, h.allowance/2, along/2
	turn := min(h.turn, math.Asin(min(1, budget/arm)))
	worst := math.Inf(-1)
	const steps = 8
	for k := -steps; k <= steps; k++ {
		angle := turn * float64(k) / steps
		left := min(h.shift, budget-arm*math.Abs(math.Sin(angle)))
		for _, sx := range [3]float64{-1, 0, 1} {
			for _, sy := range [3]float64{-1, 0, 1} {
				at := xy{middle + sx*h.shift, past + sy*left}
				shape := []xy{{arm, 0}, {arm, -across}, {-arm, -across}, {-arm, 0}}
				if cut.form != "" {
					shape = []xy{{arm, 0}, {0, -across}, {-arm, 0}}
				}
				var piece []xy
				for _, c := range shape {
					q := at.add(c.turn(angle))
					piece = append(piece, xy{q[0], -q[1]}) // stitched and flipped open
				}
				worst = max(worst, lacks(corners, o, u, seam, piece, h.allowance))
			}
		}
	}
	return worst, ""
}

// isEnd says whether an end of a line is the one that is called so, by somebody who looks at the patch.
func isEnd(called string, corners []xy, o, u xy, end, other xy) bool {
	d := end.sub(other)
	switch called {
	case "upper":
		return d[1] > 0
	case "lower":
		return d[1] < 0
	case "left", "left-hand":
		return d[0] < 0
	case "right", "right-hand":
		return d[0] > 0
	}
	// How wide the patch is near both ends of what lies along the seam.
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, c := range corners {
		x, _ := rel(c, o, u)
		lo, hi = min(lo, x), max(hi, x)
	}
	wide := func(at float64) float64 {
		low, high := math.Inf(1), math.Inf(-1)
		for i, c := range corners {
			x0, y0 := rel(c, o, u)
			x1, y1 := rel(corners[(i+1)%len(corners)], o, u)
			if (x0 < at) != (x1 < at) {
				y := y0 + (y1-y0)*(at-x0)/(x1-x0)
				low, high = min(low, y), max(high, y)
			}
		}
		return high - low
	}
	near, far := wide(lo+(hi-lo)/8), wide(hi-(hi-lo)/8)
	xe, _ := rel(end, o, u)
	xo, _ := rel(other, o, u)
	if xe > xo {
		near, far = far, near
	}
	return (called == "wide") == (near > far) && (called == "wide" || called == "narrow")
}

// byEither lays a piece with its sides along u, the long one the way the patch is longer; where that is
// by less than 1/8 in, which nobody sees, either way.
func byEither(corners []xy, long, short float64, u xy, h hand) float64 {
	lo, hi := xy{math.Inf(1), math.Inf(1)}, xy{math.Inf(-1), math.Inf(-1)}
	for _, c := range corners {
		x, y := rel(c, xy{}, u)
		lo, hi = xy{min(lo[0], x), min(lo[1], y)}, xy{max(hi[0], x), max(hi[1], y)}
	}
	longer := hi[0] - lo[0] - (hi[1] - lo[1])
	worst := math.Inf(-1)
	if longer > -0.125 {
		worst = byEye(corners, long, short, u, h)
	}
	if longer < 0.125 {
		worst = max(worst, byEye(corners, long, short, u.left(), h))
	}
	return worst
}

// longestOf is the direction of a patch's longest edge.
func longestOf(corners []xy) (u xy) {
	best := 0.0
	for i, c := range corners {
		if e := corners[(i+1)%len(corners)].sub(c); e.long() > best {
			best, u = e.long(), e.unit()
		}
	}
	return u
}

// lacks is by how much an open piece misses the allowance past the patch's corners. Below the
// line there is only allowance, but for corners off the seam there.
func lacks(corners []xy, o, u xy, seam [2]xy, piece []xy, need float64) float64 {
	worst := math.Inf(-1)
	s0, _ := rel(seam[0], o, u)
	s1, _ := rel(seam[1], o, u)
	if s0 > s1 {
		s0, s1 = s1, s0
	}
	n := len(corners)
	for i, c := range corners {
		x, y := rel(c, o, u)
		onSeam := math.Abs(y) < 0.008 && x > s0-0.008 && x < s1+0.008
		if onSeam {
			// Only an edge that leaves the seam needs anything here.
			both := true
			for _, q := range [2]xy{corners[(i+1)%n], corners[(i+n-1)%n]} {
				qx, qy := rel(q, o, u)
				both = both && math.Abs(qy) < 0.008 && qx > s0-0.008 && qx < s1+0.008
			}
			if both {
				continue
			}
		}
		for k := range piece {
			a, b := piece[k], piece[(k+1)%len(piece)]
			if k == len(piece)-1 && !(y < 0.008 && !onSeam) {
				continue // its edge to the seam
			}
			d := b.sub(a).unit()
			inside := d.left().dot(xy{x, y}.sub(a))
			worst = max(worst, need-inside)
		}
	}
	return worst
}

// byEye lays a rectangle with a side along u, its middle on the middle of the patch, turned and
// shifted.
func byEye(corners []xy, along, across float64, u xy, h hand) float64 {
	lo, hi := xy{math.Inf(1), math.Inf(1)}, xy{math.Inf(-1), math.Inf(-1)}
	at := make([]xy, len(corners))
	for i, c := range corners {
		x, y := rel(c, xy{}, u)
		at[i] = xy{x, y}
		lo, hi = xy{min(lo[0], x), min(lo[1], y)}, xy{max(hi[0], x), max(hi[1], y)}
	}
	middle := lo.add(hi).by(0.5)
	half := max(hi[0]-lo[0], hi[1]-lo[1])/2 + h.allowance
	turn := min(h.turn, math.Asin(min(1, h.swing/half)))
	worst := math.Inf(-1)
	const steps = 8
	for k := -steps; k <= steps; k++ {
		angle := turn * float64(k) / steps
		for _, sx := range [3]float64{-1, 0, 1} {
			for _, sy := range [3]float64{-1, 0, 1} {
				o := middle.add(xy{sx * h.shift, sy * h.shift})
				for _, c := range at {
					q := c.sub(o).turn(-angle)
					worst = max(worst, h.allowance-(along/2-math.Abs(q[0])), h.allowance-(across/2-math.Abs(q[1])))
				}
			}
		}
	}
	return worst
}

// long is the long edge of a triangle.
func (r reading) long() float64 {
	if r.form == "half" {
		return r.along * math.Sqrt2
	}
	return r.along
}

// byEyeTriangle lays a right isosceles triangle with its long edge along the longest edge of a patch, on the patch's
// side of it, centered so that it shows as far past the patch on all three sides; turned and shifted.
func byEyeTriangle(corners []xy, long float64, h hand) float64 {
	u := longestOf(corners)
	if areaOf(corners) < 0 {
		u = u.by(-1)
	}
	sides := [3]xy{u.left(), u.by(math.Sqrt2 / 2).sub(u.left().by(math.Sqrt2 / 2)), u.by(-math.Sqrt2 / 2).sub(u.left().by(math.Sqrt2 / 2))}
	var need [3]float64 // how deep the patch goes against each side
	for i, n := range sides {
		need[i] = math.Inf(1)
		for _, c := range corners {
			need[i] = min(need[i], n.dot(c))
		}
	}
	// The middle of the circle in the triangle is as far from all three sides of the least one around the patch.
	far := -(need[1] + need[2] + math.Sqrt2*need[0]) / (2 + math.Sqrt2)
	middle := u.by((need[1] - need[2]) / math.Sqrt2).add(u.left().by(need[0] + far))
	inner := long / (2 + 2*math.Sqrt2)
	lo, hi := xy{math.Inf(1), math.Inf(1)}, xy{math.Inf(-1), math.Inf(-1)}
	for _, c := range corners {
		x, y := rel(c, xy{}, u)
		lo, hi = xy{min(lo[0], x), min(lo[1], y)}, xy{max(hi[0], x), max(hi[1], y)}
	}
	half := max(hi[0]-lo[0], hi[1]-lo[1])/2 + h.allowance
	turn := min(h.turn, math.Asin(min(1, h.swing/half)))
	worst := math.Inf(-1)
	const steps = 8
	for k := -steps; k <= steps; k++ {
		for _, sx := range [3]float64{-1, 0, 1} {
			for _, sy := range [3]float64{-1, 0, 1} {
				o := middle.add(u.by(sx * h.shift)).add(u.left().by(sy * h.shift))
				for _, n := range sides {
					for _, c := range corners {
						q := c.sub(o).turn(-turn * float64(k) / steps)
						worst = max(worst, h.allowance-inner-n.dot(q))
					}
				}
			}
		}
	}
	return worst
}

// read prints the pieces of a file in a place and reads them back.
func read(t *testing.T, f *block.File, at cloth.Placed, o cloth.Options) []printed {
	at.Block = f.Blocks[0]
	return readBlock(t, at, o)
}

func readBlock(t *testing.T, at cloth.Placed, o cloth.Options) []printed {
	b := at.Block
	var out bytes.Buffer
	require.NoError(t, cutlist.PatchesJSON(&out, []cutlist.BlockPatches{{Block: b.Name, At: at, Patches: cloth.Pieces(sew.Analyse(b), at, o)}}, nil, geom.Inches))
	var s patchesPage
	require.NoError(t, json.Unmarshal(out.Bytes(), &s))
	return s.Blocks[0].Patches
}

// Patches of every kind (SEWABLE_LONG of each, 20 without it) are laid as the guide says, as the marks of
// the foundation show and as the patches list it, with the error of an ordinary hand: none is short. Read
// otherwise, they are: with "long" and "short edge" swapped, without the words of how far an edge
// reaches, without the marks, or without how a first piece is turned.
func TestNobodyWhoFollowsThePaperIsShort(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 30))
	count, fails := map[string]int{}, map[string]int{}
	o := cloth.Options{Step: geom.Inch / 4, Placement: cloth.Placement{Shift: geom.Inch / 8, Turn: 3, Swing: geom.Inch / 4}, Extra: geom.Inch / 4}
	many := 20
	if n, err := strconv.Atoi(os.Getenv("SEWABLE_LONG")); err == nil {
		many = n
	}
	wanted := []string{"first", "last", "slanted", "sliver", "hooked", "non-convex", "directional", "mirrored", "turned", "folded", "at an angle", "by its patch", "by marks", "turned first"}
	enough := func() bool {
		for _, k := range wanted {
			if count[k] < many {
				return false
			}
		}
		return true
	}
	for trial := 0; !enough() && trial < 1000*many; trial++ {
		outline := regions[r.IntN(len(regions))]
		patches := cutUp(r, outline, 1+r.IntN(5))
		directional := r.IntN(2) == 0
		text := fileOf(patches, outline, directional)
		f := block.NewLoader(syntax.NewReader(), nil).OpenText("/scrap.block", text)
		require.Empty(t, f.Tree.Errors)
		require.Empty(t, f.Problems, text)
		if s := sew.Analyse(f.Blocks[0]).Section(f.Blocks[0].Sections[0]); s == nil || s.Flawed() || !s.InOrder() {
			continue
		}
		at := cloth.Placed{Mirrored: r.IntN(2) == 0}
		turned := float64(90 * r.IntN(4))
		if r.IntN(4) == 0 {
			turned = 45 * float64(r.IntN(8))
		}
		at.Turned, at.Up = turned, -turned
		if at.Mirrored {
			at.Up = turned
		}
		o.Center = cloth.Center(r.IntN(3))
		pattern := patternOf(f.Blocks[0], at, o)
		page := guidePage(t, pattern, r.IntN(8) > 0)
		said, why := readGuide(page)
		listed := read(t, f, at, o)
		var marks foundationRead
		clear := false
		if slices.ContainsFunc(listed, func(pr printed) bool { return pr.Cut.Reach != nil }) {
			marks, clear = readSheet(foundationsPage(t, pattern), outline, patches, at.Mirrored)
		}
		swapped, _ := readGuide(strings.NewReplacer("long edge (", "short edge (", "short edge (", "long edge (").Replace(page))
		lay := func(p cutPatch, r reading) (float64, string) {
			return shortage(p, r, ordinary, at.Mirrored, -turned*math.Pi/180)
		}
		for i, pr := range listed {
			p, label := patches[i], pr.Label
			for how, r := range map[string]reading{"patches": pr.reading(), "guide": said[label]} {
				short, reason := lay(p, r)
				require.LessOrEqual(t, short, 1e-6, "%s by the %s of\n%s%+v\n%+v\n%+v %s %s\n%s", label, how, text, at, pr, r, reason, why[label], spoken(page))
			}
			require.Empty(t, why[label])
			g := said[label]
			kinds(count, p, pr, i == len(patches)-1, at)
			if g.byEdge && g.slant == nil && g.along != g.across {
				if short, _ := lay(p, swapped[label]); short > 0.01 {
					fails["edges swapped"]++
				}
			}
			if !g.byEdge && g.lie != "" && !g.upright {
				g.lie = map[string]string{"along": "square", "square": "along"}[g.lie]
				if g.edge == 0 {
					g.edge = max(g.along, g.across)
				}
				if short, _ := lay(p, g); short > 0.01 {
					fails["first piece turned otherwise"]++
				}
				count["turned first"]++
			}
			if !g.byEdge || g.centered {
				require.NotContains(t, marks.marks, label, "marks of a piece that is simply centered")
				continue
			}
			g.centered = true
			if short, _ := lay(p, g); short > 0.01 {
				fails["words of the reach dropped"]++
			}
			if m := marks.marks[label]; clear && (m.middle != nil || len(m.ends) == 2) {
				count["by marks"]++
				short, reason := lay(p, said[label].byMarks(m))
				require.LessOrEqual(t, short, 1e-6, "%s by its marks %+v of\n%s%+v\n%+v %s", label, m, text, at, pr, reason)
				if m.middle != nil && len(m.ends) == 2 {
					require.InDelta(t, 0, m.ends[0].add(m.ends[1]).by(0.5).sub(*m.middle).long(), 0.002)
					require.InDelta(t, pr.Cut.EdgeToSeam, m.ends[0].sub(m.ends[1]).long(), 0.002)
				}
				if short, _ := lay(p, said[label].byMarks(marked{})); short > 0.01 {
					fails["marks dropped"]++
				}
			}
		}
	}
	t.Logf("%v; short where it is read otherwise: %v", count, fails)
	require.True(t, enough(), "%v", count)
	for _, k := range []string{"edges swapped", "first piece turned otherwise", "words of the reach dropped", "marks dropped"} {
		require.Greater(t, fails[k], many/3, k)
	}
}

// kinds counts what kind of patch it was.
func kinds(count map[string]int, p cutPatch, pr printed, last bool, at cloth.Placed) {
	add := func(name string, is bool) {
		if is {
			count[name]++
		}
	}
	d := p.seam[1].sub(p.seam[0])
	wide, long := 0.0, 0.0
	for i, c := range p.corners {
		long = max(long, p.corners[(i+1)%len(p.corners)].sub(c).long())
	}
	wide = areaOf(p.corners) / long
	add("first", p.first)
	add("last", last && !p.first)
	add("slanted", !p.first && math.Abs(d[0]) > 0.2 && math.Abs(d[1]) > 0.2)
	add("sliver", wide < 0.5)
	add("hooked", pr.Cut.EdgePastLine > 0.2501)
	add("non-convex", reflexOf(p.corners) >= 0)
	add("directional", pr.Cut.KeepsDirection)
	add("mirrored", at.Mirrored)
	add("turned", at.Turned != 0)
	add("folded", pr.Cut.Laid == "folded")
	add("at an angle", pr.Cut.Slant != nil)
	add("by its patch", pr.Cut.Reach != nil)
}
