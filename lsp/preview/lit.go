package preview

import (
	"slices"

	"sewable/lang/block"
	"sewable/lang/query"
)

// Lit is what the cursor of the editor means: patches of a block, by their
// labels; none when it is elsewhere.
type Lit struct {
	Block   string   `json:"block"`
	Patches []string `json:"patches"`
	What    string   `json:"what"` // in words: "A3", "section B"
}

func (l Lit) equal(m Lit) bool {
	return l.Block == m.Block && l.What == m.What && slices.Equal(l.Patches, m.Patches)
}

// LitAt is what stands at an offset: a patch, with those that were copied from it;
// all of a section, on the line that opens it; on the line of a join, both its
// sections.
func LitAt(f *query.File, offset int) Lit {
	c := query.At(f, offset)
	if c.Block == nil {
		return Lit{}
	}
	l := Lit{Block: c.Block.Name, Patches: []string{}}
	add := func(holds func(*block.Patch) bool) {
		for _, s := range c.Block.Sections {
			for _, p := range s.Patches {
				if holds(p) {
					l.Patches = append(l.Patches, p.Label())
				}
			}
		}
	}
	switch {
	case c.Patch != nil && c.Patch.Section != nil:
		l.What = c.Patch.Label()
		add(func(p *block.Patch) bool { return p.Item == c.Item })
	case c.Section != nil && c.Item == c.Section.Item:
		l.What = "section " + c.Section.Name
		add(func(p *block.Patch) bool { return p.Section.Item == c.Item })
	case c.Join != nil:
		l.What = "join " + c.Join.A.Name + " to " + c.Join.B.Name
		add(func(p *block.Patch) bool { return p.Section == c.Join.A || p.Section == c.Join.B })
	}
	return l
}
