package rules

import (
	"sewable/lang/sew"
	"sewable/lint"
)

var sectionsOverlap = &lint.Rule{
	Name:  "sections-overlap",
	Level: lint.Error,
	Title: "Two sections that overlap",
	Why: `Sections are sewn separately and joined along their edges. Where two of them overlap, their
edges are not the same line, and the joined block does not lie flat. The usual cause is a copy
that is turned or mirrored about the wrong point.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
  }
  section B {
    patch 1 sky (0, 1) (4, 1) (4, 4) (0, 4)
  }
  join A to B
}
`,
	Good: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
  }
  section B {
    patch 1 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
  join A to B
}
`,
	Mandatory: lint.Unsewable,
	Since:     "0.1",
	Run: func(p *lint.Pass) {
		for b := range blocks(p) {
			flaw, more, ok := mainSectionFlaw(p, b)
			if !ok || flaw.Kind != sew.Overlap {
				continue
			}
			last := flaw.Sections[len(flaw.Sections)-1].Of
			r := p.Report(last.At, "Sections %s overlap by %s at %s%s. End each where the next begins",
				sectionNames(flaw.Sections), p.Area(flaw.Area), p.Point(flaw.At), more).Section(last).Alone().Area(areaOf(flaw.Flaw))
			for _, other := range flaw.Sections[:len(flaw.Sections)-1] {
				r.Related(other.Of.At, "section %s covers this place too", other.Of.Name)
			}
		}
	},
}
