package rules

import (
	"sewable/lang/block"
	"sewable/lint"
)

var patchNumbers = &lint.Rule{
	Name:  "patch-numbers",
	Level: lint.Error,
	Title: "Patch numbers that do not run 1, 2, 3",
	Why: `The number is the patch's place in the sewing order, and the label on the bag. When a number is
missing, the quilter looks for a piece that does not exist; when it is there twice, she sews
whichever piece she picks up first. Patch 1 is placed first and has no seam of its own; every
later patch is sewn on.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 3 sky (0, 2) (4, 2) (4, 4) (0, 4)
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
	Mandatory: lint.Unsewable,
	Since:     "0.1",
	Run:       checkPatchNumbers,
}

func checkPatchNumbers(p *lint.Pass) {
	said := map[[2]string]bool{} // of each section the first: one number exchanged with another is wrong at both
	for _, bad := range p.File.Problems {
		section := [2]string{bad.Block, bad.Section}
		if bad.Kind != block.PatchNumber || said[section] || unread(p, bad.At) {
			continue
		}
		said[section] = true
		label := block.Label(bad.Section, bad.Number)
		var message string
		switch bad.Cause {
		case block.NumberTwice:
			message = sprintf("There are two patches %s. Number the patches in sewing order, each number once", label)
		case block.NumberMissing:
			message = sprintf("There is no patch %s. Number the patches in sewing order, from 1 without gaps", label)
		case block.NotBeyond:
			message = sprintf("%s is placed first and has no seam. Give its corners, or `around` and a point inside it", label)
		case block.NotAround:
			message = sprintf("`around` is only for patch 1. Give %s by `beyond` and the line it is sewn on, or by corners", label)
		}
		r := p.Report(p.At(bad.At), "%s", message).In(bad.Block, bad.Section, bad.Patch)
		for _, at := range bad.Related {
			r.Related(at, "the other one is here")
		}
	}
}
