package hands

import (
	"sewable/lang/block"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/steps"
	"sewable/lang/geom"
	"sewable/lang/sew"
)

// Whole is the printed side of the section, with the number of every patch that has room for it.
func (s *Scene) Whole(size geom.Point) *ink.Drawing {
	if s.section.Cut == nil {
		return nil
	}
	v := s.view(s.section.Cut.Bounds().Grow(0.3*s.allow), size, true)
	m := &move{Scene: s, view: v}
	m.paper(s.section.Cut, paperPrinted)
	m.area(s.section.Cut, 0, ink.Dark, 0.7, cutDash...)
	m.print(nil)
	for i := range s.section.Steps {
		m.number(&s.section.Steps[i])
	}
	m.jogs()
	m.frameLine()
	return m.d
}

// number writes a patch's number if it has room.
func (m *move) number(step *steps.Step) {
	on := m.all(step.Patch.Corners)
	if t := fit(m.view, steps.Label(step.Patch), on); t != nil {
		m.d.Layer("labels").Add(t)
		m.taken = append(m.taken, t.Bounds().Bounds())
	}
}

// jogs marks the small steps in the outline.
func (m *move) jogs() {
	for _, j := range m.section.Jogs {
		at := m.at(j.Step.Mid())
		m.add(&ink.Path{Chains: ink.Disc(at, max(7, 0.7*j.Step.Len()*m.scale)), Stroke: thread, Width: 1.4})
		m.note(m.plan.Length(j.Size), at, false)
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
		m.ruler(m.bar(-3*s.allow, s.allow), m.seam)
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
func NewBlock(plan *steps.Plan, how How) *Block {
	return &Block{NewScene(plan, &steps.Section{}, how)}
}

// Measure is the block that is done, with its unfinished size; the other last moves have no picture.
func (b *Block) Measure(kind steps.Kind, size geom.Point) *ink.Drawing {
	if kind != steps.Measure {
		return nil
	}
	of := b.plan.Of.Of
	outer := b.allow
	if a := of.OuterAllowance; a != nil && !a.Broken {
		outer = a.Size.Float64()
	}
	cut, ok := geom.Grow(of.Outline, outer)
	if !ok {
		return nil
	}
	box := cut.Bounds()
	v := b.view(box.Grow(0.13*max(box.Width(), box.Height())), size, false)
	v.area(cut, paperBlank, ink.Dark, paperLine)
	for i := range b.plan.Sections {
		b.patches(v, &b.plan.Sections[i])
	}
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

// patches draws the patches of a section with their right sides up.
func (b *Block) patches(v *view, s *steps.Section) {
	for i := range s.Steps {
		v.right(s.Steps[i].Patch.Corners, b.colour(s.Steps[i].Fabric))
	}
}

// Join is a join that is pinned, or done.
func (b *Block) Join(n int, kind steps.Kind, size geom.Point) *ink.Drawing {
	j := &b.plan.Joins[n]
	in := map[*sew.Section]bool{}
	for _, s := range j.A {
		in[s] = true
	}
	for _, s := range j.B {
		in[s] = true
	}
	if kind == steps.Joined {
		box := b.plan.Of.Of.Outline.Bounds()
		v := b.view(box.Grow(0.02*box.Width()), size, false)
		for i := range b.plan.Sections {
			s := &b.plan.Sections[i]
			if in[s.Of] {
				b.patches(v, s)
			}
		}
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
	if kind != steps.Pin {
		return nil
	}
	return b.pinned(j, size)
}

// pinned is unit A with its right side up, unit B right sides together on it: mirrored over the
// join, its paper up.
func (b *Block) pinned(j *steps.Join, size geom.Point) *ink.Drawing {
	if j.Line == nil || len(j.Line.Line) < 2 || j.Of.Kind == block.Finish {
		return nil
	}
	line := geom.Segment{A: j.Line.Line[0], B: j.Line.Line[1]}
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
	for _, s := range lower {
		b.patches(v, s)
	}
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
	// A pin beside each end and match point, across the line.
	d := line.Dir()
	across := geom.Point{X: -d.Y, Y: d.X}.Scale(12 / v.scale)
	for i, mark := range j.Line.Marks {
		at := mark.Point
		if line.Dist(at) > geom.Hair {
			continue
		}
		beside := d.Scale(5 / v.scale)
		if i == len(j.Line.Marks)-1 {
			beside = beside.Scale(-1)
		}
		v.pin(at.Add(beside).Add(across), at.Add(beside).Sub(across))
		p := v.at(at)
		v.add(dot(p, 2.2, thread))
	}
	v.frameLine()
	return v.d
}
