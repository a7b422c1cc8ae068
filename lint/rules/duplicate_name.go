package rules

import (
	"sewable/lang/block"
	"sewable/lint"
)

var duplicateName = &lint.Rule{
	Name:  "duplicate-name",
	Level: lint.Error,
	Title: "A name that two things have, or a thing that is said twice",
	Why: `Two fabrics of one name end up in one bag; two sections called A cannot both be A1 on the sheet.
The same holds for what a block can have only once, an allowance or an outline: the sewist sees
one of the two, and which one is luck.`,
	Bad: `
fabric sky
fabric water
fabric sky "Evening sky" #c87850

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
}
`,
	Good: `
fabric sky
fabric water
fabric evening "Evening sky" #c87850

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
  colourway dusk {
    sky = evening
  }
}
`,
	Mandatory: lint.Unreadable,
	Since:     "0.1",
	Run:       duplicateNames,
}

func duplicateNames(p *lint.Pass) {
	for _, bad := range p.File.Problems {
		if bad.Kind != block.DuplicateName {
			continue
		}
		message := sprintf("There is a %s called %s already. Give one of the two another name", bad.What, bad.Name)
		switch {
		case bad.What == "point" || bad.What == "seam": // which share their names
			message = sprintf("There is a point or a seam called %s already. Give one of the two another name", bad.Name)
		case bad.What == "unit" || bad.What == bad.Name:
			message = sprintf("This is said twice: one `%s` is enough. Remove the one that is not meant", firstWord(bad))
		case bad.Swap:
			message = sprintf("The fabric %s is replaced twice in this colourway. Remove the line that is not meant", bad.Name)
		}
		r := p.Report(p.At(bad.At), "%s", message).In(bad.Block, bad.Section, bad.Patch)
		for _, at := range bad.Related {
			r.Related(at, "the first stands here")
		}
	}
}

func firstWord(bad block.Problem) string {
	if bad.What == "unit" {
		return "units"
	}
	return bad.What
}
