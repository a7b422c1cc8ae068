package rules

import (
	"sewable/lang/english"
	"sewable/lang/sew"
	"sewable/lint"
)

var bentJoin = &lint.Rule{
	Name:  "bent-join",
	Level: lint.Error,
	Title: "A join that cannot be a single straight seam",
	Why: `Two foundations are joined in one straight seam. A bent edge has to be clipped at its
inner corner and sewn from the corner outward, twice: a set-in seam (Y-seam), which takes practice and
which a pattern should announce. If it is intended, write it: "join A to B inset".`,
	Bad: `
fabric sky
fabric water

block "Corner Stone" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (2, 0) (2, 2) (0, 2)
  }
  section B {
    patch 1 sky (2, 0) (4, 0) (4, 4) (2, 2)
    patch 2 sky (0, 2) (2, 2) (4, 4) (0, 4) // accept same-fabric-seam: the mitre is wanted
  }
  join A to B
}
`,
	Good: `
fabric sky
fabric water

block "Corner Stone" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (2, 0) (2, 2) (0, 2)
  }
  section B {
    patch 1 sky (2, 0) (4, 0) (4, 4) (2, 2)
    patch 2 sky (0, 2) (2, 2) (4, 4) (0, 4) // accept same-fabric-seam: the mitre is wanted
  }
  join A to B inset
}
`,
	Mandatory: lint.Unsewable,
	Since:     "0.1",
	Run:       bentJoins,
}

func bentJoins(p *lint.Pass) {
	for b := range blocks(p) {
		flaw, ok := mainJoinFlaw(b, sew.NotStraight, sew.NoEdge, sew.OneTooMany)
		if !ok || b.ReorderedJoins() != nil {
			continue
		}
		if _, ok := b.StraightJoins(); ok && !bentOnPurpose(b) {
			continue
		}
		remedy := "No order of joins makes it straight: divide the sections along one line, or write `inset` for a set-in seam"
		if b.GaveUp() {
			remedy = sprintf("No order of joins was found in %s tries: divide the sections along one line, remove joins that are too many, or write `inset` for a set-in seam",
				english.Thousands(sew.MaxJoinTrials))
		}
		if flaw.Kind != sew.NotStraight {
			remedy = "Remove this join, or join other sections before it"
		}
		r := p.Report(flaw.Join.At, "%s. %s", joinTrouble(p, flaw), remedy).Block(b.Of)
		markJoin(r, b, flaw)
		if flaw.Kind == sew.NotStraight && flaw.Join.CopyOf == nil {
			r.Suggest("Make it a set-in seam", lint.InsertAfter(p.At(flaw.Join.Item.Stmt), " inset"))
		}
	}
}
