package rules

import (
	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/geom"
	"sewable/lint"
)

var shortCut = &lint.Rule{
	Name:  "short-cut",
	Level: lint.Error,
	Title: "A cut size that cannot cover its patch and the allowance",
	Why: `The piece is trimmed to the allowance at its seam, stitched and pressed over; then it has to
reach past every other line by the allowance. A piece that is short by an eighth is found when
the next seam is sewn through its very edge, and in a kit every customer finds it.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4) cut 4 1/2 by 2 3/8
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
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4) cut 4 1/2 by 2 1/2
  }
}
`,
	Since: "0.1",
	Run:   shortCuts,
}

func shortCuts(p *lint.Pass) {
	eachCut(p, func(patch *block.Patch, cut cloth.Cut) {
		// A hundredth of a hair is what rounding to the file's unit may cost.
		if cut.Margin.Least >= -geom.Hair/100 || noneLeft(cut) {
			return
		}
		edge := patch.Corners.Edge(cut.Margin.Edge)
		r := p.Report(patch.CutAt(), "The piece for %s is %s short past the edge from %s to %s, even when it is placed exactly. Cut it larger: `%s` covers",
			lint.Label(patch), p.Len(-cut.Margin.Least), p.Point(edge.A), p.Point(edge.B), leastCut(p, patch, cut)).Patch(patch).Line(edge)
		r.Suggest("Change the cut to the least that covers", lint.Replace(patch.CutAt(), leastCut(p, patch, cut)))
	})
}
