package rules

import (
	"sewable/lint"
)

var mistakableJoin = &lint.Rule{
	Name:  "mistakable-join",
	Level: lint.Hint,
	Title: "An edge that could be taken for another one of its section",
	Why: `Right sides together, an edge fits one way only. But a section that has two edges of one length with the same
marks can be joined on the wrong one, and the picture is turned. A notch off the middle of the right edge tells them apart.`,
	Bad: `
fabric sky
fabric water
fabric foam

block "Two Sails" 4 by 2 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (2, 0) (0, 2)
    patch 2 sky (2, 0) (2, 2) (0, 2)
  }
  section B {
    patch 1 foam (2, 0) (4, 0) (4, 2) (2, 2)
  }
  join A to B
}
`,
	Good: `
fabric sky
fabric water
fabric foam

block "Two Sails" 4 by 2 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (2, 0) (0, 2)
    patch 2 sky (2, 0) (2, 2) (0, 2)
  }
  section B {
    patch 1 foam (2, 0) (4, 0) (4, 2) (2, 2)
  }
  join A to B
  notch m (2, 3/4)
}
`,
	Since: "0.1",
	Run:   mistakableJoins,
}

func mistakableJoins(p *lint.Pass) {
	for b := range blocks(p) {
		if len(b.JoinFlaws()) > 0 || len(wrongNotches(p, b)) > 0 {
			continue
		}
		for _, m := range b.Mistakables() {
			if m.Join.Join.CopyOf != nil || unmarked(p, m.Join) { // the notch that is wanted there tells them apart
				continue
			}
			edge := m.Other.Mid()
			r := p.Report(m.Join.Join.At, "Section %s has another edge like the one of this join, at %s, and would fit there too. A notch off the middle tells them apart",
				m.Section.Of.Name, p.Point(edge)).Block(b.Of).
				Related(m.Section.Of.At, "section %s", m.Section.Of.Name)
			suggestNotch(p, r, b.Of, m.Join)
		}
	}
}
