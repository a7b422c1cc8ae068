package draw_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/draw"
	"sewable/lang/draw/ink"
	"sewable/lang/geom"
)

// However small the patch is that a finding goes round, no stroke runs through its label.
func TestNoStrokeThroughALabel(t *testing.T) {
	for _, side := range []float64{0.5, 0.6, 0.75, 1, 1.5, 3} {
		b := written(t, fmt.Sprintf(`
fabric sea
fabric tar
block "Mooring" 8 by 8 {
  section C {
    outline (0, 0) (8, 0) (8, 8) (0, 8)
    patch 1 sea around (5, 5)
    patch 2 tar beyond (0, %[1]g) (%[1]g, 0)
  }
}`, side))
		patch := b.Of.Sections[0].Patches[1].Corners
		around := geom.InscribedCircle(patch)
		for name, spot := range map[string]draw.Spot{
			"the patch":       {Points: patch, Closed: true},
			"a circle in it":  {Points: geom.Box{Min: around.Centre, Max: around.Centre}.Grow(around.R * 0.7).Polygon(), Closed: true},
			"a point of it":   {Points: []geom.Point{around.Centre}},
			"a line in it":    {Points: []geom.Point{patch[0], patch.Centroid(), patch[1]}},
			"a line about it": {Points: geom.Box{Min: around.Centre, Max: around.Centre}.Grow(around.R * 0.4).Polygon(), Closed: true},
		} {
			bare := labelled(draw.Block(b, draw.Options{}), "C2")
			d := draw.Block(b, draw.Options{MarksOnly: true, Findings: []draw.Finding{{Level: draw.Error, Text: "So.", Spots: []draw.Spot{spot}}}})
			label := labelled(d, "C2")
			if bare == nil {
				continue
			}
			require.NotNil(t, label, "%v, %s", side, name)
			box := label.Bounds().Bounds()
			for _, it := range d.Layer("findings").Items {
				p, ok := it.(*ink.Path)
				if !ok || p.Stroke == ink.White || p.Stroke == ink.Dark { // the line to the label is dark
					continue
				}
				for _, c := range p.Chains {
					for i, from := range c.Points {
						if i == len(c.Points)-1 && !c.Closed {
							break
						}
						line := geom.Segment{A: from, B: c.Points[(i+1)%len(c.Points)]}
						for k := range 101 {
							at := line.At(float64(k) / 100)
							assert.False(t, box.Grow(p.Width/2).Meets(geom.Box{Min: at, Max: at}.Grow(0.01)), "%v, %s", side, name)
						}
					}
				}
			}
		}
	}
}

// labelled is the text of a drawing that says this; nil when there is none.
func labelled(d *ink.Drawing, words string) *ink.Text {
	for _, l := range d.Layers {
		for _, it := range l.Items {
			if t, ok := it.(*ink.Text); ok && t.String == words {
				return t
			}
		}
	}
	return nil
}
