package draw

import (
	"sewable/lang/block"
	"sewable/lang/draw/ink"
	"sewable/lang/geom"
)

// Colours says how the fabrics of a block are drawn in a colourway, the right side up: of a
// patch's own fabric, or of one that stands for it.
func Colours(b *block.Block, way *block.Colourway) func(*block.Fabric) ink.Colour {
	looks := looksOf(b, Options{Colourway: way})
	return func(f *block.Fabric) ink.Colour { return looks.of(f).fill }
}

// Lined are the parallel lines of a hatch inside a polygon.
func Lined(poly geom.Polygon, degrees, spacing float64) []ink.Chain {
	return hatch{angles: []float64{degrees}, spacing: spacing}.lines(poly)
}
