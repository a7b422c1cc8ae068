package edit

import (
	"slices"
	"strings"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// LinesOfCopy gives a copy the lines that it needs where its original is what the others leave: the mirror, a named
// seam, or what its original's lines come to. It tries them out; ok is false where none of them does.
func LinesOfCopy(f *block.File, title, name string) (edits []Edit, ok bool) {
	s := sectionNamed(f, title, name)
	if s == nil {
		return nil, false
	}
	n, isCopy := s.Item.Node.(*syntax.Copy)
	if !isCopy || len(n.Made) > 1 || len(n.Beyond) > 0 {
		return nil, false
	}
	var candidates []string
	for _, t := range n.Places {
		if t.Mirrored != nil {
			at := s.Item.Abs(t.Mirrored.Span)
			candidates = append(candidates, f.Source.Text[at.Start:at.End])
		}
	}
	for _, m := range s.Block.Seams {
		candidates = append(candidates, m.Name)
	}
	if s.CopyOf != nil && len(s.CopyOf.Lines) > 0 {
		var lines []string
		for _, l := range s.CopyOf.Lines {
			lines = append(lines, Point(s.Block, s.Placed.Apply(l.A))+" "+Point(s.Block, s.Placed.Apply(l.B)))
		}
		candidates = append(candidates, strings.Join(lines, ", "))
	}
	at := s.At.End
	if made := n.Made[0]; made.Title != nil {
		at = s.Item.Abs(made.Title.Span).End
	}
	for _, lines := range candidates {
		edits := []Edit{{source.Span{Start: at, End: at}, " beyond " + lines}}
		after := f.With(Apply(f.Source.Text, edits))
		if made := sectionNamed(after, title, name); made != nil && !made.Broken && len(after.Problems) < len(f.Problems) {
			return edits, true
		}
	}
	return nil, false
}

func sectionNamed(f *block.File, title, name string) *block.Section {
	for _, b := range f.Blocks {
		for _, s := range b.Sections {
			if b.Name == title && s.Name == name {
				return s
			}
		}
	}
	return nil
}

// ByLines gives sections of a block by lines that are given by outlines, as many as can be with the picture kept; the
// first of them is what the others leave. read gives the model of a text. It is nil where there is none.
func ByLines(f *block.File, b *block.Block, read func(text string) *block.File) []Edit {
	if b.Broken {
		return nil
	}
	typed := typedCorners(f, b)
	lines := map[*block.Section]string{}
	rest := []geom.Polygon{b.Outline.Weld()}
	for _, s := range slices.Backward(b.Sections) {
		var ok bool
		if lines[s], rest, ok = cutFrom(b, typed, rest, s); !ok {
			return nil
		}
	}
	var all, first []Edit
	try := func(edits []Edit) bool {
		return len(edits) > 0 && keeps(f, edits, read)
	}
	for _, s := range slices.Backward(b.Sections) {
		if !s.Own() || s.CopyOf != nil || outlineOf(s) == nil || !hasSeams(s) {
			continue
		}
		var now []Edit
		for _, t := range b.Sections {
			if t.Original() == s && t != s && len(t.Lines) == 0 && oneCopy(t) && lines[t] != "" && t.Item.Stmt.Start > s.Item.Stmt.Start {
				now = append(now, withLines(f, t, lines[t]))
			}
		}
		bare := append(slices.Clone(now), withoutOutline(f, s)...)
		if lines[s] != "" {
			if lined := append(slices.Clone(bare), withLines(f, s, lines[s])); try(append(slices.Clone(all), lined...)) {
				first, all = bare, append(all, lined...)
				continue
			}
		}
		first = nil
		if try(append(slices.Clone(all), bare...)) { // what the others leave
			return append(all, bare...)
		}
	}
	if n := len(all) - len(first) - 1; first != nil && n >= 0 {
		if left := append(slices.Clone(all[:n]), first...); try(left) {
			return left
		}
	}
	return all
}

// cutFrom takes a section from the pieces that are left, and gives the lines that do it.
func cutFrom(b *block.Block, typed func(geom.Point) string, rest []geom.Polygon, s *block.Section) (lines string, left []geom.Polygon, ok bool) {
	outline := s.Outline
	if outline == nil {
		var corners []geom.Polygon
		for _, p := range s.Patches {
			corners = append(corners, p.Corners)
		}
		outlines, ok := geom.UnionOutline(corners)
		if !ok || len(outlines) != 1 {
			return "", nil, false
		}
		outline = outlines[0]
	}
	outline = outline.Weld().Straighten()
	inner := outline.InteriorPoint()
	for i, piece := range rest {
		if piece.Contains(inner) != geom.Inside {
			continue
		}
		var words, along []string
		for k := range outline {
			e := outline.Edge(k)
			word := lineWord(b, typed, e)
			if piece.Contains(e.Mid()) == geom.Inside {
				words = append(words, word)
			} else if !b.Outline.HasAlong(e) {
				along = append(along, word)
			}
		}
		if len(words) == 0 && len(along) > 0 { // a line along an edge says as much
			words = along[:1]
		}
		pieces, ok := geom.Subtract(piece, outline)
		return strings.Join(words, ", "), slices.Concat(rest[:i], pieces, rest[i+1:]), ok
	}
	return "", nil, false
}

// lineWord is how a line is typed: the name of a seam, or two points.
func lineWord(b *block.Block, typed func(geom.Point) string, e geom.Segment) string {
	for _, m := range b.Seams {
		d := m.Line.Dir()
		off := func(p geom.Point) bool { c := d.Cross(p.Sub(m.Line.A)); return c > geom.Hair/2 || c < -geom.Hair/2 }
		along := func(p geom.Point) float64 { return d.Dot(p.Sub(m.Line.A)) }
		from, to := min(along(e.A), along(e.B)), max(along(e.A), along(e.B))
		if !m.Broken && !off(e.A) && !off(e.B) && min(to, m.Line.Len())-max(from, 0) > geom.Hair {
			return m.Name
		}
	}
	return typed(e.A) + " " + typed(e.B)
}

// typedCorners says how a place is typed where an outline of the block has it as a corner: numbers may have names there.
func typedCorners(f *block.File, b *block.Block) func(geom.Point) string {
	type corner struct {
		at   geom.Point
		text string
	}
	var corners []corner
	for _, s := range b.Sections {
		if it := outlineOf(s); it != nil && s.CopyOf == nil && !s.Hangs {
			for i, c := range it.Node.(*syntax.Outline).Corners {
				switch c.(type) {
				case *syntax.Pair, *syntax.PointRef:
					at := it.Abs(c.At())
					corners = append(corners, corner{s.Outline[i], f.Source.Text[at.Start:at.End]})
				}
			}
		}
	}
	return func(at geom.Point) string {
		for _, c := range corners {
			if c.at.Dist(at) < 1e-6 {
				return c.text
			}
		}
		return Point(b, at)
	}
}

// outlineOf is the statement of a section's outline.
func outlineOf(s *block.Section) *syntax.Item {
	for _, it := range s.Item.Body {
		if _, ok := it.Node.(*syntax.Outline); ok {
			return it
		}
	}
	return nil
}

func hasSeams(s *block.Section) bool {
	return slices.ContainsFunc(s.Patches, func(p *block.Patch) bool { return p.Given != block.ByCorners })
}

func oneCopy(s *block.Section) bool {
	n, ok := s.Item.Node.(*syntax.Copy)
	return ok && len(n.Made) == 1
}

// withLines puts lines behind the name or title of a section.
func withLines(f *block.File, s *block.Section, lines string) Edit {
	at := behindTitle(s)
	return Edit{source.Span{Start: at, End: at}, " beyond " + lines}
}

func behindTitle(s *block.Section) int {
	switch n := s.Item.Node.(type) {
	case *syntax.Section:
		if n.Title != nil {
			return s.Item.Abs(n.Title.Span).End
		}
	case *syntax.Copy:
		if title := n.Made[0].Title; title != nil {
			return s.Item.Abs(title.Span).End
		}
	}
	return s.At.End
}

// withoutOutline takes the outline of a section out; a comment of its own line stays.
func withoutOutline(f *block.File, s *block.Section) []Edit {
	it := outlineOf(s)
	if it.Comment.Len() > 0 {
		return nil
	}
	return []Edit{{At: it.Raw}}
}

// ByOutlines gives the sections of a block by outlines that are given by lines or are what the others leave; it is nil
// where there is none.
func ByOutlines(f *block.File, b *block.Block) (edits []Edit) {
	if b.Broken {
		return nil
	}
	for _, s := range b.Sections {
		if !s.Hangs && len(s.Lines) == 0 {
			continue
		}
		if end := behindTitle(s); len(s.Lines) > 0 {
			at := source.Span{Start: end, End: end}
			switch n := s.Item.Node.(type) {
			case *syntax.Section:
				at.End = s.Item.Abs(n.Beyond[len(n.Beyond)-1].Span).End
			case *syntax.Copy:
				at.End = s.Item.Abs(n.Beyond[len(n.Beyond)-1].Span).End
			}
			edits = append(edits, Edit{At: at})
		}
		if s.CopyOf == nil && s.Item.Kind == syntax.Opens {
			var corners []string
			for _, c := range s.Outline {
				corners = append(corners, Point(b, c))
			}
			at := s.Item.Raw.End
			edits = append(edits, Edit{source.Span{Start: at, End: at}, indent(f.Source.Text, s.Item) + "  outline " + strings.Join(corners, " ") + lineBreak(f.Source.Text)})
		}
	}
	return edits
}
