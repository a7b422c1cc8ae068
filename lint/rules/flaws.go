package rules

import (
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lint"
)

// mainFlaw is the flaw that a section is told of: the first, which is the
// largest, unless corners that almost meet are the cause. One slip with a corner often
// makes a gap on one side and an overlap on the other; mending it mends both.
func mainFlaw(p *lint.Pass, s *sew.Section) (flaw sew.PatchFlaw, more string, ok bool) {
	flaws := s.Flaws()
	if len(flaws) == 0 || nearlyRight(flaws[0].Flaw, s.NearMisses(nearLimit(p, s.Of.Block)), nearLimit(p, s.Of.Block)) {
		return sew.PatchFlaw{}, "", false
	}
	return flaws[0], andMore(len(flaws) - 1), true
}

// mainSectionFlaw is the same for a block and its sections.
func mainSectionFlaw(p *lint.Pass, b *sew.Block) (flaw sew.SectionFlaw, more string, ok bool) {
	flaws := b.Flaws()
	if len(flaws) == 0 || nearlyRight(flaws[0].Flaw, b.NearMisses(nearLimit(p, b.Of)), nearLimit(p, b.Of)) {
		return sew.SectionFlaw{}, "", false
	}
	return flaws[0], andMore(len(flaws) - 1), true
}

func andMore(n int) string {
	if n == 0 {
		return ""
	}
	return sprintf(" (and %s)", lint.Count(n, "smaller place", "smaller places"))
}

// nearlyRight reports whether a flaw is no wider than a near miss, with one
// beside it: then the near miss is what is to be mended.
func nearlyRight(flaw sew.Flaw, misses []sew.NearMiss, limit float64) bool {
	if len(misses) == 0 || flaw.Where == nil || 2*geom.InscribedCircle(flaw.Where).R > limit {
		return false
	}
	for _, miss := range misses {
		for i := range flaw.Where {
			if edge := flaw.Where.Edge(i); edge.Dist(miss.From) <= limit || edge.Dist(miss.To) <= limit {
				return true
			}
		}
	}
	return false
}
