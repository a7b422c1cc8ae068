package edit

import (
	"sewable/lang/block"
	"sewable/lang/syntax"
)

// keepTitles gives the planned sections the titles of those that they were, patch for patch.
// A title whose patches stand together no more is lost.
func (w *planWriter) keepTitles() {
	p := w.p
	p.Titles = make([]string, len(p.Plan.Sections))
	found := map[*block.Section]bool{}
	for i, s := range p.Plan.Sections {
		if was := w.was(s.Parts); was != nil {
			p.Titles[i], found[was] = typedTitle(was), true
		}
	}
	for _, s := range w.b.Sections {
		if s.Title != "" && !found[s] {
			p.Lost = append(p.Lost, s)
		}
	}
}

// typedTitle is the title of a section to the byte; the model has it as people may see it.
func typedTitle(s *block.Section) string {
	switch n := s.Item.Node.(type) {
	case *syntax.Section:
		if n.Title != nil {
			return n.Title.Value
		}
	case *syntax.Copy:
		for _, made := range n.Made {
			if made.Name.Text == s.Name && made.Title != nil {
				return made.Title.Value
			}
		}
	}
	return ""
}

// was is the section that had these patches and no others, or nil.
func (w *planWriter) was(parts []int) *block.Section {
	var was *block.Section
	for i, k := range parts {
		of := w.p.Patches[k].Of
		if of == nil || of.Section == nil || i > 0 && of.Section != was {
			return nil
		}
		was = of.Section
	}
	if was == nil || len(was.Patches) != len(parts) {
		return nil
	}
	return was
}

// sectionHead begins a section.
func sectionHead(name, title string) string {
	if title != "" {
		name += " " + syntax.Quote(title)
	}
	return "section " + name + " {"
}
