package rules

import (
	"slices"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/memo"

	"sewable/lint"
)

var shortSeam = &lint.Rule{
	Name:  "short-seam",
	Level: lint.Warning,
	Title: "A seam too short to hold",
	Why: `Half an inch is eight stitches of 1.5 mm. A shorter seam is hard to hold and may open when the
paper is torn off (common practice). Where the patch itself is that narrow, only the patch is
reported.`,
	Bad: `
fabric sky
fabric water

block "Hourglass" 4 by 4 {
  allowance 1/4
  outline (0, 0) (4, 0) (2 3/16, 2) (4, 4) (0, 4) (1 13/16, 2)
  section A {
    patch 1 water (0, 0) (4, 0) (2 3/16, 2) (1 13/16, 2)
    patch 2 sky (1 13/16, 2) (2 3/16, 2) (4, 4) (0, 4)
  }
}
`,
	Good: `
fabric sky
fabric water

block "Hourglass" 4 by 4 {
  allowance 1/4
  outline (0, 0) (4, 0) (2 1/4, 2) (4, 4) (0, 4) (1 3/4, 2)
  section A {
    patch 1 water (0, 0) (4, 0) (2 1/4, 2) (1 3/4, 2)
    patch 2 sky (1 3/4, 2) (2 1/4, 2) (4, 4) (0, 4)
  }
}
`,
	Since: "0.1",
	Run:   shortSeams,
}

func shortSeams(p *lint.Pass) {
	type shorterThan struct{ least, small float64 }
	for s := range sections(p) {
		if !s.InOrder() {
			continue
		}
		shrink := scale(s.Of.Block)
		limit := shorterThan{shrink * p.Settings.LeastSeam.Float64(), shrink * p.Settings.SmallPatch.Float64()}
		narrow := func(patch *block.Patch) bool {
			_, wide := patchWidth(patch.Corners, limit.small)
			return !wide
		}
		short := memo.Of(s.Facts(), limit, func() []int {
			var short []int
			for i, seam := range s.Seams() {
				if seam.Len() < limit.least-geom.Hair/2 && !narrow(seam.Patch) && !slices.ContainsFunc(seam.On, narrow) {
					short = append(short, i)
				}
			}
			return short
		})
		for _, i := range short {
			seam := s.Seams()[i]
			p.Report(seam.Patch.ShapeAt(), "The seam of %s is %s long, which is hard to hold. Make it %s or longer",
				lint.Label(seam.Patch), under(p, seam.Len(), limit.least), p.Len(limit.least)).Patch(seam.Patch).Line(seam.Segment)
		}
	}
}
