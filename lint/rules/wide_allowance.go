package rules

import (
	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lint"
)

var wideAllowance = &lint.Rule{
	Name:  "wide-allowance",
	Level: lint.Warning,
	Title: "A seam allowance far wider than a seam needs",
	Why: `Patchwork is sewn with 1/4 in, clothes with up to 5/8 in (common practice). More than an inch is
a typing slip, such as 3 for 3/8: every piece is then cut far too large. An allowance wider than
a patch reaches past it on the back, into the next seam, and the patch cannot be pressed flat.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1 1/2
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
}
`,
	Good: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
}
`,
	Since: "0.1",
	Run:   wideAllowances,
}

// widestAllowance is the most that is taken for meant: 1 in, 25 mm.
func widestAllowance(u geom.Unit) float64 {
	if u == geom.Inches {
		return geom.Inch
	}
	return 25 * geom.Millimetre
}

func wideAllowances(p *lint.Pass) {
	most := widestAllowance(p.Unit())
	usual := p.Len(p.Settings.LeastAllowance.Float64())
	said := map[block.Place]bool{}
	wide := func(a *block.Allowance, b *block.Block) {
		if a == nil || a.Broken || a.Size.Float64() <= most || said[a.At] {
			return
		}
		said[a.At] = true
		p.Report(a.At, "An allowance of %s is far more than a seam needs. Most patterns use %s", p.Len(a.Size.Float64()), usual).Block(b)
	}
	wide(p.File.Allowance, nil)
	for _, b := range p.File.Blocks {
		wide(b.Allowance, b)
		wide(b.OuterAllowance, b)
	}
	type narrowerThan float64
	for s := range soundSections(p) {
		a := s.Of.Block.Allowance
		if a == nil || a.Broken || said[a.At] {
			continue
		}
		size := a.Size.Float64()
		if size <= fullScale+geom.Millimetre { // of narrow patches small-patch has its say
			continue
		}
		narrow := patchesWhere(s, narrowerThan(size), func(patch *block.Patch) bool { _, enough := patchWidth(patch.Corners, size); return !enough })
		if len(narrow) == 0 {
			continue
		}
		said[a.At] = true
		circle, _ := patchWidth(narrow[0].Corners, size)
		p.Report(a.At, "An allowance of %s is wider than %s, which is %s wide. Use %s, or make the patch wider",
			p.Len(size), lint.Label(narrow[0]), under(p, 2*circle.R, size), usual).Block(s.Of.Block).
			Related(narrow[0].ShapeAt(), "the narrow patch")
	}
}
