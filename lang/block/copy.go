package block

import (
	"sewable/lang/geom"
	"sewable/lang/syntax"
)

// copies is one copy statement: `section C, D = A, B turned 90 about hub`.
type copies struct {
	item  *syntax.Item
	node  *syntax.Copy
	made  []*Section // C, D
	of    []*Section // A, B; nil where a name means nothing
	place geom.Transform
	swap  map[*Fabric]*Fabric
	ok    bool
	state state
}

func (c *blockBuild) copyDecl(it *syntax.Item, n *syntax.Copy) {
	m := &copies{item: it, node: n}
	for _, name := range n.Names {
		sec := c.sectionDecl(it, name)
		m.made = append(m.made, sec)
		c.byOf[sec] = m
	}
	c.moves = append(c.moves, m)
}

// copies places every copied section. Copies of copies may stand in any
// order, so each is settled when it is first asked for.
func (c *blockBuild) copies() {
	for _, m := range c.moves {
		c.readCopy(m)
	}
	for _, m := range c.moves {
		c.settleCopy(m)
	}
}

func (c *blockBuild) readCopy(m *copies) {
	m.ok = true
	for i, sec := range m.made {
		var of *Section
		if i < len(m.node.Of) {
			of = c.builder.section(c.scope, m.item, m.node.Of[i], c.where)
		}
		m.of = append(m.of, of)
		sec.OutlineAt = sec.At
		m.ok = m.ok && of != nil
	}
	place, ok := c.transform(m)
	m.place = place
	m.ok = m.ok && ok
	m.swap = map[*Fabric]*Fabric{}
	said := map[*Fabric]Place{}
	for _, s := range m.node.With {
		swap, ok := c.builder.swap(c.scope, m.item, s, c.where)
		if !ok {
			continue
		}
		at := m.item.Abs(s.Old.Span)
		if first, twice := said[swap.Old]; twice {
			c.problem(Problem{Kind: DuplicateName, At: at, What: "fabric", Name: s.Old.Text, Swap: true, Related: []Place{first}}, c.where)
			continue
		}
		said[swap.Old] = c.place(at)
		m.swap[swap.Old] = swap.New
	}
}

// transform works out how a copy is placed.
func (c *blockBuild) transform(m *copies) (geom.Transform, bool) {
	it, t := m.item, m.node.Transform
	switch {
	case t.Mirrored != nil:
		l, ok := c.line(c.scope, it, *t.Mirrored, c.where)
		if !ok {
			return geom.Transform{}, false
		}
		place, ok := geom.MirrorAcross(l.P.Point(), l.Q.Point())
		return place, ok || c.noValue(it.Abs(t.Mirrored.Span), OneEndedLine, "", c.where)
	case t.Turned != nil:
		angle, okA := c.ratio(c.scope, it, t.Turned, c.where)
		about, okP := c.point(c.scope, it, t.About, c.where)
		return geom.TurnAbout(about.Point(), angle.Float64()), okA && okP
	case t.Moved != nil:
		by, ok := c.pair(c.scope, it, t.Moved, c.where)
		return geom.MoveBy(by.Point()), ok
	}
	return geom.Transform{}, true
}

// settleCopy places the sections of a statement, after those they copy. A
// statement that is asked for while it is busy copies itself.
func (c *blockBuild) settleCopy(m *copies) bool {
	switch m.state {
	case busy:
		c.problem(Problem{Kind: CopyCycle, At: m.item.Abs(m.node.Names[0].Span), Name: m.node.Names[0].Text}, c.where)
		m.state = failed
	case fresh:
		m.state = busy
		for _, of := range m.of {
			if from := c.byOf[of]; of != nil && from != nil && !c.settleCopy(from) {
				m.ok = false
			}
		}
		if m.state == failed {
			m.ok = false
		}
		for i, sec := range m.made {
			c.placeCopy(m, sec, m.of[i])
		}
		if m.state = failed; m.ok {
			m.state = done
		}
	}
	return m.state == done
}

// placeCopy fills in a copied section. A fabric that is swapped is swapped in
// what the original has after its own swaps.
func (c *blockBuild) placeCopy(m *copies, sec, of *Section) {
	if !m.ok || of == nil || of.Broken {
		sec.Broken = true
		if m.ok && of != nil { // a copy of a broken section: still a copy, so that nothing is said twice
			sec.CopyOf, sec.Placed = of, m.place
		}
		return
	}
	sec.CopyOf, sec.Placed, sec.Title = of, m.place, of.Title
	if of.Outline != nil {
		sec.Outline = m.place.ApplyTo(of.Outline)
	}
	sec.Patches = make([]*Patch, len(of.Patches))
	made := make([]Patch, len(of.Patches))
	shapes := c.placedBefore(sec)
	if shapes == nil {
		shapes = make([]*Shape, len(of.Patches))
		room := make([]Shape, len(of.Patches))
		for i, p := range of.Patches {
			shapes[i], room[i] = &room[i], *p.Shape
			room[i].Corners = m.place.ApplyTo(p.Corners)
			room[i].Line = geom.Segment{A: m.place.Apply(p.Line.A), B: m.place.Apply(p.Line.B)}
		}
	}
	for i, p := range of.Patches {
		q := &made[i]
		*q = *p
		q.Section, q.Of, q.Shape = sec, p, shapes[i]
		if to, ok := m.swap[p.Fabric]; ok {
			q.Fabric = to
		}
		sec.Patches[i] = q
	}
	for _, n := range of.Notches {
		k := *n
		k.Section, k.Of, k.Point = sec, n, m.place.Apply(n.Point)
		sec.Notches = append(sec.Notches, &k)
	}
	sec.Notes = of.Notes
}

// joins reads the joins in written order. A join among sections that were
// copied together comes along with each copy, right after the one it copies.
func (c *blockBuild) joins() {
	for _, it := range c.blk.Item.Body {
		switch n := it.Node.(type) {
		case *syntax.Join:
			j := &Join{At: c.place(it.Stmt), Item: it}
			switch {
			case n.Partial:
				j.Kind = Partial
			case n.Inset:
				j.Kind = Inset
			}
			c.join(j, n.A, n.B, n.PressToward)
		case *syntax.Finish:
			c.join(&Join{Kind: Finish, At: c.place(it.Stmt), Item: it}, n.A, n.B, nil)
		}
	}
}

func (c *blockBuild) join(j *Join, a, b syntax.Name, toward *syntax.Name) {
	j.A = c.builder.section(c.scope, j.Item, a, c.where)
	j.B = c.builder.section(c.scope, j.Item, b, c.where)
	if toward != nil {
		j.PressToward = c.builder.section(c.scope, j.Item, *toward, c.where)
	}
	if j.A == nil || j.B == nil {
		c.blk.Broken = true
		return
	}
	c.addJoin(j)
}

func (c *blockBuild) addJoin(j *Join) {
	c.blk.Joins = append(c.blk.Joins, j)
	for _, m := range c.moves {
		a, b := m.copyOf(j.A), m.copyOf(j.B)
		if m.state != done || a == nil || b == nil {
			continue
		}
		k := *j
		k.A, k.B, k.CopyOf = a, b, j
		if j.PressToward != nil {
			k.PressToward = m.copyOf(j.PressToward)
		}
		c.addJoin(&k)
	}
}

// copyOf is what the statement made of a section; nil when nothing.
func (m *copies) copyOf(sec *Section) *Section {
	for i, of := range m.of {
		if of == sec {
			return m.made[i]
		}
	}
	return nil
}
