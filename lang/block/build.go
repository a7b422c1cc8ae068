package block

import (
	"slices"
	"strings"

	"sewable/lang/geom"
	"sewable/lang/memo"
	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lang/visible"
)

// builder makes the model of one file. It goes over the statements twice:
// first it declares every name, then it works out what they mean, so that
// names may be used before the line that declares them.
type builder struct {
	loader   *Loader
	file     *File
	scope    *scope
	unknowns map[unknownKey]int // index of the problem of a name
	nearest  map[unknownKey]string
	swaps    []swapsOf // colourways whose swaps are still to be resolved

	blocks map[*Block]*blockDef // of the file
}

// where says which block, section and patch a problem belongs to.
type where struct {
	Block, Section string
	Patch          int
}

// blockDef is a block being worked out, when its turn has come or another takes a section from it.
type blockDef struct {
	node  *syntax.Block
	state state
}

type swapsOf struct {
	way   *Colourway
	scope *scope
	item  *syntax.Item
	where where
}

func build(l *Loader, tree *syntax.Tree, m *memo.Store) *File {
	b := &builder{
		loader:   l,
		file:     &File{Tree: tree, Source: tree.File, Unit: geom.Inches, Memo: m, loader: l},
		scope:    newScope(nil),
		unknowns: map[unknownKey]int{},
		nearest:  map[unknownKey]string{},
		blocks:   map[*Block]*blockDef{},
	}
	b.file.Partial = len(tree.Errors) > 0
	b.declareFile()
	for _, l := range b.file.Lets { // in file order: of two that need each other the first is told
		b.settleLet(b.scope.lets[l.Name])
	}
	for _, s := range b.swaps {
		b.resolveSwaps(s)
	}
	b.swaps = nil
	slices.SortStableFunc(b.file.Problems, func(p, q Problem) int { return p.At.Start - q.At.Start })
	return b.file
}

func newScope(outer *scope) *scope {
	return &scope{
		outer:      outer,
		fabrics:    map[string]*Fabric{},
		lets:       map[string]*letDef{},
		points:     map[string]*pointDef{},
		seams:      map[string]*seamDef{},
		sections:   map[string]*Section{},
		colourways: map[string]*Colourway{},
		blocks:     map[string]*Block{},
		lost:       map[string]bool{},
	}
}

func (b *builder) place(at source.Span) Place { return Place{b.file.Source, at} }

func (b *builder) problem(p Problem, w where) {
	p.Block, p.Section, p.Patch = w.Block, w.Section, w.Patch
	b.file.Problems = append(b.file.Problems, p)
}

func (b *builder) named(kind Kind, it *syntax.Item, n syntax.Name) Named {
	return Named{Kind: kind, Name: n.Text, At: b.place(it.Abs(n.Span)), Item: it}
}

// lose remembers the names that a statement which cannot be read would have declared: one,
// those of all copies of a line, or, where it may have been a `use`, any.
func (b *builder) lose(s *scope, it *syntax.Item) {
	b.file.Partial = true
	said, _, _ := strings.Cut(b.file.Source.Text[it.Stmt.Start:it.Stmt.End], "=")
	words := strings.FieldsFunc(said, func(r rune) bool {
		return strings.ContainsRune(" \t({,\r\n", r)
	})
	s.lostAll = s.lostAll || s.outer == nil && !syntax.IsReserved(it.Word)
	for i, word := range words {
		if i == 1 || i > 1 && it.Word == "section" {
			s.lost[word] = true
		}
	}
}

// declareFile declares what the file brings in and says itself. The unit and
// the used files come first: everything after may depend on them, wherever
// the statement stands.
func (b *builder) declareFile() {
	items := b.file.Tree.Items
	b.units(items)
	for _, it := range items {
		if use, ok := it.Node.(*syntax.Use); ok {
			b.followUse(it, use)
		}
	}
	var bodies, settings []func() // settings come last: they look into blocks, wherever these stand
	for _, it := range items {
		if it.Kind == syntax.Unreadable || it.Kind == syntax.Opens && it.Node == nil {
			b.lose(b.scope, it)
		}
		switch n := it.Node.(type) {
		case *syntax.Allowance:
			bodies = append(bodies, func() { b.allowance(b.scope, it, n, &b.file.Allowance, nil, where{}) })
		case *syntax.Fabric:
			if f := b.fabricDecl(b.scope, it, n, where{}); f != nil {
				b.file.Fabrics = append(b.file.Fabrics, f)
			}
		case *syntax.Let:
			if l := b.letDecl(b.scope, it, n, nil, where{}); l != nil {
				b.file.Lets = append(b.file.Lets, l)
			}
		case *syntax.Colourway:
			if c := b.colourwayDecl(b.scope, it, n, nil, where{}); c != nil {
				b.file.Colourways = append(b.file.Colourways, c)
			}
		case *syntax.Note:
			b.file.Notes = append(b.file.Notes, b.note(it, n))
		case *syntax.Block:
			title := syntax.Name{Text: seen(n.Title), Span: n.Title.Span}
			blk := &Block{Named: b.named(KindBlock, it, title), File: b.file}
			declare(b, b.scope, blocksOf, func(x *Block) *Named { return &x.Named }, blk, where{Block: blk.Name})
			b.file.Blocks = append(b.file.Blocks, blk)
			b.blocks[blk] = &blockDef{node: n}
			bodies = append(bodies, func() { b.settleBlock(blk) })
		case *syntax.Setting:
			title := syntax.Name{Text: seen(n.Title), Span: n.Title.Span}
			set := &Setting{Named: b.named(KindSetting, it, title)}
			if first := slices.IndexFunc(b.file.Settings, func(s *Setting) bool { return s.Name == set.Name }); first >= 0 {
				b.duplicate(set.At.Span, KindSetting, set.Name, b.file.Settings[first].At, where{})
			}
			b.file.Settings = append(b.file.Settings, set)
			settings = append(settings, func() { b.setting(set) })
		}
	}
	for _, do := range append(bodies, settings...) {
		do()
	}
}

// units finds the unit of bare numbers; a second statement is one too many.
func (b *builder) units(items []*syntax.Item) {
	var first *syntax.Item
	for _, it := range items {
		n, ok := it.Node.(*syntax.Units)
		if !ok {
			continue
		}
		if first != nil {
			b.problem(Problem{Kind: DuplicateName, At: it.Stmt, What: "unit", Name: n.Unit.Text,
				Related: []Place{b.place(first.Stmt)}}, where{})
			continue
		}
		first = it
		b.file.Unit, _ = geom.UnitNamed(n.Unit.Text) // the reader lets no other through
	}
}

// followUse brings in another file's own names.
func (b *builder) followUse(it *syntax.Item, n *syntax.Use) {
	at := it.Abs(n.Path.Span)
	use := &Use{At: b.place(at), Path: n.Path.Value, Item: it}
	b.file.Uses = append(b.file.Uses, use)
	file, cause := b.loader.use(b.file.Source.Path, n.Path.Value)
	if file == nil {
		b.scope.lostAll = true
		b.problem(Problem{Kind: BadUse, At: at, Name: seen(n.Path), Cause: cause}, where{})
		return
	}
	use.File = file
	if file.Partial {
		b.scope.lostAll = true // a name may be missing because a line there cannot be read
	}
	for _, f := range file.Fabrics {
		bringIn(b, at, fabricsOf, &f.Named, f, func(x *Fabric) *Named { return &x.Named })
	}
	for _, l := range file.Lets {
		d := &letDef{let: l, state: done}
		if l.Broken {
			d.state = failed
		}
		bringIn(b, at, letsOf, &l.Named, d, func(x *letDef) *Named { return &x.let.Named })
	}
	for _, c := range file.Colourways {
		bringIn(b, at, colourwaysOf, &c.Named, c, func(x *Colourway) *Named { return &x.Named })
	}
	for _, k := range file.Blocks {
		bringIn(b, at, blocksOf, &k.Named, k, func(x *Block) *Named { return &x.Named })
	}
}

func bringIn[T any](b *builder, at source.Span, in func(*scope) map[string]T, n *Named, v T, named func(T) *Named) {
	table := in(b.scope)
	if first, clash := table[n.Name]; clash && named(first) != n {
		b.duplicate(at, n.Kind, n.Name, named(first).At, where{})
		return
	}
	table[n.Name] = v
}

func (b *builder) allowance(s *scope, it *syntax.Item, n *syntax.Allowance, all, outer **Allowance, w where) {
	slot := all
	if n.Outer {
		slot = outer
	}
	if slot == nil { // `allowance outer` outside a block is misplaced: the reader says so
		return
	}
	if *slot != nil {
		b.problem(Problem{Kind: DuplicateName, At: it.Stmt, What: "allowance", Name: "allowance",
			Related: []Place{(*slot).At}}, w)
		return
	}
	size, ok := b.at(s, it, w).length(n.Size)
	*slot = &Allowance{Size: size, Outer: n.Outer, At: b.place(it.Stmt), Item: it, Broken: !ok}
}

func (b *builder) fabricDecl(s *scope, it *syntax.Item, n *syntax.Fabric, w where) *Fabric {
	f := &Fabric{Named: b.named(KindFabric, it, n.Name), Directional: n.Directional}
	if n.Title != nil {
		f.Title = seen(*n.Title)
	}
	if n.Colour != nil {
		f.Colour = n.Colour.Hex
	}
	if !declare(b, s, fabricsOf, func(x *Fabric) *Named { return &x.Named }, f, w) {
		return nil
	}
	if n.Width != nil {
		f.Width, _ = b.at(s, it, w).size(n.Width)
	}
	return f
}

func (b *builder) letDecl(s *scope, it *syntax.Item, n *syntax.Let, blk *Block, w where) *Let {
	l := &Let{Named: b.named(KindLet, it, n.Name), Block: blk}
	d := &letDef{let: l, expr: n.Value, scope: s, where: w}
	if !declare(b, s, letsOf, func(x *letDef) *Named { return &x.let.Named }, d, w) {
		return nil
	}
	return l
}

func (b *builder) colourwayDecl(s *scope, it *syntax.Item, n *syntax.Colourway, blk *Block, w where) *Colourway {
	c := &Colourway{Named: b.named(KindColourway, it, n.Name), Block: blk}
	if n.Title != nil {
		c.Title = seen(*n.Title)
	}
	if !declare(b, s, colourwaysOf, func(x *Colourway) *Named { return &x.Named }, c, w) {
		return nil
	}
	b.swaps = append(b.swaps, swapsOf{c, s, it, w})
	return c
}

// resolveSwaps reads the lines of a colourway; a fabric can be swapped once.
func (b *builder) resolveSwaps(s swapsOf) {
	seen := map[*Fabric]Place{}
	for _, it := range s.item.Body {
		n, ok := it.Node.(*syntax.Swap)
		if !ok {
			continue
		}
		swap, ok := b.swap(s.scope, it, *n, s.where)
		if !ok {
			continue
		}
		at := it.Abs(n.Old.Span)
		if first, twice := seen[swap.Old]; twice {
			b.problem(Problem{Kind: DuplicateName, At: at, What: "fabric", Name: n.Old.Text, Swap: true, Related: []Place{first}}, s.where)
			continue
		}
		seen[swap.Old] = b.place(at)
		s.way.Swaps = append(s.way.Swaps, swap)
	}
}

func (b *builder) swap(s *scope, it *syntax.Item, n syntax.Swap, w where) (Swap, bool) {
	old, with := b.fabric(s, it, n.Old, w), b.fabric(s, it, n.New, w)
	return Swap{Old: old, New: with}, old != nil && with != nil
}

// seen is a text as people may see it. Titles are compared in this form: two that look alike are
// alike.
func seen(t syntax.Text) string { return visible.Text(t.Value) }

func (b *builder) note(it *syntax.Item, n *syntax.Note) Note {
	return Note{Text: seen(n.Text), At: b.place(it.Stmt)}
}

// settleBlock works a block out, once. It is false for one that needs itself.
func (b *builder) settleBlock(blk *Block) bool {
	d := b.blocks[blk]
	if d != nil && d.state == fresh { // those of other files are worked out
		d.state = busy
		b.block(blk, d.node)
		d.state = done
	}
	return d == nil || d.state == done
}

// block works a block out: its names, then its sections, copies and joins.
func (b *builder) block(blk *Block, n *syntax.Block) {
	w := where{Block: blk.Name}
	s := newScope(b.scope)
	it := blk.Item
	width, okW := b.at(s, it, w).size(n.Width)
	height, okH := b.at(s, it, w).size(n.Height)
	blk.Width, blk.Height = width, height
	if !okW || !okH || it.Close == nil {
		blk.Broken = true
	}
	c := blockBuild{builder: b, blk: blk, scope: s, where: w, shapeless: !okW || !okH}
	c.declare()
	c.frame()
	c.sizes()
	c.found()
	c.readCopies()
	c.divide()
	c.sections()
	c.copies()
	c.joins()
	for _, sec := range blk.Sections {
		blk.Broken = blk.Broken || sec.Broken
	}
	if blk.Allowance == nil {
		blk.Allowance = b.file.Allowance
	}
	if blk.OuterAllowance == nil {
		blk.OuterAllowance = blk.Allowance
	}
}

// rectangle is the polygon from (0, 0) to (w, h), anticlockwise.
func rectangle(w, h float64) geom.Polygon {
	return geom.Polygon{{X: 0, Y: 0}, {X: w, Y: 0}, {X: w, Y: h}, {X: 0, Y: h}}
}
