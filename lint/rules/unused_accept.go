package rules

import "sewable/lint"

var unusedAccept = &lint.Rule{
	Name:  "unused-accept",
	Level: lint.Hint,
	Title: "An accept that suppresses nothing",
	Why: `The block was changed and the problem is gone, or the accept is on the wrong line. If it stays, it
silently suppresses the next problem of its kind.

Nothing is reported while the file has an error, which may hide what the accept was written for.`,
	Bad: `
fabric sky

block "Pennant" 4 by 2 {
  allowance 1/4  // accept missing-allowance: trimmed under the lens
  section A {
    patch 1 sky (0, 0) (4, 0) (4, 2) (0, 2)
  }
}
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
	Since:   "0.1",
	Accepts: unusedAccepts,
}

func unusedAccepts(p *lint.Pass, accepts []lint.Accepted) {
	for _, a := range accepts {
		if a.Hidden == 0 && !a.Unknown && !a.Of.AlwaysMandatory() && !a.Asleep && a.Reason != "" {
			p.Report(p.At(a.At), "there is no %s finding here to accept. Remove this comment.", a.Rule).
				Unused().
				Fix("Remove the accept of "+a.Rule, lint.Delete(p.Comment(a.At)))
		}
	}
}
