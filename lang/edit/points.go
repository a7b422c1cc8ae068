package edit

import (
	"strings"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// lineBreak is the line break of a file.
func lineBreak(text string) string {
	if i := strings.IndexByte(text, '\n'); i > 0 && text[i-1] == '\r' {
		return "\r\n"
	}
	return "\n"
}

// indent is the white space before an item.
func indent(text string, it *syntax.Item) string { return text[it.Raw.Start:it.Stmt.Start] }

// pairs visits the points of a statement that are typed as coordinates.
func pairs(it *syntax.Item, visit func(*syntax.Pair)) {
	syntax.Visitor{Point: func(p syntax.Point) {
		if pair, ok := p.(*syntax.Pair); ok {
			visit(pair)
		}
	}}.Statement(it.Node)
}

// NamePoint gives a point that is typed as coordinates a name, and puts the name
// wherever the block has the same coordinates. The `point` statement stands behind
// the last one of the block, or before the statement that needs it first.
func NamePoint(f *block.File, b *block.Block, it *syntax.Item, pair *syntax.Pair, name string) []Edit {
	text := f.Source.Text
	at := it.Abs(pair.Span)
	typed := squeeze(text[at.Start:at.End])
	var edits []Edit
	var first *syntax.Item // of the block's own statements
	for _, own := range b.Item.Body {
		before := len(edits)
		syntax.Walk([]*syntax.Item{own}, func(x *syntax.Item) bool {
			pairs(x, func(p *syntax.Pair) {
				if span := x.Abs(p.Span); squeeze(text[span.Start:span.End]) == typed {
					edits = append(edits, Edit{span, name})
				}
			})
			return true
		})
		if len(edits) > before && first == nil {
			first = own
		}
	}
	if first == nil {
		return nil
	}
	place, lead := first.Raw.Start, indent(text, first)
	for _, own := range b.Item.Body {
		if own.Word == "point" && own.Raw.End <= place {
			place, lead = own.Raw.End, indent(text, own)
		}
	}
	statement := lead + "point " + name + " = " + text[at.Start:at.End] + lineBreak(text)
	return append([]Edit{{source.Span{Start: place, End: place}, statement}}, edits...)
}

// squeeze is a text without its white space: (3,2) and (3, 2) are typed alike.
func squeeze(s string) string { return strings.Join(strings.Fields(s), "") }

// InlinePoint puts what a named point stands for wherever it is named, and takes
// its statement out. It is false for a point that cannot be worked out.
func InlinePoint(f *block.File, p *block.NamedPoint) ([]Edit, bool) {
	def, ok := p.Item.Node.(*syntax.PointDef)
	if !ok || p.Broken || p.At.File != f.Source {
		return nil, false
	}
	text := f.Source.Text
	at := p.Item.Abs(def.Value.At())
	edits := []Edit{{p.Item.Raw, ""}}
	for _, r := range f.References() {
		if r.To != &p.Named {
			continue
		}
		if p.Item.Stmt.Start <= r.At.Start && r.At.End <= p.Item.Stmt.End {
			return nil, false // it needs itself
		}
		edits = append(edits, Edit{r.At, text[at.Start:at.End]})
	}
	return edits, true
}

// PointNames reports whether a name is taken by a point or a seam of a block.
func PointNames(b *block.Block) func(string) bool {
	taken := map[string]bool{}
	for _, p := range b.Points {
		taken[p.Name] = true
	}
	for _, s := range b.Seams {
		taken[s.Name] = true
	}
	return func(name string) bool { return taken[name] || syntax.IsReserved(name) }
}

// MirrorSection adds the mirror image of a section on the other side of the
// middle of its block: left to right across an upright line, or top to bottom
// across a level one.
func MirrorSection(f *block.File, s *block.Section, upright bool) []Edit {
	b := s.Block
	text := f.Source.Text
	box := b.Outline.Bounds()
	middle := box.Centre()
	from, to := geom.Point{X: middle.X, Y: box.Min.Y}, geom.Point{X: middle.X, Y: box.Max.Y}
	if !upright {
		from, to = geom.Point{X: box.Min.X, Y: middle.Y}, geom.Point{X: box.Max.X, Y: middle.Y}
	}
	extent := s.Item.Extent()
	line := indent(text, s.Item) + "section " + freeSection(b, s.Name) + " = " + s.Name +
		" mirrored across " + Point(b, from) + " " + Point(b, to) + lineBreak(text)
	if extent.End > 0 && text[extent.End-1] != '\n' {
		line = lineBreak(text) + strings.TrimSuffix(line, lineBreak(text))
	}
	return []Edit{{source.Span{Start: extent.End, End: extent.End}, line}}
}

// freeSection is a section's name that the block does not have: the next letter, or
// the name with a letter behind it. It never ends in a digit.
func freeSection(b *block.Block, name string) string {
	taken := map[string]bool{}
	for _, s := range b.Sections {
		taken[s.Name] = true
	}
	for c := 'A'; c <= 'Z'; c++ {
		if len(name) == 1 && string(c) > name && !taken[string(c)] {
			return string(c)
		}
	}
	for stem := name; ; stem += "m" {
		if candidate := stem + "m"; !taken[candidate] && !syntax.IsReserved(candidate) {
			return candidate
		}
	}
}
