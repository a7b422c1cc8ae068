package query

import (
	"strings"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/cloth/cutlist"
	"sewable/lang/english"
	"sewable/lang/geom"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// Hint is a figure shown between what was typed.
type Hint struct {
	At      int // behind this offset
	Kind    HintKind
	Text    string
	Tooltip string
}

// HintKind tells hints apart, so that each can be asked for by itself.
type HintKind uint8

// The kinds of hint.
const (
	HintCut     HintKind = iota // at the end of a patch: the size to cut
	HintSeam                    // behind the shape of a patch: the length of its seam
	HintCorners                 // behind a `beyond` or `around`: the corners it comes to
	HintLength                  // behind arithmetic: what it comes to
)

// HintKinds are the kinds by the names that settings use.
var HintKinds = map[string]HintKind{"cut": HintCut, "seam": HintSeam, "corners": HintCorners, "length": HintLength}

// Hints are the hints of a span of the file, of the kinds that are wanted.
func Hints(f *File, in source.Span, want func(HintKind) bool) []Hint {
	var out []Hint
	add := func(at int, kind HintKind, text, tooltip string) {
		if want(kind) {
			out = append(out, Hint{at, kind, text, tooltip})
		}
	}
	inside := func(it *syntax.Item) bool { return it.Stmt.End >= in.Start && it.Stmt.Start <= in.End }
	for _, b := range f.Blocks {
		for _, sec := range b.Sections {
			if sec.CopyOf != nil || sec.Item.Extent().Start > in.End || sec.Item.Extent().End < in.Start {
				continue
			}
			f.patchHints(b, sec, inside, add)
		}
	}
	if want(HintLength) {
		syntax.Walk(f.Tree.Items, func(it *syntax.Item) bool {
			if it.Node != nil && inside(it) {
				f.lengthHints(it, add)
			}
			return it.Extent().End >= in.Start && it.Raw.Start <= in.End
		})
	}
	return out
}

func (f *File) patchHints(b *block.Block, sec *block.Section, inside func(*syntax.Item) bool, add func(int, HintKind, string, string)) {
	s := f.Sewing(b).Known(sec)
	if s == nil {
		return
	}
	type sewn struct {
		seam geom.Segment
		on   []*block.Patch
	}
	seams := map[*block.Patch]sewn{}
	for _, m := range s.Seams() {
		seams[m.Patch] = sewn{m.Segment, m.On}
	}
	for _, p := range s.Of.Patches {
		if !inside(p.Item) {
			continue
		}
		if m, ok := seams[p]; ok {
			add(p.ShapeAt().End, HintSeam, "seam "+f.length(m.seam.Len()), "sewn onto "+labels(m.on))
		}
		if p.Given != block.ByCorners {
			add(p.ShapeAt().End, HintCorners, cornerWords(p.Corners, f.Unit), "resulting corners")
		}
		if p.Cut != nil {
			continue // she has said it herself
		}
		if c, ok := cloth.Place(p, cloth.SeamOf(s, p), cloth.Placed{}, f.Cloth); ok {
			tip := "To spare: " + f.spare(c.Pick) + "."
			if laid := cutlist.Laid(c.Lay(), c.Pick.Form, f.Unit); laid != "" {
				tip = "Laid: " + laid + ". " + tip
			}
			add(p.Item.Stmt.End, HintCut, "cut "+f.pieceOf(c.Pick), tip)
		}
	}
}

func cornerWords(corners geom.Polygon, u geom.Unit) string {
	words := make([]string, len(corners))
	for i, c := range corners {
		words[i] = geom.FormatPlace(c, u)
	}
	return strings.Join(words, " ")
}

// lengthHints say what arithmetic in a statement comes to.
func (f *File) lengthHints(it *syntax.Item, add func(int, HintKind, string, string)) {
	inner := map[syntax.Expr]bool{} // parts of a larger sum
	syntax.Visitor{Expr: func(e syntax.Expr) {
		switch x := e.(type) {
		case *syntax.Binary:
			inner[x.X], inner[x.Y] = true, true
		case *syntax.Paren:
			inner[x.X] = true
		case *syntax.Negative:
			inner[x.X] = true
		}
		if _, plain := e.(*syntax.Number); plain || inner[e] {
			return
		}
		if n, ok := e.(*syntax.Negative); ok {
			if _, plain := n.X.(*syntax.Number); plain {
				return
			}
		}
		if v, ok := f.Value(e, it); ok {
			add(it.Abs(e.At()).End, HintLength, "= "+f.length(v), "")
		}
	}}.Statement(it.Node)
}

// Value works out a number of a statement, as a length in hairs, by the names
// that hold there.
func (f *File) Value(e syntax.Expr, it *syntax.Item) (hairs float64, ok bool) {
	v, ok := f.value(e, it)
	if !ok {
		return 0, false
	}
	return v.Hairs().Float64(), true
}

func (f *File) value(e syntax.Expr, it *syntax.Item) (block.Value, bool) {
	switch e := e.(type) {
	case *syntax.Ref:
		at := it.Abs(e.Span)
		for _, r := range f.References() {
			if r.At == at {
				if l, ok := find(f.File, r.To).value.(*block.Let); ok && !l.Broken {
					return l.Value, true
				}
			}
		}
		return block.Value{}, false
	}
	return block.Evaluate(e, f.Unit, func(n syntax.Name) (block.Value, bool) {
		return f.value(&syntax.Ref{Name: n}, it)
	})
}

// Lens is a line of figures above a block or section.
type Lens struct {
	At   source.Span // the name
	Text string
	// Later: the block is large, and its cloth is left to LensCloth.
	Later bool
}

// Lenses are the lenses of a file: for a block whether it can be sewn, how many
// patches it has and how much cloth they take, for a section its order.
func Lenses(f *File) []Lens {
	var out []Lens
	for _, b := range f.Blocks {
		patches := patchesOf(b)
		l := Lens{At: b.At.Span, Text: sentence(blockWords(f, b)), Later: patches > maxPlanned}
		if patches > 0 {
			l.Text += " · " + english.Count(patches, "patch", "patches")
		}
		if !l.Later {
			l.Text += LensCloth(f, l.At)
		}
		out = append(out, l)
		for _, s := range b.Sections {
			if s.CopyOf != nil || len(s.Patches) == 0 {
				continue
			}
			if sec := f.Sewing(b).Known(s); sec != nil && !sec.InOrder() && !(s.Broken && sec.Flawed()) {
				out = append(out, Lens{At: s.At.Span, Text: "Order: " + orderWords(sec)})
			}
		}
	}
	return out
}

// LensCloth is what the lens of the block whose name stands there says of its cloth.
func LensCloth(f *File, at source.Span) string {
	for _, b := range f.Blocks {
		if b.At.Span == at {
			if area, ok := f.blockCloth(b); ok && area > 0 {
				return " · at least " + cutlist.Buy(cloth.Purchase(area/cloth.DefaultWidth, 0, f.Unit), f.Unit) + " of fabric"
			}
		}
	}
	return ""
}

// blockCloth is the area of all pieces of a block as they are cut.
func (f *File) blockCloth(b *block.Block) (area float64, ok bool) {
	if b.Broken || len(b.Loose) > 0 {
		return 0, false
	}
	s := f.Sewing(b)
	seams := cloth.Seams(s)
	for _, sec := range s.Sections {
		for _, p := range sec.Of.Patches {
			c, ok := cloth.Place(p, seams[p], cloth.Placed{}, f.Cloth)
			if !ok {
				return 0, false
			}
			area += c.Pick.Cloth()
		}
	}
	return area, true
}
