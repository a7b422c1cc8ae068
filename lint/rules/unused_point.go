package rules

import (
	"sewable/lang/block"
	"sewable/lint"
)

var unusedPoint = &lint.Rule{
	Name:  "unused-point",
	Level: lint.Hint,
	Title: "A point that nothing uses",
	Why: `Moving it changes nothing, which is a surprise when the block is redrawn. Often the same point was
typed in numbers where the name was intended.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  point left = (0, 2)
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
  point left = (0, 2)
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) left
    patch 2 sky left (4, 2) (4, 4) (0, 4)
  }
}
`,
	Since: "0.1",
	Run: func(p *lint.Pass) {
		for _, b := range p.File.Blocks {
			reportUnused(p, b.Points, func(q *block.NamedPoint) *block.Named { return &q.Named }, b, true,
				func(r *lint.Report, q *block.NamedPoint) {
					if !q.Broken {
						r.Point(q.Exact.Point())
					}
				})
		}
	},
}
