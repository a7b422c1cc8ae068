package sew

import (
	"iter"
	"slices"
	"sync"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/memo"
)

// marks are the joins and notches of a block, with what marks them.
type marks struct {
	joins   []*JoinLine
	laid    *laid
	notches func() []*NotchPlace
}

// laid is what marks are made of, without the model: of an assembly, the shapes along its joins, and
// notches.
type laid struct {
	shapes  []*JoinShape
	notches []notchKey
	marks   [][]Mark // of each join, notches included
	facts   memo.Facts
}

// notchKey is all that makes a notch.
type notchKey struct {
	part  int // -1: of the block
	name  string
	point geom.Point
}

// marks are the joins of the block, and what marks them.
func (b *Block) marks() *marks {
	type marked struct{}
	return memo.Of(&b.worked, marked{}, b.mark)
}

func (b *Block) mark() *marks {
	m := &marks{}
	m.notches = sync.OnceValue(func() []*NotchPlace {
		if len(m.laid.notches) == 0 {
			return nil
		}
		return b.placeNotches(m.joins)
	})
	a := b.whole()
	if a.sewn == nil {
		m.laid = new(laid)
		return m
	}
	notches := slices.Collect(b.notchKeys())
	type of struct {
		*arrangement
		*assembly
	}
	same := func(l *laid) bool { return slices.Equal(l.notches, notches) }
	m.laid = remember(b, of{b.arranged(), a}, hashOf(notches), same, func() *laid {
		m.joins = b.joinLines(a, b.shape)
		m.laid = &laid{notches: notches}
		on := map[*JoinLine][]*NotchPlace{}
		for _, n := range m.notches() {
			if n.Where == OnJoin {
				on[n.Join] = append(on[n.Join], n)
			}
		}
		for _, j := range m.joins {
			m.laid.shapes = append(m.laid.shapes, j.JoinShape)
			m.laid.marks = append(m.laid.marks, j.marks(on[j]))
		}
		return m.laid
	})
	if m.joins == nil {
		m.joins = b.joinLines(a, func(_ *JoinSeam, i int) *JoinShape { return m.laid.shapes[i] })
	}
	for i, j := range m.joins {
		j.Marks = m.laid.marks[i]
	}
	return m
}

// joinLines are the joins that lie along a line, each with its shape.
func (b *Block) joinLines(a *assembly, shape func(seam *JoinSeam, i int) *JoinShape) []*JoinLine {
	seams := make([]*JoinSeam, 0, len(a.sewn.Seams))
	along := 0
	for i := range a.sewn.Seams {
		seam := &a.sewn.Seams[i]
		if a.steps[seam.Step].Kind == Partial || len(seam.halves) == 0 || seam.Contact.Kind == Apart || seam.Contact.Kind == Broken {
			continue
		}
		seams = append(seams, seam)
		along += len(seam.A) + len(seam.B)
	}
	lines, out := make([]JoinLine, len(seams)), make([]*JoinLine, len(seams))
	sections := make([]*Section, 0, along)
	together := func(parts []int) []*Section {
		n := len(sections)
		for _, k := range parts {
			sections = append(sections, b.Sections[k])
		}
		return slices.Clip(sections[n:])
	}
	for i, seam := range seams {
		lines[i] = JoinLine{Join: b.Of.Joins[seam.Step], A: together(seam.A), B: together(seam.B), JoinShape: shape(seam, i)}
		out[i] = &lines[i]
	}
	return out
}

func (b *Block) notchKeys() iter.Seq[notchKey] {
	return func(yield func(notchKey) bool) {
		each := func(part int, notches []*block.Notch) bool {
			for _, n := range notches {
				if !yield(notchKey{part, n.Name, n.Point}) {
					return false
				}
			}
			return true
		}
		for i, s := range b.Sections {
			if !each(i, s.Of.Notches) {
				return
			}
		}
		each(-1, b.Of.Notches)
	}
}

// JoinFacts are those of all shapes, joins and notches of a block together: what hangs on them
// may count joins as JoinLines and notches as Notches does.
func (b *Block) JoinFacts() *memo.Facts { return &b.marks().laid.facts }

// JoinLines are the joins of the block as sewn, with their marks. There are none
// when the sections do not fill the block.
func (b *Block) JoinLines() []*JoinLine { return b.marks().joins }

// Notches are all notches of unbroken sections and of the block, with their
// places. There are none when the sections do not fill the block.
func (b *Block) Notches() []*NotchPlace { return b.marks().notches() }
