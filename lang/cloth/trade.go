package cloth

import (
	"math"

	"sewable/lang/geom"
)

// The rotary cutter's constants, for an allowance of 1/4 in: what is added to the
// finished leg of a half-square triangle, and to the finished long side of a
// quarter-square triangle (North Hampshire Quilters, a guild, block instructions;
// the first also in The Quilter's Bible, a handbook).
const (
	HalfSquareConstant    = 7.0 / 8 * geom.Inch
	QuarterSquareConstant = 5.0 / 4 * geom.Inch
	tradeAllowance        = geom.Inch / 4
	tradeRoot             = 1.414 // √2 as the trade multiplies by it
)

// HalfSquareExact is what a finished leg grows by when a right isosceles triangle
// grows by an allowance all round: s(2 + √2), 0.8536 in for 1/4 in.
func HalfSquareExact(allowance float64) float64 { return allowance * (2 + math.Sqrt2) }

// QuarterSquareExact is the same for the long side: s(2 + 2√2), 1.2071 in for 1/4 in.
func QuarterSquareExact(allowance float64) float64 { return allowance * (2 + 2*math.Sqrt2) }

// SettingTriangles are the squares that the triangles around a setting on
// point are cut from.
type SettingTriangles struct {
	Side   float64 // cut corner to corner twice: four side triangles
	Corner float64 // cut once: two corner triangles
	// Trade: cut to the trade's constants, side × 1.414 + 1 1/4 and
	// side ÷ 1.414 + 7/8 (Moonlight Quilters, a guild, on-point settings). They
	// are for an allowance of 1/4 in; with another, the sizes are exact, from √2 and
	// the allowance.
	Trade bool
}

// NewSettingTriangles gives the squares for triangles whose finished long side
// spans the diagonal of a square of the first size (blocks and what lies between two of
// them), and for corner triangles whose long side is the second (a block).
// Sizes are rounded up to step; the trade's is 1/8 in.
func NewSettingTriangles(pitch, block, allowance, step float64) SettingTriangles {
	if math.Abs(allowance-tradeAllowance) > eps {
		return SettingTriangles{
			Side:   geom.RoundUp(pitch*math.Sqrt2+QuarterSquareExact(allowance), step),
			Corner: geom.RoundUp(block/math.Sqrt2+HalfSquareExact(allowance), step),
		}
	}
	return SettingTriangles{
		Side:   geom.RoundUp(pitch*tradeRoot+QuarterSquareConstant, step),
		Corner: geom.RoundUp(block/tradeRoot+HalfSquareConstant, step),
		Trade:  true,
	}
}

// BindingJoins is the length of binding for joining strips and turning corners,
// 24 in (a sewing tip page).
const BindingJoins = 24 * geom.Inch

// BindingStrips is how many strips across the cloth go round a quilt:
// ⌈(perimeter + joins) / width⌉ (a guild's tip of the week, with joins 0; a
// sewing tip page, with BindingJoins).
func BindingStrips(perimeter, joins, width float64) int {
	return int(math.Ceil((perimeter+joins)/width - eps))
}

// BindingWidth is the width to cut a double-fold binding that finishes at a
// width: four times that and two allowances of 1/4 in (a guild's tip of the week).
func BindingWidth(finished float64) float64 { return 4*finished + geom.Inch/2 }

// BackingMore is how much longer and wider than the top a backing is: 8 in,
// 4 in on every side (a guild's quilt guidelines).
const BackingMore = 8 * geom.Inch

// Backing is how a back is made up of widths of cloth: Count lengths, each the
// whole width of the cloth.
type Backing struct {
	Width, Height float64 // of the back
	Count         int
	Length        float64 // of each
}

// Across is how wide the back is, across its lengths.
func (b Backing) Across() float64 {
	if b.Length == b.Height {
		return b.Width
	}
	return b.Height
}

// NewBacking makes up the back for a top, with the lengths running whichever way
// takes less cloth; a way with fewer joins may take up to a quarter of a yard more. Joined
// lengths lose an allowance on both sides of each join.
func NewBacking(top geom.Box, width, allowance float64) Backing {
	w, h := top.Width()+BackingMore, top.Height()+BackingMore
	lengths := func(across float64) int {
		n := (across - 2*allowance) / (width - 2*allowance)
		return max(1, int(math.Ceil(n-eps)))
	}
	down, over := Backing{w, h, lengths(w), h}, Backing{w, h, lengths(h), w}
	cost := func(b Backing) float64 { return float64(b.Count) * (b.Length + 2*EighthYard) }
	if cost(over) < cost(down)-eps {
		return over
	}
	return down
}

// The least lengths that shops sell: an eighth of a yard, and 5 cm (common practice).
const (
	EighthYard = 36.0 / 8 * geom.Inch
	FiveCm     = 5 * geom.Centimetre
)

// Purchase is the length to buy: what is used and what squaring up the cut end
// takes, rounded up to an eighth of a yard or, in metric units, 5 cm.
func Purchase(used, squaring float64, unit geom.Unit) float64 {
	if used <= 0 {
		return 0
	}
	if unit == geom.Inches {
		return geom.RoundUp(used+squaring, EighthYard)
	}
	return geom.RoundUp(used+squaring, FiveCm)
}

// DefaultSquaring is how much is cut off to square up an end: 1/2 in, in metric units
// 1 cm (common practice; a cut end that is torn or folded askew takes more).
func DefaultSquaring(unit geom.Unit) float64 {
	if unit == geom.Inches {
		return geom.Inch / 2
	}
	return geom.Centimetre
}
