package block

import (
	"slices"
	"sort"

	"sewable/lang/source"
	"sewable/lang/syntax"
)

// BuildAfter is Build for a file that was edited: before is the model of the text
// as it was. A section is taken over, moved to its new lines, when every one of its
// statements is the same reading and every name it can say has the same value;
// the model is the one that Build would make.
func (l *Loader) BuildAfter(tree *syntax.Tree, before *File) *File { return build(l, tree, before) }

// takenOver are the sections of the block before the edit that can be taken over
// when their statements are the same and nothing is wrong with them, by name; none when a
// name has another value.
func (c *blockBuild) takenOver() map[string]*Section {
	before := c.file.before
	if before == nil || before.Unit != c.file.Unit || !sameUses(before, c.file) || !sameLets(before.Lets, c.file.Lets) {
		return nil
	}
	i := slices.IndexFunc(before.Blocks, func(b *Block) bool { return b.Name == c.blk.Name })
	if i < 0 || !sameNames(before.Blocks[i], c.blk) {
		return nil
	}
	return before.Blocks[i].sections
}

func sameUses(a, b *File) bool {
	return slices.EqualFunc(a.Uses, b.Uses, func(u, v *Use) bool { return u.File != nil && u.File == v.File })
}

func sameLets(a, b []*Let) bool {
	return slices.EqualFunc(a, b, func(l, m *Let) bool { return l.Name == m.Name && l.Value == m.Value && !l.Broken && !m.Broken })
}

func sameNames(a, b *Block) bool {
	return sameLets(a.Lets, b.Lets) &&
		slices.EqualFunc(a.Points, b.Points, func(p, q *NamedPoint) bool {
			return p.Name == q.Name && p.Exact == q.Exact && !p.Broken && !q.Broken
		}) &&
		slices.EqualFunc(a.Seams, b.Seams, func(s, t *NamedSeam) bool {
			return s.Name == t.Name && s.Line == t.Line && !s.Broken && !t.Broken
		})
}

// takeOver makes a section of an old one. It is false when a statement differs.
func (c *blockBuild) takeOver(sec, old *Section) bool {
	if old == nil || old.anew || old.Broken || old.CopyOf != nil || sec.Item.Close == nil {
		return false
	}
	m := move{old: old.Item.Body, new: sec.Item.Body}
	if sec.Item != old.Item && !m.measure() {
		return false
	}
	from, extent := len(c.file.References), old.Item.Extent()
	for _, r := range c.file.before.References[old.uses[0]:old.uses[1]] {
		if r.At.Start < extent.Start || r.At.End > extent.End { // in a `let` of the file that was first needed here
			continue
		}
		if to := c.now(r.To); to != nil {
			c.use(m.span(r.At), to)
		}
	}
	sec.Outline, sec.OutlineAt = old.Outline, sec.At
	if old.OutlineAt != old.At {
		sec.OutlineAt = c.place(m.span(old.OutlineAt.Span))
	}
	for _, n := range old.Notes {
		sec.Notes = append(sec.Notes, Note{n.Text, c.place(m.span(n.At.Span))})
	}
	for _, n := range old.Notches {
		sec.Notches = append(sec.Notches, &Notch{Name: n.Name, Point: n.Point, Section: sec, Item: m.item(n.Item),
			At: c.place(m.span(n.At.Span)), NameAt: c.place(m.span(n.NameAt.Span))})
	}
	sec.Patches = slices.Grow(sec.Patches, len(old.Patches))
	made := make([]Patch, len(old.Patches))
	for i, p := range old.Patches {
		q := &made[i]
		q.Section, q.Item, q.Shape, q.file = sec, m.item(p.Item), p.Shape, c.file.Source
		if q.Fabric = c.clothNow(p.Fabric); q.Fabric == nil {
			q.Fabric = c.fabric(c.scope, q.Item, q.node().Fabric, c.in(sec, q.Number))
		}
		sec.Patches = append(sec.Patches, q)
	}
	sec.uses = [2]int{from, len(c.file.References)}
	return true
}

// placedBefore are the shapes of a copy as they were before the edit, when those it copies
// were taken over and it lies where it lay; else nil.
func (c *blockBuild) placedBefore(sec *Section) []*Shape {
	old := c.old[sec.Name]
	if old == nil || old.CopyOf == nil || old.Broken || old.Placed != sec.Placed || len(old.CopyOf.Patches) != len(sec.CopyOf.Patches) {
		return nil
	}
	shapes := make([]*Shape, len(old.Patches))
	for i, p := range sec.CopyOf.Patches {
		if p.Shape != old.CopyOf.Patches[i].Shape {
			return nil
		}
		shapes[i] = old.Patches[i].Shape
	}
	return shapes
}

// A move is where the statements of a section have gone by an edit.
type move struct {
	old, new []*syntax.Item
	by       int  // how many bytes, when all have gone together
	apart    bool // they have not
	next     int  // the number of the item that is probably asked for next
}

// measure is false when the statements are not the same.
func (m *move) measure() bool {
	if !slices.EqualFunc(m.old, m.new, sameReading) {
		return false
	}
	for i := range m.old {
		by := m.new[i].Stmt.Start - m.old[i].Stmt.Start
		if i == 0 {
			m.by = by
		}
		m.apart = m.apart || by != m.by
	}
	return true
}

// sameReading reports whether two items are the same statement, read once (see
// syntax.Reader), or say nothing. Of what cannot be read nothing can be said.
func sameReading(a, b *syntax.Item) bool {
	if a.Kind != b.Kind || a.Kind == syntax.Unreadable || a.Kind == syntax.Opens {
		return false
	}
	return a.Node == b.Node
}

// item is the statement that was another before.
func (m *move) item(was *syntax.Item) *syntax.Item {
	i := m.next
	if i >= len(m.old) || m.old[i] != was {
		i = slices.Index(m.old, was)
	}
	m.next = i + 1
	return m.new[i]
}

// span is where something in a statement is now.
func (m *move) span(was source.Span) source.Span {
	if !m.apart {
		return was.Shift(m.by)
	}
	i := sort.Search(len(m.old), func(i int) bool { return m.old[i].Raw.End > was.Start })
	return was.Shift(m.new[i].Stmt.Start - m.old[i].Stmt.Start)
}

// now is the thing that has the name now, nil when there is none. What other files
// declare is the same as before.
func (c *blockBuild) now(n *Named) *Named {
	if n.At.File != c.file.before.Source {
		return n
	}
	to, known := c.names[n]
	if known {
		return to
	}
	switch n.Kind {
	case KindFabric:
		if f, ok := find(c.scope, n.Name, fabricsOf); ok {
			to = &f.Named
		}
	case KindLet:
		if d, ok := find(c.scope, n.Name, letsOf); ok {
			to = &d.let.Named
		}
	case KindPoint:
		if d, ok := find(c.scope, n.Name, pointsOf); ok {
			to = &d.point.Named
		}
	case KindSeam:
		if d, ok := find(c.scope, n.Name, seamsOf); ok {
			to = &d.seam.Named
		}
	}
	if c.names == nil {
		c.names = map[*Named]*Named{}
	}
	c.names[n] = to
	return to
}

// clothNow is the fabric that has the name now; nil when there is none.
func (c *blockBuild) clothNow(f *Fabric) *Fabric {
	if f == nil || f.At.File != c.file.before.Source {
		return f
	}
	to, known := c.cloth[f]
	if !known {
		to, _ = find(c.scope, f.Name, fabricsOf)
		if c.cloth == nil {
			c.cloth = map[*Fabric]*Fabric{}
		}
		c.cloth[f] = to
	}
	return to
}
