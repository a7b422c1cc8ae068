package cloth

import (
	"fmt"
	"math"

	"sewable/lang/block"
	"sewable/lang/geom"
)

// Quilt is what a setting is made of: its finished size, its blocks and the
// pieces that are cut for the setting itself.
//
// Blocks lie in rows and columns, or in rows of their own; on point, rows of the setting stand corner to
// corner, with another row, one block shorter, in each gap between two: rows 3,
// columns 4 is 12 and 6 blocks. Sashing lies between blocks only, and with
// cornerstones every strip is one block long; without them the strips between rows go
// right along. A border goes round in straight strips, first along the two longer sides.
type Quilt struct {
	Of            *block.Setting
	Width, Height float64 // finished, without binding
	Allowance     float64 // at the blocks' outer edges, taken for the setting's own pieces
	Blocks        []Placed
	Where         []int // which of Blocks lies in each place, as the places are read: row by row from the top
	Parts         []Part
	Lanes         []Lane            // of a setting that is set straight, from the top
	Triangles     *SettingTriangles // of a setting on point
}

// Placed is a place of the quilt, or so many alike: a block, its colourway and how it lies.
type Placed struct {
	Block     *block.Block
	Colourway *block.Colourway
	Mirrored  bool    // the finished block is the mirror image
	Up        float64 // the direction of the quilt's up in the block, degrees anticlockwise from its y
	Turned    float64 // as the setting turns it, degrees anticlockwise, 0 ≤ Turned < 360
	Count     int
}

// Fabric is what a fabric of the block's own becomes in the place's colourway.
func (p Placed) Fabric(f *block.Fabric) *block.Fabric {
	if p.Colourway != nil {
		for _, s := range p.Colourway.Swaps {
			if s.Old == f {
				return s.New
			}
		}
	}
	return f
}

// Directional says whether a print of the block is kept upright, so that it matters how the block
// is turned.
func (p Placed) Directional() bool {
	for _, s := range p.Block.Sections {
		for _, patch := range s.Patches {
			if f := p.Fabric(patch.Fabric); f != nil && f.Directional {
				return true
			}
		}
	}
	return false
}

// Part is so many pieces of the setting itself, cut sizes: Along across the
// quilt, Across up it.
type Part struct {
	Name          string
	Fabric        *block.Fabric
	Form          Form
	Along, Across float64
	Count         int
}

// MaxBlocks is how many blocks a setting may hold.
const MaxBlocks = 100_000

// QuiltOf works out what a setting is made of. The error says what a quilter
// has to mend first.
func QuiltOf(set *block.Setting) (*Quilt, error) {
	q := &Quilt{Of: set}
	switch {
	case set.Broken:
		return nil, fmt.Errorf("the setting %q could not be read completely; fix it first", set.Name)
	case len(set.OwnRows) == 0 && (len(set.Cells) == 0 || set.Rows < 1 || set.Columns < 1):
		return nil, fmt.Errorf("the setting %q needs `rows`, `columns` and `fill`, or a `row`", set.Name)
	case len(set.OwnRows) == 0 && set.Rows > MaxBlocks/set.Columns || len(set.Cells) > MaxBlocks:
		return nil, fmt.Errorf("the setting %q has more than %d blocks", set.Name, MaxBlocks)
	}
	cells, err := q.layOut()
	if err == nil {
		err = q.place(cells)
	}
	if err != nil {
		return nil, err
	}
	if g := (grid{set}); set.OnPoint != nil {
		if set.Sashing != nil {
			q.sashingOnPoint(g)
		}
		q.setOnPoint(g)
	} else {
		q.setStraight()
	}
	for i, b := range set.Borders {
		q.border(i, b)
	}
	return q, nil
}

// Places are the numbers of the places that one of Blocks lies in, as one reads them, from 1.
func (q *Quilt) Places(n int) (out []int) {
	for i, of := range q.Where {
		if of == n {
			out = append(out, i+1)
		}
	}
	return out
}

// layOut gives the blocks in the order in which one reads their places, and checks that they fit each other.
func (q *Quilt) layOut() (cells []block.Cell, err error) {
	if q.Of.OnPoint != nil {
		return grid{q.Of}.cells()
	}
	q.Lanes, err = lanesOf(q.Of)
	for _, l := range q.Lanes {
		for _, p := range l.Parts {
			if p.Cell != nil {
				cells = append(cells, *p.Cell)
			}
		}
	}
	return cells, err
}

// place gathers the blocks.
func (q *Quilt) place(cells []block.Cell) error {
	index := make(map[Placed]int)
	for _, c := range cells {
		if !allowed(c.Block) {
			return fmt.Errorf("%q has no seam allowance", c.Block.Name)
		}
		q.Allowance = max(q.Allowance, c.Block.OuterAllowance.Size.Float64())
		up := 0 - c.Turned.Float64()
		if q.Of.OnPoint != nil {
			up -= 45
		}
		if c.Mirrored {
			up = 0 - up
		}
		p := Placed{
			Block: c.Block, Colourway: c.Colourway, Mirrored: c.Mirrored, Up: math.Mod(up, 360),
			Turned: math.Mod(math.Mod(c.Turned.Float64(), 360)+360, 360),
		}
		i, ok := index[p]
		if !ok {
			i = len(q.Blocks)
			index[p] = i
			q.Blocks = append(q.Blocks, p)
		}
		q.Blocks[i].Count++
		q.Where = append(q.Where, i)
	}
	return nil
}

// sizeOf is the width and height of a block as it lies.
func sizeOf(c block.Cell) (width, height float64) {
	box := geom.TurnAbout(geom.Point{}, c.Turned.Float64()).ApplyTo(c.Block.Outline).Bounds()
	return box.Width(), box.Height()
}

// part adds pieces to those that are alike.
func (q *Quilt) part(p Part) {
	if p.Count <= 0 {
		return
	}
	for i := range q.Parts {
		alike := q.Parts[i]
		if alike.Count = p.Count; alike == p {
			q.Parts[i].Count += p.Count
			return
		}
	}
	q.Parts = append(q.Parts, p)
}

// strips adds pieces of a finished size.
func (q *Quilt) strips(name string, f *block.Fabric, width, height float64, count int) {
	q.part(Part{name, f, Rectangle, width + 2*q.Allowance, height + 2*q.Allowance, count})
}

// setStraight adds up the lanes and their pieces of fabric.
func (q *Quilt) setStraight() {
	q.Width = q.Lanes[0].width()
	for _, l := range q.Lanes {
		q.Height += l.Height
		for _, p := range l.Parts {
			if p.Cell == nil {
				q.strips(p.Name, p.Fabric, p.Width, l.Height, 1)
			}
		}
	}
}

// setOnPoint adds the setting triangles. The outermost corners of neighbouring blocks
// lie the diagonal of a block and the sashing beside it apart.
func (q *Quilt) setOnPoint(g grid) {
	side, _ := sizeOf(g.Cells[0])
	pitch := side + g.gap()
	q.Width = math.Sqrt2 * (pitch*float64(g.Columns-1) + side)
	q.Height = math.Sqrt2 * (pitch*float64(g.Rows-1) + side)
	step := geom.Inch / 8
	if g.Cells[0].Block.File.Unit != geom.Inches {
		step = 5 * geom.Millimetre
	}
	t := NewSettingTriangles(pitch, side, q.Allowance, step)
	q.Triangles = &t
	q.part(Part{"side setting triangle", g.OnPoint, QuarterSquare, t.Side, t.Side, 2*(g.Rows-1) + 2*(g.Columns-1)})
	q.part(Part{"corner setting triangle", g.OnPoint, HalfSquare, t.Corner, t.Corner, 4})
}

// border adds one border: along the longer sides, then over their ends.
func (q *Quilt) border(i int, b block.Strip) {
	name := "border"
	if len(q.Of.Borders) > 1 {
		name = fmt.Sprintf("border %d", i+1)
	}
	w := b.Width.Float64()
	if q.Height >= q.Width {
		q.strips(name+", side", b.Fabric, w, q.Height, 2)
		q.strips(name+", top or bottom", b.Fabric, q.Width+2*w, w, 2)
	} else {
		q.strips(name+", top or bottom", b.Fabric, q.Width, w, 2)
		q.strips(name+", side", b.Fabric, w, q.Height+2*w, 2)
	}
	q.Width, q.Height = q.Width+2*w, q.Height+2*w
}

// Perimeter is the way round the quilt, in hairs.
func (q *Quilt) Perimeter() float64 { return 2 * (q.Width + q.Height) }

// Top is the quilt's size as a box.
func (q *Quilt) Top() geom.Box { return geom.Box{Max: geom.Point{X: q.Width, Y: q.Height}} }
