package cloth

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/sew"
)

// Order is what is to be cut: so many kits, each of the same blocks and quilts.
type Order struct {
	Blocks []Placed
	Quilts []*Quilt // one for each copy wanted, or the same one several times
	Kits   int
}

// OrderOptions are how an order is cut.
type OrderOptions struct {
	Options  func(*block.File) Options // those that hold for a file's blocks
	Unit     geom.Unit                 // of the list
	Ruler    float64                   // see Cutter
	Long     Long
	Squaring float64                  // cut off to square up the end of each fabric
	Only     func(*block.Fabric) bool // the fabrics that are wanted; nil: all
}

// Long says what becomes of a piece that is longer than its cloth is wide.
type Long uint8

// The ways of Long.
const (
	Lengthwise Long = iota // it is cut along the length of the cloth
	Joined                 // a strip of the setting is joined from strips across; patches are refused
	Refused                // it is an error
)

// MaxPieces is how many pieces an order may come to.
const MaxPieces = 2_000_000

// Piece is so many equal pieces of one fabric.
type Piece struct {
	Form          Form
	Along, Across float64 // the size to cut; of a square both are its side
	Keeps         bool    // see Offer
	Slant         *Slant  // see Offer
	Uses          []Use
	Count         int // pieces
	Cuts          int // rectangles or squares: fewer than pieces where these are halved or quartered
}

// Use is what pieces are for: in every kit one for each copy from First on.
type Use struct {
	Block    string // the block's title, or the setting's
	Way      string // the colourway; empty for the block's own fabrics
	Mirrored bool   // for mirror images of the block, which have foundations of their own
	// Turned is how the setting turns the copies, in degrees anticlockwise, 0 ≤ Turned < 360. It
	// matters to prints that are kept upright; of other pieces it is 0.
	Turned float64
	Label  string // the patch, C4, or the part of the setting
	Lay    Lay    // of patches: how the pieces are laid
	// Along and Across are the piece's sides as they go here, the one along the seam first: those of
	// the Piece or, where pieces of one size are cut together, the same the other way round.
	Along, Across float64
	First         int
	Count         int   // in one kit
	Places        []int // of the block's copies in a quilt, as one reads them, from 1; nil for blocks by themselves
}

// gathering gathers the pieces of an order by fabric.
type gathering struct {
	how     OrderOptions
	kits    int
	fabrics []*bundle
	byName  map[fabricKey]*bundle
	copies  map[copyKey]int // of blocks counted so far
	total   int
	errs    []error
	missing map[string]bool // what has been said once

	counting bool           // the pieces of each choice, before any is added
	counts   map[choice]int // in one kit
}

// choice is what a patch may be cut as where triangles are allowed: the fabric, and the sizes of Shapes.
type choice struct {
	fabric *block.Fabric
	sizes  [3][2]float64
}

// bundle is what is cut from one fabric.
type bundle struct {
	fabric *block.Fabric
	pieces []*Piece
	bySize map[sizeKey]*Piece
	whole  []Whole
}

// A fabric that several files use is one fabric; so is one that a file was read
// for twice.
type fabricKey struct{ file, name string }

type copyKey struct {
	block, way string
	mirrored   bool
}

type sizeKey struct {
	form          Form
	along, across int64
	keeps         bool
	slant         [3]int64 // its size and angle
}

// gather gathers the pieces of an order.
func gather(o Order, how OrderOptions) (*gathering, error) {
	g := &gathering{
		how: how, kits: o.Kits, byName: map[fabricKey]*bundle{}, copies: map[copyKey]int{},
		missing: map[string]bool{}, counts: map[choice]int{},
	}
	if o.Kits < 1 {
		return nil, errors.New("the number of kits must be at least 1")
	}
	analysed := make(map[*block.Block]map[*block.Patch]Seam)
	add := func(p Placed, places []int) {
		if p.Count < 1 || p.Count > MaxPieces {
			g.fail("%q is requested %d times; use a number from 1 to %d", p.Block.Name, p.Count, MaxPieces)
			return
		}
		seams, ok := analysed[p.Block]
		if !ok {
			seams = Seams(sew.Analyse(p.Block))
			analysed[p.Block] = seams
		}
		g.block(p, seams, places)
	}
	g.counting = true
	for _, p := range o.Blocks {
		if how.Options(p.Block.File).Triangles {
			add(p, nil)
		}
	}
	for _, q := range o.Quilts {
		for _, p := range q.Blocks {
			if how.Options(p.Block.File).Triangles {
				add(p, nil)
			}
		}
	}
	g.counting = false
	for _, p := range o.Blocks {
		add(p, nil)
	}
	for _, q := range o.Quilts {
		for i, p := range q.Blocks {
			var places []int
			if len(o.Quilts) == 1 && len(o.Blocks) == 0 {
				places = q.Places(i)
			}
			add(p, places)
		}
		for _, p := range q.Parts {
			g.part(q, p)
		}
		g.round(q)
	}
	if g.total > MaxPieces/g.kits {
		g.fail("this is more than %d pieces; request fewer kits or copies at a time", MaxPieces)
	}
	for _, b := range g.fabrics {
		b.settle(g.kits)
	}
	return g, errors.Join(g.errs...)
}

// fail notes an error, the same one once.
func (g *gathering) fail(format string, args ...any) {
	err := fmt.Errorf(format, args...)
	if !g.missing[err.Error()] {
		g.missing[err.Error()] = true
		g.errs = append(g.errs, err)
	}
}

// block adds the pieces of a block.
func (g *gathering) block(p Placed, seams map[*block.Patch]Seam, places []int) {
	if !allowed(p.Block) {
		g.fail("%q has no seam allowance, and without one no piece can be cut", p.Block.Name)
		return
	}
	if p.Block.Undivided() || len(p.Block.Loose) > 0 {
		g.fail("%q is not divided into sections yet, so its pieces are not known; `sewable plan` divides it", p.Block.Name)
		return
	}
	key := copyKey{block: p.Block.Name, mirrored: p.Mirrored}
	if p.Colourway != nil {
		key.way = p.Colourway.Name
	}
	first := g.copies[key] + 1
	if !g.counting {
		g.copies[key] += p.Count
	}
	options := g.how.Options(p.Block.File)
	for _, sec := range p.Block.Sections {
		if sec.Broken {
			g.fail("section %s of %q could not be read completely, so its pieces are not known", sec.Name, p.Block.Name)
			continue
		}
		for _, patch := range sec.Patches {
			piece, ok := Place(patch, seams[patch], p, options)
			if !ok || piece.Fabric == nil {
				g.fail("%s of %q has no fabric or no shape, so it cannot be cut", patch.Label(), p.Block.Name)
				continue
			}
			if g.counting {
				if shapes, free := piece.Shapes(); free {
					g.counts[choiceOf(piece, shapes)] += p.Count
				}
				continue
			}
			g.decide(piece)
			use := Use{Block: p.Block.Name, Way: key.way, Mirrored: p.Mirrored, Label: piece.Label, Lay: piece.Lay(), First: first, Count: p.Count, Places: places}
			if piece.Pick.Keeps {
				use.Turned = p.Turned
			}
			g.add(piece.Fabric, PieceOf(piece.Pick), use)
		}
	}
}

// Decide is how the pieces of an order are cut where triangles are allowed, decided on all of them together, as
// the cut list does.
func Decide(o Order, how OrderOptions) func(*PlacedPiece) {
	g, _ := gather(o, how) // what cannot be cut is not counted
	if g == nil {
		return func(*PlacedPiece) {}
	}
	return g.decide
}

func (g *gathering) decide(p *PlacedPiece) {
	if shapes, free := p.Shapes(); free {
		p.Pick = cheapest(shapes, g.counts[choiceOf(p, shapes)]*g.kits)
	}
}

func choiceOf(p *PlacedPiece, shapes []Offer) choice {
	c := choice{fabric: p.Fabric}
	for i, s := range shapes {
		c.sizes[i] = [2]float64{s.Along, s.Across}
	}
	return c
}

// cheapest is the shape in which so many pieces take least fabric, whole squares counted: a corner of a
// square that is left over is bought too.
func cheapest(shapes []Offer, pieces int) Offer {
	takes := func(o Offer) float64 {
		per := o.Form.PerSquare()
		return float64((pieces+per-1)/per) * o.Along * o.Across
	}
	best := shapes[0]
	for _, s := range shapes[1:] {
		if takes(s) < takes(best)-eps {
			best = s
		}
	}
	return best
}

// part adds pieces of the setting itself.
func (g *gathering) part(q *Quilt, p Part) {
	width := widthOf(p.Fabric)
	long, narrow := max(p.Along, p.Across), min(p.Along, p.Across)
	if g.how.Long == Joined && p.Form == Rectangle && long > width+eps && narrow <= width {
		// Strips are joined on the slant, which takes a strip's width each time.
		ends := float64(p.Count)
		run := long*ends + narrow*math.Ceil(long*ends/width)
		n := int(math.Ceil(run/width - eps))
		g.bundle(p.Fabric).addWhole(Whole{What: p.Name + ", joined end to end", Of: q.Of.Name, Count: n, Height: g.mark(narrow), Run: run})
		return
	}
	keeps := p.Fabric.Directional && p.Form == Rectangle
	if keeps && p.Along > width+eps && p.Across <= width {
		g.fail("%s of %q is cut %s, but %s is %s wide: a directional print cannot be turned, so allow joined strips or use another fabric",
			p.Name, q.Of.Name, geom.FormatSize(p.Along, p.Across, g.how.Unit), p.Fabric.Called(), geom.FormatLong(width, g.how.Unit))
		return
	}
	along, across := p.Along, p.Across
	if !keeps {
		along, across = long, narrow
	}
	g.add(p.Fabric, Piece{Form: p.Form, Along: along, Across: across, Keeps: keeps},
		Use{Block: q.Of.Name, Label: p.Name, First: 1, Count: p.Count})
}

// round adds what goes round and behind a quilt.
func (g *gathering) round(q *Quilt) {
	if b := q.Of.Binding; b != nil {
		n := BindingStrips(q.Perimeter(), BindingJoins, widthOf(b.Fabric))
		g.bundle(b.Fabric).addWhole(Whole{What: "binding", Of: q.Of.Name, Count: n, Height: g.mark(b.Width.Float64()), Run: q.Perimeter() + BindingJoins})
	}
	if f := q.Of.Backing; f != nil {
		g.backing(q, f, NewBacking(q.Top(), widthOf(f), q.Allowance))
	}
}

// backing adds a backing: of several lengths each takes the whole width, while beside a single one
// there is room for other pieces.
func (g *gathering) backing(q *Quilt, f *block.Fabric, b Backing) {
	across := b.Across()
	if b.Count == 1 && (g.how.Long == Lengthwise || b.Length <= widthOf(f)+eps) && g.mark(across) <= widthOf(f)+eps {
		g.add(f, Piece{Form: Rectangle, Along: across, Across: b.Length, Keeps: f.Directional}, Use{Block: q.Of.Name, Label: "backing", First: 1, Count: 1})
		return
	}
	g.bundle(f).addWhole(Whole{What: "backing", Of: q.Of.Name, Count: b.Count, Height: g.mark(b.Length), Run: across})
}

func (g *gathering) bundle(f *block.Fabric) *bundle {
	key := fabricKey{name: f.Name}
	if f.At.File != nil {
		key.file = f.At.File.Path
	}
	b := g.byName[key]
	if b == nil {
		b = &bundle{fabric: f, bySize: map[sizeKey]*Piece{}}
		g.byName[key] = b
		g.fabrics = append(g.fabrics, b)
	}
	return b
}

// PieceOf is how an offer is cut.
func PieceOf(o Offer) Piece {
	return Piece{Form: o.Form, Along: o.Along, Across: o.Across, Keeps: o.Keeps, Slant: o.Slant}
}

func (g *gathering) add(f *block.Fabric, cut Piece, u Use) {
	g.total += u.Count
	if cut.Form == Strip {
		cut.Form = Rectangle // from here on it is a size like others
	}
	cut.Along, cut.Across = g.mark(cut.Along), g.mark(cut.Across)
	u.Along, u.Across = cut.Along, cut.Across
	if !cut.Keeps && cut.Slant == nil && cut.Along < cut.Across { // one size to cut, however it goes: see settle
		cut.Along, cut.Across = cut.Across, cut.Along
	}
	if cut.Form == Rectangle && cut.Slant == nil {
		u.Lay.Edge = g.mark(u.Lay.Edge)
	}
	whole := func(x float64) int64 { return int64(math.Round(x / fine)) }
	key := sizeKey{form: cut.Form, along: whole(cut.Along), across: whole(cut.Across), keeps: cut.Keeps}
	if s := cut.Slant; s != nil {
		key.slant = [3]int64{whole(s.Along), whole(s.Across), whole(s.Angle)}
	}
	b := g.bundle(f)
	p := b.bySize[key]
	if p == nil {
		p = &cut
		b.bySize[key] = p
		b.pieces = append(b.pieces, p)
	}
	for i := range p.Uses {
		v := &p.Uses[i]
		if v.Block == u.Block && v.Way == u.Way && v.Mirrored == u.Mirrored && v.Turned == u.Turned && v.Label == u.Label && v.Lay == u.Lay && v.Along == u.Along {
			if v.First+v.Count == u.First || u.First == 1 {
				v.Count += u.Count
				v.Places = slices.Concat(v.Places, u.Places)
				return
			}
		}
	}
	p.Uses = append(p.Uses, u)
}

// mark is a length rounded up to a mark that rulers have: a sixteenth of an inch, a
// millimetre. Sizes in whole steps stay as they are.
func (g *gathering) mark(length float64) float64 {
	if g.how.Unit == geom.Inches {
		return geom.RoundUp(length, geom.Inch/16)
	}
	return geom.RoundUp(length, geom.Millimetre)
}

func (b *bundle) addWhole(w Whole) {
	for i := range b.whole {
		if v := &b.whole[i]; v.What == w.What && v.Of == w.Of && math.Abs(v.Height-w.Height) < eps {
			v.Count += w.Count
			v.Run += w.Run
			return
		}
	}
	b.whole = append(b.whole, w)
}

// settle counts the pieces of all kits and puts the large ones first.
func (b *bundle) settle(kits int) {
	for _, p := range b.pieces {
		for _, u := range p.Uses {
			p.Count += u.Count * kits
		}
		p.Cuts = (p.Count + p.Form.PerSquare() - 1) / p.Form.PerSquare()
	}
	for i := range b.whole {
		b.whole[i].Count *= kits
		b.whole[i].Run *= float64(kits)
	}
	slices.SortStableFunc(b.pieces, func(p, q *Piece) int {
		return cmp.Or(cmp.Compare(q.Along*q.Across, p.Along*p.Across), cmp.Compare(q.Along, p.Along))
	})
	for _, p := range b.pieces {
		p.turn()
	}
}

// turn names the sides of a size as most of its pieces go.
func (p *Piece) turn() {
	same, turned := 0, 0
	for _, u := range p.Uses {
		if u.Turns(p) {
			turned += u.Count
		} else {
			same += u.Count
		}
	}
	if turned > same {
		p.Along, p.Across = p.Across, p.Along
	}
}

// Turns says whether the pieces go with the second side of their size along the seam.
func (u Use) Turns(p *Piece) bool { return math.Abs(u.Along-p.Along) > eps }

// Seamed are the sides of a piece, the one that goes to the seam first; without a seam, as they are
// given. Of a print that is kept upright a piece gives its width first, whichever goes to the seam.
func (u Use) Seamed(p *Piece) (along, across float64) {
	if p.Keeps && p.Slant == nil && math.Abs(u.Lay.Edge-u.Across) < eps {
		return u.Across, u.Along
	}
	return u.Along, u.Across
}

// Seamed are the sides of the size as all its pieces go to their seams, see Use.Seamed. mixed: some
// go with one side to the seam, some with the other, and these are as most go.
func (p *Piece) Seamed() (along, across float64, mixed bool) {
	along, across = p.Along, p.Across
	for i, u := range p.Uses {
		if x, y := u.Seamed(p); i == 0 {
			along, across = x, y
		} else if math.Abs(x-along) > eps {
			return p.Along, p.Across, true
		}
	}
	return along, across, false
}

// widthOf is a fabric's usable width, or the default.
func widthOf(f *block.Fabric) float64 {
	if w := f.Width.Float64(); w > 0 {
		return w
	}
	return DefaultWidth
}
