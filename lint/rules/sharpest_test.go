package rules

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"sewable/lang/geom"
)

// A corner that is typed twice, within a hair, is no sharp corner.
func TestSharpest(t *testing.T) {
	square := geom.Polygon{{X: 0, Y: 0}, {X: 127, Y: 0}, {X: 127, Y: 127}, {X: 0, Y: 127}}
	_, angle := sharpest(square)
	assert.InDelta(t, 90, angle, 1e-9)
	for _, twice := range []geom.Polygon{
		{{X: 0, Y: 0}, {X: 127, Y: 0}, {X: 126.6, Y: 0.3}, {X: 127, Y: 127}, {X: 0, Y: 127}},
		{{X: 0, Y: 0}, {X: 127, Y: 0}, {X: 127, Y: 0}, {X: 127, Y: 127}, {X: 0, Y: 127}},
		{{X: 0, Y: 0}, {X: 127, Y: 0}, {X: 126.7, Y: 0.05}, {X: 127, Y: 127}, {X: 0, Y: 127}},
		{{X: 0, Y: 0}, {X: 126.7, Y: 0.2}, {X: 127, Y: 0}, {X: 127, Y: 127}, {X: 0, Y: 127}},
	} {
		_, angle := sharpest(twice)
		assert.Greater(t, angle, 85.0)
	}
	at, angle := sharpest(geom.Polygon{{X: 0, Y: 0}, {X: 127, Y: 0}, {X: 0, Y: 20}})
	assert.Equal(t, geom.Point{X: 127, Y: 0}, at)
	assert.Less(t, angle, 10.0)
}
