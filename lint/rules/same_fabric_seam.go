package rules

import (
	"sewable/lint"
)

var sameFabricSeam = &lint.Rule{
	Name:  "same-fabric-seam",
	Level: lint.Hint,
	Title: "Two neighboring patches of one fabric that could be one patch",
	Why: `A seam between two patches of the same fabric does not show. Where the two can be one patch and
the section can still be sewn, there is one seam, one piece and one label too many. Sometimes it
is intended, for the grain or for a quilting line.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 3) (0, 3)
    patch 3 sky (0, 3) (4, 3) (4, 4) (0, 4)
  }
}
`,
	Good: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
}
`,
	Since: "0.1",
	Run: func(p *lint.Pass) {
		for s := range sections(p) {
			if !s.InOrder() {
				continue
			}
			for patch, on := range s.CouldBeOne() {
				if patch.Fabric == nil || patch.Fabric != on.Fabric {
					continue
				}
				seam, _ := s.SeamOf(patch)
				p.Report(patch.ShapeAt(), "%s and %s are both %s and could be one patch. Merge them to save a seam",
					lint.Label(on), lint.Label(patch), patch.Fabric.Name).
					Patch(patch).Line(seam).
					Related(on.ShapeAt(), "%s is next to it", lint.Label(on))
			}
		}
	},
}
