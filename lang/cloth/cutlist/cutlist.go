// Package cutlist writes cut lists: as text for the cutting table, as
// Markdown, and as CSV and JSON for programs; and the labels of the pieces as
// CSV. Lengths are written in the list's unit, in inches as fractions.
package cutlist

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"sewable/lang/cloth"
	"sewable/lang/english"
	"sewable/lang/geom"
)

// Caution is the line every printed list carries (common practice).
const Caution = "Rotary cutters are sharp: close the blade whenever you put it down, and cut away from yourself. Follow the makers' instructions."

// words writes a list's lengths.
type words struct {
	unit geom.Unit
	kits int
}

func (w words) length(hairs float64) string { return geom.Format(hairs, w.unit) }

// wide is the usable width of a fabric.
func (w words) wide(hairs float64) string { return geom.FormatLong(hairs, w.unit) }

// measured is a size as it comes out: "22 3/8 × 32 5/16 in".
func (w words) measured(width, height float64) string {
	return geom.FormatSize(width, height, w.unit)
}

// least is a length that is shown to be too short for less: never more than that.
func (w words) least(hairs float64) string { return geom.FormatRuler(hairs, w.unit, geom.Down) }

// number is a length without its unit.
func (w words) number(hairs float64) string {
	return strings.TrimSuffix(w.length(hairs), " "+w.unit.String())
}

// by is a size: "3 1/2 × 4 in", "3 7/8 in square".
func (w words) by(along, across float64) string {
	if math.Abs(along-across) < 1e-6 {
		return w.length(along) + " square"
	}
	return w.measured(along, across)
}

// size is how a piece is cut: the rectangle, or which triangle of a square.
func (w words) size(p *cloth.Piece) string {
	switch p.Form {
	case cloth.Strip:
		return "WOF strip, " + w.length(p.Across) + " wide"
	case cloth.HalfSquare, cloth.QuarterSquare:
		return p.Form.String()
	}
	if p.Keeps {
		return fmt.Sprintf("%s wide, %s up the print", w.length(p.Along), w.length(p.Across))
	}
	return w.by(p.Along, p.Across)
}

// cutting is what a piece is cut from, where it is not the rectangle itself: "from a 4 1/4 in square cut once
// diagonally".
func (w words) cutting(p *cloth.Piece) string {
	switch {
	case p.Form == cloth.HalfSquare:
		return "from a " + w.by(p.Along, p.Along) + " cut once diagonally"
	case p.Form == cloth.QuarterSquare:
		return "from a " + w.by(p.Along, p.Along) + " cut twice diagonally"
	case p.Slant != nil:
		edge := "edge"
		if !same(p.Slant.Along, p.Slant.Across) {
			edge = w.length(p.Slant.Along) + " edge"
		}
		return "from it " + w.by(p.Slant.Along, p.Slant.Across) + ", its " + edge + " to the seam " + slanted(p.Slant.Angle)
	default:
		return ""
	}
}

// slanted says how an edge lies to a print: "at 27° to the level of the print, rising to the right".
func slanted(angle float64) string {
	way := "rising to the right"
	if angle < 0 {
		way = "falling to the right"
	}
	return fmt.Sprintf("at %s° to the level of the print, %s", strconv.FormatFloat(math.Round(math.Abs(angle)*10)/10, 'f', -1, 64), way)
}

// Size says how a piece is cut, and what from where it is not cut as it is: "half-square triangle", "from a 3 7/8 in
// square cut once diagonally".
func Size(p *cloth.Piece, u geom.Unit) (size, after string) {
	w := words{unit: u}
	return w.size(p), w.cutting(p)
}

// Label is what a label says of its piece: its size, the edge that goes to the seam first, what it is
// cut from, and how the piece is laid. Only the size is never empty.
func Label(l cloth.Label, u geom.Unit) (size, after, laid string) {
	w := words{unit: u}
	p := *l.Piece
	p.Along, p.Across = l.Use.Along, l.Use.Across // of a print that is kept upright its width, and what goes up it
	return w.size(&p), w.cutting(&p), w.lay(l.Use.Lay, p.Form)
}

// Laid says how a piece is laid, as its label does; nothing where its size says it.
func Laid(l cloth.Lay, form cloth.Form, u geom.Unit) string { return words{unit: u}.lay(l, form) }

// lay says how a piece is laid, where its size does not say it: "7 in edge to the seam, 1 1/4 in past
// the upper end".
func (w words) lay(l cloth.Lay, form cloth.Form) string {
	triangle := form == cloth.HalfSquare || form == cloth.QuarterSquare
	var out []string
	switch {
	case l.Way == cloth.Folded:
		out = append(out, "lay upright, fold under along the line")
	case l.Lie == cloth.SquareToBlock:
		out = append(out, "edges square with the block")
	case l.Lie == cloth.AlongLongest && triangle:
		out = append(out, "long edge along the longest edge of the patch")
	case l.Lie == cloth.AlongLongest:
		out = append(out, w.length(l.Edge)+" edge along the longest edge of the patch")
	case l.Edge > 0 && triangle:
		out = append(out, "long edge to the seam")
	case l.Edge > 0:
		out = append(out, w.length(l.Edge)+" edge to the seam")
	}
	if l.Past > 0 {
		out = append(out, w.length(l.Past)+" past the line")
	}
	if l.Reaches {
		out = append(out, w.reach(l.Reach))
	}
	return strings.Join(out, ", ")
}

// reach says how far past an end of its line a piece reaches.
func (w words) reach(r cloth.Reach) string {
	switch {
	case same(r.By, 0):
		return "even with the " + r.Called() + " end"
	case r.By < 0:
		return fmt.Sprintf("%s before the %s end", w.length(-r.By), r.Called())
	}
	return fmt.Sprintf("%s past the %s end", w.length(r.By), r.Called())
}

// buy is a length to buy: "1 1/4 yd", "85 cm", "1.15 m".
func (w words) buy(hairs float64) string {
	switch {
	case w.unit == geom.Inches:
		return geom.FormatNumber(hairs/36, geom.Inches) + " yd"
	case hairs >= 100*geom.Centimetre:
		return geom.FormatNumber(hairs/100, geom.Centimetres) + " m"
	default:
		return geom.Format(hairs, geom.Centimetres)
	}
}

// Buy says how much cloth to buy: "1 1/4 yd", "85 cm", "1.15 m".
func Buy(hairs float64, u geom.Unit) string { return words{unit: u}.buy(hairs) }

// letter names a size of piece within its fabric: a, b … z, aa, ab …
func letter(i int) string {
	s := ""
	for i++; i > 0; i = (i - 1) / 26 {
		s = string(rune('a'+(i-1)%26)) + s
	}
	return s
}

// uses says what pieces are for: "Whelk A1–A3, B2 (×2)".
func (w words) uses(p *cloth.Piece) string {
	type group struct {
		block, way   string
		mirrored     bool
		turned       float64
		first, count int
		places       string
		edge         float64 // to the seam, where pieces of one size go either way
	}
	_, _, mixed := p.Seamed()
	var order []group
	labels := make(map[group][]string)
	for _, u := range p.Uses {
		g := group{u.Block, u.Way, u.Mirrored, u.Turned, u.First, u.Count, english.Runs(u.Places), 0}
		if mixed && !same(u.Lay.Edge, 0) {
			g.edge, _ = u.Seamed(p)
		}
		if labels[g] == nil {
			order = append(order, g)
		}
		labels[g] = append(labels[g], u.Label)
	}
	var out []string
	for _, g := range order {
		s := placeName(g.block, g.way, g.mirrored, g.turned) + " " + strings.Join(ranges(labels[g]), ", ")
		switch {
		case g.places != "" && g.count == 1:
			s += fmt.Sprintf(" (block %s)", g.places)
		case g.places != "":
			s += fmt.Sprintf(" (blocks %s)", g.places)
		case g.first > 1 && g.count == 1:
			s += fmt.Sprintf(" (copy %d)", g.first)
		case g.first > 1:
			s += fmt.Sprintf(" (copies %d–%d)", g.first, g.first+g.count-1)
		case g.count > 1 && w.kits > 1:
			s += fmt.Sprintf(" (×%d in each of %d kits)", g.count, w.kits)
		case g.count > 1:
			s += fmt.Sprintf(" (×%d)", g.count)
		}
		if g.edge > 0 {
			s += ", " + w.length(g.edge) + " edge to the seam"
		}
		out = append(out, s)
	}
	return strings.Join(out, "; ")
}

// placeName is a block and how it goes into the quilt: "Wedge dusk (mirrored, turned 90°)".
func placeName(block, way string, mirrored bool, turned float64) string {
	if way != "" {
		block += " " + way
	}
	var how []string
	if mirrored {
		how = append(how, "mirrored")
	}
	if turned != 0 {
		how = append(how, Turned(turned))
	}
	if len(how) > 0 {
		block += " (" + strings.Join(how, ", ") + ")"
	}
	return block
}

// Turned says how a block lies in the quilt: "turned 90°".
func Turned(degrees float64) string {
	return "turned " + strconv.FormatFloat(math.Round(degrees*100)/100, 'f', -1, 64) + "°"
}

// ranges joins labels of one section that follow each other: A1, A2, A3 → A1–A3.
func ranges(labels []string) (out []string) {
	for i := 0; i < len(labels); {
		name, number := split(labels[i])
		j := i + 1
		for ; j < len(labels) && number > 0; j++ {
			if n, k := split(labels[j]); n != name || k != number+j-i {
				break
			}
		}
		if j-i >= 3 {
			out = append(out, labels[i]+"–"+labels[j-1])
		} else {
			out = append(out, labels[i:j]...)
		}
		i = j
	}
	return out
}

// split takes a label apart; the number is 0 when it has none.
func split(label string) (section string, number int) {
	section = strings.TrimRight(label, "0123456789")
	fmt.Sscanf(label[len(section):], "%d", &number) // nothing to scan leaves 0
	return section, number
}

// title says what a list is for.
func title(l *cloth.List) string {
	var what []string
	for _, p := range l.Order.Blocks {
		name := p.Block.Name
		if p.Colourway != nil {
			name += " " + p.Colourway.Name
		}
		if p.Count > 1 {
			name += fmt.Sprintf(" × %d", p.Count)
		}
		what = append(what, name)
	}
	var names []string
	copies := make(map[string]int)
	for _, q := range l.Order.Quilts {
		if copies[q.Of.Name]++; copies[q.Of.Name] == 1 {
			names = append(names, q.Of.Name)
		}
	}
	for _, name := range names {
		if n := copies[name]; n > 1 {
			name += fmt.Sprintf(" × %d", n)
		}
		what = append(what, name)
	}
	s := strings.Join(what, ", ")
	if l.Kits > 1 {
		s += fmt.Sprintf(", %d kits", l.Kits)
	}
	return s
}

// notes are what is worth knowing of a whole list: sizes of quilts, batting, which
// constants were used.
func notes(l *cloth.List, w words) (out []string) {
	seen := make(map[*cloth.Quilt]bool)
	for _, q := range l.Order.Quilts {
		if seen[q] {
			continue
		}
		seen[q] = true
		out = append(out, fmt.Sprintf("%s finishes at %s.", q.Of.Name, w.measured(q.Width, q.Height)))
		if t := q.Triangles; t != nil && t.Trade {
			out = append(out, "Side triangles: block × 1.414 + 1 1/4 in, cut twice diagonally. Corner triangles: block ÷ 1.414 + 7/8 in, cut once. Both are slightly oversized; trim them.")
		} else if t != nil {
			out = append(out, fmt.Sprintf("Setting triangles are cut to the exact size for an allowance of %s.", w.length(q.Allowance)))
		}
		for i := range q.Of.OwnRows {
			out = append(out, fmt.Sprintf("Row %d of %s, left to right: %s.", i+1, q.Of.Name, english.List(rowOf(q, i, w))))
		}
		if n := len(q.Of.OwnRows); n > 1 {
			out = append(out, "Sew the parts of each row together, then the rows, from the top.")
		}
		for _, n := range q.Of.Notes {
			out = append(out, n.Text)
		}
		if borders := bordersOf(q); len(borders) > 0 {
			out = append(out, "Sew the borders on in this order: "+strings.Join(borders, "; then ")+".")
		}
		if f := q.Of.OnPoint; f != nil && f.Directional {
			out = append(out, fmt.Sprintf("The print of %s runs four ways in setting triangles cut from squares.", f.Name))
		}
		if q.Of.Batting {
			whole := func(x float64) float64 { return geom.RoundUp(x, wholeOf(w.unit)) }
			out = append(out, fmt.Sprintf("Batting for %s: %s.", q.Of.Name, w.measured(whole(q.Width+cloth.BackingMore), whole(q.Height+cloth.BackingMore))))
		}
	}
	if i := slices.IndexFunc(l.Fabrics, func(f cloth.FabricList) bool { return f.Assumed }); i >= 0 {
		var names []string
		for _, f := range l.Fabrics {
			if f.Assumed {
				names = append(names, called(&f))
			}
		}
		out = append(out, fmt.Sprintf("No width set for %s: %s assumed.", english.List(names), w.length(cloth.DefaultWidth)))
	}
	return out
}

// rowOf are the parts of a row as they are sewn together.
func rowOf(q *cloth.Quilt, row int, w words) (parts []string) {
	for _, p := range q.Of.OwnRows[row].Parts {
		part := ""
		if p.Cell != nil {
			part = p.Cell.Block.Name
			if p.Cell.Colourway != nil {
				part += " " + p.Cell.Colourway.Name
			}
			if p.Cell.Turned.Sign() != 0 {
				part += fmt.Sprintf(" turned %g°", p.Cell.Turned.Float64())
			}
			if p.Cell.Mirrored {
				part += " mirrored"
			}
		} else {
			part = fmt.Sprintf("%s (finished %s wide)", p.StripName(), w.length(p.Strip.Width.Float64()))
		}
		parts = append(parts, part)
	}
	return parts
}

// bordersOf are the borders of a quilt as they are sewn on: "the top and the bottom", "the sides of border 2".
func bordersOf(q *cloth.Quilt) (out []string) {
	for _, p := range q.Parts {
		border, edge, _ := strings.Cut(p.Name, ", ")
		if !strings.HasPrefix(border, "border") {
			continue
		}
		edges := map[string]string{"side": "the sides", "top or bottom": "the top and the bottom"}[edge]
		if len(q.Of.Borders) > 1 {
			edges += " of " + border
		}
		out = append(out, edges)
	}
	return out
}

// wholeOf is what batting is rounded up to: inches, or centimeters.
func wholeOf(u geom.Unit) float64 {
	if u == geom.Inches {
		return geom.Inch
	}
	return geom.Centimetre
}

// called is a fabric as its reader knows it.
func called(f *cloth.FabricList) string { return f.Fabric.Called() }

// percent is a share.
func percent(x int) string { return fmt.Sprintf("%d%%", x) }
