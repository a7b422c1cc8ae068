package seams

import (
	"cmp"
	"math"
	"slices"
)

// A hit is where a line that goes on meets a seam.
type hit struct {
	t      float64
	run    int // of the state's; -1: an edge of the drawing
	border bool
}

// ahead are the seams that a line meets from a place on, the nearest first, up to the block's outline.
func (d *drawing) ahead(runs []run, p place, way float64) []hit {
	l := d.lines[p.line]
	var out []hit
	beyond := func(t float64) bool { return way*(t-p.t) > tol }
	for k, t := range l.cuts {
		if beyond(t) {
			out = append(out, hit{t, -1, l.border[k]})
		}
	}
	for i, r := range runs {
		switch {
		case r.line == p.line:
			if t := near(r.span, way); beyond(t) {
				out = append(out, hit{t, -1, false})
			}
		case r.holds(d.meets[r.line][p.line]):
			if t := d.meets[p.line][r.line]; beyond(t) {
				out = append(out, hit{t, i, false})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b hit) int { return cmp.Compare(way*a.t, way*b.t) })
	for i, h := range out {
		if h.border {
			return out[:i+1]
		}
	}
	return nil
}

// near is the end of a span that comes first.
func near(s span, way float64) float64 {
	if way > 0 {
		return s.from
	}
	return s.to
}

func stretch(a, b float64) span { return span{min(a, b), max(a, b)} }

// allowed says whether a run goes through nothing that stays whole.
func (d *drawing) allowed(r run) bool {
	l := d.lines[r.line]
	for k, shape := range l.labels {
		if min(r.to, l.cuts[k+1])-max(r.from, l.cuts[k]) > tol && (shape < 0 || d.shapes[shape].Whole) {
			return false
		}
	}
	return true
}

// carry gives the ways to carry a line on from a place: to the first seam; over a seam added before,
// which then ends there; to the border.
func (d *drawing) carry(runs []run, p place, way float64) [][]run {
	hits := d.ahead(runs, p, way)
	if len(hits) == 0 {
		return nil
	}
	var out [][]run
	add := func(runs []run, to float64) {
		if r := (run{p.line, stretch(p.t, to)}); d.allowed(r) {
			out = append(out, d.with(runs, r))
		}
	}
	add(runs, hits[0].t)
	d.over(runs, p, way, hits, 0, func(cut []run, to float64) { add(cut, to) })
	if last := hits[len(hits)-1]; last.t != hits[0].t {
		add(runs, last.t)
	}
	return out
}

// maxOver is how many seams added before one is carried on over.
const maxOver = 2

// over carries a line on over seams added before that can end where it meets them.
func (d *drawing) over(runs []run, p place, way float64, hits []hit, deep int, add func(runs []run, to float64)) {
	h := hits[0]
	if deep == maxOver || h.run < 0 || len(hits) < 2 || math.Abs(hits[1].t-h.t) <= tol {
		return
	}
	r := runs[h.run]
	at := d.meets[r.line][p.line]
	if at-r.from <= tol || r.to-at <= tol {
		return
	}
	for _, keep := range []span{{r.from, at}, {at, r.to}} {
		gone := span{at, r.to}
		if keep.from == at {
			gone = span{r.from, at}
		}
		if d.hangs(runs, h.run, gone) {
			continue
		}
		cut := slices.Clone(runs)
		cut[h.run].span = keep
		add(cut, hits[1].t)
		d.over(cut, p, way, d.ahead(cut, place{p.line, h.t}, way), deep+1, add)
	}
}

// hangs says whether another seam ends on part of a run.
func (d *drawing) hangs(runs []run, of int, part span) bool {
	line := runs[of].line
	return slices.ContainsFunc(runs, func(r run) bool {
		if r.line == line {
			return false
		}
		at, on := d.meets[r.line][line], d.meets[line][r.line]
		return (math.Abs(at-r.from) <= tol || math.Abs(at-r.to) <= tol) && part.from+tol < on && on < part.to-tol
	})
}

// moves are the seams that clear a blocked corner: its own edges carried on, and other lines through
// it, both ways.
func (d *drawing) moves(s *state, c *corner) [][]run {
	var out [][]run
	for _, p := range c.on {
		back, on := d.rays(s, p)
		switch {
		case back:
			out = append(out, d.carry(s.runs, p, 1)...)
		case on:
			out = append(out, d.carry(s.runs, p, -1)...)
		default:
			ahead, behind := d.ahead(s.runs, p, 1), d.ahead(s.runs, p, -1)
			if len(ahead) > 0 && len(behind) > 0 {
				if r := (run{p.line, span{behind[0].t, ahead[0].t}}); d.allowed(r) {
					out = append(out, d.with(s.runs, r))
				}
			}
		}
	}
	return out
}

// tees are the seams that end on another at a corner of some patches, carried on.
func (d *drawing) tees(s *state, corners func(p place) bool) [][]run {
	var out [][]run
	for i, l := range d.lines {
		spans := slices.Clone(l.edges)
		for _, r := range s.runs {
			if r.line == i {
				spans = append(spans, r.span)
			}
		}
		for _, x := range join(spans) {
			if p := (place{i, x.to}); corners(p) {
				out = append(out, d.carry(s.runs, p, 1)...)
			}
			if p := (place{i, x.from}); corners(p) {
				out = append(out, d.carry(s.runs, p, -1)...)
			}
		}
	}
	return out
}
