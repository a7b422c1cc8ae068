package sew

import (
	"slices"
	"sync"

	"sewable/lang/block"
	"sewable/lang/geom"
)

// This file is what outlives an edit. Whatever is worked out of shapes alone counts
// parts and knows no patches and sections, so that the block after the edit can take
// it over where it has the same shapes.

// AnalyseAfter is Analyse of a block that was edited: what was worked out before
// is kept for every section whose shapes are the same, for the joins as far as no
// outline and no join has changed, and for the block when all its shapes are the same.
// There need be no block before.
func AnalyseAfter(b *block.Block, before *Block) *Block {
	out := arrange(b)
	named := before.names()
	for i, s := range out.originals {
		if old := named(s.Of.Name, i); old != nil && sameShapes(s.Of, old.Of) {
			s.solution = old.solution
		} else {
			s.solution = new(solution)
		}
	}
	for _, s := range out.Sections {
		s.solution = s.original.solution
	}
	if before == nil {
		out.facts = new(facts)
		return out
	}
	if steads := before.steads(); out.standAs(steads) {
		out.known = steads
	}
	if out.known != nil && samePolygon(b.Outline, before.Of.Outline) {
		out.facts = before.facts
	} else {
		out.facts = new(facts)
	}
	before.lock.Lock()
	defer before.lock.Unlock()
	out.before = before.worked
	if out.before.assembly == nil {
		out.before.assembly = before.before.assembly
	}
	if out.before.laid == nil {
		out.before.laid = before.before.laid
	}
	return out
}

// names finds a section that was typed out by its name: mostly it is the one at the place
// where it was.
func (b *Block) names() func(name string, at int) *Section {
	if b == nil {
		return func(string, int) *Section { return nil }
	}
	var named map[string]*Section
	return func(name string, at int) *Section {
		if at < len(b.originals) && b.originals[at].Of.Name == name {
			return b.originals[at]
		}
		if named == nil {
			named = make(map[string]*Section, len(b.originals))
			for _, s := range b.originals {
				named[s.Of.Name] = s
			}
		}
		return named[name]
	}
}

// worked is what was worked out of a block's joins.
type worked struct {
	assembly *assembly
	laid     *laid
}

// sameShapes reports whether two sections have the same corners, bit for bit.
func sameShapes(a, b *block.Section) bool {
	return samePolygon(a.Outline, b.Outline) && slices.EqualFunc(a.Patches, b.Patches, func(p, q *block.Patch) bool {
		return p.Number == q.Number && samePolygon(p.Corners, q.Corners)
	})
}

// samePolygon is slices.Equal; mostly the two are one.
func samePolygon(a, b geom.Polygon) bool {
	return len(a) == len(b) && (len(a) == 0 || &a[0] == &b[0] || slices.Equal(a, b))
}

// A stead is the shapes of a section and where they are. Two sections with the same
// stead are one as far as geometry goes.
type stead struct {
	*solution
	place geom.Transform
}

func (s *Section) stead() stead { return stead{s.solution, s.place} }

// steads are those of the sections. The list is not to be changed.
func (b *Block) steads() []stead {
	if b.known != nil {
		return b.known
	}
	out := make([]stead, len(b.Sections))
	for i, s := range b.Sections {
		out[i] = s.stead()
	}
	return out
}

// standAs reports whether the sections have these steads.
func (b *Block) standAs(steads []stead) bool {
	return slices.EqualFunc(b.Sections, steads, func(s *Section, was stead) bool { return s.stead() == was })
}

// Recall gives what work makes of a section's shapes, at the place of its original.
// It is done once for a section, under a key whose type is the caller's own, and not
// again after an edit that leaves the shapes alone: so what it gives may hold numbers of
// parts and places, but nothing of the model.
func Recall[V any](s *Section, key any, work func() V) V {
	return recall(&s.original.facts, key, work)
}

// RecallAll is Recall for all shapes of a block together, at their places: the sections,
// as Sections counts them, and the block's outline, but not its joins.
func RecallAll[V any](b *Block, key any, work func() V) V { return recall(b.facts, key, work) }

// RecallJoins is Recall for all shapes, joins and notches of a block together: what it gives
// may count joins as JoinLines and notches as Notches does.
func RecallJoins[V any](b *Block, key any, work func() V) V {
	return recall(&b.mark().laid.facts, key, work)
}

// facts are what was worked out, by key.
type facts struct {
	sync.Mutex
	of []fact
}

type fact struct{ key, value any }

// mostFacts is how many a section keeps: other settings give other keys.
const mostFacts = 16

func (f *facts) find(key any) (any, bool) {
	f.Lock()
	defer f.Unlock()
	for i := range f.of {
		if f.of[i].key == key {
			return f.of[i].value, true
		}
	}
	return nil, false
}

func recall[V any](f *facts, key any, work func() V) V {
	if known, ok := f.find(key); ok {
		return known.(V)
	}
	v := work() // two may do it at once, and find the same
	f.Lock()
	defer f.Unlock()
	if len(f.of) >= mostFacts {
		f.of = nil
	}
	f.of = append(f.of, fact{key, v})
	return v
}
