package rules

import (
	"sewable/lang/block"
	"sewable/lint"
)

var noValue = &lint.Rule{
	Name:  "no-value",
	Level: lint.Error,
	Title: "A number or point that has no value",
	Why: `A division by zero, two lines that never meet, or a point that is defined in terms of itself has
no place on the paper. Nothing that depends on it can be drawn or sewn, and nothing more is
reported about it until this is fixed.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  point left = where (0, 0) (4, 0) meets (0, 2) (4, 2)
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) left
    patch 2 sky left (4, 2) (4, 4) (0, 4)
  }
}
`,
	Good: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  point left = where (0, 0) (0, 4) meets (0, 2) (4, 2)
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) left
    patch 2 sky left (4, 2) (4, 4) (0, 4)
  }
}
`,
	Mandatory: lint.Unreadable,
	Since:     "0.1",
	Run:       noValues,
}

var valueless = map[block.Cause]string{
	block.DividedByZero: "Division by zero. Change the divisor",
	block.NotALength:    "A size must be positive",
	block.NotAScale:     "A copy is scaled by a ratio greater than zero, at most 1,000 and at least 1/1000, such as 3/4",
	block.NotARatio:     "Expected a ratio or an angle, found a length. Remove the unit",
	block.AreaNotLength: "The result is not a length: it multiplies two lengths, or divides by one. " +
		"Multiply or divide a length by a plain number",
	block.OneEndedLine:  "Both points of this line are the same place. Give two different points",
	block.NotAQuarter:   "Blocks in a setting turn by 90, 180 or 270 degrees only",
	block.ParallelLines: "These two lines are parallel and never meet. Change one of them",
}

func noValues(p *lint.Pass) {
	for _, bad := range p.File.Problems {
		if bad.Kind != block.NoValue {
			continue
		}
		message, ok := valueless[bad.Cause]
		if !ok {
			switch bad.Cause {
			case block.RefersToItself:
				message = sprintf("%s is defined in terms of itself. Give one of these names a number", bad.Name)
			case block.SeamNotPoint:
				message = sprintf("Expected a point, found the seam %s. Give a point, such as one of its ends", bad.Name)
			case block.PointNotSeam:
				message = sprintf("Expected a line, found the point %s. Give a second point, or the name of a seam", bad.Name)
			}
		}
		p.Report(p.At(bad.At), "%s", message).In(bad.Block, bad.Section, bad.Patch)
	}
}
