package rules

import (
	"sewable/lang/block"
	"sewable/lang/edit"
	"sewable/lint"
)

var copyCycle = &lint.Rule{
	Name:  "copy-cycle",
	Level: lint.Error,
	Title: "Sections that copy each other in a circle",
	Why: `A copy needs something to copy. When B is a copy of C and C a copy of B, neither has any
patches, and there is nothing to sew. Write out one of the sections.`,
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
		switch {
		case bad.Kind != block.CopyCycle:
		case bad.Cause == block.BlocksInCircle:
			p.Report(p.At(bad.At), "Block %s takes sections from this block, by way of others perhaps, so this block cannot take any from it. Write these sections out in one of the two", quote(bad.Name)).
				In(bad.Block, "", 0)
		case bad.Cause == block.NeedsLines:
			r := p.Report(p.At(bad.At), "Section %s is a copy of %s, whose outline is what the sections below it leave, %s among them. Give %s the lines that it is beyond", bad.Name, bad.What, bad.Name, bad.Name).
				In(bad.Block, bad.Section, 0).Related(bad.Related[0], "section %s", bad.What)
			if !r.Hidden() {
				if lines, ok := edit.LinesOfCopy(p.File, bad.Block, bad.Name); ok {
					r.Suggest("Add the lines of "+bad.Name, editsOf(p, lines)...)
				}
			}
		default:
			p.Report(p.At(bad.At), "Section %s is, by way of other copies, a copy of itself. Write one of these sections out", bad.Name).
				In(bad.Block, "", 0)
		}
	}
}
