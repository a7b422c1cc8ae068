package rules

import (
	"sewable/lang/block"
	"sewable/lint"
)

var unclearSeam = &lint.Rule{
	Name:  "unclear-seam",
	Level: lint.Error,
	Title: "A `beyond` line that does not define one patch",
	Why: `A patch given by its seam is everything on the far side of that line. The line has to cross the
area that the later patches leave of the section, in one place only, and must not cut into patch
1. Otherwise the printed stitching line and the patch behind it are a guess.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    outline (0, 0) (4, 0) (4, 4) (0, 4)
    patch 1 water around (2, 1)
    patch 2 sky beyond (0, 5) (4, 5)
  }
}
`,
	Good: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    outline (0, 0) (4, 0) (4, 4) (0, 4)
    patch 1 water around (2, 1)
    patch 2 sky beyond (0, 2) (4, 2)
  }
}
`,
	Mandatory: lint.Unsewable,
	Since:     "0.1",
	Run:       unclearSeams,
}

// unclear says what is wrong with a patch that cannot be placed; %s is its label.
var unclear = map[block.Cause]string{
	block.Misses:    "The seam of %s does not cross the area left after the later patches. Move it, or sew the patch later",
	block.CutsFirst: "The seam of %s cuts into patch 1, which is placed before it. Move the line off patch 1, or give the patches by corners",
	block.TwoChords: "The seam of %s crosses the area that is left in two places, and either could be intended. " +
		"Give two points on the part that is sewn",
	block.LeavesTwo: "%s would leave the earlier patches in two pieces, so it cannot be sewn with one seam. " +
		"Sew it earlier, or divide the section",
	block.NotInRest:     "%s extends outside the area left after the later patches. Move its corners, or sew it later",
	block.AroundOutside: "The point given for %s is not inside the section. Put it inside the patch",
	block.OnePoint:      "Both points of the line of %s are the same place. Give two different points",
}

func unclearSeams(p *lint.Pass) {
	said := map[[2]string]bool{} // of each section the first: the others may only follow from it
	for _, bad := range p.File.Problems {
		section := [2]string{bad.Block, bad.Section}
		if bad.Kind == block.UnclearSeam && !said[section] && !unread(p, bad.At) {
			said[section] = true
			label := block.Label(bad.Section, bad.Patch)
			if bad.Section == "" {
				label = "This patch"
			}
			r := p.Report(p.At(bad.At), unclear[bad.Cause], label).In(bad.Block, bad.Section, bad.Patch)
			if patch := patchAt(p, bad.At); patch != nil && patch.Given == block.ByBeyond {
				r.Line(patch.Line)
			}
		}
	}
}
