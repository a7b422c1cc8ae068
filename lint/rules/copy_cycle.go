package rules

import (
	"sewable/lang/block"
	"sewable/lint"
)

var copyCycle = &lint.Rule{
	Name:  "copy-cycle",
	Level: lint.Error,
	Title: "A section that is a copy of itself",
	Why: `A copy needs something to copy. When B is a copy of C and C of B, neither has a single patch,
and there is nothing to sew. One section of the round has to be typed out.`,
	Bad: `
fabric sky
fabric water

block "Swell" 4 by 2 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (2, 0) (2, 2) (0, 2)
  }
  section B = C turned 180 about (3, 1) with water = sky
  section C = B turned 180 about (3, 1)
  join A to B
}
`,
	Good: `
fabric sky
fabric water

block "Swell" 4 by 2 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (2, 0) (2, 2) (0, 2)
  }
  section B = A moved (2, 0) with water = sky
  join A to B
}
`,
	Mandatory: lint.Unreadable,
	Since:     "0.1",
	Run:       copyCycles,
}

func copyCycles(p *lint.Pass) {
	for _, bad := range p.File.Problems {
		if bad.Kind == block.CopyCycle {
			p.Report(p.At(bad.At), "Section %s is in the end a copy of itself, so there is nothing to copy. Type out one section of the round", bad.Name).
				In(bad.Block, "", 0)
		}
	}
}
