package rules

import (
	"sewable/lang/geom"
	"sewable/lint"
)

var offPage = &lint.Rule{
	Name:  "off-page",
	Level: lint.Warning,
	Title: "A section that, with its allowance, does not fit on the paper",
	Why: `A foundation larger than the sheet has to be printed in parts and taped together, and every
taped seam is a chance for error. The paper and the printer's margin are set in sewable.toml.
Dividing the section, or using larger paper, avoids the tape.`,
	Bad: `
fabric sky
fabric water

block "Wide Horizon" 12 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (12, 0) (12, 2) (0, 2)
    patch 2 sky (0, 2) (12, 2) (12, 4) (0, 4)
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
	Since: "0.1",
	Run:   offPages,
}

func offPages(p *lint.Pass) {
	paper, margin := p.Settings.Paper, p.Settings.Margin.Float64()
	width, height := paper.Width.Float64()-2*margin, paper.Height.Float64()-2*margin
	for s := range soundSections(p) {
		allowance := s.Of.Block.Allowance
		if allowance == nil || allowance.Broken || s.Of.CopyOf != nil || len(s.Of.Patches) == 0 {
			continue
		}
		grow := 2 * max(allowance.Size.Float64(), s.Of.Block.OuterAllowance.Size.Float64())
		box := s.Bounds()
		if fits(box.Width()+grow, box.Height()+grow, width, height) {
			continue
		}
		if turned := s.Around(); fits(turned.Width+grow, turned.Height+grow, width, height) {
			continue
		}
		p.Report(s.Of.At, "Section %s with its allowance is %s, which does not fit inside the margins of %s paper. Divide it, or choose larger paper",
			s.Of.Name, p.Size(box.Width()+grow, box.Height()+grow), paperName[paper.Name]).Section(s.Of)
	}
}

// paperName is the name of a paper as people write it.
var paperName = map[string]string{"letter": "letter", "a4": "A4"}

// fits reports whether a by b fits into the sheet, upright or across.
func fits(a, b, width, height float64) bool {
	return min(a, b) <= min(width, height)+geom.Hair && max(a, b) <= max(width, height)+geom.Hair
}
