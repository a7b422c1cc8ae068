package query

import (
	"slices"

	"sewable/lang/block"
	"sewable/lang/files"
	"sewable/lang/source"
)

// Definition is where the thing under the cursor is declared: the statement of
// a name, the file of a `use`. In a copy's name it is the section it copies.
func Definition(f *File, offset int) (from source.Span, to []Place) {
	c := At(f, offset)
	for _, u := range f.Uses {
		if u.At.Contains(offset) && u.File != nil {
			return u.At.Span, []Place{{File: u.File.Source}}
		}
	}
	if c.Named == nil {
		return source.Span{}, nil
	}
	if s, ok := find(f.File, c.Named).value.(*block.Section); ok && c.Declares && s.CopyOf != nil {
		return c.NameAt, []Place{s.CopyOf.At}
	}
	return c.NameAt, []Place{c.Named.At}
}

// Statement is the whole statement that declares what stands at a place, its
// body included: what an editor shows when it peeks.
func Statement(f *File, at Place) Place {
	for _, m := range models(f) {
		for n := range declared(m) {
			if n.At == at && n.Item != nil {
				return Place{File: at.File, Span: source.Span{Start: n.Item.Stmt.Start, End: trimmedEnd(at.File.Text, n.Item.Extent())}}
			}
		}
	}
	return at
}

func trimmedEnd(text string, s source.Span) int {
	for s.End > s.Start && (text[s.End-1] == '\n' || text[s.End-1] == '\r') {
		s.End--
	}
	return s.End
}

// models are the file's own and those it uses.
func models(f *File) []*block.File {
	all := []*block.File{f.File}
	for _, u := range f.Uses {
		if u.File != nil {
			all = append(all, u.File)
		}
	}
	return all
}

// TypeDefinition is what the thing is made of: the fabric of a patch, the
// original of a copied section, the block of a setting's cell.
func TypeDefinition(f *File, offset int) (from source.Span, to []Place) {
	c := At(f, offset)
	if c.Named != nil {
		switch x := find(f.File, c.Named).value.(type) {
		case *block.Section:
			return c.NameAt, []Place{x.Original().At}
		case *block.Fabric, *block.Block:
			return c.NameAt, []Place{c.Named.At}
		}
	}
	if c.Patch != nil && c.Patch.Fabric != nil {
		return c.Token.Span, []Place{c.Patch.Fabric.At}
	}
	return source.Span{}, nil
}

// Key tells a named thing from every other across readings of its file: where
// it is declared.
type Key struct {
	Path  string // absolute
	Start int
}

// KeyOf is the key of a named thing.
func KeyOf(n *block.Named) Key { return Key{files.Absolute(n.At.File.Path), n.At.Start} }

// Target is the named thing under the cursor; nil when there is none.
func Target(f *File, offset int) *block.Named { return At(f, offset).Named }

// IsShared reports whether other files can use the thing by its name: what
// stands at the top of a file, and the sections of its blocks.
func IsShared(n *block.Named) bool {
	switch n.Kind {
	case block.KindFabric, block.KindLet, block.KindColourway, block.KindBlock, block.KindSection, block.KindSize:
		return true
	}
	return false
}

// References are the places of a file where a thing is used, in order, and with
// declaration also where it is declared.
func References(f *block.File, k Key, declaration bool) []source.Span {
	var out []source.Span
	var known *block.Named // that has the key
	for _, r := range f.References() {
		if r.To == known || r.To.At.Start == k.Start && KeyOf(r.To) == k { // the path costs more
			known = r.To
			out = append(out, r.At)
		}
	}
	if declaration && files.Absolute(f.Source.Path) == k.Path {
		for n := range declared(f) {
			if n.At.Start == k.Start {
				out = append(out, n.At.Span)
			}
		}
	}
	return inOrder(out)
}

// referencesIn are the places of the file where one of its things is used.
func referencesIn(f *block.File, n *block.Named) []source.Span {
	var out []source.Span
	for _, r := range f.References() {
		if r.To == n {
			out = append(out, r.At)
		}
	}
	return inOrder(out)
}

func inOrder(spans []source.Span) []source.Span {
	slices.SortFunc(spans, func(a, b source.Span) int { return a.Start - b.Start })
	return slices.Compact(spans)
}

// Highlight is a place that belongs to what is under the cursor.
type Highlight struct {
	At    source.Span
	Write bool // it is declared there
}

// Highlights are the places of the file that belong to what is under the cursor:
// the uses of a name; for a patch, its seam and the patches it is sewn on; for a
// notch, its partners; for a named seam also the patches that lie on it.
func Highlights(f *File, offset int) []Highlight {
	c := At(f, offset)
	var out []Highlight
	add := func(at source.Span, write bool) { out = append(out, Highlight{at, write}) }
	switch {
	case c.Notch != nil && c.Token.Span == c.Notch.NameAt.Span:
		for _, n := range allNotches(c.Block) {
			if n.Name == c.Notch.Name && n.Of == nil {
				add(n.NameAt.Span, true)
			}
		}
	case c.Named != nil:
		add(c.Named.At.Span, true)
		if c.Named.At.File != f.Source {
			out = nil
		}
		for _, at := range referencesIn(f.File, c.Named) {
			add(at, false)
		}
	case c.Patch != nil && c.Section != nil && (c.onNumber() || c.Token.Text == "patch" || c.Token.Text == "beyond"):
		add(numberSpan(c.Patch), true)
		if s := f.Sewing(c.Block).Section(c.Section); s != nil {
			if seam, sewn := seamOf(s, c.Patch); sewn {
				add(c.Patch.ShapeAt().Span, true)
				for _, on := range seam.On {
					add(numberSpan(on), false)
				}
			}
		}
	}
	slices.SortFunc(out, func(a, b Highlight) int { return a.At.Start - b.At.Start })
	return slices.CompactFunc(out, func(a, b Highlight) bool { return a.At == b.At })
}
