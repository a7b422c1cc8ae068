package block

import (
	"sewable/lang/geom"
	"sewable/lang/memo"
	"sewable/lang/near"
	"sewable/lang/syntax"
)

// copies is one copy statement: `section C, D = A, B turned 90 about hub`.
type copies struct {
	item  *syntax.Item
	node  *syntax.Copy
	made  []*Section // C, D
	of    []*Section // A, B; nil where a name means nothing
	place geom.Transform
	lines []geom.Segment // nil where one has no value
	swap  map[*Fabric]*Fabric
	from  *Block // of another block: which; nil for this one, or none
	ok    bool
	state state
}

func (c *blockBuild) copyDecl(it *syntax.Item, n *syntax.Copy) {
	m := &copies{item: it, node: n}
	for _, made := range n.Made {
		sec := c.sectionDecl(it, made.Name)
		if made.Title != nil {
			sec.Title = seen(*made.Title)
		}
		m.made = append(m.made, sec)
		c.byOf[sec] = m
	}
	c.moves = append(c.moves, m)
}

// readCopies reads the statements of copies.
func (c *blockBuild) readCopies() {
	for _, m := range c.moves {
		c.readCopy(m)
	}
}

// copies places every copied section. Copies of copies may stand in any
// order, so each is settled when it is first asked for.
func (c *blockBuild) copies() {
	for _, m := range c.moves {
		c.settleCopy(m)
	}
}

func (c *blockBuild) readCopy(m *copies) {
	m.ok = true
	if m.node.From != nil {
		m.ok = c.readBlock(m)
	}
	for i, sec := range m.made {
		var of *Section
		switch {
		case i >= len(m.node.Of):
		case m.node.From == nil:
			of = c.builder.section(c.scope, m.item, m.node.Of[i], c.where)
		case m.from != nil:
			of = c.sectionOf(m, m.node.Of[i])
		}
		m.of = append(m.of, of)
		sec.OutlineAt = sec.At
		m.ok = m.ok && of != nil
	}
	place, ok := c.transform(m)
	m.place = place
	m.ok = m.ok && ok
	at := c.at(c.scope, m.item, c.where)
	for _, l := range m.node.Beyond {
		ends, ok := at.line(l)
		if ok && ends.segment().Len() < geom.Hair {
			at.fail(l.Span, Problem{Kind: UnclearSection, Cause: OnePoint, Name: m.made[0].Name})
			ok = false
		}
		if m.lines = append(m.lines, ends.segment()); !ok {
			m.lines, m.ok = nil, false
			break
		}
	}
	m.swap = map[*Fabric]*Fabric{}
	said := map[*Fabric]Place{}
	for _, s := range m.node.With {
		var swap Swap
		ok := false
		switch {
		case m.node.From == nil:
			swap, ok = c.builder.swap(c.scope, m.item, s, c.where)
		case m.from != nil:
			swap.Old, swap.New = c.fabricOf(m, s.Old), c.builder.fabric(c.scope, m.item, s.New, c.where)
			ok = swap.Old != nil && swap.New != nil
		}
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

// readBlock finds the block that sections are taken from, and works it out.
func (c *blockBuild) readBlock(m *copies) bool {
	at, title := m.item.Abs(m.node.From.Span), seen(*m.node.From)
	blk, ok := find(c.scope, title, blocksOf)
	switch {
	case !ok:
		c.missing(c.scope, at, "block", title, nearest(c.builder, c.scope, "block", title, blocksOf), c.where)
		return false
	case !c.settleBlock(blk):
		c.use(at, &blk.Named)
		c.problem(Problem{Kind: CopyCycle, Cause: BlocksInCircle, At: at, Name: title}, c.where)
		return false
	}
	c.use(at, &blk.Named)
	m.from = blk
	return true
}

// sectionOf finds a section of another block.
func (c *blockBuild) sectionOf(m *copies, n syntax.Name) *Section {
	var names []string
	for _, s := range m.from.Sections {
		if s.Name == n.Text {
			c.use(m.item.Abs(n.Span), &s.Named)
			return s
		}
		names = append(names, s.Name)
	}
	if !m.from.Broken {
		c.problem(Problem{Kind: UnknownName, At: m.item.Abs(n.Span), What: "section", Name: n.Text, Near: near.Nearest(n.Text, names)}, c.where)
	}
	return nil
}

// fabricOf finds a fabric by the name that it has in the file of another block, first among those of the sections that
// are taken.
func (c *blockBuild) fabricOf(m *copies, n syntax.Name) *Fabric {
	var all []*Fabric
	for _, s := range m.of {
		for i := 0; s != nil && i < len(s.Patches); i++ {
			if f := s.Patches[i].Fabric; f != nil {
				all = append(all, f)
			}
		}
	}
	all = append(append(all, m.from.Fabrics...), m.from.File.Fabrics...)
	for _, u := range m.from.File.Uses {
		if u.File != nil {
			all = append(all, u.File.Fabrics...)
		}
	}
	var names []string
	for _, f := range all {
		if f.Name == n.Text {
			c.use(m.item.Abs(n.Span), &f.Named)
			return f
		}
		names = append(names, f.Name)
	}
	if !m.from.File.Partial {
		c.problem(Problem{Kind: UnknownName, At: m.item.Abs(n.Span), What: "fabric", Name: n.Text, Near: near.Nearest(n.Text, names)}, c.where)
	}
	return nil
}

// transform works out how a copy is placed: one change of place after the other.
func (c *blockBuild) transform(m *copies) (place geom.Transform, ok bool) {
	ok = true
	for i := range m.node.Places {
		one, okOne := c.at(c.scope, m.item, c.where).transform(&m.node.Places[i])
		place, ok = place.Then(one), ok && okOne
	}
	return place, ok
}

func (m maker) transform(t *syntax.Transform) (geom.Transform, bool) {
	switch {
	case t.Mirrored != nil:
		l, ok := m.line(*t.Mirrored)
		if !ok {
			return geom.Transform{}, false
		}
		place, ok := geom.MirrorAcross(l.P.Point(), l.Q.Point())
		return place, ok || m.noValue(t.Mirrored.Span, OneEndedLine, "")
	case t.Turned != nil:
		angle, okA := m.ratio(t.Turned)
		about, okP := m.point(t.About)
		return geom.TurnAbout(about.Point(), angle.Float64()), okA && okP
	case t.Scaled != nil:
		ratio, okR := m.ratio(t.Scaled)
		about, okP := m.point(t.Center)
		if !okR || !okP {
			return geom.Transform{}, false
		}
		if r := ratio.Float64(); !(r >= 1/mostScaled && r <= mostScaled) {
			return geom.Transform{}, m.noValue(t.Scaled.At(), NotAScale, "")
		}
		return geom.ScaleAbout(about.Point(), ratio.Float64()), true
	case t.Moved != nil:
		by, ok := m.pair(t.Moved)
		return geom.MoveBy(by.Point()), ok
	}
	return geom.Transform{}, true
}

// mostScaled is how many times larger, or smaller, than its original a copy can be.
const mostScaled = 1000.0

// settleCopy places the sections of a statement, after those they copy. A
// statement that is asked for while it is busy copies itself.
func (c *blockBuild) settleCopy(m *copies) bool {
	switch m.state {
	case busy:
		c.problem(Problem{Kind: CopyCycle, At: m.item.Abs(m.node.Made[0].Name.Span), Name: m.node.Made[0].Name.Text}, c.where)
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

// Called is what a section is called beside its name: its title or, of a copy that has none of its own, what
// it is a copy of: "mirrored copy of A". It is empty for other sections without a title.
func (s *Section) Called() string {
	of := ""
	if s.CopyOf != nil {
		if of = s.CopyOf.Name; s.CopyOf.Block != s.Block {
			of += " of " + s.CopyOf.Block.Name
		}
	}
	switch {
	case s.Title != "" || s.CopyOf == nil:
		return s.Title
	case s.Placed.Scale() != 1 && s.Placed.Flips():
		return "mirrored, scaled copy of " + of
	case s.Placed.Scale() != 1:
		return "scaled copy of " + of
	case s.Placed.Flips():
		return "mirrored copy of " + of
	}
	return "copy of " + of
}

// placeCopy fills in a copied section. A fabric that is swapped is swapped in
// what the original has after its own swaps.
func (c *blockBuild) placeCopy(m *copies, sec, of *Section) {
	if !m.ok || of == nil {
		sec.Broken = true
		return
	}
	sec.CopyOf, sec.Placed, sec.Broken = of, m.place, of.Broken
	at := placing{of.Foundation, m.place}
	f := memo.In[placing, *Foundation](c.file.Memo).Get(at, nil, func() *Foundation { return of.placed(m.place) })
	next := 0
	c.fill(sec, f, func(*Shape) *Fabric {
		fabric := of.Patches[next].Fabric
		next++
		if to, ok := m.swap[fabric]; ok {
			return to
		}
		return fabric
	})
	for i, p := range sec.Patches {
		p.Of = of.Patches[i]
	}
	for i, n := range sec.Notches {
		n.Of = of.Notches[i]
	}
}

// placing is a section at another place.
type placing struct {
	of    *Foundation
	place geom.Transform
}

// joins reads the joins in written order. A join among sections that were
// copied together comes along with each copy, right after the one it copies.
func (c *blockBuild) joins() {
	for _, it := range c.blk.Item.Body {
		switch n := it.Node.(type) {
		case *syntax.Join:
			kind := Straight
			switch {
			case n.Partial:
				kind = Partial
			case n.Inset:
				kind = Inset
			}
			c.join(kind, it, n.A, n.B, n.PressToward)
		case *syntax.Finish:
			c.join(Finish, it, n.A, n.B, nil)
		}
	}
}

func (c *blockBuild) join(kind JoinKind, it *syntax.Item, a, b syntax.Name, toward *syntax.Name) {
	j := &take(&c.room.joins, 1)[0]
	j.Kind, j.At, j.Item = kind, c.place(it.Stmt), it
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
