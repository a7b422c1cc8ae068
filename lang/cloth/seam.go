package cloth

import (
	"maps"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/sew"
)

// Seam is what a patch is sewn on.
type Seam struct {
	geom.Segment // of a patch that is laid by eye, its longest edge
	// Line is the line that is seen on the printed foundation there: the seam and what goes
	// straight on from its ends. It runs the way the seam does.
	Line geom.Segment
	// Sewn: there is a seam. A first patch has none, nor has one of a section that cannot be
	// sewn.
	Sewn bool
}

// Sewn is a seam that is a whole printed line.
func Sewn(on geom.Segment) Seam { return Seam{on, on, true} }

// Unsewn is what a patch without a seam has: it is laid by eye.
func Unsewn(patch geom.Polygon) Seam {
	longest := LongestEdge(patch)
	return Seam{Segment: longest, Line: longest}
}

// Seams are what the patches of a block are sewn on.
func Seams(b *sew.Block) map[*block.Patch]Seam {
	seams := make(map[*block.Patch]Seam)
	for _, s := range b.Sections {
		maps.Copy(seams, SeamsOf(s))
	}
	return seams
}

// SeamsOf are what the patches of a section are sewn on.
func SeamsOf(s *sew.Section) map[*block.Patch]Seam {
	seams := make(map[*block.Patch]Seam, len(s.Of.Patches))
	for _, p := range s.Of.Patches {
		seams[p] = Unsewn(p.Corners)
	}
	for _, seam := range s.Seams() {
		if seam.Len() > geom.Hair {
			seams[seam.Patch] = Seam{seam.Segment, s.PrintedLine(seam.Segment), true}
		}
	}
	return seams
}

// SeamOf is what one patch of a section is sewn on.
func SeamOf(s *sew.Section, p *block.Patch) Seam {
	for _, seam := range s.Seams() {
		if seam.Patch == p && seam.Len() > geom.Hair {
			return Seam{seam.Segment, s.PrintedLine(seam.Segment), true}
		}
	}
	return Unsewn(p.Corners)
}
