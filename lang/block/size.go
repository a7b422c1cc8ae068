package block

import (
	"cmp"

	"sewable/lang/geom"
	"sewable/lang/memo"
	"sewable/lang/syntax"
)

// Size is another finished size of a block. Everything finished scales by one ratio; allowances do not, and a
// designer's cut sizes are not taken over.
type Size struct {
	Named
	Title         string
	Width, Height geom.Num
	Broken        bool // it has no size, or not one that scales the block both ways alike

	of    *Block
	facts memo.Facts
}

// Of is the block as it is drawn.
func (s *Size) Of() *Block { return s.of }

// Called is the size as people know it: its title, or its name where it has none.
func (s *Size) Called() string { return cmp.Or(s.Title, s.Name) }

// Ratio is that of its lengths to those of the block as drawn.
func (s *Size) Ratio() geom.Num { return s.Width.Div(s.of.Width) }

// Block is the model of the block in this size, one like that of a block typed at it. Its title names the size. The
// size must not be Broken.
func (s *Size) Block() *Block {
	type sized struct{}
	return memo.Of(&s.facts, sized{}, s.scale)
}

// Drawn is the block as it is drawn: b itself unless it is in another size.
func (b *Block) Drawn() *Block {
	if b.Size != nil {
		return b.Size.of
	}
	return b
}

// SizeOf is the size of that name of a block; nil when there is none.
func SizeOf(b *Block, name string) *Size {
	for _, s := range b.Sizes {
		if s.Name == name {
			return s
		}
	}
	return nil
}

// InSizes are the block as drawn and, after it, its models in other sizes that can be worked out.
func (b *Block) InSizes() []*Block {
	all := []*Block{b}
	if b.Size != nil {
		return all
	}
	for _, s := range b.Sizes {
		if !s.Broken {
			all = append(all, s.Block())
		}
	}
	return all
}

func (c *blockBuild) sizeDecl(it *syntax.Item, n *syntax.Size) {
	s := &Size{Named: c.named(KindSize, it, n.Name), of: c.blk}
	if n.Title != nil {
		s.Title = seen(*n.Title)
	}
	if first := SizeOf(c.blk, s.Name); first != nil {
		c.duplicate(s.At.Span, KindSize, s.Name, first.At, c.where)
		return
	}
	c.blk.Sizes = append(c.blk.Sizes, s)
}

// sizes works out how large the sizes are, and that no colorway has the name of one: a block in a setting is
// followed by either.
func (c *blockBuild) sizes() {
	blk := c.blk
	for _, s := range blk.Sizes {
		n := s.Item.Node.(*syntax.Size)
		at := c.at(c.scope, s.Item, c.where)
		var okW, okH bool
		s.Width, okW = at.size(n.Width)
		s.Height, okH = at.size(n.Height)
		s.Broken = !okW || !okH
		if way := ColourwayOf(blk, s.Name); way != nil {
			c.duplicate(s.At.Span, KindSize, s.Name, way.At, c.where)
		}
		if s.Broken || blk.Width.Sign() <= 0 || blk.Height.Sign() <= 0 { // of the block its own finding says what is wrong
			s.Broken = true
			continue
		}
		if high := blk.Height.Mul(s.Ratio()).Float64() - s.Height.Float64(); high > geom.Hair || high < -geom.Hair {
			s.Broken = true
			c.problem(Problem{Kind: UnevenSize, At: s.Item.Stmt, Name: s.Name, Related: []Place{blk.At}}, c.where)
		}
	}
}

// scale makes the model in this size.
func (s *Size) scale() *Block {
	b := s.of
	ratio := s.Ratio()
	by := geom.ScaleAbout(geom.Point{}, ratio.Float64())
	out := &Block{
		Named: b.Named, File: b.File, Size: s, Width: s.Width, Height: s.Height, Outline: by.ApplyTo(b.Outline), OutlineAt: b.OutlineAt,
		Allowance: b.Allowance, OuterAllowance: b.OuterAllowance, Fabrics: b.Fabrics, Lets: b.Lets, Colourways: b.Colourways,
		Sizes: b.Sizes, Notes: b.Notes, Broken: b.Broken, known: b.known,
	}
	out.Name += " (" + s.Called() + ")"
	for _, p := range b.Points {
		scaled := *p
		scaled.Exact = geom.Scale(p.Exact, ratio)
		out.Points = append(out.Points, &scaled)
	}
	for _, m := range b.Seams {
		scaled := *m
		scaled.Line = geom.Segment{A: by.Apply(m.Line.A), B: by.Apply(m.Line.B)}
		out.Seams = append(out.Seams, &scaled)
	}
	sections, patches, notches := map[*Section]*Section{}, map[*Patch]*Patch{}, map[*Notch]*Notch{}
	for _, sec := range b.Sections {
		scaled := *sec
		scaled.Block = out
		scaled.Foundation = memo.In[placing, *Foundation](b.File.Memo).Get(placing{sec.Foundation, by}, nil,
			func() *Foundation { return sec.Foundation.placed(by) })
		scaled.Lines, scaled.Patches, scaled.Notches = nil, nil, nil
		for _, l := range sec.Lines {
			scaled.Lines = append(scaled.Lines, geom.Segment{A: by.Apply(l.A), B: by.Apply(l.B)})
		}
		for i, p := range sec.Patches {
			q := *p
			q.Section, q.Shape = &scaled, scaled.Foundation.Shapes[i]
			patches[p] = &q
			scaled.Patches = append(scaled.Patches, &q)
		}
		for _, n := range sec.Notches {
			notches[n] = n.scaled(by, &scaled)
			scaled.Notches = append(scaled.Notches, notches[n])
		}
		sections[sec] = &scaled
		out.Sections = append(out.Sections, &scaled)
	}
	for _, sec := range out.Sections {
		if of := sections[sec.CopyOf]; of != nil {
			sec.CopyOf, sec.Placed = of, sec.Placed.Within(ratio.Float64())
		} else if sec.CopyOf != nil { // of another block, which keeps its size
			sec.Placed = sec.Placed.Then(by)
		}
		for _, p := range sec.Patches {
			if of := patches[p.Of]; of != nil {
				p.Of = of
			}
		}
		for _, n := range sec.Notches {
			if of := notches[n.Of]; of != nil {
				n.Of = of
			}
		}
	}
	for _, n := range b.Notches {
		out.Notches = append(out.Notches, n.scaled(by, nil))
	}
	for _, p := range b.Loose {
		q, shape := *p, *p.Shape
		shape.Corners, shape.Cut = by.ApplyTo(shape.Corners), nil
		q.Shape = &shape
		out.Loose = append(out.Loose, &q)
	}
	joins := map[*Join]*Join{}
	for _, j := range b.Joins {
		k := *j
		k.A, k.B, k.PressToward, k.CopyOf = sections[j.A], sections[j.B], sections[j.PressToward], joins[j.CopyOf]
		joins[j] = &k
		out.Joins = append(out.Joins, &k)
	}
	return out
}

func (n *Notch) scaled(by geom.Transform, of *Section) *Notch {
	out := *n
	out.Point, out.Section = by.Apply(n.Point), of
	return &out
}

// InSizes are models of the file each of which has one block, in another size than it is drawn in, and nothing that is
// the same in all sizes: no names, problems and settings.
func (f *File) InSizes() (files []*File) {
	for _, b := range f.Blocks {
		for _, in := range b.InSizes()[1:] {
			files = append(files, &File{
				Tree: f.Tree, Source: f.Source, Unit: f.Unit, Allowance: f.Allowance, Blocks: []*Block{in},
				Partial: f.Partial, Memo: f.Memo, loader: f.loader, oneSize: true,
			})
		}
	}
	return files
}
