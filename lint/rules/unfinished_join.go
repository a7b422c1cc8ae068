package rules

import (
	"sewable/lang/sew"
	"sewable/lint"
)

var unfinishedJoin = &lint.Rule{
	Name:  "unfinished-join",
	Level: lint.Error,
	Title: "A partial seam that is never finished, or a finish without a partial seam",
	Why: `A partial seam is sewn in two steps: part of the edge first, the rest after the other sections
are joined. Left unfinished, it is an open slit in the block.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
  }
  section B {
    patch 1 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
  join A to B partial
}
`,
	Good: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
  }
  section B {
    patch 1 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
  join A to B partial
  finish A to B
}
`,
	Mandatory: lint.Unsewable,
	Since:     "0.1",
	Run: func(p *lint.Pass) {
		for b := range blocks(p) {
			flaw, ok := mainJoinFlaw(b, sew.NoPartial, sew.Unfinished)
			if !ok {
				continue
			}
			one, other := flaw.Join.A.Name, flaw.Join.B.Name
			var r *lint.Report
			if flaw.Kind == sew.NoPartial {
				r = p.Report(flaw.Join.At, "There is no partial seam of %s to %s to finish. Write `join %s to %s partial` before this line",
					one, other, one, other).Block(b.Of)
			} else {
				r = p.Report(flaw.Join.At, "The partial seam of %s to %s is never finished. Write `finish %s to %s` after the rest of the edge is joined",
					one, other, one, other).Block(b.Of)
			}
			markJoin(r, b, flaw)
		}
	},
}
