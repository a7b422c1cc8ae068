package seams

import (
	"cmp"
	"slices"

	"sewable/lang/geom"
)

// maxDeep is how often a dive carries a seam on where it ends on another.
const maxDeep = 8

// dive goes down from a state without looking back: at each step the seam that leaves the fewest
// corners blocked, and of those splits the fewest motifs. It gives an answer for a drawing that is too
// large to be searched, and one to compare with early.
func (s *search) dive(x *state) {
	for len(x.blocked) > 0 {
		if s.ctx.Err() != nil {
			return
		}
		var moves [][]run
		for i, c := range x.blocked {
			if m := s.d.moves(x, s.d.points[c]); i == 0 || len(m) < len(moves) {
				moves = m
			}
		}
		var best *state
		for _, runs := range moves {
			if y := s.d.start(runs, 0); len(y.blocked) < len(x.blocked) && (best == nil || s.d.promise(y, best) < 0) {
				best = y
			}
		}
		if best == nil {
			return
		}
		x = best
	}
	for range maxDeep {
		k := s.d.sketch(x)
		if k == nil || s.ctx.Err() != nil {
			return
		}
		if s.d.plan(s.ctx, k) {
			s.keep(k.Answer, len(x.runs))
			return
		}
		var best *state
		least := len(k.core)
		for _, runs := range s.d.tees(x, s.on(k.core)) {
			y := s.d.start(runs, 0)
			if after := s.d.sketch(y); after != nil && (s.d.plan(s.ctx, after) || len(after.core) < least) {
				best, least = y, len(after.core)
				if after.Score.Sections > 0 {
					break
				}
			}
		}
		if best == nil {
			return
		}
		x = best
	}
}

// on says of places whether they are corners of some patches, inside the block.
func (s *search) on(core []geom.Polygon) func(p place) bool {
	return func(p place) bool {
		q := s.d.lines[p.line].point(p.t)
		return s.d.outline.Contains(q) == geom.Inside && slices.ContainsFunc(core, func(k geom.Polygon) bool { return k.Contains(q) == geom.OnEdge })
	}
}

// promise orders states by what is left to do, and by what their seams cost.
func (d *drawing) promise(a, b *state) int {
	return cmp.Or(cmp.Compare(d.through(a.runs), d.through(b.runs)), cmp.Compare(len(a.blocked), len(b.blocked)),
		cmp.Compare(lineCount(a.runs), lineCount(b.runs)), cmp.Compare(len(a.runs), len(b.runs)), cmp.Compare(a.key, b.key))
}

// through is how many patches, no background, seams go through.
func (d *drawing) through(runs []run) int {
	n := 0
	for _, r := range runs {
		l := d.lines[r.line]
		for k, shape := range l.labels {
			if shape >= 0 && !d.shapes[shape].Background && min(r.to, l.cuts[k+1])-max(r.from, l.cuts[k]) > tol {
				n++
			}
		}
	}
	return n
}

// everywhere carries all edges on to the block's border, as far as nothing stays whole there: lines that go
// all the way divide any drawing.
func (s *search) everywhere() {
	var runs []run
	for i, l := range s.d.lines {
		if len(l.edges) == 0 {
			continue
		}
		for k := range l.labels {
			if r := (run{i, span{l.cuts[k], l.cuts[k+1]}}); l.labels[k] >= 0 && s.d.allowed(r) {
				runs = s.d.with(runs, r)
			}
		}
	}
	if x := s.d.start(runs, 0); len(x.blocked) == 0 {
		if k := s.d.sketch(x); k != nil && s.d.plan(s.ctx, k) {
			s.keep(k.Answer, len(runs))
		}
	}
}
