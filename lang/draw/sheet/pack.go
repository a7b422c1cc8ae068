package sheet

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"sewable/lang/draw/ink"
	"sewable/lang/geom"
)

// between is the white between two foundations on a page: 1/2 in, so that each is cut out 1/4 in
// outside its trimming line.
const between = 0.5 * geom.Inch

// piece is a foundation that is to lie on a page, and where it came to lie.
type piece struct {
	of   *foundation
	turn int // number of the foundation's turn
	page int
	at   geom.Point
}

// maxTogether is how many copies of a block are laid out together at most.
const maxTogether = 12

// layOut puts foundations on pages that are printed so many times to give the copies: as many
// copies together as leave fewest pages in all. So all copies are laid out alike, and a copy shop can
// run a page as often as it is needed. Foundations that are larger than a page come last, on pages of
// their own, for one copy.
func layOut(all []*foundation, copies int, room geom.Box, how Options) (pages []*ink.Drawing, r run) {
	var fit, large []*foundation
	for _, f := range all {
		if f.fits(room) {
			fit = append(fit, f)
		} else {
			large = append(large, f)
		}
	}
	var best []*piece
	var bins []*bin
	fewest, together := 0, 1
	for n := 1; n <= min(copies, maxTogether) && len(fit) > 0 && (n == 1 || len(large) == 0); n++ {
		if n > 1 && len(bins) > 1 && n > 3 {
			break // more than a page each: little is to be saved
		}
		var pieces []*piece
		for _, f := range fit {
			for range n {
				pieces = append(pieces, &piece{of: f})
			}
		}
		own := pack(pieces, room)
		if sheets := len(own) * ((copies + n - 1) / n); best == nil || sheets < fewest {
			best, bins, fewest, together = pieces, own, sheets, n
		}
	}
	for _, b := range bins {
		page := blank(how)
		if b.measured {
			squares(page, b.squares, b.standing)
		}
		pages = append(pages, page)
	}
	for _, p := range best {
		pages[p.page].Put(p.of.drawing(p.turn), p.at, "")
	}
	for _, f := range large {
		pages = append(pages, tiles(f, room, how)...)
	}
	return pages, run{copies: copies, together: together, times: (copies + together - 1) / together}
}

// fits says whether a foundation fits an empty page in one of its turns.
func (f *foundation) fits(room geom.Box) bool {
	for t := range f.turns {
		if d := f.drawing(t); d.Width <= room.Width() && d.Height <= room.Height() {
			return true
		}
	}
	return false
}

// tries is how many orders of the pieces are tried, for one piece.
const tries = 400

// pack gives each piece a page and a place. Pages and pieces are cut up into
// cells, and a piece goes to the uppermost free place, leftmost, turned as it ends
// highest, on the first page that has room ("bottom-left" nesting, upside down). Several
// sensible orders are tried and then shuffled ones; the fewest pages win, then
// the emptiest last page. It is the same every time.
func pack(pieces []*piece, room geom.Box) []*bin {
	if len(pieces) == 0 {
		return nil
	}
	g := newGrid(room)
	area := func(p *piece) float64 { return math.Abs(p.of.cut.Area()) }
	side := func(p *piece) float64 { b := p.of.cut.Bounds(); return max(b.Width(), b.Height()) }
	least := func(p *piece) float64 { b := p.of.cut.Bounds(); return min(b.Width(), b.Height()) }
	orders := []func(p *piece) float64{area, side, least}
	whole := 0.0
	for _, p := range pieces {
		whole += area(p)
	}
	bound := int(math.Ceil(whole / (room.Width() * room.Height())))
	var best []*bin
	bestPieces := make([]piece, len(pieces))
	rng := rand.New(rand.NewPCG(1, 2))
	trial := slices.Clone(pieces)
	for i := range max(len(orders), tries/len(pieces)) {
		if i < len(orders) {
			slices.SortStableFunc(trial, func(p, q *piece) int { return cmp.Compare(orders[i](q), orders[i](p)) })
		} else {
			rng.Shuffle(len(trial), func(a, b int) { trial[a], trial[b] = trial[b], trial[a] })
		}
		bins := g.fill(trial)
		if best == nil || len(bins) < len(best) || len(bins) == len(best) && bins[len(bins)-1].used < best[len(best)-1].used {
			best = bins
			for k, p := range pieces {
				bestPieces[k] = *p
			}
		}
		if len(best) <= bound {
			break
		}
	}
	for i, p := range pieces {
		*p = bestPieces[i]
	}
	return best
}

// grid is a page cut up into cells, 64 to a row.
type grid struct {
	room   geom.Box // with half the white between pieces all round
	cell   float64
	rows   int
	shapes map[*foundation][]shape
}

// shape is the cells that a drawing takes, row by row; without any, it does not fit.
type shape struct {
	rows  []uint64
	width int // in cells
}

func newGrid(room geom.Box) *grid {
	room = room.Grow(between / 2)
	cell := room.Width() / 64
	return &grid{room: room, cell: cell, rows: int(room.Height() / cell), shapes: map[*foundation][]shape{}}
}

// shape is the cells that a foundation and its caption take, and the white
// around them.
func (g *grid) shape(f *foundation, turn int) shape {
	all, ok := g.shapes[f]
	if !ok {
		all = make([]shape, len(f.turns))
		for t := range all {
			d := f.drawing(t)
			at, _ := f.placer(t)
			around := make(geom.Polygon, len(f.cut))
			for i, p := range f.cut {
				around[i] = at(p)
			}
			if grown, ok := geom.Grow(around, between/2); ok {
				around = grown
			}
			polygons := []geom.Polygon{around}
			for _, l := range d.Layers {
				for _, it := range l.Items {
					if text, ok := it.(*ink.Text); ok && l.Name == "caption" {
						polygons = append(polygons, text.Bounds().Bounds().Grow(between/2).Polygon())
					}
				}
			}
			all[t] = g.cover(polygons, d.Width+between, d.Height+between)
		}
		g.shapes[f] = all
	}
	return all[turn]
}

// cover is the cells that polygons touch; the drawing's corner is half the
// white inside of the shape's.
func (g *grid) cover(polygons []geom.Polygon, width, height float64) shape {
	columns, rows := int(math.Ceil(width/g.cell)), int(math.Ceil(height/g.cell))
	if columns > 64 || rows > g.rows {
		// A drawing as wide as the room may need a part of a cell more.
		if width > g.room.Width()+0.01 || height > g.room.Height()+0.01 {
			return shape{}
		}
		columns, rows = min(columns, 64), min(rows, g.rows)
	}
	s := shape{rows: make([]uint64, rows), width: columns}
	set := func(x, y int) { s.rows[min(max(y, 0), rows-1)] |= 1 << min(max(x, 0), columns-1) }
	for _, poly := range polygons {
		moved := make(geom.Polygon, len(poly))
		for i, p := range poly {
			moved[i] = p.Add(geom.Point{X: between / 2, Y: between / 2}).Scale(1 / g.cell)
		}
		for y := range rows {
			for x := range columns {
				if moved.Contains(geom.Point{X: float64(x) + 0.5, Y: float64(y) + 0.5}) != geom.Outside {
					set(x, y)
				}
			}
		}
		for i := range moved { // and what an edge only touches
			e := moved.Edge(i)
			n := int(4*e.Len()) + 1
			for k := range n + 1 {
				p := e.At(float64(k) / float64(n))
				set(int(math.Floor(p.X)), int(math.Floor(p.Y)))
			}
		}
	}
	return s
}

// bin is a page that is being filled.
type bin struct {
	taken    []uint64
	used     float64
	full     map[*foundation]bool // these were refused
	measured bool                 // the squares to measure are on it
	squares  geom.Point
	standing bool
}

func (g *grid) newBin() *bin {
	return &bin{taken: make([]uint64, g.rows), full: map[*foundation]bool{}}
}

func (g *grid) fill(pieces []*piece) []*bin {
	var bins []*bin
	for _, p := range pieces {
		placed := false
		for i := 0; i < len(bins) && !placed; i++ {
			if placed = g.place(bins[i], p); placed {
				p.page = i
			}
		}
		if placed {
			continue
		}
		p.page = len(bins)
		b := g.newBin()
		for _, standing := range [2]bool{false, true} {
			with := g.newBin()
			g.reserve(with, standing)
			if g.place(with, p) {
				b, placed = with, true
				break
			}
		}
		if !placed {
			g.place(b, p) // it fits an empty page: see fits
		}
		bins = append(bins, b)
	}
	return bins
}

// reserve keeps room for the squares to measure, in the lower left corner.
func (g *grid) reserve(b *bin, standing bool) {
	w, h := squaresSize(standing)
	corner := geom.Point{X: g.room.Min.X + between/2, Y: g.room.Max.Y - between/2 - h}
	b.measured, b.squares, b.standing = true, corner, standing
	first := int((corner.Y - between/2 - g.room.Min.Y) / g.cell)
	columns := int(math.Ceil((w + between) / g.cell))
	for y := max(first, 0); y < g.rows; y++ {
		b.taken[y] |= 1<<columns - 1
	}
}

// place puts a piece on a page.
func (g *grid) place(b *bin, p *piece) bool {
	if b.full[p.of] {
		return false
	}
	bestX, bestY, bestTurn, lowest := 0, 0, -1, g.rows+1
	for turn := range p.of.turns {
		s := g.shape(p.of, turn)
		if s.rows == nil {
			continue
		}
		if x, y, ok := s.find(b.taken, lowest); ok {
			bestX, bestY, bestTurn, lowest = x, y, turn, y+len(s.rows)
		}
	}
	if bestTurn < 0 {
		b.full[p.of] = true
		return false
	}
	s := g.shape(p.of, bestTurn)
	for i, row := range s.rows {
		b.taken[bestY+i] |= row << bestX
	}
	b.used += math.Abs(p.of.cut.Area())
	p.turn = bestTurn
	half := between / 2.0
	p.at = g.room.Min.Add(geom.Point{X: float64(bestX)*g.cell + half, Y: float64(bestY)*g.cell + half})
	d := p.of.drawing(bestTurn) // what cells round up stays in the room
	p.at.X = min(p.at.X, g.room.Max.X-half-d.Width)
	p.at.Y = min(p.at.Y, g.room.Max.Y-half-d.Height)
	return true
}

// find is the uppermost, then leftmost, place where a shape is free and ends
// above a row.
func (s shape) find(taken []uint64, before int) (x, y int, ok bool) {
	for y := 0; y+len(s.rows) <= len(taken) && y+len(s.rows) < before; y++ {
	next:
		for x := 0; x+s.width <= 64; x++ {
			for i, row := range s.rows {
				if taken[y+i]&(row<<x) != 0 {
					continue next
				}
			}
			return x, y, true
		}
	}
	return 0, 0, false
}
