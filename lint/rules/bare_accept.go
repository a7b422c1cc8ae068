package rules

import "sewable/lint"

var bareAccept = &lint.Rule{
	Name:  "bare-accept",
	Level: lint.Error,
	Title: "An accept without a reason",
	Why: `An accept says to the next reader, and to the one who sews: this was seen, and is meant. Without
the reason nobody can tell whether it still holds, and nobody dares to take it out again. The
accept still hides its findings, so that the missing reason is the one thing to mend.`,
	Bad: `
fabric sky

block "Pennant" 4 by 2 {
  allowance 1/8  // accept missing-allowance
  section A {
    patch 1 sky (0, 0) (4, 0) (4, 2) (0, 2)
  }
}
`,
	Good: `
fabric sky

block "Pennant" 4 by 2 {
  allowance 1/8  // accept missing-allowance: a miniature, trimmed under the lens
  section A {
    patch 1 sky (0, 0) (4, 0) (4, 2) (0, 2)
  }
}
`,
	Since:   "0.1",
	Accepts: bareAccepts,
}

func bareAccepts(p *lint.Pass, accepts []lint.Accepted) {
	for _, a := range accepts {
		if a.Reason == "" && !a.Unknown && !a.Of.AlwaysMandatory() {
			p.Report(p.At(a.At), "this accept gives no reason. Write it behind a colon, as in `// accept %s: why it is meant`.", a.Rule)
		}
	}
}
