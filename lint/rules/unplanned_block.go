package rules

import (
	"slices"

	"sewable/lang/block"
	"sewable/lang/english"
	"sewable/lint"
)

var unplannedBlock = &lint.Rule{
	Name:  "unplanned-block",
	Level: lint.Warning,
	Title: "A drawing that is not yet divided into sections",
	Why: `A patch without a section has no foundation, no number and no seam; a drawing in lines does not
even have patches. Nothing can be printed or sewn from it. That is fine for a drawing, but not for
a pattern.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  patch water (0, 0) (4, 0) (4, 2) (0, 2)
  patch sky (0, 2) (4, 2) (4, 4) (0, 4)
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
	Run: func(p *lint.Pass) {
		for b := range p.Blocks() {
			if !unplanned(b) {
				continue
			}
			loose := slices.DeleteFunc(slices.Clone(b.Loose), func(patch *block.Patch) bool { return unread(p, patch.At().Span) })
			var r *lint.Report
			switch {
			case len(loose) > 0:
				how := "`sewable plan` divides the block"
				if len(b.Sections) > 0 {
					if how = "Give each a number in a section"; len(loose) == 1 {
						how = "Give it a number in a section"
					}
				}
				r = p.Report(loose[0].At(), "In %s %s not in a section. %s",
					quote(b.Name), english.Count(len(loose), "patch is", "patches are"), how).Block(b)
				if len(b.Sections) > 0 {
					markPatches(r, loose)
				}
			case len(b.Loose) == 0:
				r = p.Report(b.At, "%s is drawn in lines only. Divide it into sections with patches; `sewable plan` does that", quote(b.Name)).Block(b)
			default:
				continue
			}
			if r.Hidden() {
				continue
			}
			if planned, edits := planDrawing(p, b); edits != nil {
				r.Suggest("Divide this drawing into sections", edits...)
				if planned.Untiled > 0 {
					r.Related(b.At, "The paper is a reason for %s: each has to fit on one %s sheet. Printed over several sheets, %s would do: `sewable plan --tiled`",
						english.Count(len(planned.Plan.Sections), "section", "sections"), p.Settings.Paper.Name, english.Count(planned.Untiled, "section", "sections"))
				}
			}
		}
	},
}

// unplanned reports whether a block is a drawing still to be divided: some of its
// patches are in no section, or it has lines and no patches at all.
func unplanned(b *block.Block) bool {
	return len(b.Loose) > 0 || len(b.Sections) == 0 && len(b.Seams) > 0
}
