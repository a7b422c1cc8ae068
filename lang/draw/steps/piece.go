package steps

import (
	"math"
	"strconv"
	"strings"

	"sewable/lang/block"
	"sewable/lang/cloth"
	"sewable/lang/draw/texts"
	"sewable/lang/geom"
)

// Laid is how the piece of fabric for a patch is laid. Places are the block's.
type Laid struct {
	Open  geom.Polygon // where it lies flipped open, its allowance past the seam included
	Flat  geom.Polygon // where it is laid; of a piece that is not flipped Open itself
	Edge  string       // which edge goes to the seam
	Past  float64      // how far that edge lies past the line
	Way   cloth.Way
	Where string        // where it goes along the seam, in a sentence
	Reach *cloth.Reach  // the same where it is not simply centered on its line
	Up    bool          // its print is kept upright
	UpTo  geom.Point    // where the print's top goes, a direction in the block
	Marks [3]geom.Point // where its ends and, between them, its middle come on the line; of one with Reach
}

// piece works out a step's piece.
func (w *writer) piece(step *Step) {
	step.Laid.Edge = texts.EdgeSquare
	c, ok := cloth.Place(step.Patch, w.seams[step.Patch], w.how.At, w.how.Cloth)
	if !ok {
		return
	}
	pick := c.Pick
	step.Piece, step.Cut = c, w.cut(pick)
	l := &step.Laid
	l.Open, l.Way, l.Past, l.Up = c.Outline(pick), pick.Laid.Way, pick.Laid.Past, pick.Keeps
	l.UpTo = geom.TurnAbout(geom.Point{}, w.how.At.Up).Apply(geom.Point{Y: 1})
	l.Flat = c.Before(pick)
	if l.Way != cloth.ByEdge {
		return
	}
	edge := pick.Laid.Edge()
	long, short := max(pick.Along, pick.Across), min(pick.Along, pick.Across)
	switch {
	case pick.Slant != nil:
		l.Edge = texts.EdgeSlanted
	case pick.Form == cloth.HalfSquare || pick.Form == cloth.QuarterSquare:
		l.Edge = texts.EdgeTriangle
	case long-short < geom.Hair/2:
	case long-short < geom.Inch/4: // nobody sees which is the long one
		l.Edge = texts.Fill(texts.EdgeOf, "size", w.len(w.up(edge)))
	case edge > (long+short)/2:
		l.Edge = texts.Fill(texts.EdgeLong, "size", w.len(w.up(edge)))
	default:
		l.Edge = texts.Fill(texts.EdgeShort, "size", w.len(w.up(edge)))
	}
	l.Where = texts.LayCentered
	if r, ok := c.Reach(pick); ok {
		l.Reach = &r
		l.Marks[0], l.Marks[1], l.Marks[2], _ = c.Marks(pick)
		l.Where = w.reach(r)
	}
}

// reach says how far past an end of its line the edge of a piece goes.
func (w *writer) reach(r cloth.Reach) string {
	return w.ReachPast(r.By, r.Called(), [3]string{texts.LayReach, texts.LayEven, texts.LayStop})
}

// ReachPast says the same of an end by what it is called, in words for past it, even with it and short of it.
func (p *Plan) ReachPast(by float64, end string, words [3]string) string {
	text, frame := words[0], ""
	if end == cloth.LeftEnd.String() || end == cloth.RightEnd.String() { // the printed side has them the other way round
		frame = texts.LayFrame
	}
	switch {
	case math.Abs(by) < geom.Hair/2:
		text = words[1]
	case by < 0:
		text, by = words[2], -by
	}
	return texts.Fill(text, "reach", p.Length(by), "end", texts.Ends[end], "frame", frame)
}

// cut is the size of a piece in words.
func (w *writer) cut(o cloth.Offer) string {
	along, across := w.up(o.Along), w.up(o.Across)
	switch o.Form {
	case cloth.HalfSquare:
		return texts.Fill(texts.SizeHalf, "side", w.len(along))
	case cloth.QuarterSquare:
		return texts.Fill(texts.SizeQuarter, "side", w.len(along))
	}
	if t := o.Slant; t != nil {
		x, y := w.up(t.Along), w.up(t.Across)
		edge, way := texts.EdgeOfSquare, texts.Rising
		if x != y {
			edge = texts.Fill(texts.EdgeOf, "size", w.len(x))
		}
		if t.Angle < 0 {
			way = texts.Falling
		}
		return texts.Fill(texts.SizeSlanted, "size", CutSize(along, across, o.Keeps, w.Unit), "piece", w.size(x, y), "edge", edge, "angle", degrees(t.Angle), "way", way)
	}
	return CutSize(along, across, o.Keeps, w.Unit)
}

// up is a size to cut at the next mark of a ruler, as the cut list has it.
func (w *writer) up(hairs float64) float64 { return geom.RoundUp(hairs, geom.Mark(w.Unit)) }

// CutSize is the size of a rectangle to cut. Of one whose print is kept upright it says which side goes up the
// print: 7 in wide, 4 1/4 in up the print.
func CutSize(along, across float64, keeps bool, u geom.Unit) string {
	if !keeps {
		return Sides(along, across, u)
	}
	return texts.Fill(texts.SizeUpright, "x", texts.Measure(geom.Format(along, u)), "y", texts.Measure(geom.Format(across, u)))
}

// degrees is an angle as the cut list has it: to a tenth of a degree.
func degrees(a float64) string {
	return strconv.FormatFloat(math.Round(math.Abs(a)*10)/10, 'f', -1, 64) + "°"
}

// size is a rectangle: 4 × 2 1/4 in.
func (w *writer) size(x, y float64) string { return Sides(x, y, w.Unit) }

// Sides is the size of a rectangle in words, its unit once: 4 × 2 1/4 in, 3 in square.
func Sides(x, y float64, u geom.Unit) string {
	side, other := geom.Format(x, u), geom.Format(y, u)
	if side == other {
		return texts.Measure(texts.Fill(texts.SizeSquare, "side", side))
	}
	return texts.Measure(texts.Fill(texts.Size, "x", strings.TrimSuffix(side, " "+u.String()), "y", other))
}

// allowance is the block's; 0 when there is none.
func allowance(b *block.Block) float64 {
	if b.Allowance == nil || b.Allowance.Broken {
		return 0
	}
	return b.Allowance.Size.Float64()
}

// outer is the allowance on the block's edges.
func outer(b *block.Block) float64 {
	if b.OuterAllowance == nil || b.OuterAllowance.Broken {
		return allowance(b)
	}
	return b.OuterAllowance.Size.Float64()
}
