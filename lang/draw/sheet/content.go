package sheet

import (
	"sewable/lang/draw/ink"
	"sewable/lang/draw/steps"
)

// Content is what is printed of one copy of a pattern, without what depends on the other sheets: the
// heads of the pages and where a foundation lies on its page.
type Content struct {
	Plan        *steps.Plan
	First       []*ink.Drawing          // the first pages
	Foundations map[string]*ink.Drawing // each section upright, by its name
}

// ContentOf gives the content of a pattern's pages. The error says why it cannot be printed.
func ContentOf(p Pattern, how Options) (*Content, error) {
	if err := p.printable(); err != nil {
		return nil, err
	}
	how = how.Filled()
	p.Copies = 1
	out := &Content{Plan: p.Plan(), Foundations: map[string]*ink.Drawing{}}
	if len(p.Faults) == 0 {
		p.Faults = out.Plan.Faults()
	}
	for _, s := range out.Plan.Sections {
		f, err := foundationOf(p, out.Plan, s, how.Room())
		if err != nil {
			return nil, err
		}
		f.reach, f.legend = how.Marks, how.Bare
		out.Foundations[s.Of.Of.Name] = f.drawing(0)
	}
	out.First = cover(p, out.Plan, how, run{copies: 1, together: 1, times: 1})
	return out, nil
}
