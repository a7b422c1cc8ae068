package draw

import (
	"math"

	"sewable/lang/draw/fonts"
	"sewable/lang/draw/ink"
	"sewable/lang/geom"
)

// air is left around a text, in parts of its size.
const air = 0.12

// Fit is how large a box of a width and a height, in ems, can be inside a
// polygon of the paper, and where its middle then is; no larger than most. The size
// is 0 when there is no room.
//
// The polygon is squeezed sideways until the box is a square; the largest
// circle there is an ellipse here, and the largest square in it the box. So
// what stands in the box stays in its patch, and out of every other. A box that is
// smaller than it could be moves towards the middle of the patch, and away from what
// stands there already.
func Fit(poly geom.Polygon, width, height, most float64, taken []geom.Box) (middle geom.Point, size float64) {
	width, height = width+2*air, height+2*air
	squeeze := height / width
	squeezed := make(geom.Polygon, len(poly))
	for i, p := range poly {
		squeezed[i] = geom.Point{X: p.X * squeeze, Y: p.Y}
	}
	c := geom.InscribedCircle(squeezed)
	middle = geom.Point{X: c.Centre.X / squeeze, Y: c.Centre.Y}
	size = min(most, c.R*math.Sqrt2/height)
	if !(size > 0) {
		return middle, 0
	}
	// Tried in this order: as near to the middle of the patch as it can be, then
	// along the way there, then smaller.
	for _, s := range [...]float64{1, 0.85, 0.7, 0.55} {
		box := geom.Point{X: width * size * s / 2, Y: height * size * s / 2}
		for _, t := range [...]float64{1, 0.75, 0.5, 0.25, 0} {
			at := middle.Add(poly.Centroid().Sub(middle).Scale(t))
			if b := (geom.Box{Min: at.Sub(box), Max: at.Add(box)}); Within(b, poly) && !meetsAny(b, taken) {
				return at, size * s
			}
		}
	}
	return middle, size
}

// Within says whether a box lies in a simple polygon.
func Within(b geom.Box, poly geom.Polygon) bool {
	if poly.Contains(b.Centre()) != geom.Inside {
		return false
	}
	return Clear(b, poly)
}

// Clear says whether no edge of a polygon runs through a box.
func Clear(b geom.Box, poly geom.Polygon) bool {
	inner := b.Grow(-0.01)
	for i := range poly {
		if crosses(inner, poly.Edge(i)) {
			return false
		}
	}
	return true
}

// crosses says whether a segment has a part inside a box (Liang and Barsky's
// clipping).
func crosses(b geom.Box, s geom.Segment) bool {
	from, to := 0.0, 1.0
	d := s.B.Sub(s.A)
	for _, side := range [4][2]float64{
		{-d.X, s.A.X - b.Min.X}, {d.X, b.Max.X - s.A.X}, {-d.Y, s.A.Y - b.Min.Y}, {d.Y, b.Max.Y - s.A.Y},
	} {
		switch {
		case side[0] == 0:
			if side[1] < 0 {
				return false
			}
		case side[0] < 0:
			from = max(from, side[1]/side[0])
		default:
			to = min(to, side[1]/side[0])
		}
	}
	return from < to
}

func meetsAny(b geom.Box, others []geom.Box) bool {
	for _, o := range others {
		if o.Meets(b) {
			return true
		}
	}
	return false
}

// fitText puts a text into a polygon of the paper, as large as it fits but not
// larger than most; there is none when it would be smaller than least.
func fitText(poly geom.Polygon, text string, most, least float64, taken []geom.Box) (*ink.Text, bool) {
	middle, size := Fit(poly, fonts.Width(text, false), fonts.CapHeight, most, taken)
	if size < least || text == "" {
		return nil, false
	}
	return &ink.Text{
		At:     middle.Add(geom.Point{Y: fonts.CapHeight / 2 * size}),
		String: text, Size: size, Colour: ink.Dark,
	}, true
}

// plate is ground under a text on a hatch.
func plate(t *ink.Text, fill ink.Colour) *ink.Path {
	box := t.Bounds().Bounds().Grow(air * t.Size)
	return &ink.Path{Chains: ink.Ring(box.Polygon()...), Fill: fill}
}
