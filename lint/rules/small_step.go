package rules

import (
	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lint"
)

var smallStep = &lint.Rule{
	Name:  "small-step",
	Level: lint.Warning,
	Title: "A small step in a section's outline where a straight line would do",
	Why: `A section is trimmed with a ruler along its edge. A step smaller than the allowance disappears
under the ruler and is cut straight across, and then the join does not fit. A larger step may be worth
it where a join needs it (a set-in seam); on an edge where no join needs it, it is only hard to trim.
Draw the edge as one line, or make the step part of a patch.`,
	Bad: `
fabric sky
fabric quay

block "Quay" 5 by 4 {
  allowance 1/4
  section A {
    patch 1 quay (0, 0) (5, 0) (5, 2) (3, 2) (3, 2 1/8) (0, 2 1/8)
  }
  section B {
    patch 1 sky (0, 2 1/8) (3, 2 1/8) (3, 2) (5, 2) (5, 4) (0, 4)
  }
  join A to B inset
}
`,
	Good: `
fabric sky
fabric quay

block "Quay" 5 by 4 {
  allowance 1/4
  section A {
    patch 1 quay (0, 0) (5, 0) (5, 2) (0, 2)
  }
  section B {
    patch 1 sky (0, 2) (5, 2) (5, 4) (0, 4)
  }
  notch n (1, 2)
  join A to B
}
`,
	Since: "0.2",
	Run:   smallSteps,
}

func smallSteps(p *lint.Pass) {
	for b := range blocks(p) {
		if b.Of.Allowance == nil || b.Of.Allowance.Broken {
			continue
		}
		allowance := b.Of.Allowance.Size.Float64()
		var told []geom.Point
		for _, s := range b.Originals() {
			if len(s.NearMisses(nearLimit(p, b.Of))) > 0 {
				continue // a corner out of place makes steps, and is reported itself
			}
			for _, j := range s.Jogs() {
				if !needless(j, allowance) || anyAt(told, j.Step.Mid()) {
					continue
				}
				told = append(told, j.Step.Mid())
				line := j.Straight()
				at := s.Of.OutlineAt
				if s.Of.Outline == nil {
					at = s.Of.At
				}
				p.Report(at, "The outline of section %s has a %s step at %s, which is easily cut straight across. Draw one line from %s to %s instead",
					s.Of.Name, geom.Format(j.Size, p.Unit()), p.Point(j.Step.Mid()), p.Point(line.A), p.Point(line.B)).Section(s.Of).Line(j.Step)
			}
		}
	}
}

// needless says whether a step is smaller than the allowance, or one that no join needs. What bends a join
// that is not meant to be bent is found as that.
func needless(j sew.Jog, allowance float64) bool {
	switch {
	case j.Join != nil && j.Join.Kind != block.Inset:
		return false
	case j.Size < allowance-geom.Hair/2:
		return true
	}
	return j.Join == nil
}

// anyAt says whether a place is one of some places, within a hair.
func anyAt(places []geom.Point, p geom.Point) bool {
	for _, q := range places {
		if q.Dist(p) < geom.Hair {
			return true
		}
	}
	return false
}
