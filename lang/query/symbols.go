package query

import (
	"fmt"
	"slices"

	"sewable/lang/block"
	"sewable/lang/source"
)

// Symbol is a named thing in the outline of a file.
type Symbol struct {
	Name     string
	Detail   string
	Kind     SymbolKind
	At       source.Span // the statement, with its body
	NameAt   source.Span // in At
	Children []Symbol
}

// SymbolKind tells symbols apart.
type SymbolKind uint8

// The kinds of symbol.
const (
	SymbolBlock SymbolKind = iota
	SymbolSection
	SymbolPatch
	SymbolFabric
	SymbolPoint
	SymbolSeam
	SymbolLet
	SymbolColourway
	SymbolSetting
	SymbolNotch
	SymbolSize
)

func (f *File) symbol(n *block.Named, kind SymbolKind, detail string) Symbol {
	return Symbol{
		Name: n.Name, Detail: detail, Kind: kind, NameAt: n.At.Span,
		At: source.Span{Start: n.Item.Stmt.Start, End: trimmedEnd(f.Source.Text, n.Item.Extent())}.Cover(n.At.Span),
	}
}

// Outline is the outline of a file, in the order of its statements: blocks with
// their sections, sections with their patches, and every other name.
func Outline(f *File) []Symbol {
	var out []Symbol
	for _, x := range f.Fabrics {
		out = append(out, f.symbol(&x.Named, SymbolFabric, x.Title))
	}
	for _, x := range f.Lets {
		out = append(out, f.symbol(&x.Named, SymbolLet, f.letDetail(x)))
	}
	for _, x := range f.Colourways {
		out = append(out, f.symbol(&x.Named, SymbolColourway, x.Title))
	}
	for _, b := range f.Blocks {
		s := f.symbol(&b.Named, SymbolBlock, f.sized(b.Width.Float64(), b.Height.Float64()))
		s.Children = f.blockOutline(b)
		out = append(out, s)
	}
	for _, x := range f.Settings {
		out = append(out, f.symbol(&x.Named, SymbolSetting, ""))
	}
	return sorted(out)
}

func (f *File) letDetail(l *block.Let) string {
	if l.Broken {
		return ""
	}
	return number(l.Value.Num)
}

func (f *File) blockOutline(b *block.Block) []Symbol {
	var out []Symbol
	for _, x := range b.Fabrics {
		out = append(out, f.symbol(&x.Named, SymbolFabric, x.Title))
	}
	for _, x := range b.Lets {
		out = append(out, f.symbol(&x.Named, SymbolLet, f.letDetail(x)))
	}
	for _, x := range b.Points {
		out = append(out, f.symbol(&x.Named, SymbolPoint, ""))
	}
	for _, x := range b.Seams {
		out = append(out, f.symbol(&x.Named, SymbolSeam, ""))
	}
	for _, x := range b.Colourways {
		out = append(out, f.symbol(&x.Named, SymbolColourway, x.Title))
	}
	for _, x := range b.Sizes {
		out = append(out, f.symbol(&x.Named, SymbolSize, f.sized(x.Width.Float64(), x.Height.Float64())))
	}
	for _, n := range b.Notches {
		out = append(out, f.notchSymbol(n))
	}
	titles := map[*block.Fabric]string{}
	for _, s := range b.Sections {
		x := f.symbol(&s.Named, SymbolSection, s.Called())
		if s.CopyOf == nil {
			x.Children = make([]Symbol, 0, len(s.Patches)+len(s.Notches))
			for _, p := range s.Patches {
				x.Children = append(x.Children, patchSymbol(p, titles))
			}
			for _, n := range s.Notches {
				x.Children = append(x.Children, f.notchSymbol(n))
			}
			x.Children = sorted(x.Children)
		}
		out = append(out, x)
	}
	return sorted(out)
}

// patchSymbol is the symbol of a patch; titles remembers those of the fabrics.
func patchSymbol(p *block.Patch, titles map[*block.Fabric]string) Symbol {
	s := Symbol{Name: p.Called(), Kind: SymbolPatch, At: p.Item.Stmt, NameAt: numberSpan(p)}
	if p.Fabric != nil {
		title, ok := titles[p.Fabric]
		if !ok {
			title = fabricTitle(p.Fabric)
			titles[p.Fabric] = title
		}
		s.Detail = title
	}
	return s
}

func (f *File) notchSymbol(n *block.Notch) Symbol {
	return Symbol{Name: "notch " + n.Name, Kind: SymbolNotch, At: n.At.Span, NameAt: n.NameAt.Span}
}

// sorted puts symbols in file order; of several from one statement each begins
// at its own name.
func sorted(s []Symbol) []Symbol {
	slices.SortStableFunc(s, func(a, b Symbol) int { return a.NameAt.Start - b.NameAt.Start })
	return s
}

// Named is what is found by its name in a whole workspace.
type Named struct {
	Name   string
	Kind   SymbolKind
	In     string // the block it stands in
	NameAt source.Span
}

// Index lists what a file adds to a search by name: all but patches and notches.
func Index(f *File) []Named {
	var out []Named
	var add func(list []Symbol, in string)
	add = func(list []Symbol, in string) {
		for _, s := range list {
			if s.Kind == SymbolPatch || s.Kind == SymbolNotch {
				continue
			}
			name := s.Name
			if s.Kind == SymbolSection && s.Detail != "" {
				name = fmt.Sprintf("%s %s", s.Name, s.Detail)
			}
			out = append(out, Named{name, s.Kind, in, s.NameAt})
			if s.Kind == SymbolBlock {
				add(s.Children, s.Name)
			}
		}
	}
	add(Outline(f), "")
	return out
}
