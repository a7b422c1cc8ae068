package rules

import (
	"sewable/lang/block"
	"sewable/lang/syntax"
	"sewable/lint"
)

var overLimit = &lint.Rule{
	Name:  "over-limit",
	Level: lint.Error,
	Title: "Something larger than the language allows",
	Why: `A file is at most 8 MiB, a name 200 characters, a length 10,000 in. No real block comes near;
anything larger is a typing slip (35 for 3.5) or not a block file. Past the limits nothing is
calculated, so that one slip cannot delay the check of a whole repository.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  let height = 20000
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, height) (0, height)
  }
}
`,
	Good: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  let height = 4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, height) (0, height)
  }
}
`,
	Mandatory: lint.Unreadable,
	Since:     "0.1",
	Run: func(p *lint.Pass) {
		reportErrors(p, syntax.Limit)
		for _, bad := range p.File.Problems {
			if bad.Kind == block.OverLimit {
				p.Report(p.At(bad.At), "This is more than 10,000 in, the greatest length allowed").
					In(bad.Block, bad.Section, bad.Patch)
			}
		}
	},
}
