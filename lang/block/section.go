package block

import (
	"cmp"
	"slices"

	"sewable/lang/geom"
	"sewable/lang/syntax"
)

// blockBuild works one block out. Its methods run in the order in which
// block calls them: each needs what the one before left.
type blockBuild struct {
	*builder
	blk   *Block
	scope *scope
	where where

	room  []Section  // for those that are typed out
	own   []*Section // typed out, with their statements
	moves []*copies  // copy statements, in written order
	byOf  map[*Section]*copies
	old   map[string]*Section // see takenOver
	names map[*Named]*Named   // what is now what was meant before the edit
	cloth map[*Fabric]*Fabric // the same of fabrics
}

func (c *blockBuild) in(sec *Section, patch int) where {
	return where{Block: c.blk.Name, Section: sec.Name, Patch: patch}
}

// declare declares every name of the block.
func (c *blockBuild) declare() {
	b, blk, s := c.builder, c.blk, c.scope
	c.byOf = map[*Section]*copies{}
	open := 0
	for _, it := range blk.Item.Body {
		if it.Kind == syntax.Opens {
			open++
		}
	}
	c.room, s.sections = make([]Section, open), make(map[string]*Section, open)
	for _, it := range blk.Item.Body {
		if it.Kind == syntax.Unreadable || it.Kind == syntax.Opens && it.Node == nil {
			b.lose(s, it)
			blk.Broken = blk.Broken || !harmless[it.Word]
		}
		switch n := it.Node.(type) {
		case *syntax.Fabric:
			if f := b.fabricDecl(s, it, n, c.where); f != nil {
				blk.Fabrics = append(blk.Fabrics, f)
			}
		case *syntax.Let:
			if l := b.letDecl(s, it, n, blk, c.where); l != nil {
				blk.Lets = append(blk.Lets, l)
			}
		case *syntax.Colourway:
			if w := b.colourwayDecl(s, it, n, blk, c.where); w != nil {
				blk.Colourways = append(blk.Colourways, w)
			}
		case *syntax.PointDef:
			c.pointDecl(it, n)
		case *syntax.SeamDef:
			c.seamDecl(it, n)
		case *syntax.Section:
			sec := c.sectionDecl(it, n.Name)
			if n.Title != nil {
				sec.Title = n.Title.Value
			}
			c.own = append(c.own, sec)
		case *syntax.Copy:
			c.copyDecl(it, n)
		case *syntax.Note:
			blk.Notes = append(blk.Notes, b.note(it, n))
		}
	}
}

// harmless are the statements whose loss changes nothing about how the block
// goes together, beyond the names they would have declared.
var harmless = map[string]bool{
	"point": true, "seam": true, "let": true, "fabric": true, "note": true, "colourway": true, "colorway": true,
}

func (c *blockBuild) pointDecl(it *syntax.Item, n *syntax.PointDef) {
	p := &NamedPoint{Named: c.named(KindPoint, it, n.Name)}
	if c.clashes(pointsOf, seamsOf, p.Named) {
		return
	}
	c.scope.points[p.Name] = &pointDef{point: p, form: n.Value}
	c.blk.Points = append(c.blk.Points, p)
}

func (c *blockBuild) seamDecl(it *syntax.Item, n *syntax.SeamDef) {
	m := &NamedSeam{Named: c.named(KindSeam, it, n.Name)}
	if c.clashes(pointsOf, seamsOf, m.Named) {
		return
	}
	c.scope.seams[m.Name] = &seamDef{seam: m, def: n}
	c.blk.Seams = append(c.blk.Seams, m)
}

// clashes reports a point or seam whose name another point or seam has:
// one name alone is read as either, by where it stands.
func (c *blockBuild) clashes(points func(*scope) map[string]*pointDef, seams func(*scope) map[string]*seamDef, n Named) bool {
	if first, ok := find(c.scope, n.Name, points); ok {
		c.duplicate(n.At.Span, n.Kind, n.Name, first.point.At, c.where)
		return true
	}
	if first, ok := find(c.scope, n.Name, seams); ok {
		c.duplicate(n.At.Span, n.Kind, n.Name, first.seam.At, c.where)
		return true
	}
	return false
}

// sectionDecl declares a section. One whose name is taken is kept, so that
// its patches are still checked, but the block is then broken.
func (c *blockBuild) sectionDecl(it *syntax.Item, n syntax.Name) *Section {
	if len(c.room) == 0 {
		c.room = make([]Section, 1)
	}
	sec := &c.room[0]
	c.room = c.room[1:]
	sec.Named, sec.Block = c.named(KindSection, it, n), c.blk
	if !declare(c.builder, c.scope, sectionsOf, func(x *Section) *Named { return &x.Named }, sec, c.where) {
		c.blk.Broken = true
	}
	c.blk.Sections = append(c.blk.Sections, sec)
	return sec
}

// frame works out what the block itself says: allowances, outline, notches,
// loose patches, and every point and seam, used or not.
func (c *blockBuild) frame() {
	b, blk, s := c.builder, c.blk, c.scope
	for _, l := range blk.Lets {
		b.settleLet(s.lets[l.Name])
	}
	for _, p := range blk.Points {
		b.settlePoint(s, s.points[p.Name], c.where)
	}
	for _, m := range blk.Seams {
		b.settleSeam(s, s.seams[m.Name], c.where)
	}
	blk.Outline = rectangle(blk.Width.Float64(), blk.Height.Float64())
	blk.OutlineAt = b.place(blk.Item.Stmt)
	var outline *syntax.Item
	for _, it := range blk.Item.Body {
		switch n := it.Node.(type) {
		case *syntax.Allowance:
			b.allowance(s, it, n, &blk.Allowance, &blk.OuterAllowance, c.where)
		case *syntax.Notch:
			if notch := c.notch(it, n, nil); notch != nil {
				blk.Notches = append(blk.Notches, notch)
			}
		case *syntax.Outline:
			if outline != nil {
				b.problem(Problem{Kind: DuplicateName, At: it.Stmt, What: "outline", Name: "outline",
					Related: []Place{b.place(outline.Stmt)}}, c.where)
				continue
			}
			outline = it
			c.blockOutline(it, n)
		case *syntax.Patch:
			c.loose(it, n)
		}
	}
}

func (c *blockBuild) blockOutline(it *syntax.Item, n *syntax.Outline) {
	blk := c.blk
	poly := c.corners(c.scope, it, n.Corners, c.where)
	if poly == nil {
		blk.Broken = true
		return
	}
	blk.Outline, blk.OutlineAt = poly, c.place(it.Stmt)
	if blk.Broken { // the size itself is not known
		return
	}
	box, want := poly.Bounds(), blockBox(blk)
	if box.Min.Dist(want.Min) > geom.Hair || box.Max.Dist(want.Max) > geom.Hair {
		c.problem(Problem{Kind: OutlineSize, At: it.Stmt, Related: []Place{blk.At}}, c.where)
		blk.Broken = true
	}
}

func blockBox(b *Block) geom.Box {
	return rectangle(b.Width.Float64(), b.Height.Float64()).Bounds()
}

func (c *blockBuild) loose(it *syntax.Item, n *syntax.Patch) {
	p := &Patch{Shape: new(Shape)}
	c.patch(p, it, n, c.where)
	if n.Number != nil {
		c.problem(Problem{Kind: PatchNumber, At: it.Abs(n.Number.Span), Cause: NumberOnLoose, Number: n.Number.Value}, c.where)
	}
	if p.Given != ByCorners {
		c.problem(Problem{Kind: UnclearSeam, At: p.ShapeAt().Span, Cause: NoOutline}, c.where)
		return
	}
	p.Corners = c.corners(c.scope, it, n.Corners, c.where)
	c.blk.Loose = append(c.blk.Loose, p)
}

func (c *blockBuild) notch(it *syntax.Item, n *syntax.Notch, sec *Section) *Notch {
	w := c.where
	if sec != nil {
		w = c.in(sec, 0)
	}
	at, ok := c.point(c.scope, it, n.Point, w)
	if !ok {
		return nil
	}
	return &Notch{Name: n.Name.Text, Point: at.Point(), Section: sec, At: c.place(it.Stmt), NameAt: c.place(it.Abs(n.Name.Span)), Item: it}
}

// sections works out the sections that are typed out.
func (c *blockBuild) sections() {
	c.old = c.takenOver()
	for _, sec := range c.own {
		if !c.takeOver(sec, c.old[sec.Name]) {
			c.section(sec)
		}
	}
}

// section works one section out: its statements, then the shapes of its patches.
func (c *blockBuild) section(sec *Section) {
	w := c.in(sec, 0)
	sec.OutlineAt = sec.At
	sec.Broken = sec.Item.Close == nil
	var outline *syntax.Item
	from := len(c.file.References)
	made := make([]Patch, len(sec.Item.Body))
	shapes := make([]Shape, len(sec.Item.Body)) // apart: after an edit others have them too
	for i, it := range sec.Item.Body {
		if it.Kind == syntax.Unreadable || it.Kind == syntax.Opens {
			c.file.Partial = true
			sec.Broken = sec.Broken || it.Word != "note"
		}
		switch n := it.Node.(type) {
		case *syntax.Outline:
			if outline != nil {
				c.problem(Problem{Kind: DuplicateName, At: it.Stmt, What: "outline", Name: "outline",
					Related: []Place{c.place(outline.Stmt)}}, w)
				continue
			}
			outline = it
			sec.OutlineAt = c.place(it.Stmt)
			if sec.Outline = c.corners(c.scope, it, n.Corners, w); sec.Outline == nil {
				sec.Broken = true
			}
		case *syntax.Notch:
			if notch := c.notch(it, n, sec); notch != nil {
				sec.Notches = append(sec.Notches, notch)
			} else {
				sec.Broken = true // its partner would look alone
			}
		case *syntax.Note:
			sec.Notes = append(sec.Notes, c.note(it, n))
		case *syntax.Patch:
			if n.Number == nil { // the reader reports it
				sec.Broken = true
				continue
			}
			p := &made[i]
			p.Section, p.Shape = sec, &shapes[i]
			c.patch(p, it, n, c.in(sec, n.Number.Value))
			sec.anew = sec.anew || n.Cut != nil && p.Cut == nil // the cause may have been told elsewhere
			sec.Patches = append(sec.Patches, p)
		}
	}
	c.number(sec)
	c.shape(sec)
	sec.uses = [2]int{from, len(c.file.References)}
}

// patch reads what a patch says of itself; its shape comes later.
func (c *blockBuild) patch(p *Patch, it *syntax.Item, n *syntax.Patch, w where) {
	p.Fabric, p.Item, p.file = c.fabric(c.scope, it, n.Fabric, w), it, c.file.Source
	if n.Number != nil {
		p.Number = n.Number.Value
	}
	switch {
	case n.Beyond != nil:
		p.Given = ByBeyond
	case n.Around != nil:
		p.Given = ByAround
	}
	if n.Note != nil {
		p.Note = n.Note.Value
	}
	if n.Cut != nil {
		p.Cut = c.cut(it, n.Cut, w)
	}
}

func (c *blockBuild) cut(it *syntax.Item, n *syntax.Cut, w where) *Cut {
	cut := &Cut{Form: n.Form}
	along, ok := c.size(c.scope, it, n.Along, w)
	cut.Along = along
	if n.Across != nil {
		across, okAcross := c.size(c.scope, it, n.Across, w)
		cut.Across = across
		ok = ok && okAcross
	}
	if !ok {
		return nil
	}
	return cut
}

// number puts the patches into sewing order and reports numbers that are
// there twice or missing: at most one finding a section, at the first.
func (c *blockBuild) number(sec *Section) {
	numberAt := func(p *Patch) Place { return c.place(p.Item.Abs(p.node().Number.Span)) }
	slices.SortStableFunc(sec.Patches, func(p, q *Patch) int { return cmp.Compare(p.Number, q.Number) })
	if sec.Broken { // the missing number may stand on a line that cannot be read
		return
	}
	for i, p := range sec.Patches {
		if p.Number == i+1 {
			continue
		}
		sec.Broken = true
		problem := Problem{Kind: PatchNumber, At: numberAt(p).Span, Cause: NumberMissing, Number: i + 1}
		if i > 0 && sec.Patches[i-1].Number == p.Number {
			problem.Cause, problem.Number = NumberTwice, p.Number
			problem.Related = []Place{numberAt(sec.Patches[i-1])}
		}
		c.problem(problem, c.in(sec, p.Number))
		return
	}
}
