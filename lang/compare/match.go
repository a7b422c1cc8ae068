package compare

import (
	"math"
	"slices"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/geom"
	"sewable/lang/sew"
)

// patches matches the patches of both sides.
func (b *Block) patches(how Options) []Patch {
	old, new := pieces(b.Before, how.Before), pieces(b.After, how.After)
	if b.Before != nil && b.After != nil {
		old, new = readable(old, b.After.Of), readable(new, b.Before.Of)
	}
	partner := match(old, new, func(p geom.Point) geom.Point { return p })
	if b.Before != nil && b.After != nil {
		if scale, ok := scaled(b.Before.Of, b.After.Of); ok {
			if other := match(old, new, scale); other.fit > partner.fit {
				partner = other
			}
		}
	}
	var out []Patch
	taken := make([]bool, len(new))
	for i, p := range old {
		c := Patch{Before: p}
		if j := partner.of[i]; j >= 0 {
			taken[j] = true
			c.After = new[j]
			switch kin(p.Corners, new[j].Corners) {
			case unlike:
				c.Shape = true
			case shifted, turned:
				c.Moved = true
			}
		}
		out = append(out, c)
	}
	for j, p := range new {
		if !taken[j] {
			out = append(out, Patch{After: p})
		}
	}
	slices.SortStableFunc(out, func(p, q Patch) int { return compareNames(p.label(), q.label()) })
	return out
}

// label is what a patch is called now, or was.
func (p Patch) label() string {
	if p.After != nil {
		return p.After.Label
	}
	return p.Before.Label
}

// pieces are the patches of a side, in written order, but for those of sections
// that cannot be read whole.
func pieces(b *sew.Block, how cloth.OrderOptions) []*Piece {
	if b == nil {
		return nil
	}
	var out []*Piece
	seams := cloth.Seams(b)
	add := func(p *block.Patch) {
		if len(p.Corners) < 3 {
			return
		}
		piece := &Piece{Patch: p, Label: p.Label()}
		if how.Options != nil && p.Section != nil {
			if c, ok := cloth.Place(p, seams[p], cloth.Placed{}, how.Options(b.Of.File)); ok {
				piece.Width, piece.Height, piece.Cut = c.Width, c.Height, &c.Pick
			}
		}
		out = append(out, piece)
	}
	for _, s := range b.Of.Sections {
		if s.Broken {
			continue
		}
		for _, p := range s.Patches {
			add(p)
		}
	}
	for _, p := range b.Of.Loose {
		add(p)
	}
	return out
}

// readable leaves out the patches of sections that cannot be read whole on the
// other side: nothing can be said of them.
func readable(pieces []*Piece, other *block.Block) []*Piece {
	return slices.DeleteFunc(pieces, func(p *Piece) bool {
		return p.Section != nil && slices.ContainsFunc(other.Sections, func(s *block.Section) bool {
			return s.Broken && s.Name == p.Section.Name
		})
	})
}

// scaled brings a place of a block to the place of another size of it.
func scaled(x, y *block.Block) (func(geom.Point) geom.Point, bool) {
	a, b := sizeOf(x), sizeOf(y)
	if a.Width <= 0 || a.Height <= 0 || near(a.Width, b.Width) && near(a.Height, b.Height) {
		return nil, false
	}
	w, h := b.Width/a.Width, b.Height/a.Height
	return func(p geom.Point) geom.Point { return geom.Point{X: w * p.X, Y: h * p.Y} }, true
}

// matching is the partner of each old patch among the new, or -1, and how well
// all fit.
type matching struct {
	of  []int
	fit float64
}

// match pairs patches: first those of the same shape at the same place, then the rest by
// what they have in common. place is where an old place would be now.
func match(old, new []*Piece, place func(geom.Point) geom.Point) matching {
	shapes := make([]geom.Polygon, len(old))
	for i, p := range old {
		shapes[i] = make(geom.Polygon, len(p.Corners))
		for k, c := range p.Corners {
			shapes[i][k] = place(c)
		}
		shapes[i] = shapes[i].CCW().Straighten()
	}
	now := make([]geom.Polygon, len(new))
	at := map[cell][]int{}
	for j, p := range new {
		now[j] = p.Corners.CCW().Straighten()
		c := cellOf(now[j].Bounds())
		at[c] = append(at[c], j)
	}
	m := matching{of: slices.Repeat([]int{-1}, len(old))}
	taken := make([]bool, len(new))
	var left []int
	for i, p := range old {
		best := -1
		for _, c := range cellOf(shapes[i].Bounds()).around() {
			for _, j := range at[c] {
				if !taken[j] && kin(shapes[i], now[j]) == same && (best < 0 || p.cloth() == new[j].cloth()) {
					best = j
				}
			}
		}
		if m.of[i] = best; best >= 0 {
			taken[best] = true
			m.fit += 4
		} else {
			left = append(left, i)
		}
	}
	var open []int
	for j := range new {
		if !taken[j] {
			open = append(open, j)
		}
	}
	score := func(i, j int) float64 {
		return common(old[left[i]], new[open[j]], shapes[left[i]], now[open[j]])
	}
	for i, j := range assign(len(left), len(open), score) {
		if j >= 0 {
			m.of[left[i]] = open[j]
			m.fit += score(i, j) / 3
		}
	}
	return m
}

// cell is where a shape's box begins, roughly: same shapes are in one cell or in
// neighbouring ones.
type cell struct{ x, y int64 }

const cellSize = 4 * geom.Hair

func cellOf(b geom.Box) cell {
	return cell{int64(math.Floor(b.Min.X / cellSize)), int64(math.Floor(b.Min.Y / cellSize))}
}

func (c cell) around() (out [9]cell) {
	for i := range out {
		out[i] = cell{c.x + int64(i%3) - 1, c.y + int64(i/3) - 1}
	}
	return out
}

// common is how much two patches have in common, 0 when they are not to be taken
// for one another. Where they lie counts most.
func common(p, q *Piece, a, b geom.Polygon) float64 {
	shared := overlap(a, b)
	x, y := math.Abs(a.Area()), math.Abs(b.Area())
	if x <= 0 || y <= 0 {
		return 0
	}
	place := shared / (x + y - shared)
	inside := shared / min(x, y)
	fabric, label := p.cloth() == q.cloth(), p.Label == q.Label && p.Label != ""
	alike := kin(p.Corners, q.Corners) != unlike
	switch {
	case place >= 0.15, inside >= 0.6 && (fabric || label), alike && fabric, label && fabric:
	default:
		return 0
	}
	s := 3*place + inside
	for _, bonus := range []struct {
		is bool
		of float64
	}{{fabric, 1}, {label, 0.6}, {alike, 0.8}, {p.Section != nil && q.Section != nil && p.Section.Name == q.Section.Name, 0.2}} {
		if bonus.is {
			s += bonus.of
		}
	}
	return s
}

// overlap is the area that two shapes share, by level lines: exact along them, and
// near enough between them to tell which shapes belong together.
func overlap(a, b geom.Polygon) float64 {
	const lines = 48
	x, y := a.Bounds(), b.Bounds()
	if !x.Meets(y) {
		return 0
	}
	low, high := max(x.Min.Y, y.Min.Y), min(x.Max.Y, y.Max.Y)
	step := (high - low) / lines
	if step <= 0 {
		return 0
	}
	sum := 0.0
	var p, q []float64
	for i := range lines {
		level := low + (float64(i)+0.5)*step
		p, q = crossings(p[:0], a, level), crossings(q[:0], b, level)
		for m, n := 0, 0; m+1 < len(p) && n+1 < len(q); {
			sum += max(0, min(p[m+1], q[n+1])-max(p[m], q[n]))
			if p[m+1] < q[n+1] {
				m += 2
			} else {
				n += 2
			}
		}
	}
	return sum * step
}

// crossings are where the sides of a shape cross a level, from left to right.
func crossings(dst []float64, p geom.Polygon, level float64) []float64 {
	for i := range p {
		e := p.Edge(i)
		if (e.A.Y > level) != (e.B.Y > level) {
			dst = append(dst, e.A.X+(level-e.A.Y)/(e.B.Y-e.A.Y)*(e.B.X-e.A.X))
		}
	}
	slices.Sort(dst)
	return dst
}
