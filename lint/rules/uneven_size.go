package rules

import (
	"sewable/lang/block"
	"sewable/lint"
)

var unevenSize = &lint.Rule{
	Name:  "uneven-size",
	Level: lint.Error,
	Title: "A size that stretches the block",
	Why: `A block is drawn once and scaled to its other sizes, by one ratio both ways. A size that is wider
but not higher in the same ratio would change every angle: corners would no longer meet as drawn, and another block
would come of it.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  size mini 2 by 3
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
}
`,
	Good: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  size mini 2 by 2
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
}
`,
	Mandatory: lint.Unsewable,
	Since:     "0.2",
	Run: func(p *lint.Pass) {
		for _, b := range p.File.Blocks {
			for _, s := range b.Sizes {
				for _, bad := range p.File.Problems {
					if bad.Kind != block.UnevenSize || bad.At != s.Item.Stmt {
						continue
					}
					wide := b.Width.Mul(s.Height).Div(b.Height).Float64()
					high := b.Height.Mul(s.Ratio()).Float64()
					p.Report(p.At(bad.At), "The size %s stretches the block, which is %s by %s. Make it %s high, or %s wide",
						s.Name, p.Len(b.Width.Float64()), p.Len(b.Height.Float64()), p.Len(high), p.Len(wide)).
						In(bad.Block, "", 0).
						Related(bad.Related[0], "the block is drawn in this size")
				}
			}
		}
	},
}
