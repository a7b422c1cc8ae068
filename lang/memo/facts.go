package memo

import (
	"slices"
	"sync"
)

// Facts are what was worked out of a value, by key. They are a part of the value, and
// so hold for as long as it does; the zero Facts are none.
type Facts struct {
	mu sync.Mutex
	of []fact
}

type fact struct{ key, value any }

// maxFacts is how many a value keeps: other settings give other keys.
const maxFacts = 64

// Of gives what work makes of a value, whose facts are given. It is done once for a key,
// whose type is the caller's own.
func Of[V any](f *Facts, key any, work func() V) V {
	v, _ := Try(f, key, func() (V, error) { return work(), nil })
	return v
}

// Try is Of for work that may fail: then nothing is remembered.
func Try[V any](f *Facts, key any, work func() (V, error)) (V, error) {
	if known, ok := f.find(key); ok {
		return as[V](known), nil
	}
	v, err := work() // without the lock: it may ask for other facts
	if err != nil {
		return v, err
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if i := slices.IndexFunc(f.of, func(known fact) bool { return known.key == key }); i >= 0 {
		return as[V](f.of[i].value), nil
	}
	if len(f.of) >= maxFacts {
		f.of = slices.Delete(f.of, 0, maxFacts/2) // the oldest
	}
	f.of = append(f.of, fact{key, v})
	return v, nil
}

func (f *Facts) find(key any) (any, bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	for i := range f.of {
		if f.of[i].key == key {
			return f.of[i].value, true
		}
	}
	return nil, false
}

// as is the V that was put away; an interface that is nil has lost its type.
func as[V any](v any) (out V) {
	if v != nil {
		out = v.(V)
	}
	return out
}
