package hands

import (
	"slices"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/steps"
	"sewable/lang/geom"
	"sewable/lang/sew"
)

// Whole is the printed side of the section, with the numbers of its patches: beside those that have no room.
func (s *Scene) Whole(size geom.Point) *ink.Drawing {
	if s.section.Cut == nil {
		return nil
	}
	box := s.section.Cut.Bounds().Grow(0.3 * s.allow)
	if (box.Height() > box.Width()) != (size.Y > size.X) {
		size.X, size.Y = size.Y, size.X // upright, as the section is
	}
	v := s.view(box, size, true)
	m := &move{Scene: s, view: v}
	m.paper(s.section.Cut, paperPrinted)
	m.area(s.section.Cut, 0, ink.Dark, 0.7, cutDash...)
	m.print(nil)
	m.jogs()
	var beside []*steps.Step
	for i := range s.section.Steps {
		if step := &s.section.Steps[i]; !m.number(step) {
			beside = append(beside, step)
		}
	}
	for _, step := range beside {
		m.note(steps.Label(step.Patch), m.at(geom.Polygon(step.Patch.Corners).InteriorPoint()), true)
	}
	m.frameLine()
	return m.d
}

// number writes a patch's number if it has room, and says whether it has.
func (m *move) number(step *steps.Step) bool {
	on := m.all(step.Patch.Corners)
	t := fit(m.view, steps.Label(step.Patch), on)
	if t != nil {
		m.d.Layer("labels").Add(t)
		m.taken = append(m.taken, t.Bounds().Bounds())
	}
	return t != nil
}

// jogs marks the small steps in the outline.
func (m *move) jogs() {
	for _, j := range m.section.Jogs {
		m.jog(j, m.plan.Length(j.Size))
	}
}

// jog marks a small step in an outline.
func (v *view) jog(j sew.Jog, size string) {
	at := v.at(j.Step.Mid())
	v.add(&ink.Path{Chains: ink.Disc(at, max(7, 0.7*j.Step.Len()*v.scale)), Stroke: thread, Width: 1.4})
	v.note(size, at, false)
}

// jogsAlong marks the small steps along a join, each once.
func (v *view) jogsAlong(plan *steps.Plan, of *block.Join) {
	var seen []geom.Point
	for i := range plan.Sections {
		for _, j := range plan.Sections[i].Jogs {
			if j.Join != of || slices.ContainsFunc(seen, func(p geom.Point) bool { return p.Dist(j.Step.Mid()) < geom.Hair }) {
				continue
			}
			seen = append(seen, j.Step.Mid())
			v.jog(j, plan.Length(j.Size))
		}
	}
}

// Finish is a section being basted, or trimmed.
func (s *Scene) Finish(kind steps.Kind, size geom.Point) *ink.Drawing {
	if s.section.Cut == nil || len(s.section.Steps) == 0 {
		return nil
	}
	rough, ok := geom.Grow(s.section.Cut, s.allow)
	if !ok {
		rough = s.section.Cut
	}
	v := s.view(rough.Bounds(), size, true)
	m := &move{Scene: s, view: v, k: len(s.section.Steps)}
	if kind == steps.Baste {
		m.behind(m.work(m.k, false), nil)
		m.paper(rough, paperPrinted)
		m.area(s.section.Cut, 0, ink.Dark, 0.7, cutDash...)
		if line, ok := geom.Grow(s.section.Outline, s.allow/2); ok {
			m.area(line, 0, thread, stitchLine*0.8, stitchDash...)
		}
		m.print(nil)
	} else {
		for _, sheet := range m.work(m.k, false) { // what falls off
			m.area(sheet.whole, offColour, hidden, 0.6, hiddenDash...)
		}
		m.area(rough, offColour, hidden, 0.6, hiddenDash...)
		m.paper(s.section.Cut, paperPrinted)
		m.print(nil)
		// The ruler on the longest edge, its line on the outer line.
		var longest geom.Segment
		outline := s.section.Outline.CCW()
		for i := range outline {
			if e := outline.Edge(i); e.Len() > longest.Len() {
				longest = e
			}
		}
		m.seam = longest.Reverse()
		m.ruler(m.bar(-5*s.allow, s.allow))
		m.measure()
	}
	m.jogs()
	m.frameLine()
	return m.d
}

// Block is a block whose sections are joined.
type Block struct {
	*Scene
}

// NewBlock is the block of a plan.
func NewBlock(plan *steps.Plan, how Options) *Block {
	return &Block{NewScene(plan, &steps.Section{}, how)}
}

// Measure is the block that is done, with its unfinished size; the other last moves have no picture.
func (b *Block) Measure(kind steps.Kind, size geom.Point) *ink.Drawing {
	if kind != steps.Measure {
		return nil
	}
	of := b.plan.Of.Of
	cut, ok := cloth.CutOutline(of)
	if !ok {
		return nil
	}
	box := cut.Bounds()
	v := b.view(box.Grow(0.13*max(box.Width(), box.Height())), size, false)
	var all []*steps.Section
	for i := range b.plan.Sections {
		all = append(all, &b.plan.Sections[i])
	}
	b.unit(v, all)
	v.area(of.Outline, 0, ink.Dark, 0.8, hiddenDash...)
	on := v.all(cut).Bounds()
	v.arrow(geom.Point{X: on.Min.X, Y: on.Max.Y + 7}, geom.Point{X: on.Max.X, Y: on.Max.Y + 7}, thread, true)
	v.arrow(geom.Point{X: on.Max.X + 7, Y: on.Max.Y}, geom.Point{X: on.Max.X + 7, Y: on.Min.Y}, thread, true)
	w, h := box.Width(), box.Height()
	v.write(b.plan.Length(w), geom.Point{X: on.Centre().X, Y: on.Max.Y + 7})
	v.write(b.plan.Length(h), geom.Point{X: on.Max.X + 7, Y: on.Centre().Y})
	v.frameLine()
	return v.d
}

// unit draws sections that are joined with their right sides up, the fabric out to the trimmed edges.
func (b *Block) unit(v *view, unit []*steps.Section) {
	for _, s := range unit {
		for i := range s.Steps {
			v.right(trimmed(s, s.Steps[i].Patch.Corners, unit), b.colour(s.Steps[i].Fabric))
		}
	}
}

// trimmed is what is seen of a patch's piece in a unit that is trimmed: the patch, and at the edges of the unit the allowance,
// where its seams run on to the trimmed edge.
func trimmed(s *steps.Section, patch geom.Polygon, unit []*steps.Section) geom.Polygon {
	patch = patch.CCW()
	cut, n := s.Cut.CCW(), len(patch)
	if cut == nil || n < 3 {
		return patch
	}
	edge := make([]bool, n)
	first := -1 // an edge that is not the unit's, where one can begin
	for i := range patch {
		m := patch.Edge(i).Mid()
		edge[i] = on(s.Outline, m)
		for _, o := range unit {
			edge[i] = edge[i] && (o == s || !on(o.Outline, m))
		}
		if !edge[i] {
			first = i
		}
	}
	if first < 0 {
		return cut
	}
	var out geom.Polygon
	var from geom.Segment
	for k := range n {
		i := (first + k + 1) % n // the corner from which edge i goes on
		before := (i + n - 1) % n
		switch {
		case !edge[before] && !edge[i]:
			out = append(out, patch[i])
		case !edge[before]:
			ray, ok := steps.Ray(patch[i], patch.Edge(before).Dir(), cut)
			if !ok {
				return patch
			}
			from = ray
		case !edge[i]:
			ray, ok := steps.Ray(patch[i], patch.Edge(i).Dir().Scale(-1), cut)
			if !ok {
				return patch
			}
			if at, ok := meet(from, ray); ok { // the seams meet within the allowance
				out = append(out, at)
			} else {
				out = append(out, stretch(cut, from.B, ray.B)...)
			}
		}
	}
	if !out.IsSimple() || out.Area() < patch.Area() {
		return patch
	}
	return out
}

// on says whether a place lies on an outline.
func on(outline geom.Polygon, at geom.Point) bool {
	for i := range outline {
		if outline.Edge(i).Dist(at) < geom.Hair {
			return true
		}
	}
	return false
}

// meet is where two segments cross.
func meet(a, b geom.Segment) (geom.Point, bool) {
	d, e := a.B.Sub(a.A), b.B.Sub(b.A)
	cross := d.Cross(e)
	if cross == 0 {
		return geom.Point{}, false
	}
	off := b.A.Sub(a.A)
	t, u := off.Cross(e)/cross, off.Cross(d)/cross
	return a.A.Add(d.Scale(t)), t > 0 && t < 1 && u > 0 && u < 1
}

// stretch is the part of an outline from one place on it to another.
func stretch(outline geom.Polygon, from, to geom.Point) geom.Polygon {
	last := 0 // the edge that has to; the one before a corner
	first := 0
	for i := range outline {
		e := outline.Edge(i)
		if near := outline.Edge(first); e.Dist(from) < geom.Hair && (near.Dist(from) >= geom.Hair || near.B.Dist(from) < geom.Hair) {
			first = i
		}
		if near := outline.Edge(last); e.Dist(to) < geom.Hair && (near.Dist(to) >= geom.Hair || near.A.Dist(to) < geom.Hair) {
			last = i
		}
	}
	out := geom.Polygon{from}
	for i := first; i != last; {
		i = (i + 1) % len(outline)
		out = append(out, outline[i])
	}
	return append(out, to)
}

// Join is a join that is pinned, or done.
func (b *Block) Join(n int, move steps.Move, size geom.Point) *ink.Drawing {
	j := &b.plan.Joins[n]
	in := map[*sew.Section]bool{}
	for _, s := range j.A {
		in[s] = true
	}
	for _, s := range j.B {
		in[s] = true
	}
	if move.Kind == steps.Joined {
		box := b.plan.Of.Of.Outline.Bounds()
		var unit []*steps.Section
		for i := range b.plan.Sections {
			if s := &b.plan.Sections[i]; in[s.Of] {
				unit = append(unit, s)
				box = box.Union(s.Cut.Bounds())
			}
		}
		v := b.view(box.Grow(0.02*box.Width()), size, false)
		b.unit(v, unit)
		for i := range b.plan.Sections {
			s := &b.plan.Sections[i]
			if s.Outline == nil {
				continue
			}
			v.area(s.Outline, 0, ink.Dark, 1.6)
			if in[s.Of] {
				v.tag(s.Of.Of.Name, s.Outline)
			}
		}
		v.jogsAlong(b.plan, j.Of)
		if j.Part != nil {
			v.line(j.Part.Line, ink.White, stitchLine+2)
			v.line(j.Part.Line, thread, stitchLine+0.4, stitchDash...)
		}
		if j.Line != nil {
			for k := 1; k < len(j.Line.Line); k++ {
				line := geom.Segment{A: j.Line.Line[k-1], B: j.Line.Line[k]}
				v.line(line, ink.White, stitchLine+2)
				v.line(line, thread, stitchLine+0.4, stitchDash...)
			}
		}
		v.frameLine()
		return v.d
	}
	return b.facing(j, move, size)
}

// facing is unit A with its right side up, unit B right sides together on it: mirrored over the
// join, or a side of it, its paper up. It is pinned, or stitched.
func (b *Block) facing(j *steps.Join, move steps.Move, size geom.Point) *ink.Drawing {
	var line geom.Segment
	var marks []geom.Point
	switch {
	case j.Part != nil:
		line = j.Part.Line
		marks = []geom.Point{line.A, line.B}
	case j.Line == nil || len(j.Line.Line) < 2 || j.Of.Kind == block.Finish:
		return nil
	default:
		line = geom.Segment{A: j.Line.Line[move.Side], B: j.Line.Line[move.Side+1]}
		marks = []geom.Point{line.A, line.B}
		for _, m := range j.Line.Marks {
			if line.Dist(m.Point) < geom.Hair && min(m.Point.Dist(line.A), m.Point.Dist(line.B)) > geom.Hair {
				marks = append(marks, m.Point)
			}
		}
	}
	over, ok := geom.MirrorAcross(line.A, line.B)
	if !ok {
		return nil
	}
	var box geom.Box
	var lower, upper []*steps.Section
	for _, s := range j.A {
		lower = append(lower, sectionOf(b.plan, s))
	}
	for _, s := range j.B {
		upper = append(upper, sectionOf(b.plan, s))
	}
	box = line.Bounds()
	for _, s := range lower {
		if s == nil || s.Cut == nil {
			return nil
		}
		box = box.Union(s.Cut.Bounds())
	}
	for _, s := range upper {
		if s == nil || s.Cut == nil {
			return nil
		}
	}
	v := b.view(box.Grow(0.4*b.allow), size, false)
	for _, s := range lower {
		v.area(s.Cut, paperBlank, ink.Dark, paperLine)
	}
	b.unit(v, lower)
	for _, s := range upper {
		v.area(over.ApplyTo(s.Cut), paperPrinted, ink.Dark, paperLine)
	}
	for _, s := range upper {
		for i := range s.Steps {
			if seam := s.Steps[i].Seam; seam != nil {
				v.line(geom.Segment{A: over.Apply(seam.A), B: over.Apply(seam.B)}, ink.Dark, printLine)
			}
		}
		v.area(over.ApplyTo(s.Outline), 0, ink.Dark, 1.6)
		v.tag(s.Of.Of.Name, over.ApplyTo(s.Outline))
	}
	v.line(line, ink.Dark, 1.8)
	v.jogsAlong(b.plan, j.Of)
	if move.Kind == steps.JoinSewn {
		v.line(line, ink.White, stitchLine+2)
		v.line(line, thread, stitchLine+0.4, stitchDash...)
		v.frameLine()
		return v.d
	}
	// A pin beside each end and match point, across the line.
	d := line.Dir()
	across := geom.Point{X: -d.Y, Y: d.X}.Scale(12 / v.scale)
	for _, at := range marks {
		beside := d.Scale(5 / v.scale)
		if at.Dist(line.B) < geom.Hair {
			beside = beside.Scale(-1)
		}
		v.pin(at.Add(beside).Add(across), at.Add(beside).Sub(across))
		p := v.at(at)
		v.add(dot(p, 2.2, thread))
	}
	v.frameLine()
	return v.d
}
