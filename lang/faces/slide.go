package faces

import (
	"cmp"
	"math"
	"slices"

	"sewable/lang/geom"
)

const (
	spot   = geom.Hair / 50 // places nearer than this are typed as the same
	longer = 4              // along its own line an end goes this many times as far as it is from the other line, at most
)

// An end is one end of a line, and what is known of its place.
type end struct {
	at geom.Point
	// slack is how far its place may be from where it is meant to be: nothing when it was drawn on
	// a line, what it was moved by when it was moved along its own, else the whole reach.
	slack float64
}

// slide closes the ends of lines along their own lines: an end that falls short of another line, or
// goes past it, goes on or back to where the two meet. Two ends that nearly meet, with no other line
// there, go to where their lines meet. An end on a line stays, and so do ends at one place, unless
// all of them meet a line at one place. What an end is off, a hair or less included, bends no line.
func slide(lines []geom.Segment, outline geom.Polygon, reach float64) (out []geom.Segment, ends []end, closed []Closing) {
	d := drawn{lines: slices.Clone(lines), reach: reach}
	for i := range outline {
		d.lines = append(d.lines, outline.Edge(i))
	}
	d.border = len(lines)
	d.near = newTree(d.lines)
	out = slices.Clone(lines)
	for i := range lines {
		for _, back := range []bool{true, false} {
			own := d.toward(i, back)
			x := end{at: own.B, slack: reach}
			if on, others := d.settled(i, own.B); on {
				x.slack = 0
			} else if to, ok := d.together(i, own, others); ok {
				x = end{at: to, slack: to.Dist(own.B)}
				if back {
					out[i].A = to
				} else {
					out[i].B = to
				}
				if x.slack > geom.Hair {
					closed = append(closed, Closing{own.B, to, x.slack})
				}
			}
			ends = append(ends, x)
		}
	}
	return out, ends, closed
}

// drawn are lines as they were drawn, and behind them the edges of the outline.
type drawn struct {
	lines  []geom.Segment
	border int // the first edge of the outline
	reach  float64
	near   *tree
}

// around visits the other lines near a place.
func (d *drawn) around(own int, p geom.Point, within float64, visit func(j int, s geom.Segment)) {
	var near []int32
	d.near.near(geom.Segment{A: p, B: p}, within, func(j int32) {
		if int(j) != own {
			near = append(near, j)
		}
	})
	slices.Sort(near)
	for _, j := range near {
		visit(int(j), d.lines[j])
	}
}

// toward is a line with its end B where it begins, or ends.
func (d *drawn) toward(i int, back bool) geom.Segment {
	if back {
		return d.lines[i].Reverse()
	}
	return d.lines[i]
}

// settled says whether an end lies on another line, and which lines end at its very place.
func (d *drawn) settled(own int, p geom.Point) (on bool, others []int) {
	const flat = 0.05 // the sine of an angle at which no place of a line is where another ends
	way := d.lines[own].Dir()
	d.around(own, p, spot, func(j int, s geom.Segment) {
		switch at := s.Dist(p) <= spot; {
		case at && j < d.border && (s.A.Dist(p) <= spot || s.B.Dist(p) <= spot):
			others = append(others, j)
		case at:
			on = on || math.Abs(way.Cross(s.Dir())) > flat
		}
	})
	return on, others
}

// together is the target of an end, if it is that of the others at its place.
func (d *drawn) together(own int, line geom.Segment, others []int) (to geom.Point, ok bool) {
	if to, ok = d.target(own, line); !ok {
		return to, false
	}
	for _, j := range others {
		at, is := d.target(j, d.toward(j, d.lines[j].A.Dist(line.B) <= spot))
		if !is || at.Dist(to) > geom.Hair {
			return to, false
		}
	}
	return to, true
}

// A crossing is where a line would meet another.
type crossing struct {
	at    geom.Point
	along float64 // from the end
	steep float64 // the sine of the angle
	past  bool    // the end has gone past it, through the midst of the other line
}

// target is where end B of a line goes: back to the line that it has gone past, else to the nearest
// place where its line meets the inside of another, else to where it meets those of ends nearby, if
// they all meet it at one place. Where several lines are met nearly at once, the steepest tells best where.
func (d *drawn) target(own int, line geom.Segment) (to geom.Point, ok bool) {
	var met, corners []crossing
	d.around(own, line.B, longer*d.reach, func(j int, s geom.Segment) {
		p, crosses := geom.MeetLines(line, s)
		if !crosses || p.Sub(line.A).Dot(line.Dir()) <= geom.Hair {
			return
		}
		along := p.Dist(line.B)
		if along >= longer*d.reach || along >= d.reach && s.Dist(line.B) >= d.reach {
			return
		}
		x := crossing{at: p, along: along, steep: math.Abs(line.Dir().Cross(s.Dir()))}
		x.past = line.B.Sub(p).Dot(line.Dir()) > spot && s.A.Dist(p) > d.reach && s.B.Dist(p) > d.reach
		inside := s.Dist(p) <= spot && s.A.Dist(p) > geom.Hair && s.B.Dist(p) > geom.Hair
		switch {
		case inside || j >= d.border && s.Dist(p) <= spot:
			met = append(met, x)
		case j < d.border:
			for _, e := range []geom.Point{s.A, s.B} {
				if e.Dist(line.B) < d.reach && e.Dist(p) < d.reach && along < d.reach {
					corners = append(corners, x)
				}
			}
		}
	})
	if len(met) == 0 {
		met = corners
		for _, x := range corners {
			if x.at.Dist(corners[0].at) > geom.Hair {
				return to, false
			}
		}
	}
	if len(met) == 0 {
		return to, false
	}
	nearest := slices.MinFunc(met, func(a, b crossing) int {
		if a.past != b.past {
			return map[bool]int{true: -1, false: 1}[a.past]
		}
		return cmp.Compare(a.along, b.along)
	})
	best := nearest
	for _, x := range met {
		if x.steep > best.steep && math.Abs(x.along-nearest.along) <= 2*spot/nearest.steep {
			best = x
		}
	}
	return best.at, true
}
