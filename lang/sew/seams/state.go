package seams

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"sewable/lang/geom"
)

// A run is a stretch of a line that a seam is added on.
type run struct {
	line int
	span
}

// A state is the seams added so far.
type state struct {
	runs    []run // by line and place
	blocked []int // corners
	bound   int   // lines that an answer from here adds, at least
	tees    int   // how often a seam was carried on where it ends on another
	key     string
}

// with is a state with a run more; edges that are there already count for nothing.
func (d *drawing) with(runs []run, x run) []run {
	out := make([]run, 0, len(runs)+2)
	var on []span
	for _, r := range runs {
		if r.line == x.line {
			on = append(on, r.span)
		} else {
			out = append(out, r)
		}
	}
	rest := []span{x.span}
	for _, e := range d.lines[x.line].edges {
		var left []span
		for _, s := range rest {
			if a := (span{s.from, min(s.to, e.from)}); a.to-a.from > tol {
				left = append(left, a)
			}
			if b := (span{max(s.from, e.to), s.to}); b.to-b.from > tol {
				left = append(left, b)
			}
		}
		rest = left
	}
	for _, s := range join(append(on, rest...)) {
		out = append(out, run{x.line, s})
	}
	slices.SortFunc(out, func(a, b run) int { return cmp.Or(cmp.Compare(a.line, b.line), cmp.Compare(a.from, b.from)) })
	return out
}

// start makes a state of runs.
func (d *drawing) start(runs []run, tees int) *state {
	s := &state{runs: runs, tees: tees}
	for i, c := range d.points {
		if d.blockedAt(s, c) {
			s.blocked = append(s.blocked, i)
		}
	}
	s.key = d.key(runs)
	return s
}

// blockedAt says whether no line goes straight on at a corner.
func (d *drawing) blockedAt(s *state, c *corner) bool {
	for _, p := range c.on {
		if back, on := d.rays(s, p); back && on {
			return false
		}
	}
	return true
}

// rays says whether edges or seams leave a place along its line, against its direction and with it.
func (d *drawing) rays(s *state, p place) (back, on bool) {
	look := func(x span) {
		if x.holds(p.t) {
			back = back || x.from < p.t-tol
			on = on || x.to > p.t+tol
		}
	}
	for _, e := range d.lines[p.line].edges {
		look(e)
	}
	for _, r := range s.runs {
		if r.line == p.line {
			look(r.span)
		}
	}
	return back, on
}

// key names a set of runs and its mirror images.
func (d *drawing) key(runs []run) string {
	best := write(runs)
	for m := range d.mirror {
		image := make([]run, len(runs))
		for i, r := range runs {
			l := d.lines[r.line]
			to := l.mirror[m]
			if to < 0 {
				image = nil
				break
			}
			a, _ := d.lines[to].place(d.mirror[m](l.point(r.from)))
			b, _ := d.lines[to].place(d.mirror[m](l.point(r.to)))
			image[i] = run{to, span{min(a, b), max(a, b)}}
		}
		if image != nil {
			slices.SortFunc(image, func(a, b run) int { return cmp.Or(cmp.Compare(a.line, b.line), cmp.Compare(a.from, b.from)) })
			best = min(best, write(image))
		}
	}
	return best
}

func write(runs []run) string {
	var b []byte
	for _, r := range runs {
		b = strconv.AppendInt(append(b, '/'), int64(r.line), 10)
		b = strconv.AppendInt(append(b, ' '), int64(math.Round(r.from/tol)), 10)
		b = strconv.AppendInt(append(b, ' '), int64(math.Round(r.to/tol)), 10)
	}
	return string(b)
}

// lineCount is how many lines runs lie on.
func lineCount(runs []run) int {
	n := 0
	for i, r := range runs {
		if i == 0 || runs[i-1].line != r.line {
			n++
		}
	}
	return n
}

func (d *drawing) segment(r run) geom.Segment {
	l := d.lines[r.line]
	return geom.Segment{A: l.point(r.from), B: l.point(r.to)}
}
