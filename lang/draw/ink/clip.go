package ink

import "sewable/lang/geom"

// ClipLine is what lies of a chain in a box: open chains (Liang and Barsky).
func ClipLine(c Chain, box geom.Box) []Chain {
	var out []Chain
	n := len(c.Points)
	for i := range n {
		if i == n-1 && !c.Closed {
			break
		}
		a, b := c.Points[i], c.Points[(i+1)%n]
		from, to := 0.0, 1.0
		d := b.Sub(a)
		for _, side := range [4][2]float64{
			{-d.X, a.X - box.Min.X}, {d.X, box.Max.X - a.X}, {-d.Y, a.Y - box.Min.Y}, {d.Y, box.Max.Y - a.Y},
		} {
			switch {
			case side[0] == 0 && side[1] < 0:
				from = 2
			case side[0] < 0:
				from = max(from, side[1]/side[0])
			case side[0] > 0:
				to = min(to, side[1]/side[0])
			}
		}
		if from >= to {
			continue
		}
		p, q := a.Add(d.Scale(from)), a.Add(d.Scale(to))
		if k := len(out) - 1; k >= 0 && out[k].Points[len(out[k].Points)-1] == p {
			out[k].Points = append(out[k].Points, q)
		} else {
			out = append(out, Chain{Points: []geom.Point{p, q}})
		}
	}
	return out
}

// ClipFill is what lies of a polygon in a box, as one polygon whose border may run along
// the box's: fit to be filled, not to be stroked.
func ClipFill(poly geom.Polygon, box geom.Box) geom.Polygon {
	for _, e := range [4]geom.Segment{
		{A: box.Min, B: geom.Point{X: box.Max.X, Y: box.Min.Y}}, {A: geom.Point{X: box.Max.X, Y: box.Min.Y}, B: box.Max},
		{A: box.Max, B: geom.Point{X: box.Min.X, Y: box.Max.Y}}, {A: geom.Point{X: box.Min.X, Y: box.Max.Y}, B: box.Min},
	} {
		poly = poly.LeftOf(e)
	}
	return poly
}
