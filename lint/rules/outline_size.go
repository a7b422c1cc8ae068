package rules

import (
	"math"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lint"
)

var outlineSize = &lint.Rule{
	Name:  "outline-size",
	Level: lint.Error,
	Title: "A block outline that does not match the block's size",
	Why: `The setting, the paper and the fabric are calculated from the size in the block's first line. A
wedge or a hexagon has to touch all four sides of that rectangle; otherwise the block is planned
at one size and sewn at another.`,
	Bad: `
fabric sky
fabric water

block "Pennant" 4 by 4 {
  allowance 1/4
  outline (0, 0) (4, 2) (0, 3 1/2)
  section A {
    patch 1 water (0, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (0, 3 1/2)
  }
}
`,
	Good: `
fabric sky
fabric water

block "Pennant" 4 by 4 {
  allowance 1/4
  outline (0, 0) (4, 2) (0, 4)
  section A {
    patch 1 water (0, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (0, 4)
  }
}
`,
	Mandatory: lint.Unsewable,
	Since:     "0.1",
	Run:       outlineSizes,
}

func outlineSizes(p *lint.Pass) {
	for _, bad := range p.File.Problems {
		if bad.Kind != block.OutlineSize {
			continue
		}
		r := p.Report(p.At(bad.At), "This outline does not extend from (0, 0) to the block's width and height. "+
			"Move its corners, or change the size").
			In(bad.Block, "", 0).
			Related(bad.Related[0], "the size is given here")
		for _, b := range p.File.Blocks {
			if b.OutlineAt.Span == bad.At {
				r.Line(missedSides(b)...)
			}
		}
	}
}

// missedSides are the sides of a block's rectangle that its outline does not reach, or
// reaches past.
func missedSides(b *block.Block) []geom.Segment {
	is, want := b.Outline.Bounds(), geom.Box{Max: geom.Point{X: b.Width.Float64(), Y: b.Height.Float64()}}
	sides := want.Polygon() // from the lower left corner, anticlockwise
	var missed []geom.Segment
	for i, off := range [...]float64{is.Min.Y - want.Min.Y, is.Max.X - want.Max.X, is.Max.Y - want.Max.Y, is.Min.X - want.Min.X} {
		if math.Abs(off) > geom.Hair {
			missed = append(missed, sides.Edge(i))
		}
	}
	return missed
}
