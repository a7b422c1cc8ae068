package rules

import (
	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lint"
)

var smallPatch = &lint.Rule{
	Name:  "small-patch",
	Level: lint.Error,
	Title: "A patch narrower than its own seam allowance",
	Why: `A patch is as wide as the largest circle that fits in it. Where that is less than the allowance
(1/4 in), the allowances behind it are wider than what shows: the patch turns into a ridge, or
disappears when the seam wanders by a thread. Under half an inch it can be sewn, but is fiddly.
In miniatures both limits shrink with the allowance.`,
	Bad: `
fabric sky
fabric water
fabric foam

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 foam (0, 2) (4, 2) (4, 2 1/8) (0, 2 1/8)
    patch 3 sky (0, 2 1/8) (4, 2 1/8) (4, 4) (0, 4)
  }
}
`,
	Good: `
fabric sky
fabric water
fabric foam

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 foam (0, 2) (4, 2) (4, 2 1/2) (0, 2 1/2)
    patch 3 sky (0, 2 1/2) (4, 2 1/2) (4, 4) (0, 4)
  }
}
`,
	Since: "0.1",
	Run:   smallPatches,
}

// fullScale is the allowance below which a block counts as a miniature, whose
// limits shrink with it: 6 mm, common practice.
const fullScale = 6 * geom.Millimetre

// scale is what the limits of a block shrink by. Without an allowance, which is
// a finding of its own, nobody knows, and nothing is too small.
func scale(b *block.Block) float64 {
	if b.Allowance == nil || b.Allowance.Broken {
		return 0
	}
	return min(1, max(0, b.Allowance.Size.Float64()/fullScale))
}

func smallPatches(p *lint.Pass) {
	type narrowerThan float64
	for s := range soundSections(p) {
		shrink := scale(s.Of.Block)
		least, small := shrink*p.Settings.LeastPatch.Float64(), shrink*p.Settings.SmallPatch.Float64()
		narrow := func(patch *block.Patch) bool { _, wide := patchWidth(patch.Corners, small); return !wide }
		for _, patch := range patchesWhere(s, narrowerThan(small), narrow) {
			circle, _ := patchWidth(patch.Corners, small)
			width := 2 * circle.R
			if width < least-geom.Hair/2 {
				with := "the patch next to it"
				if other := sameFabricCure(s, patch, least); other != nil {
					with = sprintf("%s, which is %s too", lint.Label(other), patch.Fabric.Name)
				}
				p.Report(patch.ShapeAt(), "%s is %s wide: too small to sew. Make it %s or wider, or merge it with %s",
					lint.Label(patch), under(p, width, least), p.Len(least), with).Patch(patch).Circle(centred(patch.Corners, circle))
			} else {
				p.Report(patch.ShapeAt(), "%s is %s wide: fiddly to sew and press. Make it %s or wider",
					lint.Label(patch), under(p, width, small), p.Len(small)).Patch(patch).Circle(centred(patch.Corners, circle)).As(lint.Warning)
			}
		}
	}
}

// sameFabricCure is a patch of the same fabric with which a narrow one would be wide enough; nil when there is none.
func sameFabricCure(s *sew.Section, narrow *block.Patch, enough float64) *block.Patch {
	if !s.InOrder() || narrow.Fabric == nil {
		return nil
	}
	for a, b := range s.CouldBeOne() {
		if b == narrow {
			a, b = b, a
		}
		if a != narrow || b.Fabric != narrow.Fabric {
			continue
		}
		if whole, ok := geom.UnionOutline([]geom.Polygon{a.Corners, b.Corners}); ok && len(whole) == 1 {
			if _, wide := patchWidth(whole[0], enough); wide {
				return b
			}
		}
	}
	return nil
}

// patchWidth is the largest circle that fits in the patch, and whether its diameter, the
// patch's width, is enough; half a hair is given away to rounding.
func patchWidth(patch geom.Polygon, enough float64) (circle geom.Circle, wide bool) {
	circle = geom.InscribedCircle(patch)
	return circle, 2*circle.R >= enough-geom.Hair/2
}
