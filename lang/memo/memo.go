// Package memo remembers what was worked out, so that it is worked out once.
//
//	Store   tables of results for one thing that is read again and again, such as a document
//	Table   results under explicit keys, each checked before it is used again
//	Trace   what a result looked up, recorded where the answers come from
//	Facts   what was worked out of a value; they hang on it and go with it
//
// A result is made by a pure function. It is used again while its key is the same and
// everything it looked up has the same answer. What is not used for some generations is
// dropped, and so is what goes past a bound: forgetting costs time and changes nothing.
//
// Everything here may be used by many goroutines. Two that miss the same result at once
// both work it out, and both get the one that was kept first.
package memo

import (
	"hash/maphash"
	"sync"
	"sync/atomic"
)

// Generations is how many generations a result stays that nobody uses: some steps of undo.
const Generations = 8

// A Store holds the tables of one document. A nil Store remembers nothing.
type Store struct {
	turn   atomic.Uint32
	mu     sync.Mutex
	tables map[any]interface{ drop(before uint32) }
}

// New returns an empty store.
func New() *Store { return &Store{tables: map[any]interface{ drop(uint32) }{}} }

// Turn begins another generation.
func (s *Store) Turn() {
	if s == nil {
		return
	}
	turn := s.turn.Add(1)
	if turn < Generations {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, t := range s.tables {
		t.drop(turn - Generations + 1)
	}
}

// In is the store's table for keys and results of these types, which are therefore types of the
// caller's own. It is nil, and so remembers nothing, when the store is.
func In[K comparable, V any](s *Store) *Table[K, V] {
	if s == nil {
		return nil
	}
	type table struct{} // another type for each K and V
	s.mu.Lock()
	defer s.mu.Unlock()
	if t, ok := s.tables[table{}]; ok {
		return t.(*Table[K, V])
	}
	t := &Table[K, V]{turn: &s.turn, bound: maxResults, shards: make([]shard[K, V], 1)}
	s.tables[table{}] = t
	return t
}

// maxResults bounds a table of a Store. A document of the greatest length has fewer sections.
const maxResults = 1 << 18

// A Table holds results by key. Several may have the same key, when what they looked up
// is what tells them apart. A nil Table remembers nothing.
type Table[K comparable, V any] struct {
	turn   *atomic.Uint32 // nil: a generation ends when a shard is full
	bound  int            // of results in a shard
	seed   maphash.Seed
	shards []shard[K, V]
}

type shard[K comparable, V any] struct {
	sync.Mutex
	results map[K]*result[V]
	turn    uint32 // where the table has none
	size    int
}

type result[V any] struct {
	value V
	used  uint32 // in which turn last
	next  *result[V]
}

// NewTable returns a table by itself, for results of which there may be any number. When it is
// full it drops those that were not used since it was full before.
func NewTable[K comparable, V any](bound int) *Table[K, V] {
	const shards = 16
	t := &Table[K, V]{bound: max(1, bound/shards), seed: maphash.MakeSeed(), shards: make([]shard[K, V], shards)}
	for i := range t.shards {
		t.shards[i].turn = 1
	}
	return t
}

func (t *Table[K, V]) shard(key K) *shard[K, V] {
	if len(t.shards) == 1 {
		return &t.shards[0]
	}
	return &t.shards[maphash.Comparable(t.seed, key)%uint64(len(t.shards))]
}

func (t *Table[K, V]) now(s *shard[K, V]) uint32 {
	if t.turn != nil {
		return t.turn.Load()
	}
	return s.turn
}

// Find is the result under a key for which holds is true; a nil holds is always true.
func (t *Table[K, V]) Find(key K, holds func(V) bool) (v V, ok bool) {
	if t == nil {
		return v, false
	}
	s := t.shard(key)
	s.Lock()
	first := s.results[key]
	s.Unlock()
	for r := first; r != nil; r = r.next { // holds may look things up in this table
		if holds == nil || holds(r.value) {
			s.Lock()
			r.used = t.now(s)
			s.Unlock()
			return r.value, true
		}
	}
	return v, false
}

// Keep puts a result under a key and gives the one to use: an equal one that was there before,
// if holds says so.
func (t *Table[K, V]) Keep(key K, holds func(V) bool, v V) V {
	if t == nil {
		return v
	}
	if was, ok := t.Find(key, holds); ok {
		return was
	}
	s := t.shard(key)
	s.Lock()
	defer s.Unlock()
	if s.results == nil {
		s.results = map[K]*result[V]{}
	}
	used := t.now(s)
	if s.size >= t.bound {
		s.drop(used)
		if s.size > t.bound/2 {
			clear(s.results)
			s.size = 0
		}
		s.turn++
	}
	if t.turn == nil { // it has to be used before the shard is full, to stay
		used = s.turn - 1
	}
	s.results[key] = &result[V]{value: v, used: used, next: s.results[key]}
	s.size++
	return v
}

// Get gives the result under a key for which holds is true, or else what work makes.
func (t *Table[K, V]) Get(key K, holds func(V) bool, work func() V) V {
	if v, ok := t.Find(key, holds); ok {
		return v
	}
	return t.Keep(key, holds, work())
}

// Replace puts what work makes of the result under a key in its place. The zero V is what there
// is at first. It is for what is worked out faster from what was there before, and is the same without.
func (t *Table[K, V]) Replace(key K, work func(before V) V) V {
	var before V
	if t == nil {
		return work(before)
	}
	before, _ = t.Find(key, nil)
	v := work(before)
	s := t.shard(key)
	s.Lock()
	defer s.Unlock()
	if s.results == nil {
		s.results = map[K]*result[V]{}
	}
	for r := s.results[key]; r != nil; r = r.next {
		s.size--
	}
	s.results[key] = &result[V]{value: v, used: t.now(s)}
	s.size++
	return v
}

// Len is how many results there are.
func (t *Table[K, V]) Len() int {
	n := 0
	for i := range t.shards {
		t.shards[i].Lock()
		n += t.shards[i].size
		t.shards[i].Unlock()
	}
	return n
}

func (t *Table[K, V]) drop(before uint32) {
	for i := range t.shards {
		s := &t.shards[i]
		s.Lock()
		s.drop(before)
		s.Unlock()
	}
}

// drop forgets the results that were used last before a turn.
func (s *shard[K, V]) drop(before uint32) {
	for key, first := range s.results {
		if first.next == nil {
			if first.used < before {
				delete(s.results, key)
				s.size--
			}
			continue
		}
		var kept *result[V]
		for r := first; r != nil; r = r.next {
			if r.used < before {
				s.size--
			} else {
				kept = &result[V]{r.value, r.used, kept} // whoever walks along the old ones may go on
			}
		}
		if kept == nil {
			delete(s.results, key)
		} else {
			s.results[key] = kept
		}
	}
}
