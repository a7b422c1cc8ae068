package rules

import (
	"slices"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/memo"
	"sewable/lang/sew"
	"sewable/lint"
)

var crossedOutline = &lint.Rule{
	Name:  "crossed-outline",
	Level: lint.Error,
	Title: "An outline that crosses itself",
	Why: `Corners are given in order, once around the shape. Two of them swapped make a bow tie, which
has no inside that fabric could be cut to. The same is true of an outline that touches itself,
and of one whose corners are all on one line.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (0, 4) (4, 4)
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
	Mandatory: lint.Unsewable,
	Since:     "0.1",
	Run:       crossedOutlines,
}

func crossedOutlines(p *lint.Pass) {
	for _, bad := range p.File.Problems {
		if bad.Kind == block.CrossedOutline && bad.Section == "" {
			crossed(p, p.At(bad.At), "The block's outline", outlineOf(p, bad), bad.Point).In(bad.Block, "", 0)
		} else if bad.Kind == block.CrossedOutline {
			crossed(p, p.At(bad.At), "The outline of section "+bad.Section, outlineOf(p, bad), bad.Point).In(bad.Block, bad.Section, 0)
		}
	}
	for b := range p.Blocks() {
		if _, _, at, ok := geom.Crossing(b.Outline); ok {
			crossed(p, b.OutlineAt, "The block's outline", b.Outline, at).Block(b)
		}
	}
	for s := range sections(p) {
		if at := crossing(s); at != nil {
			crossed(p, s.Of.OutlineAt, "The outline of section "+s.Of.Name, s.Of.Outline, *at).Section(s.Of)
			continue
		}
		flaws := slices.DeleteFunc(s.Flaws(), func(f sew.PatchFlaw) bool { return f.Kind != sew.Crossed && f.Kind != sew.NoArea })
		switch {
		case len(flaws) == 0:
		case len(flaws[0].Patches) == 0:
			crossed(p, s.Of.OutlineAt, "The outline of section "+s.Of.Name, s.Of.Outline, flaws[0].At).Section(s.Of)
		default: // a corner that several patches share is told once
			patch := flaws[0].Patches[0]
			r := crossed(p, patch.ShapeAt(), lint.Label(patch), patch.Corners, flaws[0].At).Patch(patch)
			for _, other := range flaws[1:] {
				if len(other.Patches) > 0 {
					r.Related(other.Patches[0].ShapeAt(), "%s is wrong too", lint.Label(other.Patches[0])).Point(other.At)
				}
			}
		}
	}
}

// crossing is where the outline of a section that was typed out crosses itself; nil when it does not.
func crossing(s *sew.Section) *geom.Point {
	type crosses struct{}
	return memo.Of(s.Facts(), crosses{}, func() *geom.Point {
		if _, _, at, ok := geom.Crossing(s.Of.Outline); ok {
			return &at
		}
		return nil
	})
}

// outlineOf is the outline that a Problem is about.
func outlineOf(p *lint.Pass, bad block.Problem) geom.Polygon {
	for _, b := range p.File.Blocks {
		if bad.Section == "" && b.OutlineAt.Span == bad.At {
			return b.Outline
		}
		for _, s := range b.Sections {
			if s.OutlineAt.Span == bad.At {
				return s.Outline
			}
		}
	}
	return nil
}

// crossed is for an outline that crosses itself at a place, or has all its
// corners on one line, to cloth.
func crossed(p *lint.Pass, place block.Place, what string, outline geom.Polygon, at geom.Point) *lint.Report {
	if box := geom.MinAreaRectangle(outline); min(box.Width, box.Height) <= geom.Hair {
		return p.Report(place, "%s has all its corners on one line, so it has no area. Give it a corner off that line, or remove it", what).
			Chain(outline)
	}
	how := "crosses"
	if slices.ContainsFunc(outline, func(corner geom.Point) bool { return corner.Dist(at) <= geom.Hair }) {
		how = "touches"
	}
	return p.Report(place, "%s %s itself at %s. Give the corners in order, once around", what, how, p.Point(at)).Point(at)
}
