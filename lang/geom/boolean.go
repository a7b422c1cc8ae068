package geom

import (
	"cmp"
	"math"
	"slices"
)

// UnionOutline is the outline of parts that fill an area once: anticlockwise
// the outer outlines, clockwise the holes, straight corners dropped. Corners
// are welded and edges cut where corners lie on them, within a hair; then
// edges that two parts share cancel.
//
// ok is false when parts overlap or the edges do not close.
func UnionOutline(parts []Polygon) (outlines []Polygon, ok bool) {
	loops := make([]Polygon, len(parts))
	for i, p := range parts {
		loops[i] = p.CCW()
	}
	g := arrange(loops, Hair)
	outlines, ok = g.outlines()
	if !ok {
		return nil, false
	}
	outlines = slices.DeleteFunc(outlines, isSliver)
	for i, loop := range outlines {
		outlines[i] = loop.Straighten()
	}
	if overlapping(outlines) {
		return nil, false
	}
	return outlines, true
}

// Subtract is what a part leaves of a polygon, in which it must lie wholly,
// within a hair, reaching the outline somewhere: one or more polygons,
// anticlockwise, or none when nothing is left.
//
// ok is false when the part reaches outside or would leave a hole.
func Subtract(poly, part Polygon) (rest []Polygon, ok bool) {
	g := arrange([]Polygon{poly.CCW(), part.CCW().Reverse()}, Hair)
	rest, ok = g.outlines()
	if !ok {
		return nil, false
	}
	rest = slices.DeleteFunc(rest, isSliver)
	for _, loop := range rest {
		if loop.Area() < 0 {
			return nil, false
		}
	}
	return rest, true
}

// isSliver says whether a loop is nowhere wider than cloth can tell.
func isSliver(loop Polygon) bool { return loop.Weld().Straighten() == nil }

// overlapping says whether one outline lies within another without a hole
// between them. Outlines do not cross.
func overlapping(outlines []Polygon) bool {
	if len(outlines) < 2 {
		return false
	}
	for i, a := range outlines {
		if a.Area() < 0 {
			continue
		}
		p, depth := a.InteriorPoint(), 0
		for j, b := range outlines {
			if j != i && b.depth(p) > 0 {
				depth += signOf(b.Area())
			}
		}
		// A hole of a itself lies beside p or around it, never changes the rest.
		if depth > 0 {
			return true
		}
	}
	return false
}

// graph is a plane drawing: places, and edges between them that meet only at
// places. An edge may be there more than once, and both ways.
type graph struct {
	at    []Point
	edges [][2]int
	lines []Segment // what each edge is a piece of
}

// arrange draws closed loops as a graph: corners nearer than within are one,
// and edges are cut wherever a corner lies on them or they cross. A cut moves
// an edge by up to within, so it may now meet others: repeat until all is cut.
// A corner that lies on an edge lies on the line that the edge is a piece of, too: without that,
// an edge would be drawn along a row of corners step by step, ever further from where it was.
func arrange(loops []Polygon, within float64) graph {
	w := Welder{within: within}
	var g graph
	for _, loop := range loops {
		first, last := -1, -1
		for _, p := range loop {
			i, _ := w.Add(p)
			switch {
			case last < 0:
				first = i
			case i != last:
				g.edges = append(g.edges, [2]int{last, i})
			}
			last = i
		}
		if last != first {
			g.edges = append(g.edges, [2]int{last, first})
		}
	}
	g.at = w.Points()
	for i := range g.edges {
		g.lines = append(g.lines, g.segment(i))
	}
	for range 16 {
		if !g.cut(&w) {
			break
		}
	}
	return g
}

func (g *graph) segment(i int) Segment { return Segment{g.at[g.edges[i][0]], g.at[g.edges[i][1]]} }

// cut cuts every edge once round and says whether there was anything to cut.
func (g *graph) cut(w *Welder) bool {
	segments := make([]Segment, len(g.edges))
	for i := range g.edges {
		segments[i] = g.segment(i)
	}
	type mark struct {
		edge int
		t    float64
		node int
	}
	var marks []mark
	note := func(i, node int) {
		t := segments[i].Nearest(w.Points()[node])
		if e := g.edges[i]; node != e[0] && node != e[1] && 0 < t && t < 1 {
			marks = append(marks, mark{i, t, node})
		}
	}
	grid := NewSegmentGrid(segments)
	var near []int
	for i, s := range segments {
		near = grid.AppendNear(near[:0], s, 0)
		for _, j := range near {
			if j > i && !g.share(i, j) {
				if p, ok := CrossSegments(s, segments[j]); ok {
					node, _ := w.Add(p)
					note(i, node)
					note(j, node)
				}
			}
		}
	}
	g.at = w.Points()
	points := NewPointGrid(g.at)
	for i, s := range segments {
		for node := range points.Near(s, w.reach()) {
			if g.lines[i].Dist(g.at[node]) <= w.reach() {
				note(i, node)
			}
		}
	}
	if len(marks) == 0 {
		return false
	}
	slices.SortFunc(marks, func(a, b mark) int {
		return cmp.Or(cmp.Compare(a.edge, b.edge), cmp.Compare(a.t, b.t), cmp.Compare(a.node, b.node))
	})
	marks = slices.Compact(marks)

	cut := make([][2]int, 0, len(g.edges)+len(marks))
	lines := make([]Segment, 0, cap(cut))
	// Pieces between the same two places are pieces of one line, so that they stay alike.
	lineOf := make(map[[2]int]Segment, cap(cut))
	add := func(from, to int, line Segment) {
		key := [2]int{min(from, to), max(from, to)}
		if first, ok := lineOf[key]; ok {
			line = first
		} else {
			lineOf[key] = line
		}
		cut, lines = append(cut, [2]int{from, to}), append(lines, line)
	}
	for i, e := range g.edges {
		from := e[0]
		for ; len(marks) > 0 && marks[0].edge == i; marks = marks[1:] {
			add(from, marks[0].node, g.lines[i])
			from = marks[0].node
		}
		add(from, e[1], g.lines[i])
	}
	g.edges, g.lines = cut, lines
	return true
}

func (g *graph) share(i, j int) bool {
	a, b := g.edges[i], g.edges[j]
	return a[0] == b[0] || a[0] == b[1] || a[1] == b[0] || a[1] == b[1]
}

// outlines cancels edges that run both ways and strings the others into loops
// with the inside on their left, one for each inside and each hole. A loop
// passes a place twice only where it touches itself from without. ok is false
// when two insides lie on top of each other or a loop does not close.
func (g *graph) outlines() (loops []Polygon, ok bool) {
	net := make(map[[2]int]int, len(g.edges))
	for _, e := range g.edges {
		if e[0] < e[1] {
			net[e]++
		} else {
			net[[2]int{e[1], e[0]}]--
		}
	}
	// The edges at each place, those that leave and those that arrive.
	out := make([][]int, len(g.at))
	in := make([][]int, len(g.at))
	taken := make(map[[2]int]bool)
	for _, e := range g.edges {
		n := net[[2]int{min(e[0], e[1]), max(e[0], e[1])}]
		switch {
		case n > 1 || n < -1:
			return nil, false
		case n == 0 || (n > 0) != (e[0] < e[1]) || taken[e]:
			continue
		}
		taken[e] = true
		out[e[0]] = append(out[e[0]], e[1])
		in[e[1]] = append(in[e[1]], e[0])
	}
	for v := range out {
		if len(out[v]) != len(in[v]) || len(out[v]) > 1 && !g.insidesApart(v, out[v], in[v]) {
			return nil, false
		}
	}
	for v := range out {
		for len(out[v]) > 0 {
			loop, ok := g.follow(v, out)
			if !ok {
				return nil, false
			}
			loops = append(loops, loop)
		}
	}
	return loops, true
}

// insidesApart says whether, around a place, leaving and arriving edges take
// turns, so that the insides on their left do not overlap.
func (g *graph) insidesApart(v int, out, in []int) bool {
	type spoke struct {
		angle  float64
		leaves bool
	}
	var spokes []spoke
	add := func(ends []int, leaves bool) {
		for _, to := range ends {
			d := g.at[to].Sub(g.at[v])
			spokes = append(spokes, spoke{math.Atan2(d.Y, d.X), leaves})
		}
	}
	add(out, true)
	add(in, false)
	slices.SortFunc(spokes, func(a, b spoke) int { return cmp.Compare(a.angle, b.angle) })
	for i, s := range spokes {
		if s.leaves == spokes[(i+1)%len(spokes)].leaves {
			return false
		}
	}
	return true
}

// follow takes edges off out from v until it would leave v as it began. Where
// there is a choice it keeps to the same inside: the first way clockwise from
// where it came.
func (g *graph) follow(v int, out [][]int) (Polygon, bool) {
	loop := Polygon{g.at[v]}
	first := out[v][0]
	from, at := v, first
	for {
		if len(out[at]) == 0 {
			return nil, false
		}
		choice := g.nextAround(at, from, out[at], -1)
		next := out[at][choice]
		out[at] = slices.Delete(out[at], choice, choice+1)
		if at == v && next == first {
			return loop, true
		}
		loop = append(loop, g.at[at])
		from, at = at, next
	}
}

// nextAround is which of the ways leads on first when one turns at a place
// from the way back, clockwise (-1) or anticlockwise (1).
func (g *graph) nextAround(at, from int, ways []int, turn float64) int {
	back := g.at[from].Sub(g.at[at])
	best, least := 0, math.Inf(1)
	for i, to := range ways {
		d := g.at[to].Sub(g.at[at])
		angle := turn * math.Atan2(back.Cross(d), back.Dot(d))
		if to == from {
			angle = 2 * math.Pi // straight back only if there is nothing else
		} else if angle <= 0 {
			angle += 2 * math.Pi
		}
		if angle < least {
			best, least = i, angle
		}
	}
	return best
}

// outerOutline is the outline of everything the graph encloses, anticlockwise.
func (g *graph) outerOutline() (Polygon, bool) {
	if len(g.edges) == 0 {
		return nil, false
	}
	ways := make([][]int, len(g.at))
	for _, e := range g.edges {
		ways[e[0]] = append(ways[e[0]], e[1])
		ways[e[1]] = append(ways[e[1]], e[0])
	}
	start := g.edges[0][0] // the lowest place, the leftmost of them
	for v, to := range ways {
		slices.Sort(to)
		ways[v] = slices.Compact(to)
		if p, s := g.at[v], g.at[start]; len(to) > 0 && (p.Y < s.Y || p.Y == s.Y && p.X < s.X) {
			start = v
		}
	}
	// Everything at start lies above: begin with the flattest way to the right.
	first := slices.MinFunc(ways[start], func(a, b int) int {
		da, db := g.at[a].Sub(g.at[start]), g.at[b].Sub(g.at[start])
		return cmp.Compare(math.Atan2(da.Y, da.X), math.Atan2(db.Y, db.X))
	})
	loop := Polygon{g.at[start]}
	from, at := start, first
	for range 4 * len(g.edges) {
		loop = append(loop, g.at[at])
		next := ways[at][g.nextAround(at, from, ways[at], 1)]
		if at == start && next == first {
			return loop[:len(loop)-1], true
		}
		from, at = at, next
	}
	return nil, false
}
