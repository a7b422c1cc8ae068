package geom

// Crossing is the first place where the outline meets itself otherwise than at
// a corner two neighbouring edges share: edges i and j, i < j, counted by the
// corner they start from, least i first, then least j. Touching counts, and so
// does an edge that doubles back on the one before. Distances up to a hair are
// not bridged: an outline that comes near itself has not met itself.
//
// ok is false when there is no such place, and the polygon is simple.
func Crossing(poly Polygon) (i, j int, at Point, ok bool) {
	n := len(poly)
	if n < 3 || poly.strictlyConvex() {
		return 0, 0, Point{}, false
	}
	if n <= len(fewEdges{}) { // looking at every pair is then fastest
		var room fewEdges
		edges := room[:n]
		for i := range poly {
			edges[i] = poly.Edge(i)
		}
		for i := range edges {
			for j := i + 1; j < n; j++ {
				if at, ok := meetAgain(edges, i, j); ok {
					return i, j, at, true
				}
			}
		}
		return 0, 0, Point{}, false
	}
	edges := make([]Segment, n)
	for i := range poly {
		edges[i] = poly.Edge(i)
	}
	grid := NewSegmentGrid(edges)
	var near []int
	for i, e := range edges {
		near = grid.AppendNear(near[:0], e, noise)
		for _, j := range near {
			if j <= i {
				continue
			}
			if at, ok := meetAgain(edges, i, j); ok {
				return i, j, at, true
			}
		}
	}
	return 0, 0, Point{}, false
}

type fewEdges [16]Segment

// IsSimple says whether the outline nowhere meets itself, see Crossing.
func (poly Polygon) IsSimple() bool {
	_, _, _, ok := Crossing(poly)
	return !ok
}

// meetAgain is where edges i < j of a closed chain meet, the corner that
// neighbours share left out.
func meetAgain(edges []Segment, i, j int) (Point, bool) {
	e, f := edges[i], edges[j]
	switch {
	case j == i+1:
	case i == 0 && j == len(edges)-1:
		e, f = f, e
	default:
		return touch(e, f)
	}
	// e ends where f begins: they meet again only by doubling back.
	if f.Len() > noise && e.Len() > noise {
		if e.Dist(f.B) <= noise {
			return f.B, true
		}
		if f.Dist(e.A) <= noise {
			return e.A, true
		}
	}
	return Point{}, false
}
