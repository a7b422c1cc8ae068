package rules

import (
	"strings"

	"sewable/lang/sew"
	"sewable/lint"
)

var unjoinedSection = &lint.Rule{
	Name:  "unjoined-section",
	Level: lint.Error,
	Title: "A section that no join sews to the others",
	Why:   `A section that no join names is printed, cut and pieced, and then left over: the sewing guide never says where it goes.`,
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
  join A to B
}
`,
	Mandatory: lint.Unsewable,
	Since:     "0.1",
	Run:       unjoinedSections,
}

func unjoinedSections(p *lint.Pass) {
	for b := range blocks(p) {
		if _, flawed := mainJoinFlaw(b, sew.NotStraight, sew.NoEdge, sew.OneTooMany, sew.NoPartial, sew.Unfinished); flawed {
			continue
		}
		var left []*sew.Section
		for _, flaw := range b.JoinFlaws() {
			left = append(left, flaw.Sections...)
		}
		if len(left) == 0 {
			continue
		}
		is := "Section %s is not joined to the others"
		if len(left) > 1 {
			is = "Sections %s are not joined to the others"
		}
		message := sprintf(is, sectionNames(left))
		pairs, straight := b.StraightJoins()
		if straight && len(b.Of.Joins) == 0 {
			message += sprintf(". These joins are all straight: %s", spokenJoins(straightPairs(pairs)))
		} else {
			each := "it"
			if len(left) > 1 {
				each = "each"
			}
			message += sprintf(". Add a join for %s, such as `join %s to …`", each, left[0].Of.Name)
		}
		r := p.Report(left[0].Of.At, "%s", message).Section(left[0].Of).Alone()
		markSections(r, left...)
		for _, other := range left[1:] {
			r.Related(other.Of.At, "section %s is not joined either", other.Of.Name)
		}
		if straight && len(b.Of.Joins) == 0 && b.Of.Item.Close != nil {
			var lines strings.Builder
			for _, pair := range straightPairs(pairs) {
				lines.WriteString("  join " + pair + "\n")
			}
			r.Suggest("Join the sections with straight seams", lint.InsertBefore(p.At(b.Of.Item.Close.Raw), lines.String()))
		}
	}
}
