package rules

import (
	"sewable/lang/block"
	"sewable/lint"
)

var unusedSeam = &lint.Rule{
	Name:  "unused-seam",
	Level: lint.Hint,
	Title: "A named seam that nothing uses",
	Why: `A seam that no patch or point refers to is only a line on the drawing: it is not stitched, and
moving it changes nothing.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  seam horizon from (0, 2) to (4, 2)
  section A {
    outline (0, 0) (4, 0) (4, 4) (0, 4)
    patch 1 water around (2, 1)
    patch 2 sky beyond (0, 2) (4, 2)
  }
}
`,
	Good: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  seam horizon from (0, 2) to (4, 2)
  section A {
    outline (0, 0) (4, 0) (4, 4) (0, 4)
    patch 1 water around (2, 1)
    patch 2 sky beyond horizon
  }
}
`,
	Since: "0.1",
	Run: func(p *lint.Pass) {
		for _, b := range p.File.Blocks {
			if len(b.Sections) == 0 {
				continue // a drawing in lines, still to be planned
			}
			reportUnused(p, b.Seams, func(s *block.NamedSeam) *block.Named { return &s.Named }, b, true,
				func(r *lint.Report, s *block.NamedSeam) {
					if !s.Broken {
						r.Line(s.Line)
					}
				})
		}
	},
}
