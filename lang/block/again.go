package block

import (
	"slices"

	"sewable/lang/source"
	"sewable/lang/syntax"
)

// BuildAfter is Build for a file that was edited: before is the model of the text
// as it was. A section is taken over, moved to its new lines, when every one of its
// statements is the same reading and every name it can say has the same value;
// the model is the one that Build would make.
func (l *Loader) BuildAfter(tree *syntax.Tree, before *File) *File { return build(l, tree, before) }

// takenOver are the sections of the block before the edit that can be taken over
// when their statements are the same, by name; none when a name has another value.
func (c *blockBuild) takenOver() map[string]*Section {
	before := c.file.before
	if before == nil || before.Unit != c.file.Unit || !sameUses(before, c.file) || !sameLets(before.Lets, c.file.Lets) {
		return nil
	}
	i := slices.IndexFunc(before.Blocks, func(b *Block) bool { return b.Name == c.blk.Name })
	if i < 0 || !sameNames(before.Blocks[i], c.blk) {
		return nil
	}
	old := map[string]*Section{}
	for _, s := range before.Blocks[i].Sections {
		if s.CopyOf == nil && !s.Broken {
			old[s.Name] = s
		}
	}
	for _, p := range before.Problems {
		if p.Block == c.blk.Name {
			delete(old, p.Section)
		}
	}
	return old
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
	if old == nil || sec.Item.Close == nil || !slices.EqualFunc(sec.Item.Body, old.Item.Body, sameReading) {
		return false
	}
	for _, p := range old.Patches {
		if p.Cut == nil && p.Item.Node.(*syntax.Patch).Cut != nil { // what was wrong with it may have been told elsewhere
			return false
		}
	}
	sec.OutlineAt, sec.Outline = sec.At, old.Outline
	sec.Patches = make([]*Patch, len(old.Patches))
	made := make([]Patch, len(old.Patches))
	notches, next := 0, 0
	if c.again == nil {
		c.again = c.usesAgain()
	}
	for i, it := range sec.Item.Body {
		switch n := it.Node.(type) {
		case *syntax.Outline:
			sec.OutlineAt = c.place(it.Stmt)
		case *syntax.Notch:
			notch := *old.Notches[notches]
			notches++
			notch.Section, notch.Item = sec, it
			notch.At, notch.NameAt = c.place(it.Stmt), c.place(it.Abs(n.Name.Span))
			sec.Notches = append(sec.Notches, &notch)
		case *syntax.Note:
			sec.Notes = append(sec.Notes, c.note(it, n))
		case *syntax.Patch:
			at := next // mostly they stand in the order of their numbers
			if old.Patches[at].Item != old.Item.Body[i] {
				at = slices.IndexFunc(old.Patches, func(p *Patch) bool { return p.Item == old.Item.Body[i] })
			}
			next = (at + 1) % len(old.Patches)
			p := &made[at]
			*p = *old.Patches[at]
			p.Section, p.Item = sec, it
			p.Fabric = c.fabric(c.scope, it, n.Fabric, c.in(sec, p.Number))
			p.At, p.FabricAt, p.ShapeAt = c.place(it.Stmt), c.place(it.Abs(n.Fabric.Span)), c.place(it.Abs(shapeSpan(n)))
			if p.Cut != nil {
				cut := *p.Cut
				cut.At = c.place(it.Abs(n.Cut.Span))
				p.Cut = &cut
			}
			sec.Patches[at] = p
		}
		c.again(it)
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

// usesAgain gives a function that records the names that a statement uses, but for its
// fabric.
func (c *blockBuild) usesAgain() func(*syntax.Item) {
	var it *syntax.Item
	note := func(at source.Span, n *Named) { c.use(it.Abs(at), n) }
	visitor := syntax.Visitor{
		Point: func(p syntax.Point) {
			if r, ok := p.(*syntax.PointRef); ok {
				if d, ok := find(c.scope, r.Text, pointsOf); ok {
					note(r.Span, &d.point.Named)
				}
			}
		},
		Line: func(l syntax.Line) {
			if l.Seam == nil {
				return
			}
			if d, ok := find(c.scope, l.Seam.Text, seamsOf); ok {
				note(l.Seam.Span, &d.seam.Named)
			}
		},
		Expr: func(e syntax.Expr) {
			if r, ok := e.(*syntax.Ref); ok {
				if d, ok := find(c.scope, r.Text, letsOf); ok {
					note(r.Span, &d.let.Named)
				}
			}
		},
	}
	return func(of *syntax.Item) {
		it = of
		visitor.Statement(of.Node)
	}
}
