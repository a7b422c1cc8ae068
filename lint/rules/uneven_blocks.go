package rules

import (
	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/geom"
	"sewable/lint"
)

var unevenBlocks = &lint.Rule{
	Name:  "uneven-blocks",
	Level: lint.Error,
	Title: "Blocks in a setting whose sides differ in length",
	Why: `Blocks are sewn into rows and rows into a quilt top, so all blocks in a row have the same height
and all blocks in a column the same width. A block larger than its neighbors cannot be eased in.
Rows that are given one by one are all as wide as the widest. Sides that differ on purpose need a filler strip.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
}

block "Low Tide" 4 by 5 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 1) (0, 1)
    patch 2 sky (0, 1) (4, 1) (4, 5) (0, 5)
  }
}

setting "Tides" {
  rows 1
  columns 2
  fill "Horizon", "Low Tide"
}
`,
	Good: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
}

block "Low Tide" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 1) (0, 1)
    patch 2 sky (0, 1) (4, 1) (4, 4) (0, 4)
  }
}

setting "Tides" {
  rows 1
  columns 2
  fill "Horizon", "Low Tide"
}
`,
	Since: "0.1",
	Run:   checkUnevenBlocks,
}

func checkUnevenBlocks(p *lint.Pass) {
	for _, set := range p.File.Settings {
		switch {
		case set.Broken || len(set.Cells) == 0:
		case len(set.OwnRows) > 0:
			reportUnevenRows(p, set)
		case set.Rows > 0 && set.Columns > 0:
			reportUneven(p, set)
		}
	}
}

// reportUneven compares every block with the first of its row and of its column,
// and says the first that differs.
func reportUneven(p *lint.Pass, set *block.Setting) {
	n := len(set.Cells)
	if set.OnPoint != nil { // every block meets blocks of other rows and columns
		first := set.Cells[0]
		was, wasHigh := placedSize(first)
		eachPlaceOnPoint(set, func(_, _, i int) bool {
			this := set.Cells[i%n]
			switch width, height := placedSize(this); {
			case differ(height, wasHigh):
				reportUnevenPair(p, set, this, first, "in the upper left corner", "high", height, wasHigh)
			case differ(width, was):
				reportUnevenPair(p, set, this, first, "in the upper left corner", "wide", width, was)
			default:
				return true
			}
			return false
		})
		return
	}
	cell := func(r, c int) block.Cell { return set.Cells[(r*set.Columns+c)%n] }
	for r := range min(set.Rows, n+1) {
		for c := range min(set.Columns, n+1) {
			this := cell(r, c)
			width, height := placedSize(this)
			_, rowHeight := placedSize(cell(r, 0))
			columnWidth, _ := placedSize(cell(0, c))
			switch {
			case differ(height, rowHeight):
				reportUnevenPair(p, set, this, cell(r, 0), lineOf(this, cell(r, 0), "at the left end of its row"), "high", height, rowHeight)
				return
			case differ(width, columnWidth):
				reportUnevenPair(p, set, this, cell(0, c), lineOf(this, cell(0, c), "at the top of its column"), "wide", width, columnWidth)
				return
			}
		}
	}
}

// reportUnevenRows compares the blocks of rows that are given one by one with the first of their row and then, if they
// match, the rows with the widest.
func reportUnevenRows(p *lint.Pass, set *block.Setting) {
	for _, row := range set.OwnRows {
		var first *block.Cell
		for _, part := range row.Parts {
			if part.Cell == nil {
				continue
			}
			if first == nil {
				first = part.Cell
			}
			_, is := placedSize(*part.Cell)
			if _, was := placedSize(*first); differ(is, was) {
				reportUnevenPair(p, set, *part.Cell, *first, lineOf(*part.Cell, *first, "at the left end of its row"), "high", is, was)
				return
			}
		}
	}
	for r, short := range cloth.ShortRows(set) {
		if differ(short, 0) {
			p.Report(set.OwnRows[r].At, "This row is %s shorter than the widest row. Add a block, or a `spacer` of that width", p.Len(short)).
				In(set.Name, "", 0)
		}
	}
}

// lineOf says where the other block of a pair is; a block may be laid beside itself, turned.
func lineOf(this, other block.Cell, place string) string {
	if this.Block == other.Block {
		return place
	}
	return "in line with it"
}

// reportUnevenPair says that a block does not go with another, and where that one is.
func reportUnevenPair(p *lint.Pass, set *block.Setting, this, other block.Cell, where, how string, is, was float64) {
	p.Report(this.At, "%s is %s %s, but %s %s is %s: their edges do not match. Make them the same size",
		quote(this.Block.Name), p.Len(is), how, quote(other.Block.Name), where, p.Len(was)).
		In(set.Name, "", 0).
		Related(other.At, "%s is here", quote(other.Block.Name))
}

func differ(a, b float64) bool { return a-b > geom.Hair || b-a > geom.Hair }

// placedSize is the width and height of a block as it lies in its cell.
func placedSize(c block.Cell) (width, height float64) {
	box := geom.TurnAbout(geom.Point{}, c.Turned.Float64()).ApplyTo(c.Block.Outline).Bounds()
	return box.Width(), box.Height()
}
