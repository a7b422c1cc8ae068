package edit

import (
	"strings"

	"sewable/lang/block"
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
