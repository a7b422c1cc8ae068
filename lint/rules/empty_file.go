package rules

import (
	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lint"
)

var emptyFile = &lint.Rule{
	Name:  "empty-file",
	Level: lint.Warning,
	Title: "An empty file",
	Why: `There is nothing to sew. Often the file was saved before the block was pasted in, or the wrong
file was saved.`,
	Bad: `
// The pennant, to be drawn.
`,
	Good: `
fabric sky

block "Pennant" 4 by 2 {
  allowance 1/4
  section A {
    patch 1 sky (0, 0) (4, 0) (4, 2) (0, 2)
  }
}
`,
	Since: "0.1",
	Run:   emptyFiles,
}

func emptyFiles(p *lint.Pass) {
	if len(p.File.Tree.Errors) > 0 {
		return
	}
	for _, item := range p.File.Tree.Items {
		if item.Kind != syntax.Blank && item.Kind != syntax.Remark {
			return
		}
	}
	p.Report(p.At(source.Span{}), "this file has no blocks. Add one, or delete the file.")
}
