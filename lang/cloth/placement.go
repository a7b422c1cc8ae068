package cloth

import (
	"math"

	"sewable/lang/geom"
)

// Placement is what a piece may be off by when it is laid: up to Shift hairs along
// its edge and as much across, and turned by up to Turn degrees either way. What a hand
// does limits the turn further:
//
//   - a piece that is laid by eye turns about its own middle, so far that the ends of
//     the patch with its allowance, taken as a box, swing by Swing at most;
//   - a piece that is laid by its edge turns about the middle of that edge. The shift across
//     and the swing of the edge's ends share half the allowance, so that the stitches
//     catch the edge all along.
type Placement struct {
	Shift, Turn, Swing float64
}

// off says whether anything may be off at all.
func (pl Placement) off() bool { return pl.Shift > 0 || pl.Turn > 0 }

// slip is what one piece may be off by: shifted by up to along and across its side that lies
// along axis, or along x, and turned by up to turn, with |dy| + arm·|sin θ| ≤ budget for the shift across dy and
// the turn θ. A piece without an arm has no such budget.
type slip struct {
	along, across, turn float64 // turn in radians
	arm, budget         float64
	axis                geom.Point // of length 1; zero: x
}

// byEye is the slip of a piece with a side along an axis that is centered by eye on a patch whose
// box with its allowance has half so long a side.
func (pl Placement) byEye(half float64, axis geom.Point) slip {
	return slip{along: pl.Shift, across: pl.Shift, turn: pl.turned(pl.Swing, half), axis: axis}
}

// byEdge is the slip of a piece that is laid by an edge of a length. Past a right angle its
// ends would swing back: nobody lays it so.
func (pl Placement) byEdge(edge, allowance float64) slip {
	arm, budget := edge/2, allowance/2
	return slip{
		along: pl.Shift, across: min(pl.Shift, budget), turn: min(pl.turned(budget, arm), math.Pi/2),
		arm: arm, budget: budget,
	}
}

// turned is the largest turn that lets the end of an arm swing so far, in radians.
func (pl Placement) turned(swing, arm float64) float64 {
	turn := min(pl.Turn, 180) * math.Pi / 180
	if arm > swing {
		turn = min(turn, math.Asin(swing/arm))
	}
	return turn
}

// worst is the least that n·p can come to, over every placement, when a side of a piece
// goes through the origin of distance, {q : n·q = 0}: how far inside that side the place p is
// at worst. n has length 1 and points inwards; the piece turns about o.
//
// A side is the line n·q = h. Turned by θ about o and shifted by d it goes through
// o + R(q−o) + d, and a place p is inside it by
//
//	(Rn)·(p − o − d) + n·o − h,  R the turn by θ.
//
// With v = p − o and φ = α + θ the direction of Rn, α that of n, the worst shifts within
// |dx| ≤ s and |dy| ≤ m(θ) leave
//
//	g(θ) = vx cos φ + vy sin φ − s|cos φ| − m(θ)|sin φ|.
//
// The shift across is m(θ) = across as long as the budget b allows both, that is while
// |sin θ| ≤ (b − across)/k for the arm k, and b − k|sin θ| beyond. So every pair of turn and
// shift that the budget allows is looked at: the worst shift of each turn, and below the worst
// turn. On an interval where the signs of θ, cos φ and sin φ are fixed, g is a wave
//
//	g = (vx − s·sgn cos φ) cos φ + (vy − m·sgn sin φ) sin φ,   m = across or b,
//
// and where the budget binds there is k·sgn θ·sgn sin φ · sin θ sin φ besides, which is
// half of k·sgn θ·sgn sin φ · (cos α − cos(2φ − α)). The least over each interval is the
// least of g; shift and turn are worst together, not one after the other.
//
// The margin of a piece is the least over corners and sides, and the least
// of leasts may be taken in any order.
func (s slip) worst(n, p, o geom.Point) float64 {
	if u := s.axis; u != (geom.Point{}) {
		turn := func(p geom.Point) geom.Point { return geom.Point{X: u.Dot(p), Y: u.Cross(p)} }
		n, p, o = turn(n), turn(p), turn(o)
	}
	if s.turn == 0 {
		return n.Dot(p) - s.along*math.Abs(n.X) - s.across*math.Abs(n.Y)
	}
	v, alpha := p.Sub(o), math.Atan2(n.Y, n.X)
	binds := s.turn // the turn from which the budget binds
	if free := s.budget - s.across; s.arm > 0 && free < s.arm*math.Sin(s.turn) {
		binds = math.Asin(max(free, 0) / s.arm)
	}
	least := math.Inf(1)
	for _, sign := range [2]float64{-1, 1} {
		for _, part := range [2]struct {
			from, to, across, arm float64
		}{{0, binds, s.across, 0}, {binds, s.turn, s.budget, s.arm}} {
			if part.from == part.to && part.from > 0 {
				continue
			}
			from, to := alpha+sign*part.from, alpha+sign*part.to
			if sign < 0 {
				from, to = to, from
			}
			for {
				const quarter = math.Pi / 2
				quadrant := math.Floor(from/quarter + 1e-12)
				end := min((quadrant+1)*quarter, to)
				sin, cos := math.Sincos((quadrant + 0.5) * quarter)
				up := math.Copysign(1, sin)
				w := wave{
					once:  geom.Point{X: v.X - math.Copysign(s.along, cos), Y: v.Y - up*part.across},
					twice: -sign * up * part.arm / 2, alpha: alpha,
				}
				least = min(least, w.least(from, end)-w.twice*math.Cos(alpha))
				if from = end; from >= to {
					break
				}
			}
		}
	}
	return least + n.Dot(o)
}

// wave is the function once·(cos φ, sin φ) + twice·cos(2φ − alpha).
type wave struct {
	once         geom.Point
	twice, alpha float64
}

// at is the wave's height at φ, its slope and its bend.
func (w wave) at(phi float64) (height, slope, bend float64) {
	sin, cos := math.Sincos(phi)
	sin2, cos2 := math.Sincos(2*phi - w.alpha)
	height = w.once.X*cos + w.once.Y*sin
	return height + w.twice*cos2,
		w.once.Y*cos - w.once.X*sin - 2*w.twice*sin2,
		-height - 4*w.twice*cos2
}

// least is the least height from one φ to another. A plain wave is least at an end or in its
// trough. Of a double one the interval is halved until it is seen to go one way or to bend
// downwards, where an end is least, or to bend upwards, where the one place without slope
// is; no slope changes by more than the sum of what the two waves' can.
func (w wave) least(from, to float64) float64 {
	if w.twice == 0 {
		least := min(along(w.once, from), along(w.once, to))
		trough := math.Atan2(w.once.Y, w.once.X) + math.Pi
		trough += 2 * math.Pi * math.Ceil((from-trough)/(2*math.Pi))
		if trough < to {
			least = min(least, -w.once.Len())
		}
		return least
	}
	first, slope0, _ := w.at(from)
	last, slope1, _ := w.at(to)
	ends, half := min(first, last), (to-from)/2
	if half < 1e-9 {
		return ends
	}
	middle := from + half
	_, slope, bend := w.at(middle)
	once, twice := w.once.Len(), math.Abs(w.twice)
	switch {
	case math.Abs(slope) >= (once+4*twice)*half, bend <= -(once+8*twice)*half:
		return ends
	case bend >= (once+8*twice)*half:
		if slope0 >= 0 || slope1 <= 0 {
			return ends
		}
		for range 60 {
			if middle = (from + to) / 2; middle == from || middle == to {
				break
			}
			if _, slope, _ := w.at(middle); slope < 0 {
				from = middle
			} else {
				to = middle
			}
		}
		height, _, _ := w.at(middle)
		return min(ends, height)
	}
	return min(w.least(from, middle), w.least(middle, to))
}

// along is the part of v in a direction.
func along(v geom.Point, direction float64) float64 {
	sin, cos := math.Sincos(direction)
	return v.X*cos + v.Y*sin
}
