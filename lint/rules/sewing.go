package rules

import (
	"iter"

	"sewable/lang/block"
	"sewable/lang/english"
	"sewable/lang/memo"
	"sewable/lang/sew"
	"sewable/lang/syntax"
	"sewable/lint"
)

// sections are the sections that were typed out and could be read, of every
// block, as sewing sees them.
func sections(p *lint.Pass) iter.Seq[*sew.Section] {
	return func(yield func(*sew.Section) bool) {
		for _, b := range p.File.Blocks {
			for _, s := range p.Sewing(b).Originals() {
				if !yield(s) {
					return
				}
			}
		}
	}
}

// soundSections are those sections whose patches fill the outline once. Of the
// others the shapes are not yet what they are meant to be.
func soundSections(p *lint.Pass) iter.Seq[*sew.Section] {
	return func(yield func(*sew.Section) bool) {
		for s := range sections(p) {
			if !s.Flawed() && !yield(s) {
				return
			}
		}
	}
}

// patchesWhere are the patches of a section that was typed out of which something holds
// that is a matter of their corners, and of the key, alone: it is asked once for
// all edits that leave the section's shapes as they are.
func patchesWhere(s *sew.Section, key any, holds func(*block.Patch) bool) []*block.Patch {
	return s.Patches(memo.Of(s.Facts(), key, func() []int {
		var parts []int
		for i, patch := range s.Of.Patches {
			if holds(patch) {
				parts = append(parts, i)
			}
		}
		return parts
	}))
}

// blocks are the blocks that could be read as a whole and are planned: their
// sections can be asked how they go together.
func blocks(p *lint.Pass) iter.Seq[*sew.Block] {
	return func(yield func(*sew.Block) bool) {
		for b := range p.Blocks() {
			if !unplanned(b) && !yield(p.Sewing(b)) {
				return
			}
		}
	}
}

// allowanceOf is the allowance of a block; where it has none, which is a
// finding of its own, the least that would do.
func allowanceOf(p *lint.Pass, b *block.Block) float64 {
	if b.Allowance == nil || b.Allowance.Broken || b.Allowance.Size.Sign() <= 0 {
		return p.Settings.LeastAllowance.Float64()
	}
	return b.Allowance.Size.Float64()
}

// labels are the labels of patches as they are spoken: "C1, C2 and C3".
func labels(patches []*block.Patch) string {
	words := make([]string, len(patches))
	for i, patch := range patches {
		words[i] = lint.Label(patch)
	}
	return english.List(words)
}

// sectionNames are the names of sections as they are spoken.
func sectionNames(list []*sew.Section) string {
	words := make([]string, len(list))
	for i, s := range list {
		words[i] = s.Of.Name
	}
	return english.List(words)
}

// typedCorner is where the coordinates of a corner of a patch or an outline
// stand: in the statement itself, or in that of the point it names. There is no such
// place when the corner is worked out.
func typedCorner(p *lint.Pass, b *block.Block, item *syntax.Item, corner int) (block.Place, bool) {
	var corners []syntax.Point
	switch n := item.Node.(type) {
	case *syntax.Patch:
		corners = n.Corners
	case *syntax.Outline:
		corners = n.Corners
	}
	if corner >= len(corners) {
		return block.Place{}, false
	}
	switch at := corners[corner].(type) {
	case *syntax.Pair:
		return p.At(item.Abs(at.Span)), true
	case *syntax.PointRef:
		for _, named := range b.Points {
			def, ok := named.Item.Node.(*syntax.PointDef)
			if !ok || named.Name != at.Text {
				continue
			}
			if pair, ok := def.Value.(*syntax.Pair); ok {
				return p.At(named.Item.Abs(pair.Span)), true
			}
		}
	}
	return block.Place{}, false
}
