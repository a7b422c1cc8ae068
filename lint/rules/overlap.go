package rules

import (
	"sewable/lang/sew"
	"sewable/lint"
)

var overlap = &lint.Rule{
	Name:  "overlap",
	Level: lint.Error,
	Title: "Two patches that overlap",
	Why: `In a drawing two patches can overlap; in fabric the later one hides the earlier, and the seam
between them is printed twice. Which line to stitch on is anybody's guess.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 1 1/2) (4, 1 1/2) (4, 4) (0, 4)
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
		for s := range sections(p) {
			flaw, more, ok := mainFlaw(p, s)
			if !ok || flaw.Kind != sew.Overlap {
				continue
			}
			last := flaw.Patches[len(flaw.Patches)-1]
			r := p.Report(last.ShapeAt(), "%s overlap by %s at %s%s. End each patch where the next begins",
				labels(flaw.Patches), p.Area(flaw.Area), p.Point(flaw.At), more).Patch(last).Area(areaOf(flaw.Flaw))
			for _, other := range flaw.Patches[:len(flaw.Patches)-1] {
				r.Related(other.ShapeAt(), "%s covers this place too", lint.Label(other))
			}
		}
	},
}
