package query

import (
	"fmt"
	"math"
	"strconv"

	"sewable/lang/source"
	"sewable/lang/syntax"
)

// Colour is a colour in the text; its parts go from 0 to 1.
type Colour struct {
	At               source.Span
	Red, Green, Blue float64
}

// Colours are the colours of the file's fabrics.
func Colours(f *File) []Colour {
	var out []Colour
	syntax.Walk(f.Tree.Items, func(it *syntax.Item) bool {
		if n, ok := it.Node.(*syntax.Fabric); ok && n.Colour != nil {
			if r, g, b, ok := RGB(n.Colour.Hex); ok {
				out = append(out, Colour{it.Abs(n.Colour.Span), r, g, b})
			}
		}
		return true
	})
	return out
}

// RGB reads #rrggbb.
func RGB(hex string) (r, g, b float64, ok bool) {
	if len(hex) != 7 {
		return 0, 0, 0, false
	}
	n, err := strconv.ParseUint(hex[1:], 16, 32)
	return float64(n>>16) / 255, float64(n>>8&255) / 255, float64(n&255) / 255, err == nil
}

// Hex writes a colour as the language does; parts outside 0 to 1 are moved to the
// nearest.
func Hex(r, g, b float64) string {
	whole := func(x float64) int {
		if !(x > 0) {
			return 0
		}
		return int(math.Round(255 * min(x, 1)))
	}
	return fmt.Sprintf("#%02x%02x%02x", whole(r), whole(g), whole(b))
}
