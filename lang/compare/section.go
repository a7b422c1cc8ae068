package compare

import (
	"slices"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/sew"
)

// Section is a foundation on both sides, or on one.
type Section struct {
	Before, After *block.Section // nil: it was added, it was removed
	Unread        bool           // it cannot be read whole on one side: nothing more is said

	Letter  bool  // it has another name
	Outline bool  // another outline, or elsewhere
	Order   []int // when its patches are sewn in another order: their old numbers in the new one, 0 for a new patch
}

// Same reports whether nothing about the section itself changed.
func (s Section) Same() bool {
	return s.Unread || s.Before != nil && s.After != nil && !s.Letter && !s.Outline && s.Order == nil
}

// sections matches the sections by their patches, and says of the patches which
// changed their section or their number.
func (b *Block) sections() []Section {
	var old, new []*block.Section
	var out []Section
	skip := map[string]bool{} // names of sections that cannot be read whole somewhere
	each := func(of *sew.Block, do func(*block.Section)) {
		if of != nil {
			for _, s := range of.Of.Sections {
				do(s)
			}
		}
	}
	mark := func(s *block.Section) { skip[s.Name] = skip[s.Name] || s.Broken }
	each(b.Before, mark)
	each(b.After, mark)
	unread := map[string]*Section{}
	side := func(into *[]*block.Section, set func(*Section, *block.Section)) func(*block.Section) {
		return func(s *block.Section) {
			if !skip[s.Name] {
				*into = append(*into, s)
				return
			}
			u := unread[s.Name]
			if u == nil {
				u = &Section{Unread: true}
				unread[s.Name] = u
			}
			set(u, s)
		}
	}
	each(b.Before, side(&old, func(u *Section, s *block.Section) { u.Before = s }))
	each(b.After, side(&new, func(u *Section, s *block.Section) { u.After = s }))

	partner := b.sectionPartners(old, new)
	taken := make([]bool, len(new))
	for i, s := range old {
		c := Section{Before: s}
		if j := partner[i]; j >= 0 {
			taken[j] = true
			c.After = new[j]
			b.section(&c)
		}
		out = append(out, c)
	}
	for j, s := range new {
		if !taken[j] {
			out = append(out, Section{After: s})
		}
	}
	for _, u := range unread {
		out = append(out, *u)
	}
	slices.SortStableFunc(out, func(s, t Section) int { return compareNames(s.name(), t.name()) })
	b.relabel(out)
	return out
}

func (s Section) name() string {
	if s.After != nil {
		return s.After.Name
	}
	return s.Before.Name
}

// sectionPartners pairs sections by the area of the patches that went from one to
// the other; names decide where that says nothing.
func (b *Block) sectionPartners(old, new []*block.Section) []int {
	shared := map[[2]*block.Section]float64{}
	for _, p := range b.Patches {
		if p.Before != nil && p.After != nil {
			shared[[2]*block.Section{p.Before.Section, p.After.Section}] += p.After.Corners.CCW().Area()
		}
	}
	return assign(len(old), len(new), func(i, j int) float64 {
		s := shared[[2]*block.Section{old[i], new[j]}]
		if old[i].Name == new[j].Name {
			s += geom.Hair * geom.Hair * 10
		}
		return s
	})
}

// section compares a section's own.
func (b *Block) section(c *Section) {
	c.Letter = c.Before.Name != c.After.Name
	c.Outline = !sameShape(outlineOf(b.Before, c.Before), outlineOf(b.After, c.After))
	was := map[*block.Patch]int{}
	for _, p := range b.Patches {
		if p.Before != nil && p.After != nil && p.Before.Section == c.Before && p.After.Section == c.After {
			was[p.After.Patch] = p.Before.Number
		}
	}
	var order []int
	last, other := 0, false
	for _, p := range c.After.Patches {
		n := was[p]
		order = append(order, n)
		if n > 0 {
			other = other || n < last
			last = n
		}
	}
	if other {
		c.Order = order
	}
}

func outlineOf(b *sew.Block, s *block.Section) geom.Polygon {
	if is := b.Section(s); is != nil {
		return is.Outline()
	}
	return s.Outline
}

// relabel says which patches changed their section or number.
func (b *Block) relabel(sections []Section) {
	to := map[*block.Section]*block.Section{}
	for i := range sections {
		if s := &sections[i]; s.Before != nil && s.After != nil {
			to[s.Before] = s.After
		}
	}
	for i := range b.Patches {
		p := &b.Patches[i]
		if p.Before != nil && p.After != nil {
			p.Section = to[p.Before.Section] != p.After.Section
			p.Number = !p.Section && p.Before.Number != p.After.Number
		}
	}
}
