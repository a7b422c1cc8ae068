package rules

import (
	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lint"
)

var crossedOutline = &lint.Rule{
	Name:  "crossed-outline",
	Level: lint.Error,
	Title: "An outline whose corners run across itself",
	Why: `Corners are given in order round the patch. Two of them exchanged make a bow tie: no piece of cloth has that
shape, and no stitching line follows it.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (0, 4) (4, 4)
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
	Run:   crossedOutlines,
}

func crossedOutlines(p *lint.Pass) {
	for _, bad := range p.File.Problems {
		if bad.Kind == block.CrossedOutline {
			crossed(p, p.At(bad.At), "The outline of section "+bad.Section, bad.Point).In(bad.Block, bad.Section, 0)
		}
	}
	for b := range p.Blocks() {
		if _, _, at, ok := geom.Crossing(b.Outline); ok {
			crossed(p, b.OutlineAt, "The block's outline", at).Block(b)
		}
	}
	for s := range p.Sections() {
		if _, _, at, ok := geom.Crossing(s.Outline); ok {
			crossed(p, s.OutlineAt, "The outline of section "+s.Name, at).Section(s)
		}
	}
	for patch := range p.Patches() {
		if patch.Given != block.ByCorners || patch.Corners.IsSimple() {
			continue
		}
		// Corners that are one corner to cloth touch, and cross nothing.
		if _, _, at, ok := geom.Crossing(patch.Corners.Weld()); ok {
			crossed(p, patch.ShapeAt, lint.Label(patch), at).Patch(patch)
		}
	}
}

func crossed(p *lint.Pass, place block.Place, what string, at geom.Point) *lint.Report {
	return p.Report(place, "%s crosses itself at %s. Give the corners in order, once round", what, p.Point(at))
}
