package rules

import (
	"sewable/lang/sew"
	"sewable/lint"
)

var blockNotFilled = &lint.Rule{
	Name:  "block-not-filled",
	Level: lint.Error,
	Title: "Sections that do not fill the block, or extend past it",
	Why: `The joined sections are the block. Where there is no section, the block has a hole or a missing
corner; where one extends past the outline, the block does not finish at its planned size.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 5 {
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
	Run: func(p *lint.Pass) {
		for b := range blocks(p) {
			flaw, more, ok := mainSectionFlaw(p, b)
			switch {
			case len(b.Of.Sections) == 0 && p.File.Partial: // they may stand on lines that cannot be read
			case len(b.Of.Sections) == 0:
				p.Report(b.Of.At, "%s has no sections yet, so there is nothing to sew. Add a section with its patches", quote(b.Of.Name)).Block(b.Of)
			case ok && flaw.Kind == sew.Gap:
				p.Report(b.Of.At, "The sections leave %s of the block uncovered at %s%s. Cover it, or change the block's size",
					p.Area(flaw.Area), p.Point(flaw.At), more).Block(b.Of).Area(areaOf(flaw.Flaw))
			case ok && flaw.Kind == sew.Outside:
				section := flaw.Sections[0].Of
				p.Report(section.At, "Section %s extends past the block by %s at %s%s. Move it in, or change the block's size",
					section.Name, p.Area(flaw.Area), p.Point(flaw.At), more).
					Section(section).Alone().Area(areaOf(flaw.Flaw)).
					Related(b.Of.OutlineAt, "the block's outline")
			}
		}
	},
}
