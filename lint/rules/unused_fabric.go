package rules

import (
	"slices"

	"sewable/lang/block"
	"sewable/lint"
)

var unusedFabric = &lint.Rule{
	Name:  "unused-fabric",
	Level: lint.Hint,
	Title: "A fabric that no patch, colorway or setting uses",
	Why: `It is on the fabric list, so somebody will buy it. Often a patch was meant to use it but uses
another. A file without blocks is a palette for other files, so its fabrics are not checked.`,
	Bad: `
fabric sky
fabric water
fabric coral "Coral" #e8806a

block "Horizon" 4 by 4 {
  allowance 1/4
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
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
}
`,
	Since: "0.1",
	Run: func(p *lint.Pass) {
		named := func(f *block.Fabric) *block.Named { return &f.Named }
		// What is drawn in lines is given the fabrics of the file when it is planned.
		lines := slices.ContainsFunc(p.File.Blocks, func(b *block.Block) bool { return unplanned(b) && len(b.Loose) == 0 })
		if len(p.File.Blocks) > 0 && !lines {
			// Another file may use it from here, so removing it is never certain.
			reportUnused(p, p.File.Fabrics, named, nil, false, nil)
		}
		for _, b := range p.File.Blocks {
			if unplanned(b) && len(b.Loose) == 0 {
				continue
			}
			reportUnused(p, b.Fabrics, named, b, true, nil)
		}
	},
}
