package faces_test

import (
	"encoding/binary"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"sewable/lang/faces"
	"sewable/lang/geom"
)

// Any lines give a sound subdivision, or are refused: what hold checks, and the same again the second
// time.
func FuzzSubdivide(f *testing.F) {
	f.Add([]byte{0, 0, 0, 0, 100, 0, 100, 0, 0, 50, 100, 50}, uint8(3), false)
	f.Add([]byte{1, 1, 1, 1, 2, 2, 2, 2, 1, 2, 1, 2, 3, 1, 1, 3}, uint8(200), true)
	f.Fuzz(func(t *testing.T, data []byte, close uint8, fine bool) {
		var lines []geom.Segment
		if fine { // any numbers at all
			for ; len(data) >= 32 && len(lines) < 60; data = data[32:] {
				at := func(i int) float64 { return math.Float64frombits(binary.LittleEndian.Uint64(data[8*i:])) }
				lines = append(lines, seg(at(0), at(1), at(2), at(3)))
			}
		} else { // near each other: a byte is half a hair
			for ; len(data) >= 4 && len(lines) < 60; data = data[4:] {
				at := func(i int) float64 { return float64(data[i]) / 2 }
				lines = append(lines, seg(at(0), at(1), at(2), at(3)))
			}
		}
		o := faces.Options{Close: float64(close) / 20}
		if close%2 == 0 {
			o.Outline = square(100)
		}
		s, err := faces.Subdivide(lines, o)
		if err != nil {
			return
		}
		again, err := faces.Subdivide(lines, o)
		require.NoError(t, err)
		require.Equal(t, s, again)
		hold(t, s)
		for _, c := range s.Closed {
			require.LessOrEqual(t, c.Dist, o.Close+1e-9)
		}
	})
}
