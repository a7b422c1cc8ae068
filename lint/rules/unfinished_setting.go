package rules

import (
	"slices"

	"sewable/lang/block"
	"sewable/lang/english"
	"sewable/lint"
)

var unfinishedSetting = &lint.Rule{
	Name:  "unfinished-setting",
	Level: lint.Error,
	Title: "A setting without rows, columns or `fill`",
	Why: `Rows, columns and the blocks that fill them determine how large the quilt is and how many of each
block are sewn. Without one of them, no yardage can be calculated and nothing can be laid out. A setting that gives
each ` + "`row`" + ` by itself needs none of the three.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
}

setting "Horizon Runner" {
  columns 3
  fill "Horizon"
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

setting "Horizon Runner" {
  rows 1
  columns 3
  fill "Horizon"
}
`,
	Since: "0.1",
	Run: func(p *lint.Pass) {
		for _, set := range p.File.Settings {
			if len(set.OwnRows) > 0 {
				for _, row := range set.OwnRows {
					if !set.Broken && !slices.ContainsFunc(row.Parts, func(part block.RowPart) bool { return part.Cell != nil }) {
						p.Report(row.At, "This row has no block, so its height is unknown. Add one, or make it a `sashing`").In(set.Name, "", 0)
					}
				}
				continue
			}
			var missing []string
			if set.Rows < 1 {
				missing = append(missing, "`rows`")
			}
			if set.Columns < 1 {
				missing = append(missing, "`columns`")
			}
			if len(set.Cells) == 0 {
				missing = append(missing, "`fill`")
			}
			if len(missing) > 0 && !set.Broken {
				p.Report(set.At, "The setting %s has no %s, so its size is unknown. Add what is missing",
					quote(set.Name), english.Choice(missing)).In(set.Name, "", 0)
			}
		}
	},
}
