package rules

import (
	"cmp"
	"slices"

	"sewable/lang/block"
	"sewable/lang/memo"
	"sewable/lang/sew"
	"sewable/lang/syntax"
	"sewable/lint"
)

var unmatchedNotch = &lint.Rule{
	Name:  "unmatched-notch",
	Level: lint.Error,
	Title: "A notch without exactly one partner across the join",
	Why: `Two notches are pinned together, and the seam is eased between them. A notch without a partner
makes the quilter search for one and doubt her cutting; two that are 1/8 in apart pull the
picture out of line, and nobody sees why.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    notch m (1, 2)
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
  }
  section B {
    notch n (1, 2)
    notch m (1, 2)
    patch 1 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
  join A to B
}
`,
	Good: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    notch m (1, 2)
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
  }
  section B {
    notch m (1, 2)
    patch 1 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
  join A to B
}
`,
	Since: "0.1",
	Run:   unmatchedNotches,
}

// trouble with a notch, in words.
type wrongNotch struct {
	*sew.NotchPlace
	message string
}

func unmatchedNotches(p *lint.Pass) {
	for b := range blocks(p) {
		wrong := wrongNotches(p, b)
		limit := notchLimit(p, b.Of)
		// A notch that is off leaves its partners alone, in every copy; one under another name leaves a
		// partner at its own place.
		groups := together(len(wrong), func(i, j int) bool {
			m, n := wrong[i], wrong[j]
			return m.Notch.Name == n.Notch.Name || m.Join != nil && m.Join == n.Join && m.Side != n.Side && m.Apart(n.NotchPlace) <= limit
		})
		for _, group := range groups {
			main := wrong[slices.MinFunc(group, func(i, j int) int {
				return cmp.Or(cmp.Compare(culprit(wrong[i]), culprit(wrong[j])), cmp.Compare(i, j))
			})]
			message := main.message
			for _, i := range group {
				if n := wrong[i]; n.Notch.Name != main.Notch.Name && main.Join != nil && n.Join == main.Join && main.Apart(n.NotchPlace) <= limit {
					message = sprintf("Notches %s and %s are across the join of %s to %s from each other but have different names. Give both the same name",
						main.Notch.Name, n.Notch.Name, main.Join.Join.A.Name, main.Join.Join.B.Name)
				}
			}
			r := p.Report(main.Notch.At, "%s", message).Block(b.Of).Point(main.Notch.Point)
			if main.Section != nil {
				r.Section(main.Section.Of).Alone()
			}
			for _, partner := range main.Partners {
				r.Related(partner.Notch.At, "a notch %s across the join", partner.Notch.Name).Point(partner.Notch.Point)
			}
			said := map[*syntax.Item]bool{main.Notch.Item: true}
			for _, i := range group {
				if n := wrong[i]; !said[n.Notch.Item] && !slices.Contains(main.Partners, n.NotchPlace) {
					r.Related(n.Notch.At, "notch %s has no partner because of it", n.Notch.Name)
					said[n.Notch.Item] = true
				}
			}
			if main.Where == sew.AtJoinEnd {
				r.Suggest("Remove the notch", p.DeleteItem(main.Notch.Item))
			}
		}
	}
}

// culprit orders notches by how surely they are the ones that are wrong: off every
// edge, at an end, and only then without a partner.
func culprit(n wrongNotch) int {
	switch n.Where {
	case sew.OffEdge:
		return 0
	case sew.AtJoinEnd:
		return 1
	}
	return 2
}

// wrongNotches are the notches of a block with which something is wrong. Where joins are wrong
// or missing nobody knows yet which edges are sewn together, and nothing is said.
func wrongNotches(p *lint.Pass, b *sew.Block) []wrongNotch {
	if len(b.JoinFlaws()) > 0 {
		return nil
	}
	limit := notchLimit(p, b.Of)
	var wrong []wrongNotch
	type wrongWithin float64
	for _, i := range memo.Of(b.JoinFacts(), wrongWithin(limit), func() []int {
		var wrong []int
		for i, n := range b.Notches() {
			if notchTrouble(p, n, limit) != "" {
				wrong = append(wrong, i)
			}
		}
		return wrong
	}) {
		n := b.Notches()[i]
		wrong = append(wrong, wrongNotch{n, notchTrouble(p, n, limit)})
	}
	return wrong
}

// notchLimit is how far apart along a join two notches are one mark at most.
func notchLimit(p *lint.Pass, b *block.Block) float64 { return allowanceOf(p, b) / 8 }

// notchTrouble says what is wrong with a notch; nothing when all is well.
func notchTrouble(p *lint.Pass, n *sew.NotchPlace, limit float64) string {
	name := n.Notch.Name
	switch {
	case n.Where == sew.OffEdge && n.Section != nil:
		return sprintf("Notch %s is not on an edge of section %s: the nearest is %s away. Move it onto the edge", name, n.Section.Of.Name, p.Exact(n.Off))
	case n.Where == sew.OffEdge:
		return sprintf("Notch %s is neither on a join nor on the block's outer edge: the nearest is %s away. Move it onto the line", name, p.Exact(n.Off))
	case n.Where == sew.AtJoinEnd:
		return sprintf("Notch %s is at the end of a join, where the corners already match. Remove it, or move it along the edge", name)
	case n.Where != sew.OnJoin || n.Both:
		return ""
	}
	one, other := n.Join.Join.A.Name, n.Join.Join.B.Name
	near := partnersWithin(n, limit)
	switch {
	case len(n.Partners) == 0:
		return sprintf("Notch %s has no partner across the join of %s to %s. Add `notch %s` to the other section, or move it to the block to mark both sides",
			name, one, other, name)
	case len(near) == 1:
		return ""
	case len(near) > 1:
		return sprintf("Notch %s has %d partners across the join of %s to %s. Keep one of them", name, len(near), one, other)
	}
	nearest := slices.MinFunc(n.Partners, func(a, b *sew.NotchPlace) int { return cmp.Compare(n.Apart(a), n.Apart(b)) })
	if len(partnersWithin(nearest, limit)) > 0 { // that one is taken
		return sprintf("Notch %s has no partner of its own across the join of %s to %s: the one there belongs to another. Add its partner, or remove it", name, one, other)
	}
	return sprintf("Notch %s and its partner across the join of %s to %s are %s apart. Move one to match the other",
		name, one, other, p.Exact(n.Apart(nearest)))
}

// partnersWithin are the partners of a notch that lie no further from it than the
// limit. On a long join of copied sections one name may stand at several places, each pair by
// itself: the edge fits one way only, so they cannot be taken for each other.
func partnersWithin(n *sew.NotchPlace, limit float64) []*sew.NotchPlace {
	var near []*sew.NotchPlace
	for _, partner := range n.Partners {
		if n.Apart(partner) <= limit {
			near = append(near, partner)
		}
	}
	return near
}
