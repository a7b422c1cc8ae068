package memo

// A Trace is what a result looked up: each question once, with its answer. It is filled by
// asking through it, so that nothing is looked up that is not recorded.
type Trace[Q, A comparable] struct {
	looks []look[Q, A]
	index map[Q]int32 // of many
}

type look[Q, A comparable] struct {
	question Q
	answer   A
}

// fewLooks is up to how many are found sooner one by one.
const fewLooks = 12

// Ask gives the answer to a question, and the number of the question in the trace. It
// asks once.
func (t *Trace[Q, A]) Ask(q Q, ask func(Q) A) (A, int) {
	if t.index != nil {
		if i, ok := t.index[q]; ok {
			return t.looks[i].answer, int(i)
		}
	} else {
		for i := range t.looks {
			if t.looks[i].question == q {
				return t.looks[i].answer, i
			}
		}
	}
	a, n := ask(q), len(t.looks)
	if n == 0 {
		t.looks = make([]look[Q, A], 0, fewLooks/2)
	}
	t.looks = append(t.looks, look[Q, A]{q, a})
	switch {
	case t.index != nil:
		t.index[q] = int32(n)
	case n == fewLooks:
		t.index = make(map[Q]int32, 2*n)
		for i := range t.looks {
			t.index[t.looks[i].question] = int32(i)
		}
	}
	return a, n
}

// Len is how many questions were asked.
func (t *Trace[Q, A]) Len() int { return len(t.looks) }

// Question is the one with a number.
func (t *Trace[Q, A]) Question(i int) Q { return t.looks[i].question }

// Holds reports whether every question still has the same answer.
func (t *Trace[Q, A]) Holds(ask func(Q) A) bool {
	for i := range t.looks {
		if ask(t.looks[i].question) != t.looks[i].answer {
			return false
		}
	}
	return true
}
