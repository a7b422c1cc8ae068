package rules

import (
	"sewable/lang/block"
	"sewable/lint"
)

var unsewableSection = &lint.Rule{
	Name:  "unsewable-section",
	Level: lint.Error,
	Title: "A section that cannot be sewn in any order",
	Why: `Read backward, sewing is cutting: the last patch comes off along one straight line, then the one
before it. Where patches lock around each other, or three meet in a Y, none comes off, and no
numbering helps. The section has to be divided into two or more foundations that are joined
afterward.`,
	Bad: `
fabric sky
fabric water

block "Four Tides" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (2, 0) (2, 2) (0, 2)
    patch 2 sky (2, 0) (4, 0) (4, 2) (2, 2)
    patch 3 sky (0, 2) (2, 2) (2, 4) (0, 4)
    patch 4 water (2, 2) (4, 2) (4, 4) (2, 4)
  }
}
`,
	Good: `
fabric sky
fabric water

block "Four Tides" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (2, 0) (2, 2) (0, 2)
    patch 2 sky (2, 0) (4, 0) (4, 2) (2, 2)
  }
  section B {
    patch 1 sky (0, 2) (2, 2) (2, 4) (0, 4)
    patch 2 water (2, 2) (4, 2) (4, 4) (2, 4)
  }
  join A to B
  notch m (3/4, 2)
}
`,
	Mandatory: lint.Unsewable,
	Since:     "0.1",
	Run:       unsewableSections,
}

func unsewableSections(p *lint.Pass) {
	for s := range sections(p) {
		core := s.Core()
		if len(core) == 0 {
			continue
		}
		remedy := "No straight line along its seams divides it. Change the drawing so that one does"
		cut := s.DividingLine()
		if cut != nil {
			remedy = sprintf("Divide it along the line from %s to %s", p.Point(cut.A), p.Point(cut.B))
			if cut.Sewable {
				remedy += "; both parts can then be sewn"
			} else {
				remedy += ", and divide again the parts that still cannot be sewn"
			}
		}
		r := p.Report(s.Of.At, "Section %s cannot be sewn in any order: %s, none can be sewn last with one straight seam. %s",
			s.Of.Name, coreNames(core), remedy).Section(s.Of)
		if cut != nil {
			r.Line(cut.Segment)
		} else {
			markPatches(r, core)
		}
		for _, patch := range core[:min(len(core), 8)] {
			r.Related(patch.ShapeAt(), "%s is one of them", lint.Label(patch))
		}
		if edits := divideSection(p, s); edits != nil {
			r.Suggest("Divide section "+s.Of.Name, edits...)
		}
	}
}

func coreNames(core []*block.Patch) string {
	const most = 6
	if len(core) <= most {
		return "of " + labels(core)
	}
	return sprintf("of %d patches (%s …)", len(core), labels(core[:most-1]))
}
