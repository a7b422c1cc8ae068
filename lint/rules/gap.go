package rules

import (
	"sewable/lang/sew"
	"sewable/lint"
)

var gap = &lint.Rule{
	Name:  "gap",
	Level: lint.Error,
	Title: "A place of a section that no patch covers",
	Why: `What no patch covers is a hole in the block. On the foundation it is a white place with stitching lines round it and no number, and
the sewist finds out when the paper comes off.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    outline (0, 0) (4, 0) (4, 4) (0, 4)
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 3 1/2) (0, 4)
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
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
}
`,
	Since: "0.1",
	Run: func(p *lint.Pass) {
		for s := range sections(p) {
			if flaw, more, ok := mainFlaw(p, s); ok && flaw.Kind == sew.Gap {
				p.Report(s.Of.At, "Section %s has a gap of %s at %s%s. Move the corners round it so that the patches fill the outline",
					s.Of.Name, p.Area(flaw.Area), p.Point(flaw.At), more).Section(s.Of)
			}
		}
	},
}
