// Package sew decides whether a block can be sewn, and in which order.
//
// It has two layers. The lower one is geometry: a region cut into parts, built
// once by the tolerances of cloth, and everything that follows from which edges
// the parts share. The upper one says the same of what a designer typed; it is
// what lint rules read. No file uses a later one of this list:
//
//   - index.go, flaw.go, division.go: corners by place, what is wrong with a
//     division, and the division itself;
//   - cutting.go, overlay.go, measure.go, judge.go, build.go: how it is built and judged;
//   - contact.go, nearmiss.go: how a part meets the work, and corners that almost meet;
//   - waits.go, order.go, chord.go: sewable orders, what waits for what, lines that divide;
//   - joins.go, findjoins.go, region.go, obstacles.go: sewing parts together, and what a
//     plan asks of regions (package plan is built on these);
//   - sew.go, memory.go: blocks and sections, and what outlives an edit of them;
//   - assembly.go, marks.go, notches.go, laid.go: joins, and marks along them;
//   - bulky.go, jog.go, joinwaits.go, mistakable.go, printed.go, slips.go: what else is asked.
//
// Everything here is data; no messages are made. Lengths are in hairs, areas in
// square hairs, angles in degrees.
//
// # What sewable means
//
// A section is an outline divided into patches in sewing order. Every patch but
// the first must meet the union of those before it along exactly one unbroken
// straight segment, its seam, whose inner points are inner points of the union
// with the patch. Compare the published theorem: Leake, Bernstein, Davis,
// Agrawala, "A Mathematical Foundation for Foundation Paper Pieceable Quilts",
// ACM Transactions on Graphics 40(4), 2021, doi 10.1145/3450626.3459853.
package sew

import (
	"iter"
	"slices"
	"sync"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/memo"
)

// A Block is what sewing makes of a block. Everything is worked out when it is
// first asked for; a Block may be read by many goroutines at once.
type Block struct {
	Of *block.Block

	// Sections are the block's sections but for the broken ones, in written
	// order, copies included.
	Sections []*Section

	index     map[*block.Section]int // in Sections
	originals []*Section

	worked memo.Facts // what was worked out of it
}

// Analyse looks at a block. It costs next to nothing until something is asked, and a block is
// looked at once.
func Analyse(b *block.Block) *Block {
	type analysed struct{}
	return memo.Of(&b.Facts, analysed{}, func() *Block { return arrange(b) })
}

// arrange lists the sections of a block, each with its original.
func arrange(b *block.Block) *Block {
	out := &Block{Of: b, index: make(map[*block.Section]int, len(b.Sections)), Sections: make([]*Section, 0, len(b.Sections))}
	all := make([]Section, len(b.Sections))
	for i, s := range b.Sections {
		if s.Broken {
			continue
		}
		all[i].Of, all[i].Block = s, out
		out.index[s] = len(out.Sections)
		out.Sections = append(out.Sections, &all[i])
	}
	copies := 0
	for _, s := range out.Sections {
		s.original = s
		for o := s.Of; !o.Own(); {
			s.place = o.Placed.Then(s.place)
			o = o.CopyOf
			orig := out.Section(o)
			if orig == nil {
				// The original is broken or elsewhere: the copy stands for itself.
				s.original, s.place = s, geom.Transform{}
				break
			}
			s.original = orig
		}
		if s.original != s {
			s.original.Copies++
			copies++
		}
	}
	for _, s := range out.Sections {
		s.solution = solutionOf(s.original.Of)
	}
	out.originals = out.Sections
	if copies > 0 {
		out.originals = slices.DeleteFunc(slices.Clone(out.Sections), (*Section).IsCopy)
	}
	return out
}

// Section is what sewing makes of a section of the block, nil for a broken one.
func (b *Block) Section(s *block.Section) *Section {
	if i, ok := b.index[s]; ok {
		return b.Sections[i]
	}
	return nil
}

// Known is what sewing makes of as much of a section as is known (see block.Section.Known), nil when that is nothing.
// Of a broken section its patches are the block's, and it is none of the block's Sections.
func (b *Block) Known(s *block.Section) *Section {
	if whole := b.Section(s); whole != nil {
		return whole
	}
	known := s.Known()
	if known == nil {
		return nil
	}
	out := &Section{Of: known, Block: b, solution: solutionOf(known)}
	out.original = out
	return out
}

// Originals are the sections that were typed out: what is wrong with a copy is
// wrong with its original, and told there. The list is not to be changed.
func (b *Block) Originals() []*Section { return b.originals }

// A Section is what sewing makes of a section. A copy shares what was worked out
// for its original; its answers are in its own patches and at its own place.
type Section struct {
	Of     *block.Section
	Block  *Block
	Copies int // copies made of it, and of them; 0 in a copy

	original *Section
	place    geom.Transform // from the original's place to this

	*solution // the original's

	placedOnce sync.Once
	placed     []Seam
	endsOnce   sync.Once
	ends       []geom.Point
}

// A solution is what was worked out of a section's shapes, on which it hangs. It counts
// parts and knows no patches: all models with these shapes share it.
type solution struct {
	divideOnce sync.Once
	division   *Division
	orderOnce  sync.Once
	order      []int
	core       []int
	misstep    *Misstep
	seamsOnce  sync.Once
	seams      []Leg
	onesOnce   sync.Once
	ones       [][2]int
	boundsOnce sync.Once
	bounds     geom.Box
	waitsOnce  sync.Once
	waits      [][]int
	cutOnce    sync.Once
	cut        *Cut
	aroundOnce sync.Once
	around     geom.Rectangle
	borderOnce sync.Once
	border     geom.Polygon
	facts      memo.Facts
}

// solutionOf is that of a section's shapes.
func solutionOf(s *block.Section) *solution {
	type solved struct{}
	return memo.Of(&s.Geometry.Facts, solved{}, func() *solution { return new(solution) })
}

// legs are the seams of a section that has an order, by part.
func (s *solution) legs() []Leg {
	s.seamsOnce.Do(func() { s.seams = s.division.Seams(s.order) })
	return s.seams
}

// IsCopy says that the section was copied from another.
func (s *Section) IsCopy() bool { return s.original != s }

// Original is the analysed section this one is a copy of, or itself.
func (s *Section) Original() *Section { return s.original }

// Division is the section's division into its patches: part i is Patches[i].
// For a copy it is the original's, at the original's place; Place brings it here.
func (s *Section) Division() *Division {
	o := s.original
	o.divideOnce.Do(func() {
		o.division = Divide(o.Of.Outline, o.Of.Geometry.Corners)
	})
	return o.division
}

// Place moves the section's Division to where the section is.
func (s *Section) Place() geom.Transform { return s.place }

// Flawed says that the patches do not fill the outline exactly once. Nothing is
// said of orders then.
func (s *Section) Flawed() bool { return s.Division().Flawed() }

// Patches are the block's patches for part numbers.
func (s *Section) Patches(parts []int) []*block.Patch {
	out := make([]*block.Patch, 0, len(parts))
	for _, i := range parts {
		out = append(out, s.Of.Patches[i])
	}
	return out
}

// numbers turns part numbers into patch numbers.
func (s *Section) numbers(parts []int) []int {
	var out []int
	for _, i := range parts {
		out = append(out, s.Of.Patches[i].Number)
	}
	return out
}

// A PatchFlaw is a flaw of a section's division.
type PatchFlaw struct {
	Flaw                   // placed
	Patches []*block.Patch // for Flaw.Parts; none when it is the outline itself, or a gap
}

// Flaws are the ways in which the patches fail to fill the outline once.
func (s *Section) Flaws() []PatchFlaw {
	var out []PatchFlaw
	for _, f := range s.Division().Flaws() {
		f.At, f.Where = s.place.Apply(f.At), s.place.ApplyTo(f.Where)
		out = append(out, PatchFlaw{f, s.Patches(f.Parts)})
	}
	return out
}

func (s *Section) decide() *Section {
	o := s.original
	d := s.Division()
	o.orderOnce.Do(func() {
		if d.Flawed() || d.Parts() == 0 {
			return
		}
		written := d.Written()
		if o.misstep = d.CheckOrder(written); o.misstep == nil {
			o.order = written
		} else {
			o.order, o.core = d.FindOrder()
		}
	})
	return o
}

// Sewable says whether the patches can be sewn in some order. A flawed section
// is not called unsewable.
func (s *Section) Sewable() bool { return s.decide().core == nil }

// Order is a sewing order that works, in patch numbers: the written one when it
// does. It is nil when there is none, or the section is flawed.
func (s *Section) Order() []int { return s.numbers(s.decide().order) }

// InOrder says that the written order works.
func (s *Section) InOrder() bool {
	o := s.decide()
	return o.order != nil && o.misstep == nil
}

// Core is what is left of an unsewable section when all patches are taken off
// that can be: it has to be divided among sections. Nil otherwise.
func (s *Section) Core() []*block.Patch { return s.Patches(s.decide().core) }

// An Unsewable is a patch that cannot be sewn in its turn.
type Unsewable struct {
	Patch   *block.Patch
	Contact Contact          // placed
	On      [][]*block.Patch // the patches each leg of the contact lies on
}

// FirstUnsewable is the first patch that cannot be sewn in the written order, nil
// when all can, or the section is flawed.
func (s *Section) FirstUnsewable() *Unsewable {
	m := s.decide().misstep
	if m == nil {
		return nil
	}
	u := &Unsewable{Patch: s.Of.Patches[m.Part], Contact: m.Contact.placed(s.place)}
	for _, leg := range m.Contact.Legs {
		u.On = append(u.On, s.Patches(leg.On))
	}
	return u
}

// placed is the contact somewhere else. In a mirrored place segments are turned
// about, so that the part stays on their left.
func (c Contact) placed(t geom.Transform) Contact {
	c.Seam = placedSegment(c.Seam, t)
	c.At = t.Apply(c.At)
	c.Legs = slices.Clone(c.Legs)
	for i := range c.Legs {
		c.Legs[i].Segment = placedSegment(c.Legs[i].Segment, t)
	}
	return c
}

func placedSegment(s geom.Segment, t geom.Transform) geom.Segment {
	a, b := t.Apply(s.A), t.Apply(s.B)
	if t.Flips() {
		a, b = b, a
	}
	return geom.Segment{A: a, B: b}
}

// Waits says what each patch waits for while the first patch of Order stays
// first, in patch numbers: by the patch's number, the least numbers that must
// come before it. Patches that wait for nothing are left out. It is nil when
// there is no order.
func (s *Section) Waits() map[int][]int {
	o := s.decide()
	if o.order == nil {
		return nil
	}
	o.waitsOnce.Do(func() { o.waits = o.division.Waits(o.order) })
	out := map[int][]int{}
	for k, w := range o.waits {
		if len(w) > 0 {
			out[s.Of.Patches[k].Number] = s.numbers(w)
		}
	}
	return out
}

// OrderFrom is a sewing order that begins with the given patch, in patch
// numbers, nil when there is none.
func (s *Section) OrderFrom(first *block.Patch) []int {
	if i := slices.Index(s.Of.Patches, first); i >= 0 {
		return s.numbers(s.Division().FindOrderFrom(i))
	}
	return nil
}

// A Seam is the straight segment a patch is sewn along.
type Seam struct {
	Patch        *block.Patch
	geom.Segment                // placed, with the patch on the left
	On           []*block.Patch // the patches it is sewn on, in order along it
}

// Seams are the seams of all patches but the first, in the order of sewing (see
// Order). There are none when there is no order. The list is not to be changed.
func (s *Section) Seams() []Seam {
	s.placedOnce.Do(func() {
		o := s.decide()
		if len(o.order) == 0 {
			return
		}
		legs := o.legs()
		s.placed = make([]Seam, 0, len(o.order)-1)
		for _, k := range o.order[1:] {
			leg := legs[k]
			s.placed = append(s.placed, Seam{s.Of.Patches[k], placedSegment(leg.Segment, s.place), s.Patches(leg.On)})
		}
	})
	return s.placed
}

// CouldBeOne says whether a patch and the one patch it is sewn on could be a
// single patch and the section stay sewable: exactly when its seam lies on that
// patch alone.
func (m *Seam) CouldBeOne() bool { return len(m.On) == 1 }

// CouldBeOne are the pairs of patches that could be one as far as shapes go: each
// patch whose seam lies on a single other one, and that one, in the order of sewing (see
// Seam.CouldBeOne).
func (s *Section) CouldBeOne() iter.Seq2[*block.Patch, *block.Patch] {
	o := s.decide()
	o.onesOnce.Do(func() {
		for _, k := range o.order[min(1, len(o.order)):] {
			if on := o.legs()[k].On; len(on) == 1 {
				o.ones = append(o.ones, [2]int{k, on[0]})
			}
		}
	})
	return func(yield func(*block.Patch, *block.Patch) bool) {
		for _, pair := range o.ones {
			if !yield(s.Of.Patches[pair[0]], s.Of.Patches[pair[1]]) {
				return
			}
		}
	}
}

// SeamOf is the segment that a patch of the section is sewn along; ok is false for the
// first patch, and where there is no order.
func (s *Section) SeamOf(p *block.Patch) (seam geom.Segment, ok bool) {
	o := s.decide()
	k := slices.Index(s.Of.Patches, p)
	if k < 0 || len(o.order) == 0 || k == o.order[0] {
		return geom.Segment{}, false
	}
	return placedSegment(o.legs()[k].Segment, s.place), true
}

// DividingLine is a straight line along seams that divides the core of an
// unsewable section, nil when there is none.
func (s *Section) DividingLine() *Cut {
	o := s.decide()
	if o.core == nil {
		return nil
	}
	o.cutOnce.Do(func() { o.cut = o.division.DividingLine(o.core) })
	if o.cut == nil {
		return nil
	}
	c := *o.cut
	c.Segment = placedSegment(c.Segment, s.place)
	return &c
}

// Outline is the section's outline at its place: as typed, or the border of its
// patches, without the corners where it goes straight on. It is nil when that is
// not one loop.
func (s *Section) Outline() geom.Polygon {
	if s.Of.Outline != nil {
		return s.Of.Outline
	}
	o := s.original
	d := s.Division()
	o.borderOnce.Do(func() {
		if d.Flawed() {
			return
		}
		if loops := d.Border(); len(loops) == 1 {
			o.border = loops[0].Straighten()
		}
	})
	if o.border == nil || s == o {
		return o.border
	}
	return s.place.ApplyTo(o.border)
}

// Bounds is the upright box around the patches, at the place of the original. The
// section must have patches.
func (s *Section) Bounds() geom.Box {
	o := s.original
	o.boundsOnce.Do(func() {
		o.bounds = o.Of.Patches[0].Corners.Bounds()
		for _, p := range o.Of.Patches[1:] {
			o.bounds = o.bounds.Union(p.Corners.Bounds())
		}
	})
	return o.bounds
}

// Around is the rectangle of the smallest area around the patches, at the place of
// the original: the least sheet that the section is printed on, turned as it likes.
func (s *Section) Around() geom.Rectangle {
	o := s.original
	o.aroundOnce.Do(func() {
		n := 0
		for _, p := range o.Of.Patches {
			n += len(p.Corners)
		}
		corners := make([]geom.Point, 0, n)
		for _, p := range o.Of.Patches {
			corners = append(corners, p.Corners...)
		}
		o.around = geom.MinAreaRectangle(corners)
	})
	return o.around
}
