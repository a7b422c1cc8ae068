package rules

import (
	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lint"
)

var wideAllowance = &lint.Rule{
	Name:  "wide-allowance",
	Level: lint.Error,
	Title: "A seam allowance wider than a patch, or far wider than a seam needs",
	Why: `Patchwork is sewn with an allowance of 1/4 in, clothes with up to 5/8 in (common practice). More
than an inch is a typing slip, such as 3 for 3/8: every piece is then cut far too large. An
allowance wider than a patch extends past it on the back, into the next seam, and the patch cannot
be pressed flat: that is an error. More than an inch (25 mm in metric files) is a warning where
every patch is wider.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 2 by 4 {
  allowance 2 1/2
  section A {
    patch 1 water (0, 0) (2, 0) (2, 2) (0, 2)
    patch 2 sky (0, 2) (2, 2) (2, 4) (0, 4)
  }
}
`,
	Good: `
fabric sky
fabric water

block "Horizon" 2 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (2, 0) (2, 2) (0, 2)
    patch 2 sky (0, 2) (2, 2) (2, 4) (0, 4)
  }
}
`,
	Mandatory: lint.Unsewable, MandatoryWhere: "where it is more than 1 in (25 mm) and wider than a patch or the block",
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
	said := map[block.Place]bool{} // an allowance of the file is held against every block, and reported once, for the worst
	unsaid := func(a *block.Allowance, over float64) bool {
		return a != nil && !a.Broken && !said[a.At] && a.Size.Float64() > over
	}
	for _, b := range p.File.Blocks {
		side := min(b.Width.Float64(), b.Height.Float64())
		for _, a := range []*block.Allowance{b.Allowance, b.OuterAllowance} {
			if side <= 0 || !unsaid(a, max(most, side+geom.Hair/2)) {
				continue
			}
			said[a.At] = true
			p.Insist(a.At, "An allowance of %s is wider than the whole of %s, which is %s. Use %s",
				p.Len(a.Size.Float64()), quote(b.Name), p.Size(b.Width.Float64(), b.Height.Float64()), usual).Block(b)
		}
	}
	type narrowerThan float64
	for s := range soundSections(p) {
		a := s.Of.Block.Allowance
		if !unsaid(a, fullScale+geom.Millimetre) { // of narrow patches small-patch has its say
			continue
		}
		size := a.Size.Float64()
		narrow := patchesWhere(s, narrowerThan(size), func(patch *block.Patch) bool { _, enough := patchWidth(patch.Corners, size); return !enough })
		if len(narrow) == 0 {
			continue
		}
		said[a.At] = true
		report := p.Report
		if size > most { // up to there it can be trimmed, seam after seam
			report = p.Insist
		}
		circle, _ := patchWidth(narrow[0].Corners, size)
		report(a.At, "An allowance of %s is wider than %s, which is %s wide. Use %s, or make the patch wider",
			p.Len(size), lint.Label(narrow[0]), under(p, 2*circle.R, size), usual).Block(s.Of.Block).
			Related(narrow[0].ShapeAt(), "the narrow patch")
	}
	far := func(a *block.Allowance, b *block.Block) {
		if unsaid(a, most) {
			said[a.At] = true
			p.Report(a.At, "An allowance of %s is far more than a seam needs. Most patterns use %s", p.Len(a.Size.Float64()), usual).Block(b).As(lint.Warning)
		}
	}
	far(p.File.Allowance, nil)
	for _, b := range p.File.Blocks {
		far(b.Allowance, b)
		far(b.OuterAllowance, b)
	}
}
