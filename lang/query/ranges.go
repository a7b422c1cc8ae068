package query

import (
	"slices"

	"sewable/lang/block"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// Fold is a stretch of lines that can be folded away.
type Fold struct {
	At   source.Span // from the end of the first line's text to the end of the last line
	Kind FoldKind
}

// FoldKind tells folds apart.
type FoldKind uint8

// The kinds of fold.
const (
	FoldBody FoldKind = iota
	FoldComment
	FoldUse
)

// Folds are the bodies between braces, and runs of several comment lines or
// `use` statements.
func Folds(f *File) []Fold {
	var out []Fold
	var visit func(items []*syntax.Item)
	visit = func(items []*syntax.Item) {
		for i := 0; i < len(items); i++ {
			it := items[i]
			if it.Kind == syntax.Opens {
				if extent := it.Extent(); len(it.Body) > 0 || it.Close != nil {
					out = append(out, Fold{source.Span{Start: it.Stmt.End, End: trimmedEnd(f.Source.Text, extent)}, FoldBody})
				}
				visit(it.Body)
				continue
			}
			kind, ok := runKind(it)
			if !ok {
				continue
			}
			last := i
			for last+1 < len(items) {
				if k, ok := runKind(items[last+1]); !ok || k != kind {
					break
				}
				last++
			}
			if last > i {
				start := trimmedEnd(f.Source.Text, it.Raw)
				out = append(out, Fold{source.Span{Start: start, End: trimmedEnd(f.Source.Text, items[last].Raw)}, kind})
			}
			i = last
		}
	}
	visit(f.Tree.Items)
	return out
}

func runKind(it *syntax.Item) (FoldKind, bool) {
	switch {
	case it.Kind == syntax.Remark:
		return FoldComment, true
	case it.Word == "use":
		return FoldUse, true
	}
	return 0, false
}

// Selections are the spans that hold an offset, each inside the next: the word,
// the point or number it belongs to, the statement, its line, and what it stands in.
func Selections(f *File, offset int) []source.Span {
	c := At(f, offset)
	var out []source.Span
	add := func(s source.Span) {
		if s.Contains(offset) && (len(out) == 0 || s != out[len(out)-1] && s.Start <= out[len(out)-1].Start && s.End >= out[len(out)-1].End) {
			out = append(out, s)
		}
	}
	if c.Token.End > 0 {
		add(c.Token.Span)
	}
	if c.Item != nil {
		var inner []source.Span
		note := func(s source.Span) { inner = append(inner, c.Item.Abs(s)) }
		if c.Item.Node != nil {
			syntax.Visitor{
				Point: func(p syntax.Point) { note(p.At()) },
				Expr:  func(e syntax.Expr) { note(e.At()) },
				Line:  func(l syntax.Line) { note(l.Span) },
			}.Statement(c.Item.Node)
		}
		slices.SortStableFunc(inner, func(a, b source.Span) int { return a.Len() - b.Len() })
		for _, s := range inner {
			add(s)
		}
		add(c.Item.Stmt)
		add(c.Item.Raw)
		add(c.Item.Extent())
	}
	for _, it := range slices.Backward(f.Tree.Around(offset)) {
		if n := len(it.Body); n > 0 {
			add(source.Span{Start: it.Body[0].Raw.Start, End: it.Body[n-1].Extent().End})
		}
		add(it.Extent())
	}
	add(source.Span{Start: 0, End: len(f.Source.Text)})
	if len(out) == 0 {
		out = append(out, source.Span{Start: offset, End: offset})
	}
	return out
}

// Linked are the places to be typed together with the name at an offset: it and
// its uses in the same section, or in the block where it stands in none. Only
// names that are declared and used in one block are linked: others may be used
// where nobody looks.
func Linked(f *File, offset int) []source.Span {
	c := At(f, offset)
	if c.Named == nil || c.Block == nil {
		return nil
	}
	switch c.Named.Kind {
	case block.KindPoint, block.KindSeam, block.KindSection, block.KindLet, block.KindFabric:
	default:
		return nil
	}
	if !c.Block.Item.Extent().Contains(c.Named.At.Start) || c.Named.At.File != f.Source {
		return nil
	}
	return References(f.File, KeyOf(c.Named), true)
}

// Link is a piece of text that leads to a file.
type Link struct {
	At source.Span
	To *source.File
}

// Links are the paths of the `use` statements that can be followed.
func Links(f *File) []Link {
	var out []Link
	for _, u := range f.Uses {
		if u.File != nil {
			at := u.At.Span
			out = append(out, Link{source.Span{Start: at.Start + 1, End: max(at.Start+1, at.End-1)}, u.File.Source})
		}
	}
	return out
}
