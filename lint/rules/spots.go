package rules

import (
	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/source"
	"sewable/lint"
)

// areaOf is where a flaw lies: its outline, or, where nothing was measured, its one place.
func areaOf(f sew.Flaw) geom.Polygon {
	if f.Where == nil {
		return geom.Polygon{f.At}
	}
	return f.Where
}

// markContact marks how a patch, or a unit, meets the work: the corner that is meant, and
// the seams that meet.
func markContact(r *lint.Report, c sew.Contact) {
	switch c.Kind {
	case sew.Corner, sew.Broken, sew.Bent, sew.PointHeld:
		r.Point(c.At)
	}
	for _, leg := range c.Legs {
		r.Line(leg.Segment)
	}
}

// markJoin marks where a join goes wrong: along the edges that meet, else in the two sections.
func markJoin(r *lint.Report, b *sew.Block, flaw sew.JoinFinding) {
	if len(flaw.Contact.Legs) > 0 || flaw.Contact.Kind == sew.Corner {
		markContact(r, flaw.Contact)
		return
	}
	markSections(r, b.Section(flaw.Join.A))
	if flaw.Join.B != flaw.Join.A {
		markSections(r, b.Section(flaw.Join.B))
	}
}

// markSections marks sections by their outlines.
func markSections(r *lint.Report, sections ...*sew.Section) {
	for _, s := range sections {
		if s != nil {
			r.Area(s.Outline())
		}
	}
}

// markPatches marks patches by their outlines, a few of them where they are many.
func markPatches(r *lint.Report, patches []*block.Patch) {
	const most = 8
	for _, patch := range patches[:min(len(patches), most)] {
		r.Area(patch.Corners)
	}
}

// centred is a circle as large as the widest one in a shape, in the middle of the shape
// where it fits there: in a strip it fits all along.
func centred(shape geom.Polygon, widest geom.Circle) geom.Circle {
	c := shape.Centroid()
	if shape.Contains(c) != geom.Inside {
		return widest
	}
	for i := range shape {
		if shape.Edge(i).Dist(c) < widest.R-geom.Hair/2 {
			return widest
		}
	}
	return geom.Circle{Centre: c, R: widest.R}
}

// patchAt is the patch whose corners or line stand at a place.
func patchAt(p *lint.Pass, at source.Span) *block.Patch {
	for _, b := range p.File.Blocks {
		for _, s := range b.Sections {
			for _, patch := range s.Patches {
				if s.CopyOf == nil && patch.ShapeAt().Span == at {
					return patch
				}
			}
		}
	}
	return nil
}
