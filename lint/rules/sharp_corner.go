package rules

import (
	"math"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lint"
)

var sharpCorner = &lint.Rule{
	Name:  "sharp-corner",
	Level: lint.Warning,
	Title: "A corner so sharp that it leaves a long tail of seam allowance",
	Why: `At a sharp corner the two allowances extend far past the point: at 20°, with an allowance of
1/4 in, by nearly 1 1/2 in, which is bulk where the next seam has to cross. The tip is hard to
match and frays. Beams and grass that taper on purpose can be accepted with a reason.`,
	Bad: `
fabric sky
fabric beam

block "Beam" 6 by 6 {
  allowance 1/4
  section A {
    patch 1 beam (0, 0) (6, 3) (6, 4 1/2)
    patch 2 sky (0, 0) (6, 4 1/2) (6, 6) (0, 6)
    patch 3 sky (0, 0) (6, 0) (6, 3)
  }
}
`,
	Good: `
fabric sky
fabric beam

block "Beam" 6 by 6 {
  allowance 1/4
  section A {
    patch 1 beam (0, 0) (6, 2 1/2) (6, 6)
    patch 2 sky (0, 0) (6, 6) (0, 6)
    patch 3 sky (0, 0) (6, 0) (6, 2 1/2)
  }
}
`,
	Since: "0.1",
	Run:   sharpCorners,
}

func sharpCorners(p *lint.Pass) {
	limit := p.Settings.SharpCorner.Float64()
	sharp := func(patch *block.Patch) bool { _, angle := sharpest(patch.Corners); return angle < limit-1e-6 }
	type sharperThan float64
	for s := range soundSections(p) {
		for _, patch := range patchesWhere(s, sharperThan(limit), sharp) {
			at, angle := sharpest(patch.Corners)
			p.Report(patch.ShapeAt(), "%s has a corner of %s at %s, which leaves a long tail of seam allowance. Widen it to %s or more, or cut the tip off with another patch",
				lint.Label(patch), underDegrees(angle, limit), p.Point(at), lint.Degrees(limit)).Patch(patch).Point(at)
		}
	}
}

// sharpest is the corner of the patch with the least inner angle, in degrees.
func sharpest(patch geom.Polygon) (geom.Point, float64) {
	var at geom.Point
	least := 360.0
	turn := 1.0
	if patch.Area() < 0 {
		turn = -1
	}
	n := len(patch)
	for i, c := range patch {
		in, out := c.Sub(patch[(i+n-1)%n]), patch[(i+1)%n].Sub(c)
		if in.Len() < geom.Hair || out.Len() < geom.Hair {
			continue
		}
		angle := 180 - turn*math.Atan2(in.Cross(out), in.Dot(out))*180/math.Pi
		if angle < least {
			at, least = c, angle
		}
	}
	return at, least
}
