// Package marks turns findings into what a picture marks.
package marks

import (
	"slices"

	"sewable/lang/draw"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lint"
)

var levels = map[lint.Level]draw.Level{lint.Hint: draw.Hint, lint.Warning: draw.Warning, lint.Error: draw.Error}

// Of are findings as the picture of their block marks them.
func Of(found []lint.Finding) []draw.Finding {
	var out []draw.Finding
	for _, f := range found {
		if m, ok := In(nil, f); ok {
			out = append(out, m)
		}
	}
	return out
}

// In is a finding as the picture of a section marks it, or, where section is nil, that
// of the block. In a section's picture it has a mark when it is the section's own, or lies in it
// or on its outline.
func In(section *sew.Section, f lint.Finding) (m draw.Finding, ok bool) {
	m = draw.Finding{Level: levels[f.Level], Text: f.Message, Section: f.Section, Patch: f.Patch}
	own := section == nil || f.Section == section.Of.Name
	for _, s := range f.Spots {
		if own || within(section.Outline(), s.Points) {
			m.Spots = append(m.Spots, draw.Spot(s))
		}
	}
	return m, own || len(m.Spots) > 0
}

func within(outline geom.Polygon, points []geom.Point) bool {
	return len(outline) > 2 && !slices.ContainsFunc(points, func(p geom.Point) bool { return outline.Contains(p) == geom.Outside })
}
