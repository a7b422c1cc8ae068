package faces_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"sewable/lang/faces"
	"sewable/lang/geom"
)

// Ends are closed along their own lines.
func TestAlong(t *testing.T) {
	at := func(x, y float64) geom.Point { return geom.Point{X: x, Y: y} }
	closing := func(x0, y0, x1, y1 float64) faces.Closing {
		return faces.Closing{From: at(x0, y0), To: at(x1, y1), Dist: at(x0, y0).Dist(at(x1, y1))}
	}
	slanted := seg(0, 0, 100, 100)
	for _, c := range []struct {
		name   string
		lines  []geom.Segment
		close  float64
		areas  []float64
		closed []faces.Closing
	}{
		{"short of a slanted line", []geom.Segment{slanted, seg(0, 50, 47, 50)}, 4, []float64{5000, 1250, 3750}, []faces.Closing{closing(47, 50, 50, 50)}},
		{"past a slanted line", []geom.Segment{slanted, seg(0, 50, 53, 50)}, 4, []float64{5000, 1250, 3750}, []faces.Closing{closing(53, 50, 50, 50)}},
		{"by less than a hair to the side", []geom.Segment{slanted, seg(0, 50, 49, 50)}, 4, []float64{5000, 1250, 3750}, nil},
		{"the same, with nothing else to close", []geom.Segment{slanted, seg(0, 50, 49, 50)}, 0, []float64{5000, 1250, 3750}, nil},
		{"further along its line than to the side", []geom.Segment{seg(0, 0, 100, 0), seg(0, 40, 100, 60), seg(0, 50, 44, 50)}, 3,
			[]float64{5000, 250, 4750}, []faces.Closing{closing(44, 50, 50, 50)}},
		{"on a line, and another end near", []geom.Segment{slanted, seg(0, 50, 50, 50), seg(48, 0, 48, 48)}, 4, []float64{1250, 3750, 1152, 3848}, nil},
		{"on a line, and one off near", []geom.Segment{slanted, seg(48, 0, 48, 44), seg(0, 52, 52, 52)}, 4.5, []float64{1352, 3648, 1152, 3848}, []faces.Closing{closing(48, 44, 48, 48)}},
		{"nearer to where another was closed than it was off", []geom.Segment{slanted, seg(0, 50, 47, 50), seg(52, 0, 52, 50)}, 4,
			[]float64{1300, 3700, 1352, 3648}, []faces.Closing{closing(47, 50, 50, 50), closing(52, 50, 52, 52), closing(50, 50, 52, 52)}},
		{"further from where another was closed", []geom.Segment{slanted, seg(0, 50, 48.5, 50), seg(53, 0, 53, 51.5)}, 4,
			[]float64{1250, 3750, 1405, 3596}, []faces.Closing{closing(48.5, 50, 50, 50), closing(53, 51.5, 53, 53)}},
		{"one typed first, past; one on the line", []geom.Segment{seg(0, 50, 51.5, 50), slanted, seg(50, 0, 50, 50)}, 4,
			[]float64{1250, 3750, 1250, 3750}, []faces.Closing{closing(51.5, 50, 50, 50)}},
		{"two that nearly make a corner", []geom.Segment{seg(0, 50, 48, 50), seg(50, 0, 50, 47)}, 4, []float64{2500, 7500},
			[]faces.Closing{closing(48, 50, 50, 50), closing(50, 47, 50, 50)}},
		{"a corner typed as one place", []geom.Segment{slanted, seg(0, 50, 47, 50), seg(47, 50, 20, 100)}, 4, []float64{5000, 1213, 2060, 1728}, []faces.Closing{closing(47, 50, 48.5, 48.5)}},
		{"a bent line typed as one place that crosses another", []geom.Segment{slanted, seg(0, 52, 52, 52), seg(52, 52, 52, 0)}, 4, []float64{1352, 3648, 1352, 3648}, nil},
		{"nearer to a line beyond than to the one it went past", []geom.Segment{seg(0, 50, 100, 50), seg(0, 53, 100, 53), seg(40, 0, 40, 52)}, 4,
			[]float64{2000, 3000, 300, 4700}, []faces.Closing{closing(40, 52, 40, 50)}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := subdivide(t, c.lines, faces.Options{Outline: square(100), Close: c.close, Along: true})
			got := areas(s)
			if assert.Len(t, got, len(c.areas), "%v", got) {
				for _, a := range c.areas {
					assert.Contains(t, got, a, "%v", got)
				}
			}
			if c.closed == nil {
				assert.Empty(t, s.Closed)
			}
			for i := range c.closed {
				if assert.Len(t, s.Closed, len(c.closed)) {
					assert.InDelta(t, 0, s.Closed[i].To.Dist(c.closed[i].To), 0.01, "%v", s.Closed)
					assert.InDelta(t, c.closed[i].Dist, s.Closed[i].Dist, 0.01)
				}
			}
			hold(t, s)
		})
	}
}
