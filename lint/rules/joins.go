package rules

import (
	"slices"
	"strings"

	"sewable/lang/block"
	"sewable/lang/sew"
	"sewable/lint"
)

// mainJoinFlaw is the first join of a block that cannot be sewn as it is written.
// The joins after it depend on it, so they are not reported.
func mainJoinFlaw(b *sew.Block, kinds ...sew.JoinFlawKind) (sew.JoinFinding, bool) {
	for _, flaw := range b.JoinFlaws() {
		if flaw.Kind != sew.LeftOver {
			return flaw, slices.Contains(kinds, flaw.Kind)
		}
	}
	return sew.JoinFinding{}, false
}

// joinTrouble says what happens when the join is sewn at its point in the order.
func joinTrouble(p *lint.Pass, flaw sew.JoinFinding) string {
	a, b := flaw.Join.A.Name, flaw.Join.B.Name
	switch c := flaw.Contact; {
	case flaw.Kind == sew.OneTooMany && a == b:
		return sprintf("Section %s is joined to itself", a)
	case c.Kind == sew.Corner:
		return sprintf("%s and %s meet only at a corner", a, b)
	case flaw.Kind == sew.NoEdge:
		return sprintf("%s and %s do not share an edge at this point in the sewing order", a, b)
	case flaw.Kind == sew.OneTooMany:
		return sprintf("%s and %s are already joined at this point", a, b)
	case c.Kind == sew.Bent:
		return sprintf("The join of %s to %s is bent: it turns by %s at %s", a, b, lint.Degrees(180-c.Angle), p.Point(c.At))
	case c.Kind == sew.Apart:
		return sprintf("%s and %s share %d edges that do not line up", a, b, len(c.Legs))
	case c.Kind == sew.Broken:
		return sprintf("The join of %s to %s has a gap at %s", a, b, p.Point(c.At))
	default: // held by a point
		return sprintf("The join of %s to %s ends at an inner corner, at %s, where only a point holds it", a, b, p.Point(c.At))
	}
}

// spokenJoins lists joins as they are written.
func spokenJoins(pairs []string) string {
	const most = 6
	if len(pairs) > most {
		pairs = append(slices.Clone(pairs[:most]), "…")
	}
	return strings.Join(pairs, ", ")
}

func joinPairs(joins []*block.Join) []string {
	pairs := make([]string, len(joins))
	for i, j := range joins {
		pairs[i] = j.A.Name + " to " + j.B.Name
	}
	return pairs
}

func straightPairs(pairs []sew.Pair) []string {
	words := make([]string, len(pairs))
	for i, pair := range pairs {
		words[i] = pair.A.Of.Name + " to " + pair.B.Of.Name
	}
	return words
}
