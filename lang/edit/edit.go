// Package edit rewrites block files: it gives the edits that renumber a
// section, give a patch by its corners, name a point, and that divide a drawing
// or a section into sections (plan.go, divide.go). Rules offer them as fixes, editors
// as actions.
//
// An edit is checked by whoever makes it, not by whoever does it: where a
// rewriting must not change the picture, Keeps says whether it does.
package edit

import (
	"slices"
	"strings"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// Edit puts New in the place of a span of the file.
type Edit struct {
	At  source.Span
	New string
}

// Apply does edits that do not overlap.
func Apply(text string, edits []Edit) string {
	edits = slices.Clone(edits)
	slices.SortStableFunc(edits, func(a, b Edit) int { return a.At.Start - b.At.Start })
	var b strings.Builder
	at := 0
	for _, e := range edits {
		b.WriteString(text[at:e.At.Start])
		b.WriteString(e.New)
		at = e.At.End
	}
	b.WriteString(text[at:])
	return b.String()
}

// Keeps reports whether edits keep the picture: every section of every block of
// the file has the same patches of the same fabrics as before, whatever their order,
// and nothing is broken that was not. read gives the model of a text.
func Keeps(f *block.File, edits []Edit, read func(text string) *block.File) bool {
	if text, moved, ok := excerpt(f, edits); ok {
		return keeps(read(text), moved, read)
	}
	return keeps(f, edits, read)
}

func keeps(f *block.File, edits []Edit, read func(text string) *block.File) bool {
	after := read(Apply(f.Source.Text, edits))
	if len(after.Blocks) != len(f.Blocks) || len(after.Tree.Errors) > len(f.Tree.Errors) || len(after.Problems) > len(f.Problems) {
		return false
	}
	for i, b := range f.Blocks {
		if !sameBlock(b, after.Blocks[i]) {
			return false
		}
	}
	return true
}

// excerpt is the file without the sections and joins that stand outside the one section in
// which all the edits are: of a large block that is much less to read, and they look the same
// as long as that section does. The edits move with the text.
func excerpt(f *block.File, edits []Edit) (text string, moved []Edit, ok bool) {
	home := homeOf(f, edits)
	if home == nil || slices.ContainsFunc(f.Blocks, byLines) {
		return "", nil, false
	}
	for _, it := range home.Body { // without an outline it is what the others leave
		if _, ok := it.Node.(*syntax.Outline); ok && slices.ContainsFunc(edits, func(e Edit) bool { return e.At.Start < it.Raw.End && e.At.End > it.Raw.Start }) {
			return "", nil, false
		}
	}
	var cuts []Edit
	for _, b := range f.Blocks {
		for _, it := range b.Item.Body {
			if it != home && (it.Word == "section" || it.Word == "join" || it.Word == "finish") {
				cuts = append(cuts, Edit{At: it.Extent()})
			}
		}
	}
	for _, e := range edits {
		by := 0
		for _, c := range cuts {
			if c.At.End <= e.At.Start {
				by -= c.At.Len()
			}
		}
		moved = append(moved, Edit{At: e.At.Shift(by), New: e.New})
	}
	return Apply(f.Source.Text, cuts), moved, true
}

// byLines reports whether outlines of a block's sections follow from other sections.
func byLines(b *block.Block) bool {
	return slices.ContainsFunc(b.Sections, func(s *block.Section) bool { return s.Hangs || len(s.Lines) > 0 })
}

// homeOf is the one section that was typed out in which all edits are, nil when there is none.
func homeOf(f *block.File, edits []Edit) *syntax.Item {
	for _, b := range f.Blocks {
		for _, s := range b.Sections {
			inside := func(e Edit) bool { return s.Item.Stmt.End <= e.At.Start && e.At.End <= s.Item.Close.Raw.Start }
			if s.CopyOf == nil && s.Item.Close != nil && len(edits) > 0 && all(edits, inside) {
				return s.Item
			}
		}
	}
	return nil
}

func all[T any](list []T, holds func(T) bool) bool {
	return !slices.ContainsFunc(list, func(x T) bool { return !holds(x) })
}

func sameBlock(a, b *block.Block) bool {
	if len(a.Sections) != len(b.Sections) || b.Broken && !a.Broken {
		return false
	}
	for i, s := range a.Sections {
		if !samePatches(s, b.Sections[i]) {
			return false
		}
	}
	return true
}

func samePatches(a, b *block.Section) bool {
	if a.Name != b.Name || len(a.Patches) != len(b.Patches) || a.Broken != b.Broken {
		return false
	}
	left := slices.Clone(b.Patches)
	for _, p := range a.Patches {
		i := slices.IndexFunc(left, func(q *block.Patch) bool { return fabricName(p) == fabricName(q) && sameShape(p.Corners, q.Corners) })
		if i < 0 {
			return false
		}
		left = slices.Delete(left, i, i+1)
	}
	return true
}

func fabricName(p *block.Patch) string {
	if p.Fabric == nil {
		return ""
	}
	return p.Fabric.Name
}

// sameShape compares polygons that may begin at another corner, run the other way,
// or have corners on straight edges.
func sameShape(a, b geom.Polygon) bool {
	if len(a) == len(b) && len(a) > 0 && &a[0] == &b[0] {
		return true // taken over from the model before
	}
	return a.CCW().Straighten().Matches(b.CCW().Straighten())
}

// Point is a place as it is typed in a block: the name of a point that lies
// there, else its coordinates.
func Point(b *block.Block, at geom.Point) string {
	for _, named := range b.Points {
		if !named.Broken && named.Exact.Point().Dist(at) < 1e-6 {
			return named.Name
		}
	}
	return geom.FormatPoint(at, b.File.Unit)
}

// FreeName is the first of a, a2, a3, … that nothing has for a name.
func FreeName(wanted string, taken func(string) bool) string {
	for name, n := wanted, 2; ; n++ {
		if !taken(name) {
			return name
		}
		name = wanted + itoa(n)
	}
}
