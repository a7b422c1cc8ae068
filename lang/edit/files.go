package edit

import (
	"strconv"
	"strings"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// ExtractFabrics moves the fabrics of a file to a file of their own, which it
// uses instead. It gives the text of that file; empty when there is nothing to
// move. A fabric whose width is said by a name of this file stays.
func ExtractFabrics(f *block.File, path string) (edits []Edit, palette string) {
	text := f.Source.Text
	var out strings.Builder
	for _, it := range f.Tree.Items {
		n, ok := it.Node.(*syntax.Fabric)
		if !ok {
			continue
		}
		if n.Width != nil && named(n.Width) {
			continue
		}
		line := strings.TrimRight(text[it.Stmt.Start:it.Raw.End], "\r\n \t")
		out.WriteString(line + lineBreak(text))
		edits = append(edits, Edit{it.Raw, ""})
	}
	if len(edits) == 0 {
		return nil, ""
	}
	palette = out.String()
	if f.Unit != geom.Inches { // bare widths keep their unit
		palette = "units " + f.Unit.String() + lineBreak(text) + lineBreak(text) + palette
	}
	return append(edits, Use(f, path)), palette
}

func named(e syntax.Expr) (found bool) {
	syntax.Visitor{Expr: func(e syntax.Expr) {
		if _, ok := e.(*syntax.Ref); ok {
			found = true
		}
	}}.Statement(&syntax.Allowance{Size: e})
	return found
}

// Use brings a file in: behind the last `use`, or at the top, below the comments
// there.
func Use(f *block.File, path string) Edit {
	text := f.Source.Text
	nl := lineBreak(text)
	at, line := 0, "use "+strconv.Quote(path)+nl
	for _, it := range f.Tree.Items {
		if it.Word == "use" {
			at = it.Raw.End
		}
	}
	if at == 0 {
		for _, it := range f.Tree.Items {
			if it.Kind != syntax.Remark {
				break
			}
			at = it.Raw.End
		}
		line += nl
	}
	if at > 0 && text[at-1] != '\n' {
		line = nl + line
	}
	return Edit{source.Span{Start: at, End: at}, line}
}

// AddNotch gives a notch that stands on one side of a join its partner on the
// other side. It is false when the notch is not one of those, or the other side has no
// section that was typed out to put it into.
func AddNotch(f *block.File, b *sew.Block, n *sew.NotchPlace) (Edit, bool) {
	if n.Where != sew.OnJoin || n.Both || len(n.Partners) > 0 || n.Join == nil || n.Section == nil {
		return Edit{}, false
	}
	text := f.Source.Text
	for _, side := range [][]*sew.Section{n.Join.A, n.Join.B} {
		if contains(side, n.Section) {
			continue
		}
		for _, s := range side {
			outline := s.Outline()
			if s.Of.CopyOf != nil || outline == nil || s.Of.Item == nil {
				continue
			}
			for i := range outline {
				if outline.Edge(i).Dist(n.Notch.Point) < 1 {
					return behindLast(text, s.Of, "notch "+n.Notch.Name+" "+Point(b.Of, n.Notch.Point)), true
				}
			}
		}
	}
	return Edit{}, false
}

func contains(list []*sew.Section, s *sew.Section) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// behindLast puts a statement behind the last one of a section.
func behindLast(text string, s *block.Section, statement string) Edit {
	at, lead := s.Item.Raw.End, indent(text, s.Item)+"  "
	for _, it := range s.Item.Body {
		if it.Kind == syntax.Simple {
			at, lead = it.Raw.End, indent(text, it)
		}
	}
	return Edit{source.Span{Start: at, End: at}, lead + statement + lineBreak(text)}
}

// Accept accepts a finding of a rule that starts at an offset: at the end of its
// line, or on a line of its own above where a comment stands already. The comment ends in its
// colon, where the reason is to be written.
func Accept(f *block.File, at int, rule string) Edit {
	text := f.Source.Text
	comment := "// accept " + rule + ":"
	it := f.Tree.ItemAt(at)
	line := f.Source.LineSpan(f.Source.Line(at) - 1)
	if it == nil || it.Comment.Len() > 0 || it.Kind == syntax.Blank || strings.Contains(text[line.Start:line.End], "//") ||
		it.Stmt.Len() > 0 && strings.Contains(text[it.Stmt.Start:it.Stmt.End], "\n") {
		start, lead := line.Start, text[line.Start:line.Start+len(text[line.Start:line.End])-len(strings.TrimLeft(text[line.Start:line.End], " \t"))]
		if it != nil && it.Kind != syntax.Blank {
			start, lead = it.Raw.Start, indent(text, it)
		}
		return Edit{source.Span{Start: start, End: start}, lead + comment + lineBreak(text)}
	}
	end := line.Start + len(strings.TrimRight(text[line.Start:line.End], " \t"))
	return Edit{source.Span{Start: end, End: line.End}, " " + comment}
}
