package rules

import (
	"sewable/lang/block"
	"sewable/lint"
)

var unusedLet = &lint.Rule{
	Name:  "unused-let",
	Level: lint.Hint,
	Title: "A `let` that nothing uses",
	Why: `Somebody who changes the number expects the block to change. Often a number was typed where the
name was intended. A file without blocks is there for other files, so its numbers are not
checked.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  let line = 2
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
}
`,
	Good: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  let line = 2
  section A {
    patch 1 water (0, 0) (4, 0) (4, line) (0, line)
    patch 2 sky (0, line) (4, line) (4, 4) (0, 4)
  }
}
`,
	Since: "0.1",
	Run: func(p *lint.Pass) {
		named := func(l *block.Let) *block.Named { return &l.Named }
		if len(p.File.Blocks) > 0 {
			reportUnused(p, p.File.Lets, named, nil, false, nil)
		}
		for _, b := range p.File.Blocks {
			reportUnused(p, b.Lets, named, b, true, nil)
		}
	},
}
