package lint

import (
	"fmt"
	"math"

	"sewable/lang/geom"
	"sewable/lang/syntax"
)

// Unit is the unit of the file's bare numbers, in which its author thinks.
func (p *Pass) Unit() geom.Unit { return p.File.Unit }

// Len writes a length, in hairs, as people say it in the file's unit: "2 1/4 in".
func (p *Pass) Len(hairs float64) string { return geom.Format(hairs, p.Unit()) }

// Exact writes a length to the digit, where it stands beside a place: "0.040 in".
func (p *Pass) Exact(hairs float64) string { return geom.FormatExact(hairs, p.Unit()) }

// Size writes a size: "2 1/4 × 3 in".
func (p *Pass) Size(width, height float64) string { return geom.FormatSize(width, height, p.Unit()) }

// Area writes an area, in square hairs: "1.5 sq in".
func (p *Pass) Area(squareHairs float64) string { return geom.FormatArea(squareHairs, p.Unit()) }

// Point writes a place as people say it, rounded: "(2.13, 5 1/2)".
func (p *Pass) Point(at geom.Point) string { return geom.FormatPlace(at, p.Unit()) }

// Typed writes a place as a fix types it, to the last digit.
func (p *Pass) Typed(at geom.Point) string { return geom.FormatPoint(at, p.Unit()) }

// Number writes a length as a fix types it, to the last digit and without its unit.
func (p *Pass) Number(hairs float64) string { return geom.FormatNumber(hairs, p.Unit()) }

// Degrees writes an angle: "38°".
func Degrees(d float64) string { return fmt.Sprintf("%g°", math.Round(d)) }

// DidYouMean is the end of a message about a wrong name: "; did you mean
// sky?", or nothing when no name is near.
func DidYouMean(near string) string {
	if near == "" {
		return ""
	}
	return fmt.Sprintf("; did you mean %s?", near)
}

// DeleteItem takes a statement out, with the lines it stands on.
func (p *Pass) DeleteItem(item *syntax.Item) Edit {
	span := item.Raw
	if item.Close != nil {
		span = span.Cover(item.Close.Raw)
	}
	return Delete(p.At(span))
}
