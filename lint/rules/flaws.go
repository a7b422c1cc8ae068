package rules

import (
	"slices"

	"sewable/lang/english"
	"sewable/lang/sew"
	"sewable/lint"
)

// mainFlaw is the flaw that is reported of a section. One slip with a corner often
// makes a gap on one side and an overlap on the other; fixing it fixes both, so
// only the more telling one is reported. Where corners that almost meet are the cause, they are
// reported instead.
func mainFlaw(p *lint.Pass, s *sew.Section) (flaw sew.PatchFlaw, more string, ok bool) {
	flaws := s.Flaws()
	main := telling(flaws, func(f sew.PatchFlaw) sew.Flaw { return f.Flaw })
	if main < 0 || sew.Explained(flaws[0].Flaw, s.NearMisses(nearLimit(p, s.Of.Block)), nearLimit(p, s.Of.Block)) {
		return sew.PatchFlaw{}, "", false
	}
	return flaws[main], andMore(len(flaws) - 1), true
}

// mainSectionFlaw is the same for a block and its sections.
func mainSectionFlaw(p *lint.Pass, b *sew.Block) (flaw sew.SectionFlaw, more string, ok bool) {
	if slices.ContainsFunc(b.Sections, (*sew.Section).Flawed) {
		return sew.SectionFlaw{}, "", false // an outline may be what is wrong there
	}
	flaws := b.Flaws()
	main := telling(flaws, func(f sew.SectionFlaw) sew.Flaw { return f.Flaw })
	if main < 0 {
		return sew.SectionFlaw{}, "", false
	}
	limit := nearLimit(p, b.Of)
	misses := b.NearMisses(limit)
	for _, s := range b.Sections {
		misses = append(misses, s.NearMisses(limit)...)
	}
	if sew.Explained(flaws[0].Flaw, misses, limit) {
		return sew.SectionFlaw{}, "", false
	}
	return flaws[main], andMore(len(flaws) - 1), true
}

// telling is the flaw of a list, the largest first, that says most of what
// happened: the largest, but for a gap no more than twice as large as an overlap or a
// place outside, which say whose corner it is. It is -1 when there is none.
func telling[T any](flaws []T, of func(T) sew.Flaw) int {
	main := -1
	for i, f := range flaws {
		switch flaw := of(f); {
		case main < 0:
			main = i
		case of(flaws[main]).Kind == sew.Gap && flaw.Kind != sew.Gap && 2*flaw.Area >= of(flaws[main]).Area:
			return i
		}
	}
	return main
}

func andMore(n int) string {
	if n == 0 {
		return ""
	}
	return sprintf(" (%s also wrong)", english.Count(n, "other place is", "other places are"))
}
