package rules

import (
	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lint"
)

var unevenAllowance = &lint.Rule{
	Name:  "uneven-allowance",
	Level: lint.Error,
	Title: "Blocks side by side in a setting with different outer allowances",
	Why: `Blocks are joined with their raw edges aligned. When one has an allowance of a quarter of an inch
and its neighbor a half, the edges line up but the seam lines do not: the seam cuts the points
off one of them.`,
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

block "Low Tide" 4 by 4 {
  allowance 1/4
  allowance outer 1/2
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
	Run:   unevenAllowances,
}

func unevenAllowances(p *lint.Pass) {
	for _, set := range p.File.Settings {
		if set.Broken {
			continue
		}
		eachPair(set, func(one, other block.Cell) bool {
			a, b := one.Block.OuterAllowance, other.Block.OuterAllowance
			if a == nil || b == nil || a.Broken || b.Broken || a.Size.Cmp(b.Size) == 0 {
				return true
			}
			p.Report(other.At, "%s has an outer allowance of %s, but %s next to it has %s: their seams will not line up. Use the same allowance on both",
				quote(other.Block.Name), p.Len(b.Size.Float64()), quote(one.Block.Name), p.Len(a.Size.Float64())).
				In(set.Name, "", 0).
				Related(a.At, "the allowance of %s", quote(one.Block.Name)).
				Related(b.At, "the allowance of %s", quote(other.Block.Name))
			return false
		})
	}
}

// eachPair visits the cells of a setting that lie side by side, left before
// right and upper before lower, each pair of fill entries once, until visit
// says stop.
func eachPair(set *block.Setting, visit func(one, other block.Cell) bool) {
	n := len(set.Cells)
	if n == 0 {
		return
	}
	seen := map[[2]int]bool{}
	pair := func(i, j int) bool {
		key := [2]int{i % n, j % n}
		if seen[key] {
			return true
		}
		seen[key] = true
		return visit(set.Cells[key[0]], set.Cells[key[1]])
	}
	if len(set.OwnRows) > 0 {
		pairsOfRows(set, pair)
		return
	}
	if set.OnPoint != nil {
		eachPlaceOnPoint(set, func(x, y, i int) bool {
			for _, below := range [2]int{x - 1, x + 1} { // the blocks whose sides it shares, below it
				if j, ok := placeOnPoint(set, below, y+1); ok && !pair(i, j) {
					return false
				}
			}
			return true
		})
		return
	}
	// The list repeats, so the pairs do: after n rows and n columns nothing is new.
	for r := range min(set.Rows, n+1) {
		for c := range min(set.Columns, n+1) {
			at := r*set.Columns + c
			if c+1 < set.Columns && !pair(at, at+1) {
				return
			}
			if r+1 < set.Rows && !pair(at, at+set.Columns) {
				return
			}
		}
	}
}

// pairsOfRows visits the cells that are beside each other in rows that are given one by one, and those with some width
// in common above each other, until pair says stop. Strips between them do not part them: they are sewn to both.
func pairsOfRows(set *block.Setting, pair func(i, j int) bool) {
	type laid struct {
		cell     int
		from, to float64
	}
	var above []laid
	cell := 0
	for _, row := range set.OwnRows {
		var here []laid
		x := 0.0
		for _, part := range row.Parts {
			if part.Cell == nil {
				x += part.Strip.Width.Float64()
				continue
			}
			w, _ := placedSize(*part.Cell)
			this := laid{cell, x, x + w}
			if n := len(here); n > 0 && !pair(here[n-1].cell, cell) {
				return
			}
			for _, over := range above {
				if min(over.to, this.to)-max(over.from, this.from) > geom.Hair && !pair(over.cell, cell) {
					return
				}
			}
			here = append(here, this)
			x += w
			cell++
		}
		above = here
	}
}

// placeOnPoint is the entry of the fill list that stands at a place of a setting on point.
// Places are counted in half diagonals; the longer rows of blocks are the even ones, and the
// list goes through the rows as they come.
func placeOnPoint(set *block.Setting, x, y int) (entry int, ok bool) {
	if x < 0 || y < 0 || x >= 2*set.Columns-1 || y >= 2*set.Rows-1 || (x+y)%2 != 0 {
		return 0, false
	}
	return y/2*(2*set.Columns-1) + y%2*set.Columns + x/2, true
}

// eachPlaceOnPoint visits the places of a setting on point, rows from above, until visit says
// stop; of a list that repeats, as many as show all there is.
func eachPlaceOnPoint(set *block.Setting, visit func(x, y, entry int) bool) {
	most := 2*len(set.Cells) + 2
	for y := range min(2*set.Rows-1, most) {
		for x := range min(2*set.Columns-1, most) {
			if i, ok := placeOnPoint(set, x, y); ok && !visit(x, y, i) {
				return
			}
		}
	}
}
