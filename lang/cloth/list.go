package cloth

import (
	"cmp"
	"errors"
	"fmt"
	"iter"
	"slices"
	"sync"

	"sewable/lang/block"
	"sewable/lang/geom"
)

// List is a cut list with its yardage: plain data for the writers in package
// cutlist.
type List struct {
	Order   Order
	Unit    geom.Unit
	Kits    int
	Fabrics []FabricList // by what the fabric is called
	Faults  []string     // why what it is for cannot be sewn, in sentences; the list says so
}

// FabricList is what is cut from one fabric.
type FabricList struct {
	Fabric  *block.Fabric
	Width   float64 // usable
	Assumed bool    // the fabric gives no width, so it is DefaultWidth
	Pieces  []Piece // what Plan's Wanted numbers mean, largest first
	Plan    Plan
	Whole   []Whole // cut first, they take whole widths of the cloth

	Used float64 // length of Whole and Plan together
	// Bound is the length that everything would take without any waste: the area over
	// the width, of Whole what is needed of it. Least is a better bound: what Pieces take by themselves
	// however they are cut. No way of cutting uses less.
	Bound, Least float64
	Squaring     float64
	Buy          float64 // length to buy: Used and Squaring, rounded up
}

// Whole is Count strips or lengths that take the whole width of the cloth:
// binding, a backing of several lengths, joined borders. Every kit gets its own: what is left of a last
// strip is too short to go round the next kit, and a kit cannot be sewn from half a strip.
type Whole struct {
	What, Of string
	Count    int
	Height   float64
	Run      float64 // how long they are together where they are sewn end to end or side by side; the rest is trimmed
}

// piece is such a strip as a piece of its cloth, for labels.
func (w Whole) piece(width float64, kits int) *Piece {
	return &Piece{
		Form: Strip, Along: width, Across: w.Height, Count: w.Count, Cuts: w.Count,
		Uses: []Use{{Block: w.Of, Label: w.What, Along: width, Across: w.Height, First: 1, Count: w.Count / kits}},
	}
}

// Shares says where the cloth used goes, in whole percent that add up to 100: into
// pieces, into whole ends of strips worth keeping, and into offcuts. What is left of 100 when
// all are rounded down goes to those that lost most.
func (f *FabricList) Shares() (pieces, ends, offcuts int) {
	if f.Used <= 0 {
		return 0, 0, 0
	}
	part := [3]float64{100 * f.Bound / f.Used, 100 * f.Plan.Ends() / f.Width / f.Used}
	part[2] = max(0, 100-part[0]-part[1])
	var whole [3]int
	left := 100
	for i, x := range part {
		whole[i] = int(x + eps)
		left -= whole[i]
	}
	for ; left > 0; left-- {
		most := 0
		for i := range part {
			if part[i]-float64(whole[i]) > part[most]-float64(whole[most]) {
				most = i
			}
		}
		whole[most]++
	}
	return whole[0], whole[1], whole[2]
}

// NewList gathers the pieces of an order and plans how they are cut. The error
// joins everything that has to be mended first.
func NewList(o Order, how OrderOptions) (*List, error) {
	g, err := gather(o, how)
	if err != nil {
		return nil, err
	}
	if how.Only != nil {
		g.fabrics = slices.DeleteFunc(g.fabrics, func(b *bundle) bool { return !how.Only(b.fabric) })
	}
	slices.SortFunc(g.fabrics, func(a, b *bundle) int {
		return cmp.Or(cmp.Compare(a.fabric.Called(), b.fabric.Called()), cmp.Compare(a.fabric.Name, b.fabric.Name))
	})
	l := &List{Order: o, Unit: how.Unit, Kits: o.Kits, Fabrics: make([]FabricList, len(g.fabrics))}
	packers := make([]*packer, len(g.fabrics))
	errs := make([]error, len(g.fabrics))
	each(l.Fabrics, func(i int, f *FabricList) { packers[i], errs[i] = f.start(g.fabrics[i], how) })
	if err := errors.Join(errs...); err != nil {
		return nil, err
	}
	short := 0
	for _, p := range packers {
		if p.short() {
			short++
		}
	}
	each(l.Fabrics, func(i int, f *FabricList) {
		packers[i].search(1 / float64(short)) // none of them is short: none searches
		f.settle(packers[i], how)
	})
	return l, nil
}

// each works on all fabrics at once.
func each(fabrics []FabricList, do func(int, *FabricList)) {
	var all sync.WaitGroup
	for i := range fabrics {
		all.Go(func() { do(i, &fabrics[i]) })
	}
	all.Wait()
}

// start gathers what is cut from one fabric and makes a first plan.
func (f *FabricList) start(b *bundle, how OrderOptions) (*packer, error) {
	f.Fabric, f.Whole = b.fabric, b.whole
	f.Width, f.Assumed = widthOf(b.fabric), b.fabric.Width.Float64() <= 0
	wanted := make([]Wanted, len(b.pieces))
	for i, p := range b.pieces {
		f.Pieces = append(f.Pieces, *p)
		wanted[i] = Wanted{p.Along, p.Across, p.Keeps, p.Cuts}
	}
	p, err := newPacker(wanted, Cutter{Width: f.Width, Ruler: how.Ruler, Lengthwise: how.Long == Lengthwise})
	if err != nil {
		return nil, f.tooWide(err, how)
	}
	p.first()
	return p, nil
}

// settle takes the plan that was found and says what to buy for it.
func (f *FabricList) settle(p *packer, how OrderOptions) {
	f.Plan = p.finish(p.plan)
	whole, needed := 0.0, 0.0
	for _, w := range f.Whole {
		whole += w.Height * float64(w.Count)
		needed += w.Height * w.Run
	}
	f.Used = f.Plan.Length() + whole
	// What is left of a whole strip may serve for pieces, so only areas add up.
	f.Bound = AreaBound(p.wanted, f.Width) + needed/f.Width
	f.Least = max(p.least, f.Bound)
	f.Squaring = how.Squaring
	f.Buy = Purchase(f.Used, how.Squaring, how.Unit)
}

// tooWide says which piece the cloth is too narrow for, and what to do.
func (f *FabricList) tooWide(err error, how OrderOptions) error {
	var wide *TooWide
	if !errors.As(err, &wide) {
		return err
	}
	p := f.Pieces[wide.Wanted]
	what := fmt.Sprintf("%s of %q is cut %s, but %s is %s wide", p.Uses[0].Label, p.Uses[0].Block,
		geom.FormatSize(p.Along, p.Across, how.Unit), f.Fabric.Called(), geom.FormatLong(f.Width, how.Unit))
	if wide.Lengthwise {
		return fmt.Errorf("%s: allow it to be cut along the length of the fabric", what)
	}
	if p.Keeps {
		return fmt.Errorf("%s: a directional print cannot be turned, so divide the patch or use a wider fabric", what)
	}
	return fmt.Errorf("%s: divide the patch, or use a wider fabric", what)
}

// Label is one piece, to be written on it.
type Label struct {
	Number int // in cutting order
	Fabric *block.Fabric
	Use    Use
	Copy   int // of the block, or of the part, in the kit
	Place  int // of the block in its quilt, as one reads them, from 1; 0 for others
	Kit    int
	Piece  *Piece
}

// Sides are the sides of the piece, the one that goes to the seam first.
func (l Label) Sides() (along, across float64) { return l.Use.Seamed(l.Piece) }

// Labels are all pieces in cutting order: fabric by fabric what takes its whole
// width, then strip by strip.
func (l *List) Labels() iter.Seq[Label] {
	return func(yield func(Label) bool) {
		n := 0
		for i := range l.Fabrics {
			f := &l.Fabrics[i]
			for _, w := range f.Whole {
				p := w.piece(f.Width, l.Kits)
				for k := range p.Count {
					n++
					lab := p.label(k)
					lab.Number, lab.Fabric = n, f.Fabric
					if !yield(lab) {
						return
					}
				}
			}
			next := make([]int, len(f.Pieces))
			for ref := range f.Plan.cuts() {
				p := &f.Pieces[ref]
				for range p.Form.PerSquare() {
					if next[ref] == p.Count {
						break // a corner of the last square is over
					}
					lab := p.label(next[ref])
					next[ref]++
					n++
					lab.Number, lab.Fabric = n, f.Fabric
					if !yield(lab) {
						return
					}
				}
			}
		}
	}
}

// Count is how many pieces there are, each with a label.
func (l *List) Count() (pieces int) {
	for i := range l.Fabrics {
		for _, w := range l.Fabrics[i].Whole {
			pieces += w.Count
		}
		for _, p := range l.Fabrics[i].Pieces {
			pieces += p.Count
		}
	}
	return pieces
}

// label is the piece of a number: kit by kit, and in a kit use by use.
func (p *Piece) label(n int) Label {
	inKit := 0
	for _, u := range p.Uses {
		inKit += u.Count
	}
	lab := Label{Kit: n/inKit + 1, Piece: p}
	n %= inKit
	for _, u := range p.Uses {
		if n < u.Count {
			lab.Use, lab.Copy = u, u.First+n
			if len(u.Places) > 0 {
				lab.Place = u.Places[n]
			}
			break
		}
		n -= u.Count
	}
	return lab
}

// cuts gives the number of what is wanted for every rectangle of a plan, in
// the order in which they are cut.
func (p Plan) cuts() iter.Seq[int] {
	return func(yield func(int) bool) {
		for _, s := range p.Strips {
			for range s.Count {
				for _, g := range s.Segments {
					for range g.Count {
						for _, r := range g.Rows {
							for range r.Count {
								for _, u := range r.Runs {
									for range u.Count {
										if !yield(u.Wanted) {
											return
										}
									}
								}
							}
						}
					}
				}
			}
		}
	}
}
