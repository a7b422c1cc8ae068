// Package compare says what changed between two models of a block, or of a
// whole quilt, at the cutting table and at the sewing machine.
//
//	Blocks    two models of a block → Block               compare.go
//	patches   matched by what they are, not by line       match.go, assign.go
//	sections  matched by their patches, then orders       section.go
//	joins     matched by the units they sew together      join.go
//	pieces    cut sizes, and whether a piece still fits   piece.go
//	Cloth     what cloth is needed                        cloth.go
//	Quilts    two models of a setting → Quilt             quilt.go
//
// A patch is the same patch when it has the same shape at the same place, whatever
// its label. What is left over is paired by the best assignment: by how much the two
// lie on each other, then by shape, fabric and label. So a section that got another
// letter is re-lettered, and its patches have not changed. How a
// thing is spelled makes no difference: by corners or by seam, with named points
// or without.
//
// Everything here is data; no messages are made. Lengths are in hairs. Places
// that are less than a hair apart are one place.
package compare

import (
	"slices"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/geom"
	"sewable/lang/sew"
)

// Pair is a thing before and after a change.
type Pair[T any] struct{ Before, After T }

// Size is a finished size.
type Size struct{ Width, Height float64 }

// Options are how the pieces of both sides are cut.
type Options struct {
	Before, After cloth.OrderOptions
}

// Block is what changed between two models of a block. Pointers to what did not
// change are nil, and lists hold what changed alone, but for Sections and
// Patches, which hold everything.
type Block struct {
	Before, After *sew.Block // nil: there was none, there is none
	// Unread: that side cannot be read whole. What can be read is compared.
	Unread Pair[bool]

	Title            *Pair[string]
	Size             *Pair[Size]
	Outline          bool             // another outline within the same size
	Allowance, Outer *Pair[Allowance] // Outer only where it is not the same as Allowance
	Fabrics          []Fabric         // of those on both sides
	Sections         []Section
	Patches          []Patch
	Joins            []Join
	JoinOrder        bool // the joins of both sides are sewn in another order
	Notches          []Notch
	Colourways       []Colourway
	Notes            []Note
	Cloth            []Cloth     // when pieces changed
	Uncut            Pair[error] // why the cloth of a side is not known
}

// Allowance is a seam allowance; not Known when there is none.
type Allowance struct {
	Size  float64
	Known bool
}

// Blocks compares two models of a block; one may be nil.
func Blocks(before, after *sew.Block, how Options) *Block {
	b := &Block{Before: before, After: after}
	x, y := modelOf(before), modelOf(after)
	b.Unread = Pair[bool]{x.Broken, y.Broken}
	b.Patches = b.patches(how)
	b.fabrics()
	b.Sections = b.sections()
	b.judge()
	if before != nil && after != nil {
		b.heads(x, y)
		if !x.Broken && !y.Broken {
			b.joins(x, y)
			b.notches(x, y)
		}
		if b.named() {
			b.Colourways = colourways(x, y)
		}
		b.Notes = b.notes(x, y)
	}
	b.cloth(how)
	return b
}

var none = &block.Block{}

func modelOf(b *sew.Block) *block.Block {
	if b == nil {
		return none
	}
	return b.Of
}

// heads compares what stands at the head of a block.
func (b *Block) heads(x, y *block.Block) {
	if x.Name != y.Name {
		b.Title = &Pair[string]{x.Name, y.Name}
	}
	size := Pair[Size]{sizeOf(x), sizeOf(y)}
	if !near(size.Before.Width, size.After.Width) || !near(size.Before.Height, size.After.Height) {
		b.Size = &size
	} else if !sameShape(x.Outline, y.Outline) {
		b.Outline = true
	}
	allowance := Pair[Allowance]{allowanceOf(x.Allowance), allowanceOf(y.Allowance)}
	if allowance.Before != allowance.After {
		b.Allowance = &allowance
	}
	outer := Pair[Allowance]{allowanceOf(x.OuterAllowance), allowanceOf(y.OuterAllowance)}
	if outer.Before != outer.After && outer != allowance {
		b.Outer = &outer
	}
}

func sizeOf(b *block.Block) Size { return Size{b.Width.Float64(), b.Height.Float64()} }

func near(a, b float64) bool { return a-b < geom.Hair && b-a < geom.Hair }

func allowanceOf(a *block.Allowance) Allowance {
	if a == nil || a.Broken {
		return Allowance{}
	}
	return Allowance{a.Size.Float64(), true}
}

// Same reports whether nothing changes in the sewn block.
func (b *Block) Same() bool {
	return b.Before != nil && b.After != nil && b.Unread.Before == b.Unread.After &&
		b.Title == nil && b.Size == nil && !b.Outline && b.Allowance == nil && b.Outer == nil &&
		len(b.Fabrics)+len(b.Joins)+len(b.Notches)+len(b.Colourways)+len(b.Notes)+len(b.Cloth) == 0 && !b.JoinOrder &&
		!slices.ContainsFunc(b.Sections, func(s Section) bool { return !s.Same() }) &&
		!slices.ContainsFunc(b.Patches, func(p Patch) bool { return !p.Same() })
}

// Fabric is a fabric of both sides that changed.
type Fabric struct {
	Before, After *block.Fabric
	Renamed       bool // the same fabric under another name
	Title, Colour bool // on paper alone
	Width         bool
	Directional   bool
}

// fabrics compares the fabrics of the patches. A fabric that went away and one
// that came, of the same title and colour and on just the same patches, is one
// fabric under another name.
func (b *Block) fabrics() {
	old, new := map[string]*block.Fabric{}, map[string]*block.Fabric{}
	to, from := map[string]string{}, map[string]string{} // the one partner, or "" when there are several
	pair := func(m map[string]string, a, b string) {
		if is, ok := m[a]; ok && is != b {
			b = ""
		}
		m[a] = b
	}
	for _, p := range b.Patches {
		if p.Before != nil && p.Before.Fabric != nil {
			old[p.Before.Fabric.Name] = p.Before.Fabric
		}
		if p.After != nil && p.After.Fabric != nil {
			new[p.After.Fabric.Name] = p.After.Fabric
		}
		if p.Before != nil && p.After != nil {
			pair(to, p.Before.cloth(), p.After.cloth())
			pair(from, p.After.cloth(), p.Before.cloth())
		}
	}
	called := map[string]string{}
	for name, f := range old {
		g := new[name]
		renamed := false
		if g == nil {
			g = new[to[name]]
			renamed = g != nil && old[g.Name] == nil && from[g.Name] == name && f.Title == g.Title && f.Colour == g.Colour && f.Title+f.Colour != ""
			if !renamed {
				continue
			}
			called[name] = g.Name
		}
		c := Fabric{
			Before: f, After: g, Renamed: renamed, Title: f.Title != g.Title, Colour: f.Colour != g.Colour,
			Width: f.Width.Cmp(g.Width) != 0, Directional: f.Directional != g.Directional,
		}
		if c.Renamed || c.Title || c.Colour || c.Width || c.Directional {
			b.Fabrics = append(b.Fabrics, c)
		}
	}
	slices.SortFunc(b.Fabrics, func(a, b Fabric) int { return compareNames(a.Before.Name, b.Before.Name) })
	for i := range b.Patches {
		if p := &b.Patches[i]; p.Before != nil && p.After != nil {
			was := p.Before.cloth()
			if now, ok := called[was]; ok {
				was = now
			}
			p.Fabric = p.named() && was != p.After.cloth()
		}
	}
}

// Colourway is a colourway that came, went, or has other fabrics.
type Colourway struct{ Before, After *block.Colourway }

func colourways(x, y *block.Block) []Colourway {
	var out []Colourway
	old, new := block.Colourways(x), block.Colourways(y)
	find := func(in []*block.Colourway, name string) *block.Colourway {
		for _, w := range in {
			if w.Name == name {
				return w
			}
		}
		return nil
	}
	for _, w := range old {
		if now := find(new, w.Name); now == nil || !sameSwaps(w, now) {
			out = append(out, Colourway{w, now})
		}
	}
	for _, w := range new {
		if find(old, w.Name) == nil {
			out = append(out, Colourway{nil, w})
		}
	}
	return out
}

func sameSwaps(a, b *block.Colourway) bool {
	list := func(w *block.Colourway) []string {
		var out []string
		for _, s := range w.Swaps {
			if s.Old != nil && s.New != nil {
				out = append(out, s.Old.Name+"\x00"+s.New.Name)
			}
		}
		slices.Sort(out)
		return out
	}
	return slices.Equal(list(a), list(b))
}

// Note is words for the sewist that came or went. Where is a patch's label, a
// section's name, or empty for the block.
type Note struct {
	Where         string
	Before, After string
}

func (b *Block) notes(x, y *block.Block) []Note {
	out := noteChanges("", slices.Concat(x.File.Notes, x.Notes), slices.Concat(y.File.Notes, y.Notes)) // both are printed with the block
	for _, s := range b.Sections {
		if s.Before != nil && s.After != nil {
			out = append(out, noteChanges(s.After.Name, s.Before.Notes, s.After.Notes)...)
		}
	}
	for _, p := range b.Patches {
		if p.Before != nil && p.After != nil && p.Before.Note != p.After.Note {
			out = append(out, Note{p.After.Label, p.Before.Note, p.After.Note})
		}
	}
	return out
}

// noteChanges are the notes at one place that went, and those that came.
func noteChanges(where string, old, new []block.Note) []Note {
	var out []Note
	missing := func(in []block.Note, n block.Note) bool {
		return !slices.ContainsFunc(in, func(o block.Note) bool { return o.Text == n.Text })
	}
	for _, n := range old {
		if missing(new, n) {
			out = append(out, Note{Where: where, Before: n.Text})
		}
	}
	for _, n := range new {
		if missing(old, n) {
			out = append(out, Note{Where: where, After: n.Text})
		}
	}
	return out
}
