package cloth

import (
	"fmt"
	"iter"
	"math"

	"sewable/lang/block"
	"sewable/lang/geom"
)

// grid is how the blocks of a setting on point lie. Places are counted in half diagonals: the setting's own
// rows have both numbers even, the rows between them both odd.
type grid struct{ *block.Setting }

// places are all places, left to right and top to bottom.
func (g grid) places() iter.Seq2[int, int] {
	return func(yield func(x, y int) bool) {
		for y := range 2*g.Rows - 1 {
			for x := y % 2; x < 2*g.Columns-1; x += 2 {
				if !yield(x, y) {
					return
				}
			}
		}
	}
}

// at is the block at a place: the fill goes on from row to row.
func (g grid) at(x, y int) block.Cell {
	pair := 2*g.Columns - 1 // a row and the shorter one after it
	return g.Cells[(y/2*pair+y%2*g.Columns+x/2)%len(g.Cells)]
}

// has says whether there is a block at a place on point.
func (g grid) has(x, y int) bool {
	return x >= 0 && y >= 0 && x < 2*g.Columns-1 && y < 2*g.Rows-1 && (x+y)%2 == 0
}

// gap is the finished width of the sashing; none in a single row on point,
// whose blocks meet at corners only.
func (g grid) gap() float64 {
	if g.Sashing == nil || g.Rows == 1 || g.Columns == 1 {
		return 0
	}
	return g.Sashing.Width.Float64()
}

// cells are the blocks at all places. All are squares of one size. Diagonal rows of several heights could be sewn
// to each other, but not edged: the long side of a triangle that fills the gap between two
// blocks lies along the quilt's edge only when its legs, a side of each, are equal.
func (g grid) cells() (cells []block.Cell, err error) {
	side, _ := sizeOf(g.Cells[0])
	for x, y := range g.places() {
		c := g.at(x, y)
		u := c.Block.File.Unit
		w, h := sizeOf(c)
		size := geom.FormatSize(w, h, u)
		switch {
		case math.Abs(w-h) > geom.Hair:
			return nil, fmt.Errorf("%q is %s, not square, and cannot be set on point", c.Block.Name, size)
		case math.Abs(w-side) > geom.Hair:
			return nil, fmt.Errorf("%q is %s, but the first block of %q is %s wide; on point all blocks must be the same size, because otherwise the setting triangles have no straight edge. Frame the smaller ones",
				c.Block.Name, size, g.Name, geom.Format(side, u))
		}
		cells = append(cells, c)
	}
	return cells, nil
}

// sashingOnPoint: blocks touch along two diagonals. Between two in a diagonal row
// lies a strip as long as a block; between two diagonal rows lie as many as they
// have blocks side by side, or, without cornerstones, one strip as long as those.
func (q *Quilt) sashingOnPoint(g grid) {
	f, w := g.Sashing.Fabric, g.gap()
	side, _ := sizeOf(g.Cells[0])
	within, between, crossings := 0, 0, 0
	runs := make(map[int]int) // strips between diagonal rows, by how many blocks long
	for x, y := range g.places() {
		if g.has(x+1, y+1) {
			within++
		}
		if g.has(x+1, y-1) { // up to the right: a neighbour in the next diagonal row
			between++
			if !(g.has(x-1, y-1) && g.has(x, y-2)) { // no such pair before it on this line
				n := 0
				for i, j := x, y; g.has(i, j) && g.has(i+1, j-1); i, j = i+1, j+1 {
					n++
				}
				runs[n]++
			}
		}
		if g.has(x+2, y) && g.has(x+1, y-1) && g.has(x+1, y+1) {
			crossings++
		}
	}
	q.strips("sashing", f, w, side, within)
	if g.Cornerstone != nil {
		q.strips("sashing", f, w, side, between)
		q.strips("cornerstone", g.Cornerstone, w, w, crossings)
		return
	}
	for n := 1; n <= g.Rows+g.Columns; n++ {
		q.strips("sashing between rows", f, w, float64(n)*side+float64(n-1)*w, runs[n])
	}
}
