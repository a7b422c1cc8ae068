package rules

import (
	"slices"

	"sewable/lang/sew"
	"sewable/lint"
)

var mistakableJoin = &lint.Rule{
	Name:  "mistakable-join",
	Level: lint.Hint,
	Title: "An edge that is easily mistaken for another edge of its section",
	Why: `Right sides together, an edge fits only one way. But a section with two edges of the same length
and the same match points can be joined on the wrong one, and the picture is turned. A notch away
from the middle of the correct edge tells them apart.`,
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
		if marksUnknown(p, b) {
			continue
		}
		list := b.Mistakables()
		for len(list) > 0 {
			join := list[0].Join
			n := 1
			for n < len(list) && list[n].Join == join {
				n++
			}
			reportMistakable(p, b, list[:n])
			list = list[n:]
		}
	}
}

// reportMistakable reports one join, which one or both of its sections would fit with another
// edge. One notch fixes both.
func reportMistakable(p *lint.Pass, b *sew.Block, list []sew.Mistakable) {
	join := list[0].Join
	if join.Join.CopyOf != nil {
		return
	}
	message := sprintf("Section %s has another edge like the one in this join, at %s, and would also fit there",
		list[0].Section.Of.Name, p.Point(list[0].Other.Mid()))
	if len(list) > 1 {
		message = sprintf("Sections %s and %s each have another edge like the one in this join, at %s and %s, and would also fit there",
			list[0].Section.Of.Name, list[1].Section.Of.Name, p.Point(list[0].Other.Mid()), p.Point(list[1].Other.Mid()))
	}
	r := p.Report(join.Join.At, "%s. Add a notch away from the middle to tell them apart", message).Block(b.Of).Chain(join.Line)
	for _, m := range list {
		r.Related(m.Section.Of.At, "section %s", m.Section.Of.Name).Line(m.Other)
	}
	suggestNotch(p, r, b, join)
}

// marksUnknown reports whether something else has to be fixed before the marks of a join
// are known.
func marksUnknown(p *lint.Pass, b *sew.Block) bool {
	return len(b.JoinFlaws()) > 0 || slices.ContainsFunc(b.Sections, (*sew.Section).Flawed) || len(wrongNotches(p, b)) > 0
}
