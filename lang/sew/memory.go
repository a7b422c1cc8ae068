package sew

import (
	"hash/maphash"
	"slices"

	"sewable/lang/geom"
	"sewable/lang/memo"
)

// This file is what outlives an edit. Whatever is worked out of shapes alone counts
// parts and knows no patches and sections: it hangs on the shapes, or on a value made of
// them, and a model with the same value has it.

// A stead is the shapes of a section and where they are. Two sections with the same
// stead are one as far as geometry goes.
type stead struct {
	*solution
	place geom.Transform
}

func (s *Section) stead() stead { return stead{s.solution, s.place} }

// An arrangement is all shapes of a block at their places.
type arrangement struct {
	steads  []stead
	outline geom.Polygon
	facts   memo.Facts
}

func (b *Block) arranged() *arrangement {
	type arranged struct{}
	return memo.Of(&b.worked, arranged{}, b.arrangement)
}

func (b *Block) arrangement() *arrangement {
	now := &arrangement{steads: make([]stead, len(b.Sections)), outline: b.Of.Outline}
	for i, s := range b.Sections {
		now.steads[i] = s.stead()
	}
	type arranged struct{}
	return remember(b, arranged{}, hashOf(now.steads), func(a *arrangement) bool {
		return slices.Equal(a.steads, now.steads) && samePolygon(a.outline, now.outline)
	}, func() *arrangement { return now })
}

// Facts are those of a section's shapes at the place of its original: what hangs on them may hold
// numbers of parts and places, but nothing of the model.
func (s *Section) Facts() *memo.Facts { return &s.solution.facts }

// Facts are those of all shapes of a block together, at their places: the sections,
// as Sections counts them, and the block's outline, but not its joins.
func (b *Block) Facts() *memo.Facts { return &b.arranged().facts }

// remember gives what work makes of a block, from the memory of its file where it can. The
// result is known by its type, by what it is of, and by the hash of the rest, which same compares.
func remember[Of comparable, V any](b *Block, of Of, hash uint64, same func(V) bool, work func() V) V {
	type key struct {
		of   Of
		hash uint64
	}
	return memo.In[key, V](b.Of.File.Memo).Get(key{of, hash}, same, work)
}

var seed = maphash.MakeSeed()

func hashOf[T comparable](list []T) uint64 {
	var h maphash.Hash
	h.SetSeed(seed)
	for _, v := range list {
		maphash.WriteComparable(&h, v)
	}
	return h.Sum64()
}

// samePolygon is slices.Equal; mostly the two are one.
func samePolygon(a, b geom.Polygon) bool {
	return len(a) == len(b) && (len(a) == 0 || &a[0] == &b[0] || slices.Equal(a, b))
}
