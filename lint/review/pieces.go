package review

import (
	"sewable/lang/cloth"
	"sewable/lang/cloth/cutlist"
	"sewable/lang/compare"
	"sewable/lang/geom"
)

// cutOf is how a piece is cut: "3 × 2 1/2 in".
func cutOf(p *compare.Piece, u geom.Unit) string {
	if p == nil || p.Cut == nil {
		return "not known"
	}
	piece := cloth.Piece{Form: p.Cut.Form, Along: p.Cut.Along, Across: p.Cut.Across, Keeps: p.Cut.Keeps}
	if !piece.Keeps && piece.Along < piece.Across {
		piece.Along, piece.Across = piece.Across, piece.Along
	}
	size, after := cutlist.Size(&piece, u)
	if after != "" {
		size += ", " + after
	}
	return size
}

func finishedOf(p *compare.Piece, u geom.Unit) string {
	if p == nil || p.Width == 0 {
		return "not known"
	}
	return geom.FormatSize(p.Width, p.Height, u)
}

func fabricOf(p *compare.Piece) string {
	if p == nil || p.Fabric == nil {
		return "a fabric that is not known"
	}
	return p.Fabric.Called()
}

// pieces is the table of the patches whose piece or place changed. In a block that is new or
// gone, it is every piece or none.
func (b Block) pieces() Part {
	part := Part{Title: "Pieces", Head: []string{"patch", "fabric", "finished", "cut", "to do"}}
	for _, p := range b.Patches {
		x, y := p.Before, p.After
		var name, fabric, finished, cut, do string
		switch {
		case x == nil:
			name, fabric, finished, cut, do = y.Label, fabricOf(y), finishedOf(y, b.Unit), cutOf(y, b.Unit), "new: cut it"
			if b.Before == nil {
				do = "cut it"
			}
		case b.After == nil:
			continue
		case y == nil:
			name, fabric, finished, cut, do = x.Label, fabricOf(x), finishedOf(x, b.Unit), cutOf(x, b.Unit), "gone: leave it out"
		case !p.Shape && !p.Moved && !p.Fabric && !p.Section && !p.Cut:
			continue
		default:
			name = y.Label
			if p.Section || p.Number {
				name = fromTo(x.Label, y.Label)
			}
			fabric = fabricOf(y)
			if p.Fabric {
				fabric = fromTo(fabricOf(x), fabric)
			}
			finished, cut = fromTo(finishedOf(x, b.Unit), finishedOf(y, b.Unit)), fromTo(cutOf(x, b.Unit), cutOf(y, b.Unit))
			do = doWith(p)
		}
		part.Rows = append(part.Rows, []string{name, fabric, finished, cut, do})
	}
	return part
}

// doWith says what to do with a piece that may be cut already.
func doWith(p compare.Patch) string {
	how := ""
	switch {
	case p.Shape:
		how = ": it is cut the same"
	case p.Section:
		how = ": it is sewn in another section now"
	case p.Moved:
		how = ": the same shape elsewhere"
	}
	switch {
	case p.After.Cut == nil:
		return "not known"
	case p.Recut == compare.Anew:
		return "recut it"
	case p.Recut == compare.Trim:
		return "keep: it is large enough"
	}
	return "keep" + how
}
