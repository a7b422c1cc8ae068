package rules

import (
	"sewable/lang/block"
	"sewable/lint"
)

var mixedSetting = &lint.Rule{
	Name:  "mixed-setting",
	Level: lint.Error,
	Title: "Statements of a setting that do not go together",
	Why: `A quilt is filled by a list of blocks that goes through rows and columns, or row by row, each row by
itself: both at once would be two quilts. On point, there are no straight rows, and no straight edge of blocks for
sashing round the outside; a border does that.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
}

setting "Tides" {
  columns 2
  row "Horizon", "Horizon"
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

setting "Tides" {
  row "Horizon", "Horizon"
}
`,
	Since: "0.2",
	Run: func(p *lint.Pass) {
		for _, bad := range p.File.Problems {
			if bad.Kind == block.MixedSetting {
				p.Report(p.At(bad.At), "%s and %s do not go together. Remove one of them", named(bad.Name), named(bad.What)).
					In(bad.Block, "", 0).
					Related(bad.Related[0], "%s is here", named(bad.What))
			}
		}
	},
}

// named is a statement of a setting in a sentence.
func named(word string) string {
	switch word {
	case "on":
		return "`on point`"
	case "around":
		return "`sashing` with `around`"
	}
	return "`" + word + "`"
}
