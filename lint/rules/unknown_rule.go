package rules

import "sewable/lint"

var unknownRule = &lint.Rule{
	Name:  "unknown-rule",
	Level: lint.Error,
	Title: "An accept that names no rule",
	Why: `An accept suppresses the findings of one rule, by name. With a misspelled name it suppresses
nothing, and the finding it was written for is still reported.`,
	Bad: `
fabric sky

block "Pennant" 4 by 2 {
  allowance 1/4  // accept bias-ege: the border holds the edges
  section A {
    patch 1 sky (0, 0) (4, 0) (4, 2) (0, 2)
  }
}
`,
	Good: `
fabric sky

block "Pennant" 4 by 2 {
  allowance 1/4  // accept bias-edge: the border holds the edges
  section A {
    patch 1 sky (0, 0) (4, 0) (4, 2) (0, 2)
  }
}
`,
	Since:   "0.1",
	Accepts: unknownRules,
}

func unknownRules(p *lint.Pass, accepts []lint.Accepted) {
	for _, a := range accepts {
		switch {
		case !a.Unknown:
		case a.Near != "":
			p.Report(p.At(a.RuleAt), "there is no rule called %q; did you mean %s?", a.Rule, a.Near).
				Suggest("Change it to "+a.Near, lint.Replace(p.At(a.RuleAt), a.Near))
		default:
			p.Report(p.At(a.RuleAt), "there is no rule called %q. `sewable rules` lists them all.", a.Rule)
		}
	}
}
