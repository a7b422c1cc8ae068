// Package cloth turns patches into pieces of cloth: how large a piece is cut,
// whether it covers its patch, what is cut from which strip, and how much cloth
// to buy.
//
// The way through the package:
//
//	Shape        a patch in the frame of its seam              frame.go, seam.go
//	Laid         a piece of cloth laid on it, and its Margins  laid.go, placement.go
//	Offer        a way to cut a piece for it                   offer.go, least.go
//	PlacedPiece  the piece for a patch in a place of the quilt patch.go, reach.go
//	Quilt        what a whole setting is made of               quilt.go
//	Order        what is wanted: blocks, quilts, how many      order.go
//	Plan         strips across the cloth that give the pieces  plan.go, bound.go
//	List         the cut list: by fabric, with plan and length list.go
//
// # Units
//
// Lengths are in hairs and areas in square hairs (see package geom), angles in
// degrees. Nothing is rounded but the offered sizes, up to whole steps; the sizes
// on a cut list, up to a mark that rulers have; and the length to buy, up to what
// shops sell.
//
// # Two ways to speak of a constant
//
// The rotary cutter's constants (see trade.go) describe a piece that is larger
// than its patch by the same width all round. A foundation piece is laid
// otherwise: its edge lies exactly the allowance past the seam, and all that is
// to spare is to spare on the other sides. So a half-square triangle cut to
// the trade's finished leg + 7/8 in has 0.0063 in to spare all round when it
// is grown equally, but 0.0107 in on its legs, and nothing at the seam, when it
// is laid by its long side. Margins in this package are always of the second
// kind.
package cloth

import "sewable/lang/geom"

// Options are how cloth is cut and laid.
type Options struct {
	Step      float64   // offered sizes are whole steps; zero offers the exact least
	Placement Placement // what a laid piece may be off by
	Center    Center    // where along its seam a piece goes
	Extra     float64   // see CenterAuto
	Mark      float64   // distances that somebody measures while laying are whole marks; 0: as the file's unit has it
	Outer     bool      // patches with an outer edge of the block are boxed along the block's sides
	Triangles bool      // cut halved and quartered squares where that saves cloth
}

// DefaultWidth is the usable width of a fabric that gives none: 40 in, common practice.
const DefaultWidth = 40 * geom.Inch

// eps is below what any ruler or float here can tell, in hairs.
const eps = 1e-6
