package rules

import (
	"math"

	"sewable/lang/cloth"
	"sewable/lang/geom"
	"sewable/lint"
)

var tightCut = &lint.Rule{
	Name:  "tight-cut",
	Level: lint.Warning,
	Title: "A cut size that covers its patch only when the piece is placed exactly",
	Why: `Nobody places a piece exactly: an eighth of an inch or three degrees off is ordinary, and
placement.shift, placement.turn and placement.swing set what to expect. A piece that covers only
when it is placed exactly leaves a seam narrower than the allowance: with an allowance of 1/4 in,
a seam under 3/16 in is for light use only, and one under 1/8 in fails. This is a hint; where
pieces are sold cut to size (cuts.sold), it is a warning.`,
	Bad: `
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
	Since: "0.2",
	Run:   tightCuts,
}

func tightCuts(p *lint.Pass) {
	eachCut(p, func(piece *cloth.PlacedPiece) {
		cut := piece.Own
		worst := cut.Worst
		if cut.Nominal.Least < -geom.Hair/100 || worst.Least > -geom.Hair {
			return // short-cut says it, or there is nothing to say
		}
		mark := geom.Inch / 32
		if p.Unit() != geom.Inches {
			mark = geom.Millimetre / 2
		}
		left := max(0, math.Floor((worst.Need+worst.Least)/mark+1e-6)*mark)
		edge, covers := piece.Corners.Edge(worst.Edge), piece.Covering()
		if !piece.Seam.Sewn && cut.Along < cut.Across { // either side of a first piece may come first
			covers.Along, covers.Across = covers.Across, covers.Along
		}
		larger := typedCut(p, piece.Cut.Form, max(covers.Along, cut.Along), max(covers.Across, cut.Across)) // generous sides stay
		r := p.Report(piece.CutAt(), "The piece for %s covers when it is placed exactly, but ordinary error leaves %s past the edge from %s to %s, %s less than the allowance: %s. `%s` covers",
			lint.Label(piece.Patch), leaves(p, left), p.Point(edge.A), p.Point(edge.B), p.Len(worst.Need-left), grade(left/worst.Need), larger).
			Patch(piece.Patch).Line(edge)
		if !p.Settings.Sold {
			r.As(lint.Hint)
		}
		r.Suggest("Change it to the smallest cut that covers with ordinary placement error", lint.Replace(piece.CutAt(), larger))
	})
}

func leaves(p *lint.Pass, left float64) string {
	if left == 0 {
		return "nothing"
	}
	return "as little as " + p.Len(left)
}

// grade says what a seam is good for that has so much of its allowance: of 1/4 in, under 3/16 in
// is for light use only, and under 1/8 in it fails (published advice of a designer of foundation
// patterns).
func grade(part float64) string {
	switch {
	case part < 1.0/2-1e-9:
		return "too little to hold the seam"
	case part < 3.0/4-1e-9:
		return "enough for light use only"
	default:
		return "a narrow seam"
	}
}
