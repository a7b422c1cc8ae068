package rules

import "sewable/lint"

var ineffectiveAccept = &lint.Rule{
	Name:  "ineffective-accept",
	Level: lint.Warning,
	Title: "An accept of what cannot be accepted",
	Why: `Sewable calls a block good only when it can be sewn, and no comment changes that. What makes a
block unreadable or unsewable stays an error, whatever an accept says, and so whoever reads the
accept is misled. A draft that is not ready to be checked is kept out by exclude in sewable.toml.`,
	Bad: `
fabric sky

block "Pennant" 4 by 2 {
  allowance 1/4
  section A {  // accept gap: the border covers it
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
	Accepts: ineffectiveAccepts,
}

func ineffectiveAccepts(p *lint.Pass, accepts []lint.Accepted) {
	for _, a := range accepts {
		switch {
		case a.Unknown:
		case a.Of.AlwaysMandatory():
			p.Report(p.At(a.At), "this accept does not count, because %s cannot be accepted: %s. Remove the comment; `exclude` in sewable.toml keeps drafts out", a.Rule, a.Of.Mandatory).
				Unused().
				Fix("Remove the accept of "+a.Rule, lint.Delete(p.Comment(a.At)))
		case a.Refused > 0:
			p.Report(p.At(a.At), "this accept does not count everywhere, because %s cannot be accepted %s: %s", a.Rule, a.Of.MandatoryWhere, a.Of.Mandatory)
		}
	}
}
