package rules

import (
	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/geom"
	"sewable/lang/syntax"
	"sewable/lint"
)

// eachCut lays every cut size of a designer on its patch and tells what came of
// it. Sections that cannot be sewn as numbered are left out: a cut lies along the seam, and
// there is none. So are blocks that their sections do not fill: a patch there has not yet its size.
func eachCut(p *lint.Pass, visit func(*block.Patch, cloth.Cut)) {
	for s := range sections(p) {
		b := s.Of.Block
		if b.Allowance == nil || b.Allowance.Broken || b.OuterAllowance.Broken || !s.InOrder() || !anyCut(s.Of) || len(p.Sewing(b).Flaws()) > 0 {
			continue
		}
		seams := map[*block.Patch]geom.Segment{s.Of.Patches[0]: cloth.LongestEdge(s.Of.Patches[0].Corners)}
		for _, seam := range s.Seams() {
			seams[seam.Patch] = seam.Segment
		}
		for _, patch := range s.Of.Patches {
			if patch.Cut != nil {
				visit(patch, cloth.CheckCut(patch, seams[patch], b.Allowance.Size.Float64(), cloth.Needs(patch)))
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
func noneLeft(cut cloth.Cut) bool { return cut.Margin.Least <= -cut.Margin.Need }

// leastCut is the least cut of the same form that would cover, up to the next
// eighth of an inch or millimetre, as it is typed.
func leastCut(p *lint.Pass, patch *block.Patch, cut cloth.Cut) string {
	step := geom.Inch / 8
	if p.Unit() != geom.Inches {
		step = geom.Millimetre
	}
	along, across := p.Number(geom.RoundUp(cut.Along, step)), p.Number(geom.RoundUp(cut.Across, step))
	switch patch.Cut.Form {
	case syntax.CutStrip:
		return "cut strip " + across
	case syntax.CutHalved:
		return "cut square " + along + " halved"
	case syntax.CutQuartered:
		return "cut square " + along + " quartered"
	}
	return "cut " + along + " by " + across
}
