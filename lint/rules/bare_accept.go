package rules

import "sewable/lint"

var bareAccept = &lint.Rule{
	Name:  "bare-accept",
	Level: lint.Error,
	Title: "An accept without a reason",
	Why: `An accept tells the next reader, and the quilter: this was noticed, and it is intended. Without
a reason nobody can tell whether it still applies, and nobody dares to remove it. The accept
still suppresses its findings, so the missing reason is the only thing to fix.`,
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
			p.Report(p.At(a.At), "this accept gives no reason. Write one after a colon: `// accept %s: why it is intended`.", a.Rule)
		}
	}
}
