package edit

import (
	"cmp"
	"math"
	"slices"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/sew"
)

// missingNotches are the notches that the joins of a block want, as statements of the block: on
// joins that are longer than a limit without a mark, and on those that could be taken for
// another edge of a section.
func missingNotches(b *sew.Block, unmarked float64) []string {
	var out []string
	taken := NotchNames(b.Of)
	for _, j := range wantNotch(b, unmarked) {
		name := FreeNotch(taken)
		taken[name] = true
		out = append(out, Notch(b.Of, j, name))
	}
	return out
}

// AddNotches gives each join of a block that wants a notch one, behind the join.
func AddNotches(b *sew.Block, unmarked float64) []Edit {
	var out []Edit
	taken := NotchNames(b.Of)
	text := b.Of.File.Source.Text
	for _, j := range wantNotch(b, unmarked) {
		if j.Join.CopyOf != nil || j.Join.Item == nil {
			continue
		}
		name := FreeNotch(taken)
		taken[name] = true
		at := j.Join.Item.Raw
		at.Start = at.End
		out = append(out, Edit{at, indent(text, j.Join.Item) + Notch(b.Of, j, name) + lineBreak(text)})
	}
	return out
}

// wantNotch are the joins that want a notch.
func wantNotch(b *sew.Block, unmarked float64) []*sew.JoinLine {
	mistakable := map[*sew.JoinLine]bool{}
	for _, m := range b.Mistakables() {
		mistakable[m.Join] = true
	}
	var out []*sew.JoinLine
	for _, j := range b.JoinLines() {
		long := unmarked > 0 && j.Length > unmarked+geom.Hair && len(j.Marks) <= 2
		if !j.Bent && len(j.Line) == 2 && (long || mistakable[j]) {
			out = append(out, j)
		}
	}
	return out
}

// Notch is the statement of a notch on a straight join: off its middle, so that the edge
// fits one way only, at a round place where there is one, and away from seam ends.
func Notch(b *block.Block, j *sew.JoinLine, name string) string {
	from, to := j.Line[0], j.Line[len(j.Line)-1]
	turned := to.X < from.X-geom.Hair || to.X < from.X+geom.Hair && to.Y < from.Y
	if turned { // the same place whichever unit is named first
		from, to = to, from
	}
	line := geom.Segment{A: from, B: to}
	step := geom.Inch / 4
	if b.File.Unit != geom.Inches {
		step = 5 * geom.Millimetre
	}
	clear := func(at float64) float64 {
		if turned {
			at = j.Length - at
		}
		off := min(at, j.Length-at, math.Abs(at-j.Length/2))
		for _, m := range j.Ends {
			off = min(off, math.Abs(m.At-at))
		}
		for _, m := range j.Marks {
			off = min(off, math.Abs(m.At-at))
		}
		return off
	}
	level, upright := math.Abs(from.Y-to.Y) < 1e-6, math.Abs(from.X-to.X) < 1e-6
	type place struct {
		off   float64
		round geom.Point
		part  string // of the line; the round place when empty
	}
	places := make([]place, 0, 20)
	for _, part := range [...]struct {
		at  float64
		say string
	}{{0.4, "2/5"}, {0.6, "3/5"}, {1. / 3, "1/3"}, {2. / 3, "2/3"}, {0.25, "1/4"}, {0.75, "3/4"}, {0.3, "3/10"}, {0.7, "7/10"}, {0.2, "1/5"}, {0.8, "4/5"}} {
		p := line.At(part.at)
		round := geom.Point{X: geom.RoundTo(p.X, step), Y: geom.RoundTo(p.Y, step)}
		switch {
		case level:
			round.Y = from.Y
		case upright:
			round.X = from.X
		}
		if level || upright {
			places = append(places, place{off: clear(round.Dist(from)), round: round})
		}
		places = append(places, place{off: clear(part.at * j.Length), part: part.say})
	}
	say := func(p place) string {
		if p.part == "" {
			return "notch " + name + " " + Point(b, p.round)
		}
		return "notch " + name + " part " + p.part + " of " + Point(b, from) + " " + Point(b, to)
	}
	for _, enough := range []float64{2 * step, step, step / 2} {
		for _, p := range places {
			if p.off >= enough {
				return say(p)
			}
		}
	}
	return say(slices.MaxFunc(places, func(a, b place) int { return cmp.Compare(a.off, b.off) }))
}

// NotchNames are the names that notches of a block have.
func NotchNames(b *block.Block) map[string]bool {
	taken := map[string]bool{}
	for _, n := range b.Notches {
		taken[n.Name] = true
	}
	for _, s := range b.Sections {
		for _, n := range s.Notches {
			taken[n.Name] = true
		}
	}
	return taken
}

// FreeNotch is a name that no notch has: a letter from m on, else m2, m3 and so on.
func FreeNotch(taken map[string]bool) string {
	for letter := 'm'; letter <= 'z'; letter++ {
		if !taken[string(letter)] {
			return string(letter)
		}
	}
	return FreeName("m", func(name string) bool { return taken[name] })
}
