package rules

import (
	"sewable/lang/block"
	"sewable/lint"
)

var unclearSection = &lint.Rule{
	Name:  "unclear-section",
	Level: lint.Error,
	Title: "A section whose outline does not follow from its lines",
	Why: `A section given by lines is cut from what the sections below it leave of the block: each line has to
cross that area in one place only, beside patch 1 of the section. One section may have neither lines
nor an outline: it is what all others leave, in one piece. Otherwise nobody can say where one
foundation ends and the next begins.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 sky around (2, 3)
  }
  section B beyond (0, 5) (4, 5) {
    patch 1 water around (2, 1)
  }
  join A to B
}
`,
	Good: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 sky around (2, 3)
  }
  section B beyond (0, 2) (4, 2) {
    patch 1 water around (2, 1)
  }
  join A to B
}
`,
	Mandatory: lint.Unsewable,
	Since:     "0.1",
	Run:       unclearSections,
}

// unclearSectionWords say what is wrong with a section; %s is its name.
var unclearSectionWords = map[block.Cause]string{
	block.Misses:          "This line does not cross the area that the sections below %s leave. Move the line, or move the section up",
	block.TwoChords:       "This line crosses the area that the sections below %s leave in two places, and either could be intended. Give two points on the part that is sewn",
	block.OnePoint:        "Both points of this line of section %s are the same place. Give two different points",
	block.OutlineAndLines: "Section %s is given by lines, so it has no `outline` of its own. Remove the outline, or the lines",
	block.TwoWithout:      "Section %s has neither lines nor an outline, and it is not the only one: one section at most is what the others leave. Give it lines with `beyond`, or an `outline`",
	block.LeavesHole:      "Section %s is in the middle of the area that the sections below it leave, and would leave a hole. Move it up, above the sections around it",
}

func unclearSections(p *lint.Pass) {
	for _, bad := range p.File.Problems {
		if bad.Kind != block.UnclearSection {
			continue
		}
		name := bad.Section
		if name == "" {
			name = bad.Name
		}
		var r *lint.Report
		at := p.At(bad.At)
		switch bad.Cause {
		case block.CutsFirst:
			r = p.Report(at, "This line cuts into patch %s, by which section %s is found. Move the line off it", block.Label(name, 1), name)
		case block.FirstOutside:
			r = p.Report(at, "Patch %s, by which section %s is found, is not in the area that the other sections leave, at %s. Move it, or the lines of the sections below it",
				block.Label(name, 1), name, p.Point(bad.Point)).Point(bad.Point)
		case block.NotInRest:
			r = p.Report(at, "Section %s extends outside the area that the sections below it leave, at %s. Correct its outline, or move the section down",
				name, p.Point(bad.Point)).Point(bad.Point)
		case block.Untaken:
			r = p.Report(at, "No section takes the area around %s; section %s is nearest. Add a section there, or remove a line", p.Point(bad.Point), name).Point(bad.Point)
		case block.Unequal:
			r = p.Report(at, "The lines of %s give it another outline than %s has, which it copies: they differ at %s. Correct the lines, or the change of place",
				name, bad.What, p.Point(bad.Point)).Point(bad.Point)
		default:
			r = p.Report(at, unclearSectionWords[bad.Cause], name)
		}
		r.In(bad.Block, bad.Section, 0)
		for _, other := range bad.Related {
			r.Related(other, "another section without lines")
		}
	}
}
