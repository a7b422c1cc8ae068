package seams

import (
	"cmp"
	"container/heap"
	"context"
	"math"
	"slices"

	"sewable/lang/geom"
	"sewable/lang/sew/plan"
)

// How far above the answer with the fewest lines the search goes on, and how often a seam is carried
// on where it ends on another.
const (
	moreLines  = 1
	morePieces = 2
	maxTees    = 2
)

// A search is best first: by the lines that an answer adds at least. At each step the blocked corner with the
// fewest moves is taken; states that were seen are not looked at again.
type search struct {
	ctx     context.Context
	d       *drawing
	o       Options
	queue   queue
	seen    map[string]bool
	perLine int // blocked corners on one line, at most, at the start
	lines   int // of the best answer so far
	pieces  int
	result  *Result
	ranked  []*Answer // the best of those on the same lines, in order
	fewest  *Answer   // the best by sections first
}

func newSearch(ctx context.Context, d *drawing, o Options) *search {
	return &search{ctx: ctx, d: d, o: o, seen: map[string]bool{}, result: &Result{}, lines: math.MaxInt / 2, pieces: math.MaxInt / 2}
}

func (s *search) run() *Result {
	start := s.d.start(nil, 0)
	s.result.Blocked = len(start.blocked)
	on := map[int]int{}
	for _, c := range start.blocked {
		for _, p := range s.d.points[c].on {
			on[p.line]++
			s.perLine = max(s.perLine, on[p.line])
		}
	}
	s.hopeless(start)
	s.notched()
	if len(s.result.Hopeless) > 0 {
		s.result.Exhausted = true
		return s.result
	}
	s.push(start)
	s.result.Least = start.bound
	var gaps []run
	for i, l := range s.d.lines {
		if l.gap && len(l.cuts) > 1 {
			gaps = append(gaps, run{i, span{l.cuts[0], l.cuts[len(l.cuts)-1]}})
		}
	}
	s.dive(start)
	if len(gaps) > 0 {
		var all []run
		for _, g := range gaps {
			all = s.d.with(all, g)
		}
		s.dive(s.d.start(all, 0))
	}
	if len(s.ranked) == 0 {
		s.everywhere()
	}
	for i, g := range gaps {
		one := s.d.with(nil, g)
		s.push(s.d.start(one, 0))
		for _, h := range gaps[:i] {
			s.push(s.d.start(s.d.with(one, h), 0))
		}
	}
	for s.queue.Len() > 0 {
		x := heap.Pop(&s.queue).(*state)
		if s.beyond(x) {
			continue
		}
		s.result.States++
		if s.result.States > s.o.Effort {
			return s.finish(false)
		}
		if s.result.States%16 == 0 {
			if s.ctx.Err() != nil {
				s.result.Stopped = true
				return s.finish(false)
			}
			if s.o.Progress != nil {
				s.o.Progress(s.result.States, len(s.ranked))
			}
		}
		s.expand(x)
	}
	return s.finish(true)
}

// beyond says that a state adds more than is of interest.
func (s *search) beyond(x *state) bool {
	return x.bound > s.lines+moreLines || len(x.runs) > s.pieces+morePieces
}

func (s *search) push(x *state) {
	if s.seen[x.key] {
		return
	}
	s.seen[x.key] = true
	off := 0
	for _, c := range x.blocked {
		if !slices.ContainsFunc(s.d.points[c].on, func(p place) bool {
			return slices.ContainsFunc(x.runs, func(r run) bool { return r.line == p.line })
		}) {
			off++
		}
	}
	x.bound = lineCount(x.runs)
	if off > 0 {
		x.bound += (off + s.perLine - 1) / s.perLine
	}
	if !s.beyond(x) {
		heap.Push(&s.queue, x)
	}
}

// expand adds seams to a state, or judges it.
func (s *search) expand(x *state) {
	if len(x.blocked) > 0 {
		var best [][]run
		for i, c := range x.blocked {
			moves := s.d.moves(x, s.d.points[c])
			if i == 0 || len(moves) < len(best) {
				best = moves
			}
			if len(best) == 0 {
				return
			}
		}
		for _, runs := range best {
			s.push(s.d.start(runs, x.tees))
		}
		return
	}
	k := s.d.sketch(x)
	if k == nil || s.worse(k.least()) {
		return
	}
	if s.d.plan(s.ctx, k) {
		s.keep(k.Answer, len(x.runs))
	}
	if len(k.core) > 0 && x.tees < maxTees {
		for _, runs := range s.d.tees(x, s.on(k.core)) {
			s.push(s.d.start(runs, x.tees+1))
		}
	}
}

// worse says that an answer with a score is not wanted: there are as many better ones as are asked for.
func (s *search) worse(x Score) bool {
	return len(s.ranked) >= s.o.Answers && s.o.Order.Compare(x, s.ranked[s.o.Answers-1].Score) >= 0 && SectionsFirst.Compare(x, s.fewest.Score) >= 0
}

// keep takes an answer in, if it is the best on its lines.
func (s *search) keep(a *Answer, pieces int) {
	if a.Score.Lines < s.lines {
		s.lines, s.pieces = a.Score.Lines, pieces
	} else if a.Score.Lines == s.lines {
		s.pieces = min(s.pieces, pieces)
	}
	if i := slices.IndexFunc(s.ranked, func(b *Answer) bool { return b.key == a.key }); i < 0 {
		s.ranked = append(s.ranked, a)
	} else if s.o.Order.Compare(a.Score, s.ranked[i].Score) < 0 {
		s.ranked[i] = a
	}
	slices.SortFunc(s.ranked, func(a, b *Answer) int { return cmp.Or(s.o.Order.Compare(a.Score, b.Score), cmp.Compare(a.key, b.key)) })
	if s.fewest == nil || SectionsFirst.Compare(a.Score, s.fewest.Score) < 0 {
		s.fewest = a
	}
}

// finish ranks the answers. The best with sections first is among them.
func (s *search) finish(exhausted bool) *Result {
	r := s.result
	r.Exhausted = exhausted
	r.Answers = s.ranked
	if len(r.Answers) > s.o.Answers {
		rest := r.Answers[s.o.Answers:]
		r.Answers = r.Answers[:s.o.Answers:s.o.Answers]
		if s.fewest.Score.Sections < r.Answers[0].Score.Sections && !slices.ContainsFunc(r.Answers, func(a *Answer) bool { return a.Score.Sections <= s.fewest.Score.Sections }) && slices.Contains(rest, s.fewest) {
			r.Answers[s.o.Answers-1] = s.fewest
		}
	}
	for _, a := range r.Answers {
		a.Plan = plan.Of(context.WithoutCancel(s.ctx), a.Division, s.o.Plan)
	}
	if !exhausted && s.queue.Len() > 0 {
		r.Least = max(r.Least, min(s.lines, slices.MinFunc(s.queue, func(a, b *state) int { return cmp.Compare(a.bound, b.bound) }).bound))
	} else if exhausted && len(r.Answers) > 0 {
		r.Least = s.lines
	}
	return r
}

// hopeless finds the blocked corners all of whose seams would split what stays whole.
func (s *search) hopeless(x *state) {
	for _, i := range x.blocked {
		c := s.d.points[i]
		if len(s.d.moves(x, c)) > 0 {
			continue
		}
		h := Corner{At: c.at}
		for _, f := range s.d.faces {
			if (f.Contains(c.at) == geom.OnEdge || slices.ContainsFunc(f.holes, func(p geom.Polygon) bool { return p.Contains(c.at) == geom.OnEdge })) && f.shape >= 0 {
				h.Shapes = append(h.Shapes, f.shape)
			}
		}
		s.result.Hopeless = append(s.result.Hopeless, h)
	}
}

// notched finds the shapes with a notch.
func (s *search) notched() {
	for _, f := range s.d.faces {
		if f.shape >= 0 && !s.d.shapes[f.shape].Background && (len(f.holes) > 0 || !f.IsConvex()) && !slices.Contains(s.result.Notched, f.shape) {
			s.result.Notched = append(s.result.Notched, f.shape)
		}
	}
}

// A queue gives the states that promise most first.
type queue []*state

func (q queue) Len() int { return len(q) }
func (q queue) Less(i, j int) bool {
	a, b := q[i], q[j]
	return cmp.Or(cmp.Compare(a.bound+a.tees, b.bound+b.tees), cmp.Compare(len(a.blocked), len(b.blocked)), cmp.Compare(len(a.runs), len(b.runs)), cmp.Compare(a.key, b.key)) < 0
}
func (q queue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *queue) Push(x any)   { *q = append(*q, x.(*state)) }
func (q *queue) Pop() any {
	old := *q
	x := old[len(old)-1]
	*q = old[:len(old)-1]
	return x
}
