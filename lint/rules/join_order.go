package rules

import (
	"slices"

	"sewable/lang/block"
	"sewable/lang/sew"
	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lint"
)

var joinOrder = &lint.Rule{
	Name:  "join-order",
	Level: lint.Error,
	Title: "A join that cannot be sewn at its point in the order, although another order works",
	Why: `Sections are joined into larger and larger units, each along one straight edge. Joined too
early, a small section leaves an inner corner that the next one has to be set into. In another
order every join is straight, and a beginner can sew it.`,
	Bad: `
fabric sky
fabric water

block "Harbour Wall" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (2, 0) (2, 2) (0, 2)
  }
  section B {
    patch 1 sky (2, 0) (4, 0) (4, 2) (2, 2)
  }
  section C {
    patch 1 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
  join C to A
  join B to A
}
`,
	Good: `
fabric sky
fabric water

block "Harbour Wall" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (2, 0) (2, 2) (0, 2)
  }
  section B {
    patch 1 sky (2, 0) (4, 0) (4, 2) (2, 2)
  }
  section C {
    patch 1 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
  join B to A
  join C to A
}
`,
	Mandatory: lint.Unsewable,
	Since:     "0.1",
	Run:       joinOrders,
}

func joinOrders(p *lint.Pass) {
	for b := range blocks(p) {
		flaw, ok := mainJoinFlaw(b, sew.NotStraight, sew.NoEdge, sew.OneTooMany)
		if !ok {
			continue
		}
		trouble := joinTrouble(p, flaw)
		if joins := b.ReorderedJoins(); joins != nil {
			if flaw.Kind == sew.OneTooMany {
				r := p.Report(flaw.Join.At, "%s. Remove this join", trouble).Block(b.Of)
				markJoin(r, b, flaw)
				if flaw.Join.CopyOf == nil && !copied(b, flaw.Join) {
					r.Fix("Remove the join of "+flaw.Join.A.Name+" to "+flaw.Join.B.Name, p.DeleteItem(flaw.Join.Item))
				}
				continue
			}
			r := p.Report(flaw.Join.At, "%s. Another order works: %s", trouble, spokenJoins(joinPairs(joins))).Block(b.Of)
			markJoin(r, b, flaw)
			if edits := reorder(p, b, joins); edits != nil {
				r.Fix("Reorder the joins", edits...)
			}
			continue
		}
		if pairs, ok := b.StraightJoins(); ok && !bentOnPurpose(b) {
			markJoin(p.Report(flaw.Join.At, "%s. Other joins work: %s", trouble, spokenJoins(straightPairs(pairs))).Block(b.Of), b, flaw)
		}
	}
}

// bentOnPurpose reports whether the block has inset or partial joins: whoever says
// those has planned the joins by hand.
func bentOnPurpose(b *sew.Block) bool {
	return slices.ContainsFunc(b.Of.Joins, func(j *block.Join) bool { return j.Kind != block.Straight })
}

// copied reports whether copies of the join came along with copied sections.
func copied(b *sew.Block, of *block.Join) bool {
	return slices.ContainsFunc(b.Of.Joins, func(j *block.Join) bool { return j.CopyOf == of })
}

// reorder puts the statements of the joins into another order, each on a line where a
// join stands now. It is nil where joins came along with copies: their place is that of
// the join they copy.
func reorder(p *lint.Pass, b *sew.Block, joins []*block.Join) []lint.Edit {
	written := b.Of.Joins
	if len(joins) != len(written) {
		return nil
	}
	var edits []lint.Edit
	for i, j := range joins {
		if j.CopyOf != nil || written[i].CopyOf != nil {
			return nil
		}
		if j == written[i] {
			continue
		}
		from := withComment(j.Item)
		edits = append(edits, lint.Replace(p.At(withComment(written[i].Item)), p.File.Source.Text[from.Start:from.End]))
	}
	return edits
}

// withComment is a statement with the comment that ends its line, which is about it.
func withComment(item *syntax.Item) source.Span {
	if item.Comment.Len() == 0 {
		return item.Stmt
	}
	return item.Stmt.Cover(item.Comment)
}
