package hands

import (
	"math"

	"sewable/lang/cloth"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/steps"
	"sewable/lang/geom"
)

// paper draws the paper of the section, or a part of it.
func (m *move) paper(poly geom.Polygon, c ink.Colour) {
	if poly != nil {
		m.area(poly, c, ink.Dark, paperLine)
	}
}

// print draws the printed lines on the near side of a line, or, without one, all.
func (m *move) print(half *geom.Segment) {
	outline := m.section.Outline
	if half != nil {
		outline = outline.LeftOf(*half)
	}
	if outline != nil {
		m.area(outline, 0, ink.Dark, 1.5*printLine)
	}
	for _, seam := range m.seams() {
		if half != nil && !onLeft(geom.Polygon{seam.A, seam.B}, *half) {
			continue
		}
		m.line(seam, ink.Dark, printLine)
	}
}

// fabrics draws pieces from the fabric side, the right side up.
func (m *move) fabrics(work []sheet) {
	for _, s := range work {
		for _, poly := range s.visible {
			m.right(poly, s.colour)
		}
	}
}

// behind draws pieces from the printed side, which lie under the paper.
func (m *move) behind(work []sheet, half *geom.Segment) {
	for i := len(work) - 1; i >= 0; i-- {
		whole := work[i].whole
		if half != nil {
			whole = whole.LeftOf(*half)
		}
		m.wrong(whole, work[i].colour)
	}
}

// hiddenNames labels the new patch, which lies mirrored over its seam, and what is seen beside it.
func (m *move) hiddenNames() {
	m.label(steps.Label(m.step.Patch), wrongSide(m.own()), m.over().ApplyTo(m.step.Patch.Corners), m.step.Laid.Flat)
	m.others(m.step.Laid.Flat)
}

// names labels the new patch, and those that it is sewn on.
func (m *move) names() {
	m.label(steps.Label(m.step.Patch), m.own(), m.step.Patch.Corners, m.step.Laid.Open.LeftOf(m.seam))
	m.others(nil)
}

// others labels the patches that the new one is sewn on, as far as there is room and nothing lies
// on them.
func (m *move) others(on geom.Polygon) {
	for _, p := range m.step.Seam.On {
		m.named(steps.Label(p), uncovered(p.Corners, on), m.colour(m.fabricOf(p.Number)))
	}
}

// uncovered is the largest part of a patch on one side of a convex polygon that may cover it; none of one that hooks.
func uncovered(patch, by geom.Polygon) (best geom.Polygon) {
	if by == nil {
		return patch
	}
	if !by.IsConvex() {
		return nil
	}
	by = by.Weld().CCW()
	for i := range by {
		if part := patch.LeftOf(by.Edge(i).Reverse()); part != nil && (best == nil || math.Abs(part.Area()) > math.Abs(best.Area())) {
			best = part
		}
	}
	return best
}

// numbers labels the new patch and those that it is sewn on on the printed side. Folded back, the
// paper hides some.
func (m *move) numbers(folded bool) {
	var flap geom.Polygon
	if folded {
		if far := m.section.Cut.LeftOf(m.far()); far != nil {
			flap = m.over().ApplyTo(far)
		}
	} else {
		m.label(steps.Label(m.step.Patch), paperPrinted, m.step.Patch.Corners)
	}
	for _, p := range m.step.Seam.On {
		m.named(steps.Label(p), uncovered(p.Corners, flap), paperPrinted)
	}
}

func (m *move) own() ink.Colour { return m.colour(m.step.Fabric) }

// light is a first piece on the blank side, with the light behind it.
func (m *move) light() {
	m.paper(m.section.Cut, paperBlank)
	m.area(m.step.Laid.Open, m.own().Mix(ink.White, 0.25), edgeOn(m.own()), fabricLine)
	c := m.own().Mix(ink.White, 0.25)
	line := ink.Dark
	if c.Luminance() < 0.18 {
		line = ink.White
	}
	m.through(hidden)
	m.area(m.step.Patch.Corners, 0, line, 1.3, hiddenDash...)
	m.label(steps.Label(m.step.Patch), c, m.step.Patch.Corners)
	m.reach()
	m.up()
}

// through draws the lines that shine through the paper.
func (m *move) through(c ink.Colour) {
	for _, seam := range m.seams() {
		m.line(seam, c, 0.5, hiddenDash...)
	}
	m.area(m.section.Outline, 0, c, 0.5, hiddenDash...)
}

// lightPrinted is the same from the printed side: the fabric is a shadow.
func (m *move) lightPrinted() {
	m.wrong(m.step.Laid.Open, m.own())
	m.paper(m.section.Cut, paperPrinted)
	shadow := m.own().Mix(ink.White, 0.8)
	if in := m.step.Laid.Open; in != nil {
		m.area(in, shadow, hidden, 0.8, hiddenDash...)
	}
	m.print(nil)
	m.label(steps.Label(m.step.Patch), shadow, m.step.Patch.Corners)
	m.reach()
}

// reach shows how far a first piece reaches past its patch.
func (m *move) reach() {
	patch, open := geom.Polygon(m.step.Patch.Corners), m.step.Laid.Open
	best, from, to := 0.0, geom.Point{}, geom.Point{}
	for i := range patch {
		e := patch.CCW().Edge(i)
		d := e.Dir()
		if ray, ok := steps.Ray(e.Mid(), geom.Point{X: d.Y, Y: -d.X}, open); ok && e.Len() > best {
			best, from, to = e.Len(), ray.A, ray.B
		}
	}
	if best > 0 {
		m.arrow(m.at(from), m.at(to), thread, true)
	}
}

// up draws the arrow of a print that is kept upright.
func (m *move) up() {
	if !m.step.Laid.Up {
		return
	}
	m.upAt(geom.Polygon(m.step.Patch.Corners).InteriorPoint(), m.step.Laid.UpTo)
}

// upAt draws the arrow of a print beside a place.
func (m *move) upAt(c, up geom.Point) {
	a := m.at(c)
	d := m.at(c.Add(up)).Sub(a)
	d = d.Scale(1 / d.Len())
	at := a.Add(geom.Point{X: -d.Y, Y: d.X}.Scale(16))
	for _, beside := range [...]float64{16, -16, 24, -24, 32, -32, 40, -40} {
		p := a.Add(geom.Point{X: -d.Y, Y: d.X}.Scale(beside))
		if box := (geom.Polygon{p.Sub(d.Scale(12)), p.Add(d.Scale(12))}).Bounds().Grow(3); m.free(box) {
			at = p
			break
		}
	}
	m.arrow(at.Sub(d.Scale(12)), at.Add(d.Scale(12)), ink.Dark, false)
}

// flap draws the paper beyond the seam folded back over the work.
func (m *move) flap() {
	far := m.section.Cut.LeftOf(m.far())
	if far == nil {
		return
	}
	m.paper(m.over().ApplyTo(far), paperBlank)
	d := m.seam.Dir()
	for i := range far { // the fold
		if e := far.Edge(i); math.Abs(d.Cross(e.A.Sub(m.seam.A))) < geom.Hair && math.Abs(d.Cross(e.B.Sub(m.seam.A))) < geom.Hair {
			m.line(e, ink.Dark, 1.3)
		}
	}
}

// along is from where to where points lie along the seam.
func (m *move) along(points geom.Polygon) (least, most float64) {
	least, most = math.Inf(1), math.Inf(-1)
	for _, p := range points {
		t := p.Sub(m.seam.A).Dot(m.seam.Dir())
		least, most = min(least, t), max(most, t)
	}
	return least, most
}

// bar is a straight tool that lies along the seam, from and to so far past it.
func (m *move) bar(from, to float64) geom.Polygon {
	d := m.seam.Dir()
	up := geom.Point{X: -d.Y, Y: d.X}
	least, most := m.along(m.section.Cut)
	least, most = max(least, -6*m.allow)-1.3*m.allow, min(most, m.seam.Len()+6*m.allow)+1.3*m.allow
	at := func(x, y float64) geom.Point { return m.seam.A.Add(d.Scale(x)).Add(up.Scale(y)) }
	return geom.Polygon{at(least, from), at(most, from), at(most, to), at(least, to)}
}

func (m *move) fold() {
	near := m.near()
	m.behind(m.work(m.k, false), nil)
	m.paper(m.section.Cut.LeftOf(near), paperPrinted)
	m.print(&near)
	m.area(m.bar(-2.6*m.allow, 0), cardColour, ink.Dark, fabricLine)
	m.flap()
	m.area(m.bar(-2.6*m.allow, 0), 0, hidden, 0.6, hiddenDash...)
	m.numbers(true)
}

func (m *move) trim() {
	near := m.near()
	cut := m.trimmed()
	for _, s := range m.work(m.k, false) { // what falls off
		if off := s.whole.LeftOf(cut.Reverse()); off != nil {
			m.area(off, offColour, hidden, 0.6, hiddenDash...)
		}
	}
	m.behind(m.work(m.k, true), nil)
	m.paper(m.section.Cut.LeftOf(near), paperPrinted)
	m.print(&near)
	m.flap()
	m.ruler(m.bar(-3.5*m.allow, m.allow))
	blade := m.at(cut.At(0.35))
	m.add(&ink.Path{Chains: ink.Disc(blade, 6.5), Fill: ink.RGB(0xe4, 0xe7, 0xea), Stroke: ink.Dark, Width: 0.9}, dot(blade, 1.4, ink.Dark))
	m.taken = append(m.taken, geom.Box{Min: blade, Max: blade}.Grow(8))
	m.measure()
	m.numbers(true)
}

// ruler draws a ruler: its edges, and its line that lies on the seam.
func (m *move) ruler(body geom.Polygon) {
	m.area(body, 0, rulerColour, 1.4)
	m.line(geom.Segment{A: m.foot(body[0]), B: m.foot(body[1])}, rulerColour, 1.2)
	d := m.seam.Dir()
	up := geom.Point{X: -d.Y, Y: d.X}
	long := body[3].Dist(body[2])
	for t := m.allow; t < long; t += m.allow {
		a := body[3].Add(d.Scale(t))
		m.line(geom.Segment{A: a, B: a.Sub(up.Scale(0.3 * m.allow))}, rulerColour, 0.6)
	}
}

// foot is the place of the seam's line that is nearest.
func (m *move) foot(p geom.Point) geom.Point {
	d := m.seam.Dir()
	return m.seam.A.Add(d.Scale(p.Sub(m.seam.A).Dot(d)))
}

// measure shows the allowance past the fold.
func (m *move) measure() {
	cut := m.trimmed()
	a, b := m.at(m.seam.At(0.62)), m.at(cut.At(0.38))
	m.arrow(a, b, thread, true)
	m.note(m.plan.Length(m.allow), m.box.Nearest(b), false)
}

func (m *move) folded() {
	near := m.near()
	m.behind(m.work(m.k, true), nil)
	m.paper(m.section.Cut.LeftOf(near), paperPrinted)
	m.print(&near)
	m.flap()
	m.measure()
	m.numbers(true)
}

// lay is the new piece right sides together, the paper folded back under the work; unfolded for a print
// that was laid upright and creased.
func (m *move) lay() {
	byEdge := m.step.Laid.Way == cloth.ByEdge
	if byEdge {
		if far := m.section.Cut.LeftOf(m.far()); far != nil {
			m.paper(m.over().ApplyTo(far), paperPrinted)
		}
		m.paper(m.section.Cut.LeftOf(m.near()), paperBlank)
	} else {
		m.paper(m.section.Cut, paperBlank)
	}
	m.fabrics(m.work(m.k, true))
	m.wrong(m.step.Laid.Flat, m.own())
	m.area(m.over().ApplyTo(m.step.Patch.Corners), 0, ink.Dark, 0.9, hiddenDash...)
	m.line(m.seam, ink.Dark, 1.4, hiddenDash...)
	if byEdge {
		m.line(m.guided(), ink.Dark, 2.2)
	} else {
		m.pins()
	}
	m.reaches()
	if m.step.Laid.Up {
		up := m.over().Apply(m.step.Laid.UpTo).Sub(m.over().Apply(geom.Point{}))
		place := geom.Polygon(m.over().ApplyTo(m.step.Patch.Corners))
		least, most := m.along(place)
		m.upAt(place.Centroid().Add(m.seam.Dir().Scale((most-least)/4)), up) // beside its number
	}
	m.hiddenNames()
}

// reaches shows how far past an end of its printed line the new piece goes.
func (m *move) reaches() {
	r := m.step.Laid.Reach
	if r == nil || math.Abs(r.By) < geom.Hair {
		return
	}
	line := m.step.Piece.Seam.Line
	d := line.Dir()
	if r.At.Dist(line.A) < r.At.Dist(line.B) {
		d = d.Scale(-1)
	}
	s := m.seam.Dir()
	out := geom.Point{X: -s.Y, Y: s.X}.Scale(1.5 * m.step.Laid.Past)
	a, b := r.At.Add(out), r.At.Add(d.Scale(r.By)).Add(out)
	m.line(geom.Segment{A: r.At, B: a}, thread, 0.8)
	m.line(geom.Segment{A: r.At.Add(d.Scale(r.By)), B: b}, thread, 0.8)
	from, to := m.at(a), m.at(b)
	m.arrow(m.box.Nearest(from), m.box.Nearest(to), thread, true)
	m.note(m.plan.Length(math.Abs(r.By)), m.box.Grow(-4).Nearest(geom.Segment{A: from, B: to}.Mid()), false)
}

// guided is the edge of the new piece that goes to the seam: where it lies furthest past it.
func (m *move) guided() geom.Segment {
	flat := m.step.Laid.Flat.CCW()
	d := m.seam.Dir()
	up := geom.Point{X: -d.Y, Y: d.X}
	var best geom.Segment
	most := math.Inf(-1)
	for i := range flat {
		e := flat.Edge(i)
		if far := e.Mid().Sub(m.seam.A).Dot(up); far > most && math.Abs(e.Dir().Cross(d)) < 0.02 {
			best, most = e, far
		}
	}
	return best
}

// crease is a print upright over its place, folded under along the line.
func (m *move) crease() {
	m.paper(m.section.Cut, paperBlank)
	m.fabrics(m.work(m.k, true))
	m.right(m.step.Laid.Open.LeftOf(m.far()), m.own())
	m.area(m.step.Patch.Corners, 0, edgeOn(m.own()), 0.9, hiddenDash...)
	m.line(m.seam, ink.Dark, 2)
	m.up()
	m.names()
}

// pins lie along the seam.
func (m *move) pins() {
	d := m.seam.Dir()
	long := min(m.seam.Len()*0.34, 6*m.allow)
	for _, t := range [2]float64{0.28, 0.72} {
		mid := m.seam.At(t)
		m.pin(mid.Sub(d.Scale(long/2)), mid.Add(d.Scale(long/2)))
	}
}

// test is the new piece pinned on the line and flipped open.
func (m *move) test() {
	m.paper(m.section.Cut, paperBlank)
	m.fabrics(m.work(m.k, true))
	for _, poly := range seen(m.step.Laid.Open.CCW(), m.seam) {
		m.right(poly, m.own())
	}
	if grown, ok := geom.Grow(m.step.Patch.Corners, m.allow); ok {
		m.area(grown.LeftOf(m.far()), 0, thread, 1.1, cutDash...)
	}
	m.area(m.step.Patch.Corners, 0, edgeOn(m.own()), 0.9, hiddenDash...)
	m.pins()
	m.label(steps.Label(m.step.Patch), m.own(), m.step.Patch.Corners, m.step.Laid.Open.LeftOf(m.seam))
}

// sew is the paper unfolded, stitched from the printed side.
func (m *move) sew() {
	work := m.work(m.k, true)
	m.wrong(m.step.Laid.Flat, m.own())
	m.behind(work, nil)
	m.paper(m.section.Cut, paperPrinted)
	m.area(m.step.Laid.Flat, 0, hidden, 0.8, hiddenDash...)
	m.print(nil)
	m.line(m.stitch, ink.White, stitchLine+1.2)
	m.line(m.stitch, thread, stitchLine, stitchDash...)
	m.numbers(false)
}

// back is the same from the fabric side.
func (m *move) back() {
	m.paper(m.section.Cut, paperBlank)
	m.fabrics(m.work(m.k, true))
	m.wrong(m.step.Laid.Flat, m.own())
	m.line(m.stitch, thread, stitchLine, stitchDash...)
	m.hiddenNames()
}

// open is the new piece flipped open over its patch.
func (m *move) open() {
	m.paper(m.section.Cut, paperBlank)
	m.fabrics(m.work(m.k+1, true))
	m.line(m.seam, edgeOn(m.own()), 1.6)
	mid := m.at(m.seam.Mid())
	d := m.at(m.seam.B).Sub(m.at(m.seam.A))
	up := geom.Point{X: d.Y, Y: -d.X}.Scale(1 / d.Len())
	if inside := m.at(m.past(m.allow).Mid()).Sub(mid); inside.Dot(up) < 0 {
		up = up.Scale(-1)
	}
	m.arrow(mid.Sub(up.Scale(9)), mid.Add(up.Scale(13)), ink.Dark, false)
	m.up()
	m.names()
}

// done is the same from the printed side.
func (m *move) done() {
	m.behind(m.work(m.k+1, true), nil)
	m.paper(m.section.Cut, paperPrinted)
	m.area(m.step.Laid.Open, 0, hidden, 0.8, hiddenDash...)
	m.print(nil)
	m.line(m.stitch, thread, stitchLine, stitchDash...)
	m.numbers(false)
}
