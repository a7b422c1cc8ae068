package query

import (
	"sewable/lang/block"
)

// Patch is what there is to say of a patch, also of one that came along with a
// copied section.
func Patch(f *File, p *block.Patch) *HoverText {
	h := &HoverText{At: p.At().Span}
	h.patch(f, p)
	return h
}

// Section is what there is to say of a section.
func Section(f *File, s *block.Section) *HoverText {
	h := &HoverText{At: s.At.Span}
	h.section(f, s)
	return h
}

// State says in a few words whether a block can be sewn: "sewable", or the first
// reason why not.
func State(f *File, b *block.Block) string { return blockWords(f, b) }
