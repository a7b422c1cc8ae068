package seams

import (
	"cmp"
	"context"
	"math"
	"slices"

	"sewable/lang/geom"
)

// A Nudge is a corner that nearly lies on the line of a seam: moved onto it, one seam does where two were
// needed.
type Nudge struct {
	From, To      geom.Point
	Before, After int // seams of the best answer
}

const (
	nudge     = geom.Inch / 8 // the furthest that a corner is moved
	maxNudges = 2             // that are given
	maxMoved  = 4             // that are tried
	effort    = 1_500         // states, for each
)

// Nudges finds corners to move, the shortest way first. Each is tried.
func Nudges(ctx context.Context, outline geom.Polygon, shapes []Shape, o Options, best *Answer) []Nudge {
	d, err := newDrawing(outline, shapes, o)
	if err != nil || best == nil {
		return nil
	}
	start := d.start(nil, 0)
	var all []Nudge
	for _, i := range start.blocked {
		c := d.points[i]
		for _, j := range start.blocked {
			for _, p := range d.points[j].on {
				l := d.lines[p.line]
				_, off := l.place(c.at)
				if i == j || off <= 2*tol || off > nudge || len(l.edges) == 0 {
					continue
				}
				for _, way := range []geom.Point{{X: 1}, {Y: 1}} {
					to, ok := geom.MeetLines(geom.Segment{A: c.at, B: c.at.Add(way)}, geom.Segment{A: l.at, B: l.at.Add(l.dir)})
					if ok && to.Dist(c.at) <= nudge && !slices.ContainsFunc(all, func(n Nudge) bool { return n.From == c.at && n.To.Dist(to) <= tol }) {
						all = append(all, Nudge{From: c.at, To: to})
					}
				}
			}
		}
	}
	slices.SortStableFunc(all, func(a, b Nudge) int { return cmp.Compare(math.Round(a.From.Dist(a.To)), math.Round(b.From.Dist(b.To))) })
	var out []Nudge
	how := o
	how.Answers, how.Effort, how.Progress = 1, effort, nil
	for _, n := range all[:min(len(all), maxMoved)] {
		r, err := add(ctx, outline, moved(shapes, n), how)
		if err != nil || len(r.Answers) == 0 {
			continue
		}
		a := r.Answers[0]
		n.Before, n.After = len(best.Seams), len(a.Seams)
		if n.After < n.Before && a.Score.Splits <= best.Score.Splits && a.Score.Sections <= best.Score.Sections && a.Score.Patches <= best.Score.Patches {
			if out = append(out, n); len(out) == maxNudges {
				break
			}
		}
	}
	return out
}

// moved are shapes with a corner moved, in all of them.
func moved(shapes []Shape, n Nudge) []Shape {
	out := slices.Clone(shapes)
	for i, x := range out {
		out[i].Outline = slices.Clone(x.Outline)
		for k, p := range x.Outline {
			if p.Dist(n.From) <= geom.Hair {
				out[i].Outline[k] = n.To
			}
		}
	}
	return out
}
