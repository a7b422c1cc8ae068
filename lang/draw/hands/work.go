package hands

import (
	"sewable/lang/draw/ink"
	"sewable/lang/geom"
)

// sheet is a piece of fabric that is on, with what is known of how it lies.
type sheet struct {
	whole   geom.Polygon   // flipped open, with its allowance under the work
	visible []geom.Polygon // of it from the fabric side
	colour  ink.Colour
}

// work are the pieces on before a step, or with it, in the order in which they went on.
// Each has been trimmed for every later piece; with trimmed, for the step's own too.
func (m *move) work(n int, trimmed bool) []sheet {
	var out []sheet
	last := n
	if trimmed {
		last = m.k + 1
	}
	for i := range n {
		step := &m.section.Steps[i]
		open := step.Laid.Open.CCW()
		for j := i + 1; j < min(last, len(m.section.Steps)); j++ {
			later := &m.section.Steps[j]
			if later.Seam == nil {
				continue
			}
			d := later.Seam.Dir()
			cut := later.Seam.Segment.Reverse()
			shift := geom.Point{X: -d.Y, Y: d.X}.Scale(m.allow)
			if onLeft(step.Patch.Corners, cut) {
				open = open.LeftOf(geom.Segment{A: cut.A.Add(shift), B: cut.B.Add(shift)})
			}
		}
		if open == nil {
			continue
		}
		s := sheet{whole: open, visible: []geom.Polygon{open}, colour: m.colour(step.Fabric)}
		if seam := step.Seam; seam != nil {
			s.visible = seen(open, seam.Segment)
		}
		out = append(out, s)
	}
	return out
}

// seen is what is seen of an open piece: what is beyond its seam, and, past the ends of
// the seam, what hooks around them.
func seen(open geom.Polygon, seam geom.Segment) []geom.Polygon {
	var out []geom.Polygon
	if far := open.LeftOf(seam); far != nil {
		out = append(out, far)
	}
	below := open.LeftOf(seam.Reverse())
	d := seam.Dir()
	up := geom.Point{X: -d.Y, Y: d.X}
	for _, end := range [2]geom.Segment{{A: seam.A, B: seam.A.Add(up)}, {A: seam.B, B: seam.B.Sub(up)}} {
		if hook := below.LeftOf(end); hook != nil {
			out = append(out, hook)
		}
	}
	return out
}

// onLeft says whether all of a polygon lies on the left of a line, or on it.
func onLeft(poly geom.Polygon, line geom.Segment) bool {
	d := line.Dir()
	for _, c := range poly {
		if d.Cross(c.Sub(line.A)) < -geom.Hair {
			return false
		}
	}
	return true
}
