package sew

import (
	"slices"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/memo"
)

// An assembly is how the sections of a block go together: the division of the
// block into its sections, and its joins as steps over that division. It is made of these
// outlines and steps, and knows sections and joins by number.
type assembly struct {
	division *Division      // nil when nothing can be said
	outlines []geom.Polygon // of the sections, and the block's own
	steps    []JoinStep
	sewn     *Sewn // nil when the division is flawed
}

// whole is the assembly of the block.
func (b *Block) whole() *assembly {
	type whole struct{}
	return memo.Of(&b.worked, whole{}, b.assemble)
}

func (b *Block) assemble() *assembly {
	if b.Of.Broken || len(b.Sections) == 0 || len(b.Sections) != len(b.Of.Sections) {
		return &assembly{}
	}
	steps := make([]JoinStep, len(b.Of.Joins))
	for i, j := range b.Of.Joins {
		pa, okA := b.index[j.A]
		pb, okB := b.index[j.B]
		if !okA || !okB {
			return &assembly{}
		}
		steps[i] = JoinStep{pa, pb, JoinKind(j.Kind)}
	}
	return remember(b, b.arranged(), hashOf(steps), func(a *assembly) bool { return slices.Equal(a.steps, steps) }, func() *assembly {
		outlines := make([]geom.Polygon, len(b.Sections), len(b.Sections)+1)
		for i, s := range b.Sections {
			if outlines[i] = s.Outline(); outlines[i] == nil {
				return &assembly{steps: steps}
			}
		}
		outlines = append(outlines, b.Of.Outline)
		var corners []geom.Point
		for _, o := range outlines {
			corners = append(corners, o...)
		}
		type outlined struct{}
		same := func(a *assembly) bool {
			return slices.Equal(a.steps, steps) && slices.EqualFunc(a.outlines, outlines, samePolygon)
		}
		return remember(b, outlined{}, hashOf(corners), same, func() *assembly {
			a := &assembly{outlines: outlines, steps: steps, division: Divide(b.Of.Outline, outlines[:len(b.Sections)])}
			if !a.division.Flawed() {
				a.sewn = a.division.Sew(steps)
			}
			return a
		})
	})
}

// Division is the division of the block into its sections: part i is
// Sections[i]. It is nil when a section is broken, or its outline unclear.
func (b *Block) Division() *Division { return b.whole().division }

// Together are the sections for part numbers.
func (b *Block) Together(parts []int) []*Section {
	out := make([]*Section, 0, len(parts))
	for _, i := range parts {
		out = append(out, b.Sections[i])
	}
	return out
}

// A SectionFlaw is a flaw of the block's division: sections that overlap or
// reach past the block's outline, a place they leave open.
type SectionFlaw struct {
	Flaw
	Sections []*Section // for Flaw.Parts
}

// Flaws are the ways in which the sections fail to fill the block once.
func (b *Block) Flaws() []SectionFlaw {
	d := b.Division()
	if d == nil {
		return nil
	}
	var out []SectionFlaw
	for _, f := range d.Flaws() {
		out = append(out, SectionFlaw{f, b.Together(f.Parts)})
	}
	return out
}

// A JoinFinding is something wrong with the joins of a block.
type JoinFinding struct {
	JoinFlaw
	Join     *block.Join  // nil for LeftOver
	Sections []*Section   // for LeftOver: the sections of that unit
	On       [][]*Section // for each leg of the contact, the sections on B's side
}

// JoinFlaws are what is wrong with the joins in their written order. There are
// none when the sections do not fill the block.
func (b *Block) JoinFlaws() []JoinFinding {
	a := b.whole()
	if a.sewn == nil {
		return nil
	}
	var out []JoinFinding
	for _, f := range a.sewn.Flaws {
		found := JoinFinding{JoinFlaw: f, Sections: b.Together(f.Unit)}
		if f.Step >= 0 {
			found.Join = b.Of.Joins[f.Step]
		}
		for _, leg := range f.Contact.Legs {
			found.On = append(found.On, b.Together(leg.On))
		}
		out = append(out, found)
	}
	return out
}

// ReorderedJoins are the same joins, or some of them, in an order without a
// flaw; the others are too many. It is nil when no order works, and then a bent
// join is a matter of shape, not of order; or, after GaveUp, when none was found.
func (b *Block) ReorderedJoins() []*block.Join {
	a := b.whole()
	if a.sewn == nil {
		return nil
	}
	order := a.division.ReorderJoins(a.steps)
	if order == nil {
		return nil
	}
	out := make([]*block.Join, 0, len(order))
	for _, i := range order {
		out = append(out, b.Of.Joins[i])
	}
	return out
}

// GaveUp reports whether no order of the joins is known because the search was given up: there may be one.
func (b *Block) GaveUp() bool {
	a := b.whole()
	if a.sewn == nil || len(a.sewn.Flaws) == 0 {
		return false
	}
	_, gaveUp := a.division.reorderJoins(a.steps)
	return gaveUp
}

// A Pair is two sections to join.
type Pair struct{ A, B *Section }

// StraightJoins are joins, all straight, that would put the block together,
// whatever joins were written. ok is false when there are none.
func (b *Block) StraightJoins() (joins []Pair, ok bool) {
	a := b.whole()
	if a.sewn == nil {
		return nil, false
	}
	steps, ok := a.division.FindJoins()
	for _, s := range steps {
		joins = append(joins, Pair{b.Sections[s.A], b.Sections[s.B]})
	}
	return joins, ok
}
