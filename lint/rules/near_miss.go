package rules

import (
	"cmp"
	"iter"
	"slices"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/memo"
	"sewable/lang/sew"
	"sewable/lang/syntax"
	"sewable/lint"
)

var nearMiss = &lint.Rule{
	Name:  "near-miss",
	Level: lint.Error,
	Title: "Corners or seam ends that almost meet",
	Why: `Two corners a thread apart are almost always meant to be one. Drawn apart, they leave a sliver that
nobody can sew, or a step in a line that should run straight through the block. Corners within
the tolerance (0.2 mm) count as one; those at least a quarter of the allowance apart count as two.

It is a warning where everything can be sewn anyway. Where it is the reason that patches do not
fill their section, or sections the block, it is an error: until it is fixed, nobody can say
whether the rest can be sewn.`,
	Bad: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    outline (0, 0) (4, 0) (4, 4) (0, 4)
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 3.97)
  }
}
`,
	Good: `
fabric sky
fabric water

block "Horizon" 4 by 4 {
  allowance 1/4
  section A {
    outline (0, 0) (4, 0) (4, 4) (0, 4)
    patch 1 water (0, 0) (4, 0) (4, 2) (0, 2)
    patch 2 sky (0, 2) (4, 2) (4, 4) (0, 4)
  }
}
`,
	Mandatory: lint.Unsewable, MandatoryWhere: "where patches or sections do not fill their outline because of it",
	Since: "0.1",
	Run:   nearMisses,
}

// nearLimit is the distance from which on two corners are meant to be two.
// An allowance too wide to be meant does not widen it.
func nearLimit(p *lint.Pass, b *block.Block) float64 { return nearAllowance(p, b) / 4 }

func nearAllowance(p *lint.Pass, b *block.Block) float64 {
	return min(allowanceOf(p, b), widestAllowance(p.Unit()))
}

func nearMisses(p *lint.Pass) {
	for s := range sections(p) {
		if _, _, larger := mainFlaw(p, s); larger {
			continue // corners that are far off may come near others by chance
		}
		limit := nearLimit(p, s.Of.Block)
		causes := map[geom.Segment]bool{}
		for _, m := range s.Slips(limit) {
			causes[geom.Segment{A: m.From, B: m.To}] = true
		}
		for _, miss := range s.NearMisses(limit) {
			sectionMiss(p, s, miss, causes[geom.Segment{A: miss.From, B: miss.To}])
		}
	}
	for b := range blocks(p) {
		if _, _, larger := mainSectionFlaw(p, b); larger || slices.ContainsFunc(b.Sections, (*sew.Section).Flawed) {
			continue
		}
		blockMisses(p, b)
		for i, pairs := range almostMatched(b, nearAllowance(p, b.Of)/2) {
			j := b.JoinLines()[i]
			for _, pair := range pairs {
				if j.Join.CopyOf == nil {
					p.Report(j.Join.At, "On the join of %s to %s, two seams end %s apart, at %s and %s, and look as if they should match. Make them meet, or move them well apart",
						j.Join.A.Name, j.Join.B.Name, p.Exact(pair.Dist()), p.Point(pair.A.Point), p.Point(pair.B.Point)).
						Block(b.Of).Point(pair.A.Point, pair.B.Point).As(lint.Warning)
				}
			}
		}
	}
}

// almostMatched are, of every join of a block, the seam ends that almost meet.
func almostMatched(b *sew.Block, limit float64) [][]sew.EndPair {
	type within float64
	return memo.Of(b.JoinFacts(), within(limit), func() [][]sew.EndPair {
		var out [][]sew.EndPair
		for _, j := range b.JoinLines() {
			out = append(out, j.AlmostMatched(limit))
		}
		return out
	})
}

// sectionMiss reports a near miss of a section, an error where it causes another.
func sectionMiss(p *lint.Pass, s *sew.Section, miss sew.NearMiss, causes bool) {
	ref := miss.Corners[0]
	at, what := s.Of.OutlineAt, "A corner of the outline"
	if ref.Part >= 0 {
		patch := s.Of.Patches[ref.Part]
		at, what = patch.ShapeAt(), "A corner of "+lint.Label(patch)
	}
	if typed, ok := cornerText(p, s, ref); ok && typed.Start >= at.Start && typed.End <= at.End {
		at = typed
	}
	report := p.Report
	if causes {
		report = p.Insist
	}
	r := report(at, "%s at %s misses %s by %s. Move it to %s",
		what, p.Point(miss.From), target(s, miss), p.Exact(miss.Dist), p.Point(miss.To)).Point(miss.From, miss.To)
	if ref.Part >= 0 {
		r.Patch(s.Of.Patches[ref.Part])
	} else {
		r.Section(s.Of)
	}
	if !causes {
		r.As(lint.Warning)
	}
	suggestMove(p, r, miss.To, func(yield func(block.Place, bool) bool) {
		for _, ref := range miss.Corners {
			if !yield(cornerText(p, s, ref)) {
				return
			}
		}
	})
}

// suggestMove offers to type other coordinates at all places where a corner was typed. One
// that is worked out cannot be moved so, and moving only the others would open a gap.
func suggestMove(p *lint.Pass, r *lint.Report, to geom.Point, corners iter.Seq2[block.Place, bool]) {
	if r.Hidden() {
		return
	}
	var edits []lint.Edit
	for typed, ok := range corners {
		if !ok {
			return
		}
		edit := lint.Replace(typed, p.Typed(to))
		if !slices.ContainsFunc(edits, func(e lint.Edit) bool { return e.Place == edit.Place }) {
			edits = append(edits, edit)
		}
	}
	if len(edits) > 0 {
		r.Suggest("Move the corner into place", edits...)
	}
}

// cornerText is where a corner of a section was typed.
func cornerText(p *lint.Pass, s *sew.Section, ref sew.CornerRef) (block.Place, bool) {
	if s.Of.CopyOf != nil { // of another size
		return block.Place{}, false
	}
	if ref.Part >= 0 {
		return typedCorner(p, s.Of.Block, s.Of.Patches[ref.Part].Item, ref.Index)
	}
	for _, item := range s.Of.Item.Body {
		if _, ok := item.Node.(*syntax.Outline); ok {
			return typedCorner(p, s.Of.Block, item, ref.Index)
		}
	}
	return block.Place{}, false
}

// target says what a corner of a section almost meets.
func target(s *sew.Section, miss sew.NearMiss) string {
	part, what := -1, "a corner of "
	if len(miss.Onto) > 0 {
		if part = miss.Onto[0].Part; part == miss.Corners[0].Part {
			what = "another corner of "
		}
	} else {
		what = "an edge of "
		if len(miss.EdgeOf) > 0 {
			part = miss.EdgeOf[0]
		}
	}
	if part < 0 {
		return what + "the outline"
	}
	return what + lint.Label(s.Of.Patches[part])
}

// blockMisses reports each slip once: a corner out of place is missed by all that should meet
// it, and a section copied about a place a little off misses at every corner of every copy.
func blockMisses(p *lint.Pass, b *sew.Block) {
	misses := b.NearMisses(nearLimit(p, b.Of))
	limit := nearLimit(p, b.Of)
	original := func(m sew.NearMiss) *sew.Section {
		if part := m.Corners[0].Part; part >= 0 {
			return b.Sections[part].Original()
		}
		return nil
	}
	groups := together(len(misses), func(i, j int) bool {
		a, b := misses[i], misses[j]
		return original(a) == original(b) || a.From.Dist(b.From) <= limit || a.From.Dist(b.To) <= limit || a.To.Dist(b.From) <= limit
	})
	for _, group := range groups {
		// What misses the block itself is out of place.
		slices.SortStableFunc(group, func(i, j int) int {
			return cmp.Compare(len(misses[i].Onto)+len(misses[i].EdgeOf), len(misses[j].Onto)+len(misses[j].EdgeOf))
		})
		r := blockMiss(p, b, misses[group[0]])
		for _, i := range group[1:] {
			if part := misses[i].Corners[0].Part; part >= 0 {
				r.Related(b.Sections[part].Of.At, "section %s also misses at %s", b.Sections[part].Of.Name, p.Point(misses[i].From))
			}
		}
	}
}

func blockMiss(p *lint.Pass, b *sew.Block, miss sew.NearMiss) *lint.Report {
	name := func(part int) string {
		if part < 0 {
			return "the block"
		}
		return "section " + b.Sections[part].Of.Name
	}
	onto := -1
	if len(miss.Onto) > 0 {
		onto = miss.Onto[0].Part
	} else if len(miss.EdgeOf) > 0 {
		onto = miss.EdgeOf[0]
	}
	at := b.Of.OutlineAt
	if part := miss.Corners[0].Part; part >= 0 {
		at = b.Sections[part].Of.At
	}
	remedy := sprintf("Move it to %s", p.Point(miss.To))
	if part := miss.Corners[0].Part; part >= 0 && b.Sections[part].IsCopy() {
		remedy = sprintf("Correct the copy's line or point, or section %s", b.Sections[part].Original().Of.Name)
	}
	report := p.Report
	if len(b.Flaws()) > 0 {
		report = p.Insist
	}
	r := report(at, "The outline of %s has a corner at %s that misses %s by %s. %s",
		name(miss.Corners[0].Part), p.Point(miss.From), name(onto), p.Exact(miss.Dist), remedy).Block(b.Of).Point(miss.From, miss.To)
	if len(b.Flaws()) == 0 {
		r.As(lint.Warning)
	}
	suggestMove(p, r, miss.To, sectionCorners(p, b, miss))
	return r
}

// sectionCorners are the places where the corners of sections that meet where a near
// miss starts were typed, in their outlines and in their patches.
func sectionCorners(p *lint.Pass, b *sew.Block, miss sew.NearMiss) iter.Seq2[block.Place, bool] {
	return func(yield func(block.Place, bool) bool) {
		for _, ref := range miss.Corners {
			if ref.Part < 0 || b.Sections[ref.Part].IsCopy() || b.Sections[ref.Part].Copies > 0 {
				yield(block.Place{}, false)
				return
			}
			s := b.Sections[ref.Part]
			there := func(corners geom.Polygon, part int) bool {
				for i, c := range corners {
					if c.Dist(miss.From) <= geom.Hair && !yield(cornerText(p, s, sew.CornerRef{Part: part, Index: i})) {
						return false
					}
				}
				return true
			}
			if !there(s.Of.Outline, -1) {
				return
			}
			for i, patch := range s.Of.Patches {
				if patch.Given == block.ByCorners && !there(patch.Corners, i) {
					return
				}
			}
		}
	}
}
