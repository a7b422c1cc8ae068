package sew

import (
	"slices"
	"sync"

	"sewable/lang/block"
	"sewable/lang/geom"
)

// marks are the joins and notches of a block, with what marks them.
type marks struct {
	joins   []*JoinLine
	notches []*NotchPlace
	laid    *laid
}

// laid is what marks are made of, without the model: it outlives an edit, join by join.
type laid struct {
	sewn    *Sewn
	steads  []stead
	shapes  []*JoinShape
	notches []notchKey
	marks   [][]Mark // of each join, notches included

	mu         sync.Mutex
	confusions []*confusion // of each join, see Mistakables; nil where not known yet
}

// notchKey is all that makes a notch.
type notchKey struct {
	part  int // -1: of the block
	name  string
	point geom.Point
}

func (b *Block) mark() *marks {
	b.marksOnce.Do(func() {
		b.lock.Lock()
		before := b.before.laid
		b.lock.Unlock()
		b.marks = b.lay(before)
		b.lock.Lock()
		b.worked.laid, b.before.laid = b.marks.laid, nil
		b.lock.Unlock()
	})
	return b.marks
}

// lay finds the joins and what marks them; before is that of the block before an edit,
// or nil.
func (b *Block) lay(before *laid) *marks {
	a := b.assemble()
	if a.sewn == nil {
		return &marks{}
	}
	if before != nil && before.sewn != a.sewn {
		before = nil
	}
	l := &laid{sewn: a.sewn, steads: b.steads(), notches: b.notchKeys()}
	m := &marks{laid: l}
	// same says that all shapes along a join are what they were.
	same := func(j *JoinShape) bool {
		return !slices.ContainsFunc(j.spans, func(sp span) bool { return l.steads[sp.part] != before.steads[sp.part] })
	}
	var lines []JoinLine
	for i := range a.sewn.Seams {
		seam := &a.sewn.Seams[i]
		if a.steps[seam.Step].Kind == Partial || len(seam.halves) == 0 || seam.Contact.Kind == Apart || seam.Contact.Kind == Broken {
			continue
		}
		var shape *JoinShape
		if n := len(l.shapes); before != nil && same(before.shapes[n]) {
			shape = before.shapes[n]
		} else {
			shape = b.shape(seam)
		}
		l.shapes = append(l.shapes, shape)
		lines = append(lines, JoinLine{Join: b.Of.Joins[seam.Step], A: b.Together(seam.A), B: b.Together(seam.B), JoinShape: shape})
	}
	m.joins = make([]*JoinLine, len(lines))
	for i := range lines {
		m.joins[i] = &lines[i]
	}
	l.confusions = make([]*confusion, len(l.shapes))
	l.marks = make([][]Mark, len(l.shapes))
	on := map[*JoinLine][]*NotchPlace{}
	if len(l.notches) > 0 {
		m.notches = b.placeNotches(m.joins)
		for _, n := range m.notches {
			if n.Where == OnJoin {
				on[n.Join] = append(on[n.Join], n)
			}
		}
	}
	sameNotches := before != nil && slices.Equal(before.notches, l.notches)
	if sameNotches {
		before.mu.Lock()
		defer before.mu.Unlock()
	}
	for i, j := range m.joins {
		if sameNotches && before.shapes[i] == j.JoinShape {
			l.marks[i], l.confusions[i] = before.marks[i], before.confusions[i]
		} else {
			l.marks[i] = j.marks(on[j])
		}
		j.Marks = l.marks[i]
	}
	return m
}

func (b *Block) notchKeys() []notchKey {
	var keys []notchKey
	note := func(part int, notches []*block.Notch) {
		for _, n := range notches {
			keys = append(keys, notchKey{part, n.Name, n.Point})
		}
	}
	for i, s := range b.Sections {
		note(i, s.Of.Notches)
	}
	note(-1, b.Of.Notches)
	return keys
}
