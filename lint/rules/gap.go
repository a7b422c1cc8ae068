package rules

import (
	"sewable/lang/sew"
	"sewable/lint"
)

var gap = &lint.Rule{
	Name:  "gap",
	Level: lint.Error,
	Title: "A part of a section that no patch covers",
	Why: `What no patch covers is a hole in the block. On the foundation it is a blank area between
stitching lines, without a number, and the quilter finds out when the paper comes off.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    outline (0, 0) (4, 0) (4, 4) (0, 4)
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 3 1/2) (0, 4)
  }
}
`,
	Good: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    outline (0, 0) (4, 0) (4, 4) (0, 4)
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
}
`,
	Mandatory: lint.Unsewable,
	Since:     "0.1",
	Run: func(p *lint.Pass) {
		for s := range sections(p) {
			flaw, more, ok := mainFlaw(p, s)
			switch {
			case len(s.Of.Patches) == 0 && p.File.Partial: // they may stand on lines that cannot be read
			case len(s.Of.Patches) == 0:
				p.Report(s.Of.At, "Section %s has no patches yet. Add them, or remove the section", s.Of.Name).Section(s.Of)
			case !ok || flaw.Kind != sew.Gap:
			case flaw.Area == 0: // there is no outline, and the patches make up several pieces
				p.Report(s.Of.At, "The patches of section %s are in separate pieces. Close the space between them, or put them into different sections",
					s.Of.Name).Section(s.Of)
			default:
				p.Report(s.Of.At, "Section %s has a gap of %s at %s%s. Move the corners around it so that the patches fill the outline",
					s.Of.Name, p.Area(flaw.Area), p.Point(flaw.At), more).Section(s.Of).Area(areaOf(flaw.Flaw))
			}
		}
	},
}
