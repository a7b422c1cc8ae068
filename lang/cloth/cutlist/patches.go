package cutlist

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strings"

	"sewable/lang/cloth"
	"sewable/lang/geom"
)

// BlockPatches are the pieces of a block's patches in a place of the quilt.
type BlockPatches struct {
	Block   string
	At      cloth.Placed
	Patches []*cloth.PlacedPiece
}

// title is the block and how it lies: "Wedge dusk mirrored turned 90°".
func (b BlockPatches) title() string { return placeName(b.Block, b.way(), b.At.Mirrored, b.At.Turned) }

func (b BlockPatches) way() string {
	if b.At.Colourway == nil {
		return ""
	}
	return b.At.Colourway.Name
}

// Patches writes of every patch its finished size, how its piece is cut and laid, what
// that has to spare past every edge and the allowance there, and what other ways of cutting it take of cloth.
func Patches(out io.Writer, blocks []BlockPatches, unit geom.Unit) error {
	b := bufio.NewWriter(out)
	w := words{unit: unit}
	for i, block := range blocks {
		if i > 0 {
			fmt.Fprintln(b)
		}
		fmt.Fprintf(b, "%s\n", block.title())
		for _, p := range block.Patches {
			fmt.Fprintf(b, "\n%s", p.Label)
			if p.Fabric != nil {
				fmt.Fprintf(b, ", %s", p.Fabric.Called())
			}
			fmt.Fprintln(b)
			for _, f := range facts(p, w) {
				for k, line := range wrap(f.says, 74) {
					if k > 0 {
						f.name, line = "", strings.TrimSpace(line)
					}
					fmt.Fprintf(b, "  %-24s%s\n", f.name, line)
				}
			}
		}
	}
	fmt.Fprintf(b, "\n%s\n", Caution)
	return b.Flush()
}

type fact struct{ name, says string }

func facts(p *cloth.PlacedPiece, w words) (out []fact) {
	add := func(name, format string, args ...any) { out = append(out, fact{name, fmt.Sprintf(format, args...)}) }
	along := " along its seam"
	if !p.Seam.Sewn {
		along = ""
	}
	add("finished", "%s%s, %s", w.about(p.Width, p.Height), along, geom.FormatArea(p.Area, w.unit))
	pick := w.offer(p.Pick)
	if extra := p.Extra(); p.Pick.Keeps && extra > 1 {
		pick += fmt.Sprintf("; keeping the print upright takes %s of it", geom.FormatArea(extra, w.unit))
	}
	add("cut", "%s", pick)
	add("placed", "%s", w.laid(p))
	if l := p.Pick.Laid; l.Way == cloth.ByEdge && !l.Centered && p.Pick.OnLine > l.Edge()+1e-6 {
		add("", "centered on the line, its edge would have to be %s long", w.length(p.Pick.OnLine))
	}
	name := "extra past"
	for _, m := range p.Margins(p.Pick) {
		at := p.Corners.Edge(m.Edge)
		s := fmt.Sprintf("%s to %s: %s, at worst %s", geom.FormatPlace(at.A, w.unit), geom.FormatPlace(at.B, w.unit), w.spare(m.Nominal), w.spare(m.Worst))
		if allowance := p.Section.Block.Allowance.Size.Float64(); !same(m.Need, allowance) {
			s += fmt.Sprintf(", over the allowance of %s", w.length(m.Need))
		}
		add(name, "%s", s)
		name = ""
	}
	ways := p.Ways()
	for _, o := range otherWays(p, ways) {
		add(o.name, "%s; extra %s, at worst %s", w.offer(*o.offer), w.spare(o.offer.Nominal.Least), w.spare(o.offer.Worst.Least))
	}
	if len(ways.Grown) > 0 {
		add("shaped piece", "%s, with the allowance all around and mitered corners", geom.FormatArea(math.Abs(ways.Grown.Area()), w.unit))
	}
	return out
}

// way is another way to cut a piece.
type way struct {
	name  string
	offer *cloth.Offer
}

// otherWays are the ways to cut a piece that differ from how it is cut.
func otherWays(p *cloth.PlacedPiece, ways cloth.Ways) (out []way) {
	others := func(name string, o *cloth.Offer) {
		if o != nil && (o.Form != p.Pick.Form || !same(o.Cloth(), p.Pick.Cloth())) {
			out = append(out, way{name, o})
		}
	}
	straight := "rectangle on the seam"
	if !p.Seam.Sewn {
		straight = "rectangle"
	}
	others(straight, &ways.Rectangle)
	if ways.Smallest.Cloth() < ways.Rectangle.Cloth()-1 {
		others("smallest rectangle", &ways.Smallest)
	}
	if p.Fabric == nil || !p.Fabric.Directional { // the print would run four ways in triangles
		others("half-square triangle", ways.HalfSquare)
		others("quarter-square triangle", ways.QuarterSquare)
		for i := range ways.Trade {
			others("by the trade's constant", &ways.Trade[i])
		}
	}
	return out
}

func same(a, b float64) bool { return math.Abs(a-b) < 1e-6 }

// about is a finished size to the nearest mark of a ruler.
func (w words) about(along, across float64) string {
	near := func(x float64) float64 { return geom.RoundTo(x, geom.Mark(w.unit)) }
	s := w.by(near(along), near(across))
	if !same(near(along), along) || !same(near(across), across) {
		s = "about " + s
	}
	return s
}

// offer is a way to cut a piece and the cloth it takes.
func (w words) offer(o cloth.Offer) string {
	return w.offered(o) + ": " + geom.FormatArea(o.Cloth(), w.unit) + " of fabric"
}

// offered is a way to cut a piece, in the words of the cut list.
func (w words) offered(o cloth.Offer) string {
	p := cloth.PieceOf(o)
	if p.Form == cloth.Strip {
		p.Form = cloth.Rectangle // as long as it has to be
	}
	p.Along, p.Across = geom.RoundUp(p.Along, geom.Mark(w.unit)), geom.RoundUp(p.Across, geom.Mark(w.unit))
	s := w.size(&p)
	if after := w.cutting(&p); after != "" {
		s += ", " + after
	}
	return s
}

// laid says which edge of the piece goes where.
func (w words) laid(p *cloth.PlacedPiece) string {
	a, b := geom.FormatPlace(p.Seam.A, w.unit), geom.FormatPlace(p.Seam.B, w.unit)
	switch p.Pick.Laid.Way {
	case cloth.ByEye:
		if turned := w.turned(p.Pick); turned != "" {
			return "right side up over the patch, centered by eye, " + turned
		}
		return "right side up over the patch, centered by eye"
	case cloth.Folded:
		return fmt.Sprintf("Lay it upright over its place, centered by eye. Fold it under along the line from %s to %s and crease it. Sew in the crease. Trim it after.", a, b)
	}
	edge := w.length(p.Pick.Laid.Edge())
	side := "its long edge (" + edge + ")"
	switch {
	case p.Pick.Form == cloth.HalfSquare || p.Pick.Form == cloth.QuarterSquare:
		side = "the long edge of the triangle"
	case p.Pick.Slant != nil:
		side = "its slanted edge (" + edge + ")"
	case same(p.Pick.Along, p.Pick.Across):
		side = "an edge"
	case p.Pick.Laid.Edge() < max(p.Pick.Along, p.Pick.Across)-1e-6:
		side = "its short edge (" + edge + ")"
	}
	where := "centered on the line"
	if r, ok := p.Reach(p.Pick); ok {
		where = w.reach(r) + " of the line"
	}
	return fmt.Sprintf("%s %s past the seam from %s to %s, %s", side, w.length(p.Pick.Laid.Past), a, b, where)
}

// turned says how a first piece is turned, where that matters.
func (w words) turned(o cloth.Offer) string {
	switch {
	case o.Laid.Lie == cloth.SquareToBlock:
		return "its edges square with the block"
	case o.Laid.Lie != cloth.AlongLongest:
		return ""
	case o.Form == cloth.HalfSquare || o.Form == cloth.QuarterSquare:
		return "its long edge along the longest edge of the patch"
	}
	return fmt.Sprintf("its %s edge along the longest edge of the patch", w.length(o.Along))
}

// spare is what is to spare: "9/32 in", "1/16 in short".
func (w words) spare(margin float64) string { return geom.FormatMargin(margin, w.unit) }
