package plan

import (
	"cmp"
	"context"
	"encoding/binary"
	"math"
	"slices"

	"sewable/lang/geom"
	"sewable/lang/sew"
)

// A search remembers the regions it has come to.
type search struct {
	ctx     context.Context
	d       *sew.Division
	r       *sew.Regions
	o       Options
	boxes   []geom.Box // of the parts
	regions map[string]*region
	looked  int
	over    bool // the effort is spent, or the context done
	stopped bool // the context was
	key     []byte

	pass pass
}

// A pass is how thoroughly regions are looked at: those of up to whole parts
// along all their chords, larger ones along the first few.
type pass struct {
	number int
	whole  int
	chords int
}

// The passes grow until the last one looks at everything. A small drawing needs no
// other.
var passes = []pass{{1, 8, 1}, {2, 16, 1}, {3, 24, 2}, {4, 32, 3}, {5, 48, 4}, {6, 64, 6}, {7, 96, 9}, {8, 1 << 30, 1 << 30}}

// A region is what is known of one.
type region struct {
	set   sew.Set
	size  int
	core  int // parts that are left when all are taken off that can be
	fits  bool
	least Cost
	bound int // sections at least, by bound.go; 0: not asked

	known  bool // chords are
	chords []chord
	reason Reason // why there is one chord, when it is not Cheapest

	best  Cost
	taken int  // the chord, or -1
	some  bool // best is that of a plan
	exact bool // no plan of the region costs less
	pass  int  // the last that came here
}

// A chord is a full chord of a region and the regions on either side.
type chord struct {
	sew.RegionChord
	own         Cost
	left, right *region
}

func newSearch(ctx context.Context, d *sew.Division, o Options) *search {
	s := &search{ctx: ctx, d: d, r: d.Regions(), o: o, regions: map[string]*region{}}
	for k := range d.Parts() {
		s.boxes = append(s.boxes, d.Part(k).Bounds())
	}
	return s
}

func (s *search) run() *region {
	root := s.region(s.r.All())
	for _, p := range passes {
		if p.whole < root.size && p.whole > 8 && root.size <= 24 {
			continue
		}
		s.pass = p
		s.solve(root)
		if root.exact || s.over {
			break
		}
	}
	return root
}

// region finds or makes what is known of a set.
func (s *search) region(set sew.Set) *region {
	s.key = appendSet(s.key[:0], set)
	if r := s.regions[string(s.key)]; r != nil {
		return r
	}
	r := &region{set: set, taken: -1}
	s.regions[string(s.key)] = r
	r.size = set.Len()
	core := s.r.Core(set, nil)
	r.core = core.Len()
	r.fits = s.fits(r)
	if r.core == 1 && (r.fits || s.hopeless(r)) {
		r.best, r.some, r.exact = Cost{Sections: 1, Uneven: r.size * r.size}, true, true
		r.least = r.best
		r.bound = 1
	} else {
		r.least = Cost{Sections: 2, Uneven: (r.size*r.size + 1) / 2}
	}
	s.looked++
	if s.looked > s.o.Effort {
		s.over = true
	}
	if s.looked%64 == 0 && s.ctx.Err() != nil {
		s.over, s.stopped = true, true
	}
	return r
}

func appendSet(key []byte, set sew.Set) []byte {
	for _, w := range set {
		key = binary.LittleEndian.AppendUint64(key, w)
	}
	return key
}

// fits says whether a region fits on a sheet; so does then whatever is in it.
func (s *search) fits(r *region) bool {
	if s.o.Width <= 0 || s.o.Height <= 0 {
		return true
	}
	parts := r.set.Parts()
	box := s.boxes[parts[0]]
	for _, k := range parts[1:] {
		box = box.Union(s.boxes[k])
	}
	return s.fit(box)
}

func (s *search) fit(b geom.Box) bool {
	w, h := b.Width(), b.Height()
	return min(w, h) <= min(s.o.Width, s.o.Height)+geom.Hair && max(w, h) <= max(s.o.Width, s.o.Height)+geom.Hair
}

// hopeless says that a patch of a region does not fit by itself.
func (s *search) hopeless(r *region) bool {
	return slices.ContainsFunc(r.set.Parts(), func(k int) bool { return !s.fit(s.boxes[k]) })
}

// solve improves what is known of a region as far as the pass goes. It always
// ends with some plan.
func (s *search) solve(r *region) {
	if r.exact || r.pass >= s.pass.number || r.some && s.over {
		return
	}
	r.pass = s.pass.number
	s.look(r)
	most := len(r.chords)
	if r.size > s.pass.whole {
		most = min(most, s.pass.chords)
	}
	exact := most == len(r.chords)
	for i := range r.chords[:most] {
		if s.over && r.some {
			exact = false
			break
		}
		c := &r.chords[i]
		if r.some && s.o.Compare(s.atLeast(c), r.best) >= 0 {
			continue // no better, whatever its sides come to
		}
		s.solve(c.left)
		if r.some && s.o.Compare(c.left.best.plus(c.right.least).plus(c.own), r.best) >= 0 && c.left.exact {
			continue
		}
		s.solve(c.right)
		if cost := c.left.best.plus(c.right.best).plus(c.own); !r.some || s.o.Compare(cost, r.best) < 0 {
			r.best, r.taken, r.some = cost, i, true
		}
		exact = exact && (c.left.exact && c.right.exact || s.o.Compare(s.atLeast(c), r.best) >= 0)
	}
	if exact {
		r.exact, r.least = true, r.best
	}
}

// atLeast is what a region costs at least when it is cut along a chord first.
func (s *search) atLeast(c *chord) Cost { return c.left.least.plus(c.right.least).plus(c.own) }

// look finds the chords of a region that a cheapest plan may begin with, the most
// promising first.
//
// A chord that seams end on from both sides, and that none of them crosses, is cut in
// every plan (sew.Regions.Obstacles says why), so it may as well be cut first: the other
// chords stay whole on either side of it.
//
// A cap is what one side of a chord is when it can be taken off patch by patch
// while the other side is whole. A cheapest plan has no cut inside a cap: when the
// cap's own chord is cut, the cap is one section; when it is not, no cut crosses it
// (where two lines cross no patch comes off), one section holds the chord, and the rest of
// the cap can be sewn onto that section, wherever it was before. And the chord itself is
// cut only for the sake of seams that end on it from the other side: where there are
// none the cap can be sewn onto the one section that lies along it.
//
// A leaf is a side that can be sewn by itself, with seams ending on its chord, while one
// patch lies along the whole chord on the other side. See leaf.
//
// Caps and leaves make larger sections of smaller ones, so they count only in a region that
// fits on a sheet as a whole.
func (s *search) look(r *region) {
	if r.known {
		return
	}
	r.known = true
	core := s.r.Core(r.set, nil)
	found := s.r.Chords(r.set)
	for i := range found {
		c := &found[i]
		if c.EndsLeft > 0 && c.EndsRight > 0 && !c.Crossed {
			r.reason = Needed
			r.chords = []chord{s.chord(c)}
			return
		}
	}
	if !r.fits {
		core = s.r.All() // meets every side: no caps
	}
	type cap struct {
		of      int // the chord
		set     sew.Set
		useless bool
	}
	var caps []cap
	for i := range found {
		c := &found[i]
		for _, side := range []struct {
			set    sew.Set
			across int // seams that end on the chord from the other side
		}{{c.Left, c.EndsRight}, {c.Right, c.EndsLeft}} {
			if !side.set.Meets(core) && !s.r.Core(r.set, side.set).Meets(side.set) {
				caps = append(caps, cap{i, side.set, side.across == 0})
			}
		}
	}
	for i := range found {
		c := &found[i]
		useless := slices.ContainsFunc(caps, func(p cap) bool {
			return p.of == i && p.useless || p.of != i && (c.Left.Within(p.set) || c.Right.Within(p.set))
		})
		if !useless {
			r.chords = append(r.chords, s.chord(c))
		}
	}
	if i := leaf(r.chords); i >= 0 && r.fits {
		r.chords, r.reason = r.chords[i:i+1], Leaf
		return
	}
	uneven := func(c *chord) int { return max(c.left.size, c.right.size) }
	slices.SortStableFunc(r.chords, func(a, b chord) int {
		return cmp.Or(s.o.Compare(Cost{Sections: a.left.least.Sections + a.right.least.Sections}, Cost{Sections: b.left.least.Sections + b.right.least.Sections}),
			cmp.Compare(a.left.core+a.right.core, b.left.core+b.right.core),
			cmp.Compare(uneven(&a), uneven(&b)),
			inRows(a.Segment, b.Segment))
	})
}

// inRows orders chords that promise the same: level ones first, then upright ones, as a
// block is laid out in rows; of those the lowest, or the one furthest right, which leaves the
// first row for the first section.
func inRows(a, b geom.Segment) int {
	rank := func(s geom.Segment) int {
		switch way := s.B.Sub(s.A); {
		case math.Abs(way.Y) <= geom.Hair:
			return 0
		case math.Abs(way.X) <= geom.Hair:
			return 1
		}
		return 2
	}
	place := func(s geom.Segment) (x, y float64) { m := s.Mid(); return math.Round(m.X), math.Round(m.Y) }
	ax, ay := place(a)
	bx, by := place(b)
	return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(ay, by), cmp.Compare(bx, ax))
}

func (s *search) chord(c *sew.RegionChord) chord {
	own := Cost{Matches: c.Matches, Near: s.r.AlmostMatched(c, s.o.Near)}
	if s.o.BulkyPoint > 0 {
		for _, v := range s.r.Corners(c) {
			if s.d.Lines(v) >= s.o.BulkyPoint {
				own.Bulky++
			}
		}
	}
	return chord{RegionChord: *c, own: own, left: s.region(c.Left), right: s.region(c.Right)}
}

// leaf finds a chord that a cheapest plan may cut first because a patch has two leaves;
// -1 when there is none.
//
// Two leaves of one patch are never both left on it: none of a leaf's patches along the
// chord comes off before that patch does, which with two of them never does. A section that
// keeps one leaf can, without it, be sewn beginning with the patch; so it could keep the other
// leaf as well. No seam ends on the chords from the patch's side, so nothing else depends on
// which it is (none can match, or almost match), but for the bulky intersections on its chord and the size of the section that keeps it: the
// larger leaf is cut off.
func leaf(chords []chord) int {
	type seen struct{ chord, size, bulky int }
	of := map[int]seen{}
	for i := range chords {
		c := &chords[i]
		side, on := c.left, c.OnRight
		if c.EndsLeft == 0 {
			side, on = c.right, c.OnLeft
		}
		if c.EndsLeft > 0 == (c.EndsRight > 0) || side.core > 1 {
			continue
		}
		one, two := seen{i, side.size, c.own.Bulky}, of[on]
		if two.size == 0 {
			of[on] = one
			continue
		}
		switch {
		case one.size >= two.size && one.bulky <= two.bulky:
			return one.chord
		case two.size >= one.size && two.bulky <= one.bulky:
			return two.chord
		}
	}
	return -1
}
