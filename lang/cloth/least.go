package cloth

import (
	"math"

	"sewable/lang/geom"
)

// fine is the step of sizes that are not rounded.
const fine = 1e-4

// clear is what an offered size has left at worst: half a hair (0.1 mm). A drawn
// corner is no truer than that: corners within a hair are one.
const clear = geom.Hair / 2

// clearOf is what a size that is offered has to keep clear.
func clearOf(o Options) float64 {
	if o.Step > 0 && o.Placement.off() {
		return clear
	}
	return 0
}

// past is how far past the line the edge of a piece lies, when it is so long and its
// middle there: the allowance, and more only where the patch reaches past the seam's ends on
// its line or below. Then it is a whole number of marks.
func (s *Shape) past(at place, edge float64, p Placement, more float64) float64 {
	past := s.allowance
	for range 50 {
		need := -s.limit(geom.Point{Y: 1}, seamSide, p.byEdge(edge, s.allowance), geom.Point{X: at.x, Y: -past}, more)
		if need <= past+eps {
			break
		}
		past = geom.RoundUp(need, s.mark)
	}
	return past
}

// half is how far to either side of its middle a piece with such an edge has to reach, along
// the edge.
func (s *Shape) half(form Form, at place, edge, past float64, p Placement, more float64) float64 {
	e, o := p.byEdge(edge, s.allowance), geom.Point{X: at.x, Y: -past}
	limit := func(x, y float64) float64 { return s.limit(geom.Point{X: x, Y: y}, otherSide, e, o, more) }
	if form == HalfSquare || form == QuarterSquare {
		// The slanted sides go through (x ∓ edge/2, −past) at 45°.
		const r = math.Sqrt2 / 2
		return max(past+at.x-math.Sqrt2*limit(r, -r), past-at.x-math.Sqrt2*limit(-r, -r), 0)
	}
	return max(at.x-limit(1, 0), -limit(-1, 0)-at.x, 0)
}

// across is how wide a rectangle with such an edge has to be.
func (s *Shape) across(at place, edge, past float64, p Placement, more float64) float64 {
	limit := s.limit(geom.Point{Y: -1}, otherSide, p.byEdge(edge, s.allowance), geom.Point{X: at.x, Y: -past}, more)
	return past + max(-limit, 0)
}

// edgeOf is how long the edge of a form is that goes to the seam, for the size 1.
func edgeOf(f Form) float64 {
	if f == HalfSquare {
		return math.Sqrt2
	}
	return 1
}

// leastSize is the least size of a form, in whole steps, whose edge covers wherever the
// piece lands: of a rectangle its length along the seam, of a triangle the side of its square. A
// longer edge is off by less and reaches further, so what is larger covers too.
func (s *Shape) leastSize(form Form, on func(edge float64) place, o Options) float64 {
	step, p, more := o.Step, o.Placement, clearOf(o)
	if step <= 0 {
		step = fine
	}
	// needs is how many steps a piece of so many steps has to have.
	needs := func(n int) int {
		edge := float64(n) * step * edgeOf(form)
		at := on(edge)
		return int(math.Ceil((2*s.half(form, at, edge, s.past(at, edge, p, more), p, more) - eps) / edgeOf(form) / step))
	}
	// The less a piece is off, the longer it is: what a piece as short as without any error
	// needs is enough, and what one that is enough needs is the least.
	from, to := s.extent()
	low := max(int((to-from)/edgeOf(form)/step)-1, 0) // too small: no error makes less do
	high := max(needs(low+1), low+1)
	for {
		need := needs(high)
		if need <= high {
			low = max(low, need-1)
			break
		}
		low, high = high, need // another place along the seam, to the mark
	}
	for low+1 < high {
		if middle := (low + high) / 2; needs(middle) <= middle {
			high = middle
		} else {
			low = middle
		}
	}
	return float64(high) * step
}

// leastAlong is the least rectangle about the patch's middle with its width along u.
func (s *Shape) leastAlong(u geom.Point, e slip, more float64) (width, height float64) {
	middle := s.middleAlong(u)
	least := func(n geom.Point) float64 {
		at := n.Dot(middle)
		return 2 * max(at-s.limit(n, anySide, e, middle, more), -s.limit(n.Scale(-1), anySide, e, middle, more)-at)
	}
	return least(u), least(geom.Point{X: -u.Y, Y: u.X})
}

// eyeTriangle is the right isosceles triangle with its long side along the frame, laid by
// eye with that side along the patch's longest edge: the middle of the circle in it lies where it lies in the least triangle that
// covers without error.
func (s *Shape) eyeTriangle(long float64) Laid {
	c := s.triangleMiddle()
	low := c.Y - long/(2+2*math.Sqrt2)
	return Laid{Outline: geom.Polygon{
		{X: c.X - long/2, Y: low}, {X: c.X + long/2, Y: low}, {X: c.X, Y: low + long/2},
	}, Middle: c, Way: ByEye, Lie: AlongLongest}
}

// triangleSides point into a right isosceles triangle from its long side and its legs.
var triangleSides = [3]geom.Point{{Y: 1}, {X: math.Sqrt2 / 2, Y: -math.Sqrt2 / 2}, {X: -math.Sqrt2 / 2, Y: -math.Sqrt2 / 2}}

// triangleMiddle is the middle of the circle in the least triangle that covers without
// error: so far from all three of its sides.
func (s *Shape) triangleMiddle() geom.Point {
	var h [3]float64
	for i, n := range triangleSides {
		h[i] = s.limit(n, anySide, slip{}, geom.Point{}, 0)
	}
	radius := -(h[1] + h[2] + math.Sqrt2*h[0]) / (2 + math.Sqrt2)
	return geom.Point{X: (h[1] - h[2]) / math.Sqrt2, Y: h[0] + radius}
}

// leastEyeTriangle is how long the long side of such a triangle is at least.
func (s *Shape) leastEyeTriangle(e slip, more float64) float64 {
	c, radius := s.triangleMiddle(), 0.0
	for _, n := range triangleSides {
		radius = max(radius, n.Dot(c)-s.limit(n, anySide, e, c, more))
	}
	return radius * (2 + 2*math.Sqrt2)
}
