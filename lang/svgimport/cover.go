package svgimport

import (
	"cmp"
	"math"
	"slices"

	"sewable/lang/english"
	"sewable/lang/faces"
	"sewable/lang/geom"
)

// cover makes patches of the faces: what is too narrow to be meant goes to a neighbour, and what goes around
// something else is divided.
func (t *tracer) cover(p *plan, v *viewer, s *faces.Subdivision, seams []geom.Segment, fill geom.Polygon, weld float64) error {
	stacks, err := v.seen(centres(s))
	if err != nil {
		return err
	}
	s, stacks, err = t.whole(v, s, stacks, seams, fill, weld)
	if err != nil {
		return err
	}
	circles := make([]geom.Circle, len(s.Faces))
	var first geom.Point
	bare := 0
	for i, f := range s.Faces {
		circles[i] = geom.InscribedCircle(f.Outline)
		top := stacks[i].top()
		p.patches = append(p.patches, patch{corners: slices.Clone(f.Outline), of: top, colour: stacks[i].colour})
		if top != nil || len(t.shapes) == 0 {
			continue
		}
		if 2*circles[i].R < narrowest(weld) {
			return t.fail(t.nearest(circles[i].Centre).of, "leaves a gap beside it, %s wide at %s. Close it, or use a larger --snap",
				geom.Format(2*circles[i].R, t.unit), t.spot(circles[i].Centre))
		}
		if bare++; bare == 1 {
			first = circles[i].Centre
		}
	}
	if bare > 0 {
		t.note(nil, "%s the fabric plain%s at %s", english.Count(bare, "part of the block is not covered by any shape and gets", "parts of the block are not covered by any shape and get"),
			map[bool]string{true: ",", false: ", the first"}[bare == 1], t.spot(first))
	}
	slices.SortStableFunc(p.patches, func(a, b patch) int { return cmp.Compare(painted(a.of), painted(b.of)) })
	return nil
}

// painted is the order of a shape; what nothing paints comes last.
func painted(s *shape) int {
	if s == nil {
		return math.MaxInt
	}
	return s.order
}

// whole is a subdivision without slivers, seams inside one thing that is seen, and holes.
func (t *tracer) whole(v *viewer, s *faces.Subdivision, stacks []*stack, seams []geom.Segment, fill geom.Polygon, weld float64) (*faces.Subdivision, []*stack, error) {
	edges := sides(s)
	into := t.slivers(s, stacks, edges, weld)
	drawn := geom.NewSegmentGrid(seams)
	onSeam := func(e geom.Segment) bool {
		within := max(weld, geom.Hair)
		for _, k := range drawn.AppendNear(nil, e, within) {
			if seams[k].Dist(e.A) <= within && seams[k].Dist(e.Mid()) <= within && seams[k].Dist(e.B) <= within {
				return true
			}
		}
		return false
	}
	var kept []geom.Segment
	for _, e := range edges {
		seg := geom.Segment{A: s.Points[e.a], B: s.Points[e.b]}
		if e.left >= 0 && e.right >= 0 {
			l, r := into[e.left], into[e.right]
			if l == r || stacks[l] == stacks[r] && len(t.shapes) > 0 && !onSeam(seg) {
				continue
			}
		}
		kept = append(kept, seg)
	}
	before, label := s, stacks
	at := func(s *faces.Subdivision) ([]*stack, error) { return t.labels(v, s, before, label, into) }
	if len(kept) < len(edges) {
		var err error
		if s, err = t.subdivide(kept, fill, 0); err != nil {
			return nil, nil, err
		}
		if stacks, err = at(s); err != nil {
			return nil, nil, err
		}
	}
	for round := 0; ; round++ {
		cuts := t.cuts(s, stacks)
		if len(cuts) == 0 {
			return s, stacks, nil
		}
		if round == maxRounds {
			return nil, nil, t.failed("the area around the shapes at %s cannot be divided into patches. Draw a line from them to the edge", t.spot(cuts[0].A))
		}
		kept = append(kept, cuts...)
		var err error
		if s, err = t.subdivide(kept, fill, 0); err != nil {
			return nil, nil, err
		}
		if stacks, err = at(s); err != nil {
			return nil, nil, err
		}
	}
}

// labels are the stacks of faces that are made of others.
func (t *tracer) labels(v *viewer, s, of *faces.Subdivision, stacks []*stack, into []int) ([]*stack, error) {
	loops := make([][]geom.Polygon, len(of.Faces))
	for i, f := range of.Faces {
		for _, ring := range append([][]int{f.Ring}, f.Holes...) {
			loops[i] = append(loops[i], of.Polygon(ring))
		}
	}
	around, err := t.around(centres(s), loops, make([]bool, len(loops)))
	if err != nil {
		return nil, err
	}
	out := make([]*stack, len(s.Faces))
	for i, in := range around {
		if out[i] = &v.empty; len(in) > 0 {
			out[i] = stacks[into[in[0]]]
		}
	}
	return out, nil
}

// slivers says for every face which face it goes to: itself, or, where it is narrower than what is closed,
// the neighbour that it has the most edge with.
func (t *tracer) slivers(s *faces.Subdivision, stacks []*stack, edges []side, weld float64) []int {
	into := make([]int, len(s.Faces))
	narrow := make([]bool, len(s.Faces))
	var first geom.Circle
	count := 0
	for i, f := range s.Faces {
		into[i] = i
		if len(t.shapes) == 0 {
			continue
		}
		c := middle(s, f)
		if len(f.Holes) > 0 { // a ring: as wide as its area is by half its edges
			around := s.Polygon(f.Ring).Perimeter()
			for _, h := range f.Holes {
				around += s.Polygon(h).Perimeter()
			}
			c.R = f.Area / around
		}
		if narrow[i] = 2*c.R <= max(weld, geom.Hair); narrow[i] {
			if count++; count == 1 {
				first = c
			}
		}
	}
	if count == 0 {
		return into
	}
	for range count { // a sliver among slivers waits until one of them has gone
		shared := make(map[[2]int]float64)
		for _, e := range edges {
			if e.left < 0 || e.right < 0 {
				continue
			}
			length := s.Points[e.a].Dist(s.Points[e.b])
			if narrow[e.left] && !narrow[e.right] {
				shared[[2]int{e.left, e.right}] += length
			}
			if narrow[e.right] && !narrow[e.left] {
				shared[[2]int{e.right, e.left}] += length
			}
		}
		best := make(map[int]int)
		for pair, length := range shared {
			now, ok := best[pair[0]]
			better := shared[[2]int{pair[0], now}]
			if !ok || length > better || length == better && pair[1] < now {
				best[pair[0]] = pair[1]
			}
		}
		if len(best) == 0 {
			break
		}
		for k, to := range best {
			into[k], narrow[k] = into[to], false
		}
	}
	removed := 0
	for i := range into {
		if into[i] != i {
			removed++
		}
	}
	if removed > 0 {
		t.note(nil, "%s narrower than %s removed, the first at %s: the patches beside take the place", english.Count(removed, "sliver", "slivers"),
			geom.FormatExact(max(weld, geom.Hair), t.unit)+map[bool]string{true: " is", false: " are"}[removed == 1], t.spot(first.Centre))
	}
	return into
}

// maxLevels is on how many levels a place in a face with holes is looked for.
const maxLevels = 40

// amid is a place in a face with holes, far from its edges: the best of the middles of level lines across it, halfway
// between corners.
func amid(s *faces.Subdivision, f faces.Face) (best geom.Circle) {
	var edges []geom.Segment
	var levels []float64
	for _, ring := range append([][]int{f.Ring}, f.Holes...) {
		for _, e := range edgesOf(s.Polygon(ring)) {
			edges = append(edges, e)
			levels = append(levels, e.A.Y)
		}
	}
	slices.Sort(levels)
	type gap struct{ y, height float64 }
	var gaps []gap
	for i := range levels[1:] {
		gaps = append(gaps, gap{(levels[i] + levels[i+1]) / 2, levels[i+1] - levels[i]})
	}
	slices.SortStableFunc(gaps, func(a, b gap) int { return cmp.Compare(b.height, a.height) })
	for _, g := range gaps[:min(len(gaps), maxLevels)] {
		var xs []float64
		for _, e := range edges {
			if (e.A.Y > g.y) != (e.B.Y > g.y) {
				xs = append(xs, (e.B.X-e.A.X)*(g.y-e.A.Y)/(e.B.Y-e.A.Y)+e.A.X)
			}
		}
		slices.Sort(xs)
		for i := 0; i+1 < len(xs); i += 2 {
			p := geom.Point{X: (xs[i] + xs[i+1]) / 2, Y: g.y}
			if (xs[i+1]-xs[i])/2 <= best.R {
				continue
			}
			clear := math.Inf(1)
			for _, e := range edges {
				clear = min(clear, e.Dist(p))
			}
			if clear > best.R {
				best = geom.Circle{Centre: p, R: clear}
			}
		}
	}
	return best
}

// nearest is the shape or stroke nearest to a place.
func (t *tracer) nearest(p geom.Point) *area {
	var best *area
	least := math.Inf(1)
	look := func(a *area) {
		for _, l := range a.loops {
			for i := range l {
				if d := l.Edge(i).Dist(p); d < least {
					best, least = a, d
				}
			}
		}
	}
	for _, s := range t.shapes {
		look(s.area)
	}
	for _, s := range t.strokes {
		look(s.area)
	}
	return best
}
