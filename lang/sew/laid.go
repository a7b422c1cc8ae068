package sew

import (
	"iter"
	"slices"
	"sync"

	"sewable/lang/block"
	"sewable/lang/geom"
)

// marks are the joins and notches of a block, with what marks them.
type marks struct {
	joins []*JoinLine
	laid  *laid

	once    sync.Once
	notches []*NotchPlace
}

// laid is what marks are made of, without the model: it outlives an edit, as a whole or
// join by join.
type laid struct {
	sewn    *Sewn
	steads  []stead
	shapes  []*JoinShape
	notches []notchKey
	marks   [][]Mark // of each join, notches included
	facts   facts    // see RecallJoins

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
		return &marks{laid: new(laid)}
	}
	if before != nil && before.sewn != a.sewn {
		before = nil
	}
	sameNotches := before != nil && b.hasNotches(before.notches)
	if sameNotches && b.standAs(before.steads) {
		return &marks{joins: b.joinLines(a, func(_ *JoinSeam, i int) *JoinShape { return before.shapes[i] }, before.marks), laid: before}
	}
	l := &laid{sewn: a.sewn, steads: b.steads()}
	// same says that all shapes along a join are what they were.
	same := func(j *JoinShape) bool {
		return !slices.ContainsFunc(j.spans, func(sp span) bool { return l.steads[sp.part] != before.steads[sp.part] })
	}
	m := &marks{laid: l}
	m.joins = b.joinLines(a, func(seam *JoinSeam, i int) *JoinShape {
		if before != nil && same(before.shapes[i]) {
			return before.shapes[i]
		}
		return b.shape(seam)
	}, nil)
	for _, j := range m.joins {
		l.shapes = append(l.shapes, j.JoinShape)
	}
	l.notches = slices.Collect(b.notchKeys())
	l.confusions = make([]*confusion, len(l.shapes))
	l.marks = make([][]Mark, len(l.shapes))
	on := map[*JoinLine][]*NotchPlace{}
	for _, n := range m.places(b) {
		if n.Where == OnJoin {
			on[n.Join] = append(on[n.Join], n)
		}
	}
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

// joinLines are the joins that lie along a line, each with its shape, and its marks where
// they are known.
func (b *Block) joinLines(a *assembly, shape func(seam *JoinSeam, i int) *JoinShape, marks [][]Mark) []*JoinLine {
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
		if marks != nil {
			lines[i].Marks = marks[i]
		}
		out[i] = &lines[i]
	}
	return out
}

// places finds the notches of the block, once.
func (m *marks) places(b *Block) []*NotchPlace {
	m.once.Do(func() {
		if len(m.laid.notches) > 0 {
			m.notches = b.placeNotches(m.joins)
		}
	})
	return m.notches
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

// hasNotches reports whether the block has these notches and no others.
func (b *Block) hasNotches(keys []notchKey) bool {
	i := 0
	for key := range b.notchKeys() {
		if i == len(keys) || keys[i] != key {
			return false
		}
		i++
	}
	return i == len(keys)
}
