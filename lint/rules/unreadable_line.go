package rules

import (
	"sewable/lang/syntax"
	"sewable/lint"
)

var unreadableLine = &lint.Rule{
	Name:  "unreadable-line",
	Level: lint.Error,
	Title: "A line that cannot be read",
	Why: `A line that cannot be read is not sewn: the patch, the join or the notch it was meant to be
is missing from every sheet, and nobody sees that it is. The rest of the file is read all the same, and
what hangs on the missing line is left unsaid until it is mended.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2 (4, 4) (0, 4)
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
		reportErrors(p, syntax.Malformed, syntax.Misplaced, syntax.Unclosed, syntax.NotText)
	},
}

// reportErrors says what the reader could not read, of the given kinds.
func reportErrors(p *lint.Pass, kinds ...syntax.ErrorKind) {
	for _, e := range p.File.Tree.Errors {
		for _, kind := range kinds {
			if e.Kind == kind {
				message := e.Message
				if e.Detail != "" {
					message += ": " + e.Detail
				}
				p.Report(p.At(e.At), "%s", message)
			}
		}
	}
}
