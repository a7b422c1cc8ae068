package rules

import (
	"sewable/lang/block"
	"sewable/lint"
)

var duplicateName = &lint.Rule{
	Name:  "duplicate-name",
	Level: lint.Error,
	Title: "A name used twice, or a statement given twice",
	Why: `Two fabrics with one name end up in one bag; two sections called A cannot both be A1 on the
sheet. The same is true of what a block can have only once, such as an allowance or an outline:
the quilter sees one of the two, and which one is a matter of luck.`,
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
		message := sprintf("There is already a %s called %s. Rename one of them", bad.What, bad.Name)
		switch {
		case bad.What == "point" || bad.What == "seam": // which share their names
			message = sprintf("There is already a point or seam called %s. Rename one of them", bad.Name)
		case bad.What == "size":
			message = sprintf("There is already a size or colorway called %s, and a setting tells them by their names alone. Rename one of them", bad.Name)
		case bad.What == "name":
			message = sprintf("%s is a second size, or a second colorway, for the same block. Remove one", bad.Name)
		case bad.What == "unit" || bad.What == bad.Name:
			message = sprintf("Duplicate `%s`: only one is allowed here. Remove one", firstWord(bad))
		case bad.Swap:
			message = sprintf("The fabric %s is replaced twice in this colorway. Remove one of the lines", bad.Name)
		}
		r := p.Report(p.At(bad.At), "%s", message).In(bad.Block, bad.Section, bad.Patch)
		for _, at := range bad.Related {
			r.Related(at, "the first one is here")
		}
	}
}

func firstWord(bad block.Problem) string {
	if bad.What == "unit" {
		return "units"
	}
	return bad.What
}
