package rules

import "sewable/lint"

var bulkyPoint = &lint.Rule{
	Name:  "bulky-point",
	Level: lint.Warning,
	Title: "A bulky intersection: too many seams meet at one point",
	Why: `Each seam adds two layers of allowance at its end. Where eight meet (common practice), the
intersection is too bulky for the needle and the iron, and the quilting line wanders around it.
Pressing the joins open spreads the bulk; moving some of the seams away from the point removes
it.`,
	Bad: `
fabric sky
fabric water

block "Pinwheel" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (2, 0) (2, 2)
    patch 2 sky (0, 0) (2, 2) (0, 2)
  }
  section B = A turned 90 about (2, 2)
  section C, D = A, B turned 180 about (2, 2)
  join A to B
  join A to C
  notch m (2, 3/4)
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
	Run:   bulkyPoints,
}

func bulkyPoints(p *lint.Pass) {
	for b := range blocks(p) {
		if len(b.JoinFlaws()) > 0 {
			continue
		}
		for _, point := range b.BulkyPoints(p.Settings.BulkyPoint) {
			r := p.Report(b.Of.At, "%d seams meet at %s: too bulky to press flat. Press the joins open, or stagger some of the seams",
				point.Lines, p.Point(point.At)).Block(b.Of).Point(point.At)
			for _, s := range point.Sections {
				r.Related(s.Of.At, "section %s has a corner there", s.Of.Name)
			}
		}
	}
}
