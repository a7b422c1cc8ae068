package rules

import (
	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/syntax"
	"sewable/lint"
)

// eachCut works out the piece of every patch with a cut size of its designer's.
// Sections that cannot be sewn as numbered are left out: a cut lies along the seam, and
// there is none. So are blocks that their sections do not fill: a patch there has not yet its size.
func eachCut(p *lint.Pass, visit func(*cloth.PlacedPiece)) {
	for s := range sections(p) {
		b := s.Of.Block
		if b.Allowance == nil || b.Allowance.Broken || b.OuterAllowance.Broken || !s.InOrder() || !anyCut(s.Of) || len(p.Sewing(b).Flaws()) > 0 {
			continue
		}
		for _, patch := range s.Of.Patches {
			if patch.Cut == nil {
				continue
			}
			if piece, ok := cloth.Place(patch, cloth.SeamOf(s, patch), cloth.Placed{}, p.Settings.Cutting()); ok {
				visit(piece)
			}
		}
	}
}

func anyCut(s *block.Section) bool {
	for _, patch := range s.Patches {
		if patch.Cut != nil {
			return true
		}
	}
	return false
}

// noneLeft reports whether a cut ends inside the finished patch somewhere: then there is
// no allowance at all.
func noneLeft(cut *cloth.Offer) bool { return cut.Nominal.Least <= -cut.Nominal.Need }

// coveringCut is the least cut of the same form that covers wherever the piece lands, as it is
// typed.
func coveringCut(p *lint.Pass, piece *cloth.PlacedPiece) string {
	covers := piece.Covering()
	return typedCut(p, piece.Cut.Form, covers.Along, covers.Across)
}

// typedCut is a cut of a form as it is typed; of a square its side is along.
func typedCut(p *lint.Pass, form syntax.CutForm, along, across float64) string {
	switch form {
	case syntax.CutStrip:
		return "cut strip " + p.Number(across)
	case syntax.CutHalved:
		return "cut square " + p.Number(along) + " halved"
	case syntax.CutQuartered:
		return "cut square " + p.Number(along) + " quartered"
	}
	return "cut " + p.Number(along) + " by " + p.Number(across)
}
