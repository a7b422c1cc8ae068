package plan

import (
	"cmp"
	"math"
	"slices"

	"sewable/lang/geom"
	"sewable/lang/sew"
)

// A Knot is a place of a drawing that no straight cut divides: parts that have to be
// sewn with an inset or a partial seam, or drawn otherwise.
type Knot struct {
	Parts []int
	// Mend is the nearest change that would cure it: lines carried on. It is empty when
	// none was found.
	Mend []Extension
}

// An Extension carries a seam on, from where it stops, straight through one part after
// another. The parts it cuts are two each then.
type Extension struct {
	geom.Segment            // from where the seam stops to where it would end
	Along        geom.Point // the other end of the seam's last edge
	Through      []int      // the parts cut, in order
}

// Blame finds the knots of a division that cannot be planned, the smallest first.
func Blame(d *sew.Division) []Knot {
	if d.Flawed() {
		return nil
	}
	var knots []Knot
	for _, set := range chordless(d) {
		knots = append(knots, Knot{Parts: set.Parts()})
	}
	slices.SortStableFunc(knots, func(a, b Knot) int { return cmp.Compare(len(a.Parts), len(b.Parts)) })
	for i := range knots {
		knots[i].Mend = mend(d, knots[i].Parts)
	}
	return knots
}

// chordless gives the regions of several parts that are left when a division is cut
// along chord after chord, in whichever order.
func chordless(d *sew.Division) []sew.Set {
	r := d.Regions()
	var left []sew.Set
	todo := []sew.Set{r.All()}
	for len(todo) > 0 {
		set := todo[len(todo)-1]
		todo = todo[:len(todo)-1]
		if set.Len() < 2 {
			continue
		}
		if chords := r.Chords(set); len(chords) > 0 {
			todo = append(todo, chords[0].Left, chords[0].Right)
		} else {
			left = append(left, set)
		}
	}
	return left
}

// maxMended is how many lines a mend carries on, at most; maxTried how many ways are
// tried for each.
const (
	maxMended = 4
	maxTried  = 400
)

// mend looks for the lines of a knot to carry on: one that cures it, those that cut the fewest
// parts first and then the shortest; else the one after which the largest knot
// left is smallest, and so on.
func mend(d *sew.Division, parts []int) []Extension {
	m := mending{of: slices.Clone(parts)}
	for _, k := range parts {
		m.polys = append(m.polys, d.Part(k))
	}
	left := len(parts)
	var out []Extension
	for range maxMended {
		best, bestLeft, found := mending{}, left, Extension{}
		for _, x := range m.extensions() {
			after := m.with(x)
			if n := after.knotted(); n < bestLeft {
				best, bestLeft, found = after, n, x.named(m.of)
				if n == 0 {
					break
				}
			}
		}
		if bestLeft == left {
			return nil
		}
		out, m, left = append(out, found), best, bestLeft
		if left == 0 {
			return out
		}
	}
	return nil
}

// A mending is a knot as it is drawn so far.
type mending struct {
	polys []geom.Polygon
	of    []int // the part of the division that each is, or is cut from
}

// knotted is how many of its parts are in the largest knot; 0 when there is none.
func (m mending) knotted() int {
	d := sew.Divide(nil, m.polys)
	if d.Flawed() {
		return math.MaxInt
	}
	// In parts as they were: a line carried on makes more of them, not larger knots.
	largest := 0
	for _, set := range chordless(d) {
		of := map[int]bool{}
		for _, k := range set.Parts() {
			of[m.of[k]] = true
		}
		largest = max(largest, len(of))
	}
	return largest
}

// with is the knot with a line carried on.
func (m mending) with(x Extension) mending {
	out := mending{}
	for i, p := range m.polys {
		pieces := []geom.Polygon{p}
		if slices.Contains(x.Through, i) {
			for _, c := range geom.Chords(p, x.A, x.B) {
				if c.Overlap(x.A, x.B) > geom.Hair {
					one, two := geom.Split(p, c)
					pieces = []geom.Polygon{one, two}
					break
				}
			}
		}
		for _, piece := range pieces {
			out.polys, out.of = append(out.polys, piece), append(out.of, m.of[i])
		}
	}
	return out
}

// named counts the parts cut as the division does.
func (x Extension) named(of []int) Extension {
	through := make([]int, 0, len(x.Through))
	for _, i := range x.Through {
		if !slices.Contains(through, of[i]) {
			through = append(through, of[i])
		}
	}
	x.Through = through
	return x
}

// Mended is a division with the lines of its knots carried on; nil when one has none.
func Mended(d *sew.Division, knots []Knot) *sew.Division {
	m := mending{}
	for k := range d.Parts() {
		m.polys, m.of = append(m.polys, d.Part(k)), append(m.of, k)
	}
	for _, knot := range knots {
		if len(knot.Mend) == 0 {
			return nil
		}
		for _, x := range knot.Mend {
			var pieces []int
			for i, k := range m.of {
				if slices.Contains(x.Through, k) {
					pieces = append(pieces, i)
				}
			}
			x.Through = pieces
			m = m.with(x)
		}
	}
	if out := sew.Divide(nil, m.polys); !out.Flawed() {
		return out
	}
	return nil
}

// extensions are the lines of the knot that stop inside it, carried on through one
// part, two and so on, up to where they meet a line that goes on in their direction, or the
// knot's border.
func (m mending) extensions() []Extension {
	d := sew.Divide(nil, m.polys)
	var out []Extension
	for _, stop := range d.Stops() {
		x := Extension{Segment: geom.Segment{A: stop.B}, Along: stop.A}
		at := stop.B
		for len(x.Through) < len(m.polys) {
			k, to, ok := m.next(stop, at, x.Through)
			if !ok {
				break
			}
			x.Through, x.B = append(slices.Clone(x.Through), k), to
			out = append(out, x)
			at = to
		}
	}
	slices.SortStableFunc(out, func(a, b Extension) int {
		return cmp.Or(cmp.Compare(len(a.Through), len(b.Through)), cmp.Compare(math.Round(a.Len()), math.Round(b.Len())))
	})
	return out[:min(len(out), maxTried)]
}

// next is the part that a line goes through from a place on, and where it leaves it.
func (m mending) next(line geom.Segment, at geom.Point, not []int) (part int, to geom.Point, ok bool) {
	for i, p := range m.polys {
		if slices.Contains(not, i) {
			continue
		}
		for _, c := range geom.Chords(p, line.A, line.B) {
			a, b := c.A, c.B
			if b.Sub(a).Dot(line.B.Sub(line.A)) < 0 {
				a, b = b, a
			}
			if a.Dist(at) <= geom.Hair && b.Dist(a) > 2*geom.Hair {
				return i, b, true
			}
		}
	}
	return 0, to, false
}
