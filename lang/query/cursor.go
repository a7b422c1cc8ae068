package query

import (
	"slices"

	"sewable/lang/block"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// Cursor is what stands at an offset. Whatever is not there is nil or zero.
type Cursor struct {
	Offset int
	Item   *syntax.Item // the statement whose lines hold it
	Token  syntax.Token // the token there, with its span in the file
	Place  syntax.Place // where its statement stands: in a file, a block, …

	Block   *block.Block // in whose braces, or on whose lines, it stands
	Section *block.Section
	Setting *block.Setting
	Patch   *block.Patch // whose statement it is
	Join    *block.Join
	Notch   *block.Notch
	Way     *block.Colourway // in whose braces it stands

	Named    *block.Named // what the name at the cursor names
	NameAt   source.Span  // that name
	Declares bool         // it stands where the name is declared
}

// At looks at an offset of a file.
func At(f *File, offset int) Cursor {
	c := Cursor{Offset: offset, Item: f.Tree.ItemAt(offset), Place: syntax.InFile}
	c.Token, _ = word(f.Source.Text, c.Item, offset)
	if c.Item != nil && syntax.IsContextual(c.Token.Text) && slices.Contains(c.Item.Contextual(f.Source.Text), c.Token.Span) {
		c.Token.Kind = syntax.KindWord
	}
	around := f.Tree.Around(offset)
	for _, it := range around {
		c.enter(f, it)
		c.Place = bodyOf(it)
	}
	if c.Item != nil && c.Item.Kind == syntax.Opens {
		c.enter(f, c.Item)
	}
	c.findStatement(f)
	c.findName(f)
	return c
}

// bodyOf is what stands between the braces of an item.
func bodyOf(it *syntax.Item) syntax.Place {
	for _, s := range syntax.Statements() {
		if s.Word == it.Word && s.Body != 0 {
			return s.Body
		}
	}
	return syntax.InFile
}

// enter notes the block, section, setting or colourway of an item that opens.
func (c *Cursor) enter(f *File, it *syntax.Item) {
	for _, b := range f.Blocks {
		if b.Item == it {
			c.Block = b
		}
	}
	for _, s := range f.Settings {
		if s.Item == it {
			c.Setting = s
		}
	}
	for _, w := range ways(f, c.Block) {
		if w.Item == it {
			c.Way = w
		}
	}
	if c.Block != nil {
		for _, s := range c.Block.Sections {
			if s.Item == it && s.CopyOf == nil {
				c.Section = s
			}
		}
	}
}

func ways(f *File, b *block.Block) []*block.Colourway {
	all := f.Colourways
	if b != nil {
		all = append(slices.Clone(all), b.Colourways...)
	}
	return all
}

// findStatement notes the patch, join or notch whose statement it is.
func (c *Cursor) findStatement(f *File) {
	if c.Item == nil || c.Block == nil {
		return
	}
	patches, notches := c.Block.Loose, c.Block.Notches
	if c.Section != nil {
		patches, notches = c.Section.Patches, c.Section.Notches
	}
	for _, p := range patches {
		if p.Item == c.Item {
			c.Patch = p
		}
	}
	for _, n := range notches {
		if n.Item == c.Item {
			c.Notch = n
		}
	}
	for _, j := range c.Block.Joins {
		if j.Item == c.Item && j.CopyOf == nil {
			c.Join = j
		}
	}
}

// findName notes what the name at the cursor names. Where two names meet, the
// one that begins there counts.
func (c *Cursor) findName(f *File) {
	hit := func(at source.Span) bool {
		return at.Contains(c.Offset) && (c.Named == nil || at.Start == c.Offset)
	}
	for _, r := range f.References() {
		if hit(r.At) {
			c.Named, c.NameAt = r.To, r.At
		}
	}
	for n := range declared(f.File) {
		if hit(n.At.Span) {
			c.Named, c.NameAt, c.Declares = n, n.At.Span, true
		}
	}
}

// declared visits everything that the file itself names.
func declared(f *block.File) func(yield func(*block.Named) bool) {
	return func(yield func(*block.Named) bool) {
		for thing := range things(f) {
			if n := thing.named; !yield(n) {
				return
			}
		}
	}
}

// thing is a named thing in one of its kinds.
type thing struct {
	named *block.Named
	value any          // *block.Fabric, *block.Let, …
	in    *block.Block // nil for the file's own
}

func things(f *block.File) func(yield func(thing) bool) {
	return func(yield func(thing) bool) {
		ok := true
		send := func(n *block.Named, v any, in *block.Block) {
			ok = ok && yield(thing{n, v, in})
		}
		fabrics := func(list []*block.Fabric, in *block.Block) {
			for _, x := range list {
				send(&x.Named, x, in)
			}
		}
		lets := func(list []*block.Let, in *block.Block) {
			for _, x := range list {
				send(&x.Named, x, in)
			}
		}
		colourways := func(list []*block.Colourway, in *block.Block) {
			for _, x := range list {
				send(&x.Named, x, in)
			}
		}
		fabrics(f.Fabrics, nil)
		lets(f.Lets, nil)
		colourways(f.Colourways, nil)
		for _, b := range f.Blocks {
			send(&b.Named, b, nil)
			fabrics(b.Fabrics, b)
			lets(b.Lets, b)
			colourways(b.Colourways, b)
			for _, x := range b.Sizes {
				send(&x.Named, x, b)
			}
			for _, x := range b.Points {
				send(&x.Named, x, b)
			}
			for _, x := range b.Seams {
				send(&x.Named, x, b)
			}
			for _, x := range b.Sections {
				send(&x.Named, x, b)
			}
			if !ok {
				return
			}
		}
		for _, x := range f.Settings {
			send(&x.Named, x, nil)
		}
	}
}

// find is the thing with a name's identity, in the file or in one that it uses.
func find(f *block.File, n *block.Named) thing {
	for t := range things(f) {
		if t.named == n {
			return t
		}
	}
	for _, u := range f.Uses {
		if u.File == nil || u.File.Source != n.At.File {
			continue
		}
		for t := range things(u.File) {
			if t.named == n {
				return t
			}
		}
	}
	return thing{}
}
