package memo_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sewable/lang/memo"
)

type name string

// A result is worked out once for a key, as long as it is used.
func TestTable(t *testing.T) {
	s := memo.New()
	worked := 0
	get := func(n name) int {
		return memo.In[name, int](s).Get(n, nil, func() int { worked++; return len(n) })
	}
	assert.Equal(t, 3, get("sky"))
	assert.Equal(t, 3, get("sky"))
	assert.Equal(t, 1, worked)
	for range 5 * memo.Generations {
		s.Turn()
		get("sky")
	}
	assert.Equal(t, 1, worked, "what is used stays")
	for range memo.Generations - 1 {
		s.Turn()
	}
	get("sky")
	assert.Equal(t, 1, worked, "some generations are not too long")
	for range memo.Generations {
		s.Turn()
	}
	assert.Zero(t, memo.In[name, int](s).Len(), "what nobody uses is dropped")
	get("sky")
	assert.Equal(t, 2, worked)
}

// Tables are told apart by the types of keys and results; a nil store remembers nothing.
func TestStore(t *testing.T) {
	s := memo.New()
	memo.In[name, int](s).Keep("a", nil, 1)
	memo.In[name, string](s).Keep("a", nil, "one")
	memo.In[string, int](s).Keep("a", nil, 2)
	v, _ := memo.In[name, int](s).Find("a", nil)
	assert.Equal(t, 1, v)
	var none *memo.Store
	none.Turn()
	assert.Equal(t, 1, memo.In[name, int](none).Get("a", nil, func() int { return 1 }))
	assert.Equal(t, 2, memo.In[name, int](none).Get("a", nil, func() int { return 2 }))
	assert.Equal(t, 3, memo.In[name, int](none).Replace("a", func(before int) int { return before + 3 }))
}

// Several results have the same key, each dropped when it is not used itself.
func TestResultsOfOneKey(t *testing.T) {
	s := memo.New()
	table := memo.In[name, int](s)
	is := func(want int) func(int) bool { return func(v int) bool { return v == want } }
	for i := range 3 {
		table.Keep("a", is(i), i)
	}
	assert.Equal(t, 3, table.Len())
	assert.Equal(t, 1, table.Keep("a", is(1), 1))
	assert.Equal(t, 3, table.Len(), "one that holds is not put in twice")
	for range memo.Generations {
		s.Turn()
		v, ok := table.Find("a", is(1))
		assert.True(t, ok)
		assert.Equal(t, 1, v)
	}
	assert.Equal(t, 1, table.Len())
	_, ok := table.Find("a", is(2))
	assert.False(t, ok)
}

// What replaces something is given it.
func TestReplace(t *testing.T) {
	table := memo.In[name, string](memo.New())
	for i := range 4 {
		table.Replace("a", func(before string) string { return fmt.Sprint(before, i) })
	}
	v, _ := table.Find("a", nil)
	assert.Equal(t, "0123", v)
	assert.Equal(t, 1, table.Len())
}

// A table by itself stays within its bound, and what is used again and again stays in it.
func TestBound(t *testing.T) {
	table := memo.NewTable[int, int](1600)
	worked := 0
	for i := range 100_000 {
		table.Get(i+1, nil, func() int { return i })
		if i%10 == 0 {
			table.Get(-i/10%100, nil, func() int { worked++; return 0 })
		}
		require.LessOrEqual(t, table.Len(), 1600)
	}
	assert.Less(t, worked, 1000, "of 10,000")
}

// What is used stays while others come and go, some of which are used once more; and where all is used
// again, the bound holds all the same.
func TestBoundOfWhatIsUsed(t *testing.T) {
	table := memo.NewTable[int, int](1600)
	worked := 0
	for i := range 100_000 {
		table.Get(i+1, nil, func() int { return i })
		if i%4 == 0 {
			table.Get(i+1, nil, func() int { return i })
		}
		table.Get(-i%100, nil, func() int { worked++; return 0 })
	}
	assert.Less(t, worked, 400, "of 100,000")
	for i := range 10_000 {
		for range 2 {
			table.Get(i+1, nil, func() int { return i })
		}
		require.LessOrEqual(t, table.Len(), 1600)
	}
	small := memo.NewTable[int, int](16)
	for i := range 1000 {
		for range 2 {
			small.Get(i, nil, func() int { return i })
		}
		require.LessOrEqual(t, small.Len(), 16)
	}
}

// A result holds exactly while everything that it looked up has the same answer, however
// many questions there were and how often each was asked.
func TestTrace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		world := map[int]int{}
		answer := func(q int) int { return world[q] }
		var trace memo.Trace[int, int]
		asked := map[int]bool{}
		for _, q := range rapid.SliceOfN(rapid.IntRange(0, 40), 0, 100).Draw(t, "questions") {
			if !asked[q] {
				world[q] = rapid.IntRange(0, 3).Draw(t, "answer")
			}
			a, n := trace.Ask(q, answer)
			asked[q] = true
			require.Equal(t, world[q], a)
			require.Equal(t, q, trace.Question(n))
		}
		require.Equal(t, len(asked), trace.Len())
		require.True(t, trace.Holds(answer))
		q := rapid.IntRange(0, 41).Draw(t, "changed")
		world[q] += 10
		require.Equal(t, !asked[q], trace.Holds(answer))
	})
}

// Facts are worked out once for a key; work that fails is not remembered.
func TestFacts(t *testing.T) {
	var f memo.Facts
	type area struct{ of int }
	worked := 0
	for i := range 10 {
		assert.Equal(t, i%2, memo.Of(&f, area{i % 2}, func() int { worked++; return i % 2 }))
	}
	assert.Equal(t, 2, worked)
	_, err := memo.Try(&f, "x", func() (int, error) { return 0, errors.New("no") })
	require.Error(t, err)
	v, err := memo.Try(&f, "x", func() (int, error) { return 7, nil })
	require.NoError(t, err)
	assert.Equal(t, 7, v)
	assert.Nil(t, memo.Of(&f, "nothing", func() error { return nil }))
	assert.Nil(t, memo.Of(&f, "nothing", func() error { return errors.New("once") }))
	assert.Equal(t, 1, memo.Of(&f, "twice", func() int { return memo.Of(&f, "twice", func() int { return 1 }) + 1 }), "the first one stays")
	for i := range 1000 { // they are bounded, and the last ones stay
		memo.Of(&f, area{i}, func() int { return i })
	}
	assert.Equal(t, 999, memo.Of(&f, area{999}, func() int { return -1 }))
	assert.Equal(t, -1, memo.Of(&f, area{0}, func() int { return -1 }))
}

// Many goroutines get one and the same result, while generations come and go.
func TestManyAtOnce(t *testing.T) {
	s := memo.New()
	var f memo.Facts
	var group sync.WaitGroup
	var turns atomic.Int64
	kept := [8]*int{}
	for i := range kept {
		kept[i] = memo.In[int, *int](s).Keep(i, nil, new(int))
	}
	for g := range 8 {
		group.Go(func() {
			r := rand.New(rand.NewPCG(uint64(g), 1))
			for range 2000 {
				i := r.IntN(len(kept))
				v := memo.In[int, *int](s).Get(i, func(p *int) bool { return p != nil }, func() *int { return new(int) })
				assert.NotNil(t, v)
				first := memo.Of(&f, i, func() *int { return new(int) })
				assert.Same(t, first, memo.Of(&f, i, func() *int { return new(int) }))
				memo.In[string, int](s).Replace("n", func(before int) int { return before + 1 })
				if turns.Add(1)%100 == 0 {
					s.Turn()
				}
			}
		})
	}
	group.Wait()
}
