package block

import (
	"sewable/lang/geom"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// blockBuild works one block out. Its methods run in the order in which
// block calls them: each needs what the one before left.
type blockBuild struct {
	*builder
	blk   *Block
	scope *scope
	where where

	room  room
	own   []*Section // typed out, with their statements
	moves []*copies  // copy statements, in written order
	byOf  map[*Section]*copies

	shapeless bool // the block's own outline is unknown
}

// room is where parts of the model are made, many at a time.
type room struct {
	sections []Section
	patches  []Patch
	pointers []*Patch
	notches  []Notch
	joins    []Join
	known    []known
}

// take gives n of a room that has them, or else new ones.
func take[T any](room *[]T, n int) []T {
	if len(*room) < n {
		return make([]T, n)
	}
	taken := (*room)[:n:n]
	*room = (*room)[n:]
	return taken
}

func (c *blockBuild) in(sec *Section, patch int) where {
	return where{Block: c.blk.Name, Section: sec.Name, Patch: patch}
}

// declare declares every name of the block.
func (c *blockBuild) declare() {
	b, blk, s := c.builder, c.blk, c.scope
	c.byOf = map[*Section]*copies{}
	var open, notches, joins int
	for _, it := range blk.Item.Body {
		switch it.Node.(type) {
		case *syntax.Section, *syntax.Copy:
			open++
		case *syntax.Notch:
			notches++
		case *syntax.Join, *syntax.Finish:
			joins++
		}
	}
	c.room = room{sections: make([]Section, open), notches: make([]Notch, notches), joins: make([]Join, joins)}
	s.sections = make(map[string]*Section, open)
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
		case *syntax.Size:
			c.sizeDecl(it, n)
		case *syntax.PointDef:
			c.pointDecl(it, n)
		case *syntax.SeamDef:
			c.seamDecl(it, n)
		case *syntax.Section:
			sec := c.sectionDecl(it, n.Name)
			if n.Title != nil {
				sec.Title = seen(*n.Title)
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
	"point": true, "seam": true, "let": true, "size": true, "fabric": true, "note": true, "colourway": true, "colorway": true,
}

func (c *blockBuild) pointDecl(it *syntax.Item, n *syntax.PointDef) {
	p := &NamedPoint{Named: c.named(KindPoint, it, n.Name)}
	if c.clashes(pointsOf, seamsOf, p.Named) {
		return
	}
	c.scope.points[p.Name] = &pointDef{point: p, form: n.Value, where: c.where}
	c.blk.Points = append(c.blk.Points, p)
}

func (c *blockBuild) seamDecl(it *syntax.Item, n *syntax.SeamDef) {
	m := &NamedSeam{Named: c.named(KindSeam, it, n.Name)}
	if c.clashes(pointsOf, seamsOf, m.Named) {
		return
	}
	c.scope.seams[m.Name] = &seamDef{seam: m, def: n, where: c.where}
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
	sec := &take(&c.room.sections, 1)[0]
	sec.Named, sec.Block, sec.Foundation = c.named(KindSection, it, n), c.blk, &noFoundation
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
		b.settlePoint(s, s.points[p.Name])
	}
	for _, m := range blk.Seams {
		b.settleSeam(s, s.seams[m.Name])
	}
	blk.Outline = rectangle(blk.Width.Float64(), blk.Height.Float64())
	blk.OutlineAt = b.place(blk.Item.Stmt)
	var outline *syntax.Item
	here := &inPlace{b, s, nil, c.where}
	for _, it := range blk.Item.Body {
		switch n := it.Node.(type) {
		case *syntax.Allowance:
			b.allowance(s, it, n, &blk.Allowance, &blk.OuterAllowance, c.where)
		case *syntax.Notch:
			here.item = it
			if at, ok := (maker{here}).point(n.Point); ok {
				notch := &take(&c.room.notches, 1)[0]
				*notch = Notch{Name: n.Name.Text, Point: at.Point(),
					At: b.place(it.Stmt), NameAt: b.place(it.Abs(n.Name.Span)), Item: it}
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
	poly := c.at(c.scope, it, c.where).corners(n.Corners)
	if poly == nil {
		blk.Broken, c.shapeless = true, true
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
	p := &Patch{Shape: new(Shape), Item: it, file: c.file.Source}
	m := c.at(c.scope, it, c.where)
	m.shape(p.Shape, n)
	p.Fabric, _ = find(c.scope, n.Fabric.Text, fabricsOf)
	if p.Given != ByCorners {
		c.blk.Broken = true // the reader says why
		return
	}
	p.Corners = m.corners(n.Corners)
	c.blk.Loose = append(c.blk.Loose, p)
}

// noFoundation is that of a section that is not worked out.
var noFoundation = Foundation{outlineAt: -1, Geometry: &Geometry{}}

// found reads the sections that are typed out.
func (c *blockBuild) found() {
	c.blk.known = map[asked]*known{}
	for _, sec := range c.own {
		sec.Foundation = c.foundation(sec.Item)
		for _, p := range sec.problems {
			c.sectionProblem(sec, p)
		}
		sec.read = len(sec.problems)
	}
}

// sections works out the sections that are typed out.
func (c *blockBuild) sections() {
	patches := 0
	for _, sec := range c.own {
		patches += len(sec.Shapes)
	}
	c.room.patches, c.room.pointers = make([]Patch, patches), make([]*Patch, patches)
	var fabrics []*Fabric // of one section, by question
	for _, sec := range c.own {
		f := sec.Foundation
		sec.Broken = f.broken
		c.file.Partial = c.file.Partial || f.partial
		fabrics = fabrics[:0]
		for q := range f.trace.Len() {
			fabrics = append(fabrics, c.known(f.trace.Question(q)).fabric)
		}
		c.fill(sec, f, func(s *Shape) *Fabric { return fabrics[s.fabric] })
		for _, p := range f.problems[sec.read:] {
			c.sectionProblem(sec, p)
		}
	}
}

// fill gives a section, typed out or copied, its foundation and what follows from it at its place.
func (c *blockBuild) fill(sec *Section, f *Foundation, fabric func(*Shape) *Fabric) {
	sec.Foundation, sec.OutlineAt = f, Place{sec.At.File, sec.linesAt()}
	original := sec.Original()
	items, src := original.Item.Body, original.At.File
	if f.outlineAt >= 0 && sec.CopyOf == nil {
		sec.OutlineAt = c.place(items[f.outlineAt].Stmt)
	}
	for _, n := range f.notes {
		sec.Notes = append(sec.Notes, Note{n.text, Place{src, items[n.statement].Stmt}})
	}
	for _, n := range f.notches {
		it := items[n.statement]
		made := &Notch{Name: n.name, Point: n.point, Section: sec, Item: it, At: Place{src, it.Stmt}, NameAt: Place{src, it.Abs(n.nameAt)}}
		if sec.FromElsewhere() {
			made.At, made.NameAt = sec.At, sec.At
		}
		sec.Notches = append(sec.Notches, made)
	}
	sec.Patches = take(&c.room.pointers, len(f.Shapes))
	made := take(&c.room.patches, len(f.Shapes))
	for i, s := range f.Shapes {
		made[i] = Patch{Section: sec, Fabric: fabric(s), Item: items[s.statement], Shape: s, file: src}
		sec.Patches[i] = &made[i]
	}
}

// sectionProblem records a problem of a section where it is.
func (c *blockBuild) sectionProblem(sec *Section, said sectionProblem) {
	p := said.Problem
	p.At = sec.span(said.at)
	for _, m := range said.related {
		p.Related = append(p.Related, c.place(sec.span(m)))
	}
	w := c.in(sec, p.Patch)
	if p.Kind == UnknownName {
		c.unknown(c.scope, p, w)
		return
	}
	c.problem(p, w)
}

// span is where a mark is in the file.
func (s *Section) span(m mark) source.Span {
	it := s.Item
	if m.statement != opening {
		it = it.Body[m.statement]
	}
	if m.Span == wholeStatement {
		return it.Stmt
	}
	return it.Abs(m.Span)
}
