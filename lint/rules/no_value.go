package rules

import (
	"sewable/lang/block"
	"sewable/lint"
)

var noValue = &lint.Rule{
	Name:  "no-value",
	Level: lint.Error,
	Title: "A number or a point that cannot be worked out",
	Why: `A division by zero, two lines that never meet, or a point that is defined by itself gives no
place on the paper. What hangs on it cannot be drawn or sewn, and is left unsaid until this is
mended.`,
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
	block.DividedByZero: "This divides by zero. Change what it is divided by",
	block.NotALength:    "A size has to be more than nothing. Give a positive length",
	block.NotARatio:     "A length stands where a ratio or an angle belongs. Leave the unit out",
	block.AreaNotLength: "A length times a length is an area, and a number divided by a length is none. " +
		"Multiply or divide a length by a plain number",
	block.OneEndedLine:  "The two points of this line are one place, so there is no line. Give two different places",
	block.NotAQuarter:   "Blocks of a setting lie square to each other: turn by 90, 180 or 270",
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
				message = sprintf("The value of %s is worked out from itself. Give one of the names in the round by numbers", bad.Name)
			case block.SeamNotPoint:
				message = sprintf("The seam %s stands where a point belongs. Give a point, such as one of its ends", bad.Name)
			case block.PointNotSeam:
				message = sprintf("The point %s stands where a line belongs. Give a second point, or the name of a seam", bad.Name)
			}
		}
		p.Report(p.At(bad.At), "%s", message).In(bad.Block, bad.Section, bad.Patch)
	}
}
