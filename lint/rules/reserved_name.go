package rules

import (
	"sewable/lang/syntax"
	"sewable/lint"
)

var reservedName = &lint.Rule{
	Name:  "reserved-name",
	Level: lint.Error,
	Title: "A word of the language used as a name",
	Why: `The words of the language keep their meaning everywhere, so that a line has only one reading:
after "patch 3 sky beyond" comes a line, never a fabric called beyond. Choose another name, or
add to it, as in mid_sky.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  point mid = (0, 2)
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
  point left = (0, 2)
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) left
    patch 2 sky left (4, 2) (4, 4) (0, 4)
  }
}
`,
	Mandatory: lint.Unreadable,
	Since:     "0.1",
	Run: func(p *lint.Pass) {
		reportErrors(p, syntax.ReservedWord)
	},
}
