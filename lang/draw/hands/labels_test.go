package hands

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"sewable/lang/draw/steps"
	"sewable/lang/geom"
)

// No number of a patch is written on something that covers it.
func TestUncovered(t *testing.T) {
	square := geom.Polygon{{X: 0, Y: 0}, {X: 100, Y: 0}, {X: 100, Y: 100}, {X: 0, Y: 100}}
	over := geom.Polygon{{X: -10, Y: -10}, {X: 110, Y: -10}, {X: 110, Y: 70}, {X: -10, Y: 70}}
	rest := uncovered(square, over)
	assert.InDelta(t, 3000, rest.CCW().Area(), 1)
	assert.Equal(t, geom.Outside, over.Contains(rest.InteriorPoint()))
	assert.Equal(t, square, uncovered(square, nil))
	assert.Nil(t, uncovered(square, over.Bounds().Grow(200).Polygon()))
}

// In every picture of a folded or laid step of the demo the other patches' numbers stay off the folded paper and the new piece.
func TestNumbersStayOffWhatCoversThem(t *testing.T) {
	seen := 0
	for _, plan := range plans(t) {
		for i := range plan.Sections {
			s := &plan.Sections[i]
			scene := NewScene(plan, s, Options{})
			for k := 1; k < len(s.Steps); k++ {
				step := &s.Steps[k]
				if step.Seam == nil {
					continue
				}
				m := &move{Scene: scene, k: k, step: step, seam: step.Seam.Segment}
				m.stitch, _ = s.Stitches(m.seam, steps.Past)
				for kind, cover := range map[steps.Kind]geom.Polygon{
					steps.Lay: step.Laid.Flat, steps.Folded: m.over().ApplyTo(s.Cut.LeftOf(m.far())),
				} {
					m.view = scene.view(m.frame(kind, Small), Small, Printed(kind))
					over := m.all(cover)
					for _, text := range scene.Step(k, kind, Small).Texts() {
						for _, p := range step.Seam.On {
							if text.String == steps.Label(p) {
								seen++
								for _, corner := range text.Bounds().Bounds().Grow(-0.5).Polygon() {
									assert.NotEqual(t, geom.Inside, over.Contains(corner), "%s %s %s: %s", plan.Of.Of.Name, steps.Label(step.Patch), kind, text.String)
								}
							}
						}
					}
				}
			}
		}
	}
	assert.Greater(t, seen, 50)
}
