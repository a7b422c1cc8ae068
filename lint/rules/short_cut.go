package rules

import (
	"sewable/lang/cloth"
	"sewable/lang/geom"
	"sewable/lint"
)

var shortCut = &lint.Rule{
	Name:  "short-cut",
	Level: lint.Error,
	Title: "A cut size too small to cover its patch and the allowance",
	Why: `The piece is stitched at its seam, flipped open and pressed; then it has to extend past every
other line by the allowance. A piece that is 1/8 in short is noticed when the next seam runs
along its raw edge, and in a kit every customer finds it.`,
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
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4) cut 5 by 2 3/4
  }
}
`,
	Since: "0.1",
	Run:   shortCuts,
}

func shortCuts(p *lint.Pass) {
	eachCut(p, func(piece *cloth.PlacedPiece) {
		// A hundredth of a hair is what rounding to the file's unit may cost.
		cut := piece.Own
		if cut.Nominal.Least >= -geom.Hair/100 || noneLeft(cut) {
			return
		}
		edge := piece.Corners.Edge(cut.Nominal.Edge)
		r := p.Report(piece.CutAt(), "The piece for %s is %s of the allowance past the edge from %s to %s, even when it is placed exactly, which leaves %s. Cut it larger: `%s` covers",
			lint.Label(piece.Patch), geom.FormatMargin(cut.Nominal.Least, p.Unit()), p.Point(edge.A), p.Point(edge.B),
			grade(1+cut.Nominal.Least/cut.Nominal.Need), coveringCut(p, piece)).Patch(piece.Patch).Line(edge)
		r.Suggest("Change it to the smallest cut that covers with ordinary placement error", lint.Replace(piece.CutAt(), coveringCut(p, piece)))
	})
}
