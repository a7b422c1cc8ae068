package cloth

import (
	"math"

	"sewable/lang/geom"
)

// Placement is what a piece may be off by when it is laid: up to Shift hairs
// along its seam and as much across, and turned by up to Turn degrees either way
// about the point of the seam's line under the middle of the patch.
type Placement struct {
	Shift, Turn float64
}

// worst is the least that n·p can come to, less n·q for the side's points q as
// they are drawn, over every placement: how far inside the side through the
// origin of distance, {q : n·q = 0}, the place p is at worst.
//
// A side is the line n·q = h, n of length 1 pointing inwards. Turned by θ about o
// and shifted by d it goes through o + R(q−o) + d, and a place p is inside it by
//
//	(Rn)·(p − o − d) + n·o − h,  R the turn by θ.
//
// Of all shifts |dx|, |dy| ≤ s the worst takes s(|(Rn)x| + |(Rn)y|) off. With
// v = p − o and φ the direction of Rn, which runs from α−t to α+t for α the
// direction of n, what is left to make small is
//
//	g(φ) = vx cos φ + vy sin φ − s(|cos φ| + |sin φ|).
//
// Within one quadrant the signs of cos φ and sin φ are fixed, so there g is one
// wave, A cos(φ − ψ), with A and ψ the length and direction of
// (vx − s·sgn cos φ, vy − s·sgn sin φ). A wave is least over an interval at one
// of its ends or at its trough φ = ψ + π. So the quadrants' bounds, the ends and the
// troughs are all that need looking at, and the answer is exact: shift and turn
// are worst together, not one after the other.
//
// The margin of a piece is the least over corners and sides, and the least
// of leasts may be taken in any order.
func (pl Placement) worst(n, p, o geom.Point) float64 {
	v, s := p.Sub(o), pl.Shift
	if pl.Turn == 0 {
		return n.Dot(p) - s*(math.Abs(n.X)+math.Abs(n.Y))
	}
	const quarter = math.Pi / 2
	alpha, t := math.Atan2(n.Y, n.X), min(pl.Turn, 180)*math.Pi/180
	least := math.Inf(1)
	for from := alpha - t; from < alpha+t; {
		quadrant := math.Floor(from/quarter + 1e-12)
		to := min((quadrant+1)*quarter, alpha+t)
		sin, cos := math.Sincos((quadrant + 0.5) * quarter)
		w := geom.Point{X: v.X - math.Copysign(s, cos), Y: v.Y - math.Copysign(s, sin)}
		least = min(least, along(w, from), along(w, to))
		trough := math.Atan2(w.Y, w.X) + math.Pi
		trough += 2 * math.Pi * math.Ceil((from-trough)/(2*math.Pi))
		if trough < to {
			least = min(least, -w.Len())
		}
		from = to
	}
	return least + n.Dot(o)
}

// along is the part of v in a direction.
func along(v geom.Point, direction float64) float64 {
	sin, cos := math.Sincos(direction)
	return v.X*cos + v.Y*sin
}
