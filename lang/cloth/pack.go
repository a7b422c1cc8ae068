package cloth

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
)

// packer works out one plan. Lengths are whole numbers of a unit, pieces
// rounded up and the cloth rounded down where the unit does not divide them.
type packer struct {
	wanted []Wanted
	cutter Cutter
	unit   float64
	width  int // of the cloth
	ruler  int
	kinds  []kind // by area, largest first
	least  float64

	plan   []layout // the shortest so far
	length int
	spent  float64 // steps

	// scratch for one strip
	value []float64
	node  []int32
	run   []int32
	nodes []link
	cols  []column
}

// kind is one size of piece. side[0] is as wanted, side[1] turned.
type kind struct {
	ref   int
	sides []side
	left  int
	all   int
}

// side is a way for a piece to lie: w across the cloth, h up its length.
type side struct {
	w, h   int
	turned bool
}

func (k kind) area() int { return k.sides[0].w * k.sides[0].h }

// column is a segment in the making: count pieces of a kind above each other.
type column struct {
	kind, side int
	count      int
	value      float64
}

// link is a chain of columns.
type link struct{ column, next int32 }

const finest = 2048 // units across the cloth at most

func newPacker(wanted []Wanted, c Cutter) (*packer, error) {
	p := &packer{wanted: wanted, cutter: c, unit: unitOf(wanted, c.Width), least: LeastLength(wanted, c.Width)}
	p.width = int(math.Floor(c.Width/p.unit + eps))
	p.ruler = math.MaxInt
	if c.Ruler > 0 {
		p.ruler = int(math.Floor(c.Ruler/p.unit + eps))
	}
	for i, w := range wanted {
		if w.Count == 0 {
			continue
		}
		k := kind{ref: i, all: w.Count}
		a, b := p.units(w.Along), p.units(w.Across)
		fits := func(w, h int) bool { return w <= p.width && (h <= p.width || c.Lengthwise) }
		if fits(a, b) {
			k.sides = append(k.sides, side{a, b, false})
		}
		if !w.Keeps && a != b && fits(b, a) {
			k.sides = append(k.sides, side{b, a, true})
		}
		if len(k.sides) == 0 {
			long := !c.Lengthwise && (a <= p.width || !w.Keeps && b <= p.width)
			return nil, &TooWide{i, long}
		}
		p.kinds = append(p.kinds, k)
	}
	slices.SortStableFunc(p.kinds, func(a, b kind) int { return cmp.Compare(b.area(), a.area()) })
	p.value = make([]float64, p.width+1)
	p.node = make([]int32, p.width+1)
	p.run = make([]int32, p.width+1)
	return p, nil
}

// units is a length in units, rounded up.
func (p *packer) units(x float64) int { return max(1, int(math.Ceil(x/p.unit-eps))) }

// unitOf is the greatest length that all sizes are whole numbers of, unless it
// is too fine.
func unitOf(wanted []Wanted, width float64) float64 {
	fine := width / finest
	unit := 0.0
	for _, w := range wanted {
		for _, x := range [2]float64{w.Along, w.Across} {
			for a, b := x, unit; ; a, b = b, math.Mod(a, b) {
				if b < fine/2 {
					unit = a
					break
				}
			}
		}
	}
	if unit < fine {
		return fine
	}
	for _, w := range wanted {
		for _, x := range [2]float64{w.Along, w.Across} {
			if n := x / unit; math.Abs(n-math.Round(n)) > eps {
				return fine
			}
		}
	}
	return unit
}

// work is about how many steps the search for a plan may take with an effort of 1.
const work = 160e6

// enough is how near to the bound a plan need not be bettered: a two-hundredth is less than
// a cutter loses.
const enough = 1.005

// first makes the plan that is tried first.
func (p *packer) first() {
	p.plan, p.spent, _ = p.pack(policy{}, math.MaxInt)
	p.length = lengthOf(p.plan)
}

// short says whether the plan could still be bettered, worth the while.
func (p *packer) short() bool { return float64(p.length-1)*p.unit >= p.least*enough-eps }

// search tries others and keeps the shortest. An effort of 1 is about half a second.
func (p *packer) search(effort float64) {
	for n := 1; p.spent < work*effort && n < 4000 && p.short(); n++ {
		try, steps, whole := p.pack(policyOf(n), p.length)
		p.spent += steps
		if whole {
			p.plan, p.length = try, lengthOf(try)
		}
	}
}

// policy is how one plan is tried.
type policy struct {
	r *rand.Rand
	// noise is by how much a piece may count for more or less than it is.
	noise float64
	// higher is how often a strip is made higher than its leading piece needs.
	higher float64
	// longest: the piece with the longest side leads, not the one that is
	// widest across its narrow side.
	longest bool
	// rows: beside its leading piece a strip is filled with rows alone, as the room beside a
	// backing is filled best.
	rows bool
}

func policyOf(n int) policy {
	return policy{
		r:       rand.New(rand.NewPCG(1, uint64(n))),
		noise:   [...]float64{0.05, 0.15, 0.4}[n%3],
		higher:  [...]float64{0.2, 0.5, 0.9}[n/3%3],
		longest: n%2 == 1,
		rows:    n%7 == 3,
	}
}

// layout is one strip of a try: so many times this height.
type layout struct {
	height, count int
	segments      []segment
}

type segment struct {
	length int
	rows   []row
}

type row struct {
	height int
	runs   []run
}

type run struct{ kind, side, count int }

func lengthOf(plan []layout) int {
	n := 0
	for _, s := range plan {
		n += s.height * s.count
	}
	return n
}

// pack makes one plan. It gives up, and the plan is not whole, as soon as the
// strips and the area of what is left cannot come to less than a length.
func (p *packer) pack(how policy, than int) (plan []layout, steps float64, whole bool) {
	left, length := 0, 0
	for i := range p.kinds {
		p.kinds[i].left = p.kinds[i].all
		left += p.kinds[i].area() * p.kinds[i].all
	}
	order := p.leaders(how)
	for at := 0; ; {
		for at < len(order) && p.kinds[order[at]].left == 0 {
			at++
		}
		if at == len(order) {
			return plan, steps, true
		}
		lead := order[at]
		var best layout
		full := -1.0
		for side := range p.kinds[lead].sides {
			for _, height := range p.heights(lead, side, how) {
				try := p.strip(lead, side, height, how)
				steps += float64(len(p.cols)+8) * float64(p.width)
				f := p.filled(try) / float64(height)
				if how.r != nil {
					f *= 1 + how.noise*(how.r.Float64()-0.5)
				}
				if f > full {
					best, full = try, f
				}
			}
		}
		p.take(&best)
		plan = append(plan, best)
		left -= int(p.filled(best)) * best.count
		length += best.height * best.count
		if length >= than-(left+p.width-1)/p.width {
			return plan, steps, false
		}
	}
}

// leaders are the kinds in the order in which they lead a strip.
func (p *packer) leaders(how policy) []int {
	key := make([]float64, len(p.kinds))
	order := make([]int, len(p.kinds))
	for i, k := range p.kinds {
		order[i] = i
		w, h := k.sides[0].w, k.sides[0].h
		narrow, wide := float64(min(w, h)), float64(max(w, h))
		if len(k.sides) == 1 { // it can lie one way only
			narrow, wide = float64(h), float64(h)
		}
		if how.longest {
			narrow, wide = wide, narrow
		}
		key[i] = narrow + wide/1e4
		if how.r != nil {
			key[i] *= 1 + how.noise*(how.r.Float64()-0.5)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(key[b], key[a]) })
	return order
}

// heights are the strip heights to try for a piece that lies in a certain way.
func (p *packer) heights(lead, which int, how policy) []int {
	k := p.kinds[lead]
	h := k.sides[which].h
	if h > p.ruler && len(k.sides) == 2 && k.sides[1-which].h < h {
		return nil // a ruler's length does for the other way
	}
	out := []int{h}
	if how.r != nil && how.r.Float64() < how.higher {
		other := p.kinds[how.r.IntN(len(p.kinds))]
		if more := h + other.sides[how.r.IntN(len(other.sides))].h; more <= max(p.ruler, h) {
			out = append(out, more)
		}
	}
	return out
}

// filled is how much of the cloth's width the pieces of a strip fill, times
// the height.
func (p *packer) filled(l layout) float64 {
	area := 0
	for _, s := range l.segments {
		for _, r := range s.rows {
			for _, u := range r.runs {
				area += p.kinds[u.kind].area() * u.count
			}
		}
	}
	return float64(area)
}

// take takes the pieces of a strip off what is left, as often as they last.
func (p *packer) take(l *layout) {
	used := make(map[int]int)
	for _, s := range l.segments {
		for _, r := range s.rows {
			for _, u := range r.runs {
				used[u.kind] += u.count
			}
		}
	}
	l.count = math.MaxInt
	for k, n := range used {
		l.count = min(l.count, p.kinds[k].left/n)
	}
	for k, n := range used {
		p.kinds[k].left -= n * l.count
	}
}
