package rules

import (
	"sewable/lang/edit"
	"sewable/lang/geom"
	"sewable/lang/memo"
	"sewable/lang/sew"
	"sewable/lint"
)

var unmarkedJoin = &lint.Rule{
	Name:  "unmarked-join",
	Level: lint.Hint,
	Title: "A long join without a match point between its ends",
	Why: `Two long edges creep against each other under the presser foot. Seam intersections, or a pair of
notches, give the quilter something to pin; over more than six inches (common practice) without
either, one edge may end up longer than the other.`,
	Bad: `
fabric sky
fabric water

block "Wide Horizon" 8 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (8, 0) (8, 2) (0, 2)
  }
  section B {
    patch 1 sky (0, 2) (8, 2) (8, 4) (0, 4)
  }
  join A to B
}
`,
	Good: `
fabric sky
fabric water

block "Wide Horizon" 8 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (8, 0) (8, 2) (0, 2)
  }
  section B {
    patch 1 sky (0, 2) (8, 2) (8, 4) (0, 4)
  }
  join A to B
  notch m (3, 2)
}
`,
	Since: "0.1",
	Run:   unmarkedJoins,
}

func unmarkedJoins(p *lint.Pass) {
	for b := range blocks(p) {
		if marksUnknown(p, b) {
			continue
		}
		for _, j := range b.JoinLines() {
			if !unmarked(p, j) || j.Join.CopyOf != nil {
				continue
			}
			r := p.Report(j.Join.At, "The join of %s to %s is %s long and has no match point between its ends. Add a notch so that it can be pinned",
				j.Join.A.Name, j.Join.B.Name, p.Len(j.Length)).Block(b.Of).Chain(j.Line)
			suggestNotch(p, r, b, j)
		}
	}
}

// unmarked reports whether a join is long and has no mark between its ends.
func unmarked(p *lint.Pass, j *sew.JoinLine) bool {
	return j.Length > p.Settings.UnmarkedJoin.Float64()+geom.Hair && len(j.Marks) <= 2
}

// suggestNotch offers a notch on the join, off its middle, so that the edge fits one
// way only.
func suggestNotch(p *lint.Pass, r *lint.Report, b *sew.Block, j *sew.JoinLine) {
	if r.Hidden() || j.Bent || len(j.Line) < 2 {
		return
	}
	type freeNotch struct{}
	name := memo.Of(b.JoinFacts(), freeNotch{}, func() string { return edit.FreeNotch(edit.NotchNames(b.Of)) })
	r.Suggest("Add the notch "+name, lint.InsertAfter(p.At(j.Join.Item.Stmt), "\n  "+edit.Notch(b.Of, j, name)))
}
