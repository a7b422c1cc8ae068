package cloth

import (
	"fmt"

	"sewable/lang/block"
	"sewable/lang/geom"
)

// Lane is what lies side by side in a quilt that is set straight: the blocks of a row with the strips
// between them, or the sashing between two rows.
type Lane struct {
	Height float64
	Parts  []LanePart
}

// LanePart is a block, or a piece of one fabric: each as high as its lane.
type LanePart struct {
	Cell   *block.Cell
	Fabric *block.Fabric
	Name   string // of a piece of fabric
	Width  float64
}

// width is that of all parts side by side.
func (l Lane) width() (sum float64) {
	for _, p := range l.Parts {
		sum += p.Width
	}
	return sum
}

// lanesOf are the lanes of a setting that is set straight, from the top.
func lanesOf(set *block.Setting) ([]Lane, error) {
	rows, err := gridRows(set)
	if len(set.OwnRows) > 0 {
		rows, err = ownRows(set)
	}
	if err != nil || set.Sashing == nil {
		return rows, err
	}
	gap, f := set.Sashing.Width.Float64(), set.Sashing.Fabric
	if set.Around {
		side := LanePart{Fabric: f, Name: "sashing", Width: gap}
		for i := range rows {
			rows[i].Parts = append(append([]LanePart{side}, rows[i].Parts...), side)
		}
	}
	out := make([]Lane, 0, 2*len(rows)+1)
	if set.Around {
		out = append(out, across(set, rows[0], "sashing, top or bottom"))
	}
	for i, row := range rows {
		if i > 0 {
			out = append(out, across(set, rows[0], "sashing between rows"))
		}
		out = append(out, row)
	}
	if set.Around {
		out = append(out, across(set, rows[0], "sashing, top or bottom"))
	}
	return out, nil
}

// across is the sashing along a row: one strip or, with cornerstones, a strip along each block of a grid, and a
// square at each end of a sashing strip of the row. Rows of their own meet the sashing at their ends alone.
func across(set *block.Setting, row Lane, name string) Lane {
	l := Lane{Height: set.Sashing.Width.Float64()}
	strip := LanePart{Fabric: set.Sashing.Fabric, Name: name, Width: row.width()}
	stone := LanePart{Fabric: set.Cornerstone, Name: "cornerstone", Width: l.Height}
	switch {
	case set.Cornerstone == nil || len(set.OwnRows) > 0 && !set.Around:
		l.Parts = []LanePart{strip}
	case len(set.OwnRows) > 0:
		strip.Width -= 2 * stone.Width
		l.Parts = []LanePart{stone, strip, stone}
	default:
		for _, p := range row.Parts {
			if p.Cell == nil {
				l.Parts = append(l.Parts, stone)
			} else {
				l.Parts = append(l.Parts, LanePart{Fabric: set.Sashing.Fabric, Name: "sashing", Width: p.Width})
			}
		}
	}
	return l
}

// gridRows are the rows of blocks of a fill, with the sashing between the blocks. Each block has to be as wide as its
// column and as high as its row.
func gridRows(set *block.Setting) ([]Lane, error) {
	rows := make([]Lane, set.Rows)
	for r := range rows {
		for c := range set.Columns {
			cell := &set.Cells[(r*set.Columns+c)%len(set.Cells)]
			w, h := sizeOf(*cell)
			if c == 0 {
				rows[r].Height = h
			} else if set.Sashing != nil {
				rows[r].Parts = append(rows[r].Parts, LanePart{Fabric: set.Sashing.Fabric, Name: "sashing", Width: set.Sashing.Width.Float64()})
			}
			column, _ := sizeOf(set.Cells[c%len(set.Cells)])
			if high := rows[r].Height; differ(w, column) || differ(h, high) {
				u := cell.Block.File.Unit
				return nil, fmt.Errorf("%q is %s, but in row %d and column %d of %q it must be %s to fit the blocks in line with it",
					cell.Block.Name, geom.FormatSize(w, h, u), r+1, c+1, set.Name, geom.FormatSize(column, high, u))
			}
			rows[r].Parts = append(rows[r].Parts, LanePart{Cell: cell, Width: w})
		}
	}
	return rows, nil
}

// ownRows are the rows of a setting that gives each by itself.
func ownRows(set *block.Setting) ([]Lane, error) {
	rows := make([]Lane, len(set.OwnRows))
	for r, row := range set.OwnRows {
		first := (*block.Cell)(nil)
		for _, p := range row.Parts {
			if p.Cell == nil {
				rows[r].Parts = append(rows[r].Parts, LanePart{Fabric: p.Strip.Fabric, Name: p.StripName(), Width: p.Strip.Width.Float64()})
				continue
			}
			w, h := sizeOf(*p.Cell)
			if first == nil {
				first, rows[r].Height = p.Cell, h
			}
			if u := p.Cell.Block.File.Unit; differ(h, rows[r].Height) {
				return nil, fmt.Errorf("%q is %s high, but in row %d of %q it must be %s high, as %q is",
					p.Cell.Block.Name, geom.Format(h, u), r+1, set.Name, geom.Format(rows[r].Height, u), first.Block.Name)
			}
			rows[r].Parts = append(rows[r].Parts, LanePart{Cell: p.Cell, Width: w})
		}
		if first == nil {
			return nil, fmt.Errorf("row %d of %q has no block, so its height is unknown", r+1, set.Name)
		}
	}
	return rows, fills(set)
}

// fills says which row is shorter than the longest.
func fills(set *block.Setting) error {
	for r, short := range ShortRows(set) {
		if differ(short, 0) {
			return fmt.Errorf("row %d of %q is %s shorter than the longest row; add blocks, or a `spacer` of that width",
				r+1, set.Name, geom.Format(short, set.Cells[0].Block.File.Unit))
		}
	}
	return nil
}

// ShortRows says of each row that a setting gives by itself by how much it is shorter than the longest.
func ShortRows(set *block.Setting) []float64 {
	widths, longest := make([]float64, len(set.OwnRows)), 0.0
	for r, row := range set.OwnRows {
		for _, p := range row.Parts {
			if p.Cell != nil {
				w, _ := sizeOf(*p.Cell)
				widths[r] += w
			} else {
				widths[r] += p.Strip.Width.Float64()
			}
		}
		longest = max(longest, widths[r])
	}
	for r := range widths {
		widths[r] = longest - widths[r]
	}
	return widths
}

func differ(a, b float64) bool { return a-b > geom.Hair || b-a > geom.Hair }
