package rules

import (
	"sewable/lang/sew"
	"sewable/lint"
)

var outsideOutline = &lint.Rule{
	Name:  "outside-outline",
	Level: lint.Error,
	Title: "A patch that extends past its section's outline",
	Why: `The section is trimmed to its outline plus the allowance. What extends past it is cut off, and
the point or corner that was drawn there is lost.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    outline (0, 0) (4, 0) (4, 4) (0, 4)
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4 1/2) (0, 4)
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
			if flaw, more, ok := mainFlaw(p, s); ok && flaw.Kind == sew.Outside {
				patch := flaw.Patches[0]
				p.Report(patch.ShapeAt(), "%s extends past the outline of section %s by %s at %s%s. Move its corners in, or the outline out",
					lint.Label(patch), s.Of.Name, p.Area(flaw.Area), p.Point(flaw.At), more).
					Patch(patch).Area(areaOf(flaw.Flaw)).
					Related(s.Of.OutlineAt, "the outline of section %s", s.Of.Name)
			}
		}
	},
}
