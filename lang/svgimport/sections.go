package svgimport

import (
	"fmt"
	"slices"
	"unicode"
	"unicode/utf8"

	"sewable/lang/block"
	"sewable/lang/edit"
	"sewable/lang/english"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/syntax"
)

// A section is patches by number: into the patches of the plan, in sewing order.
type section struct {
	name, title string
	patches     []int
	of          *element // the group it was; nil in a drawing of our own
}

// A notch is a match mark of the block.
type notch struct {
	name string
	at   geom.Point
}

// divide makes sections of the groups that the shapes stand in, if they divide the block: every patch stands in one, each is
// of one piece and can be sewn, and straight joins put them together. If not, the
// patches stay loose, and it notes why; it notes nothing when there are no groups.
func (t *tracer) divide(p *plan) {
	groups, why := t.groups(p)
	if why != "" {
		t.note(nil, "the groups are not used as sections: %s", why)
	}
	if len(groups) == 0 {
		return
	}
	fail := func(of *element, why string) {
		p.sections, p.joins = nil, nil
		t.note(of, "the groups are not used as sections: %s", why)
	}
	taken := make(map[string]bool)
	for i := range groups {
		s := &groups[i]
		id := groups[i].of.attr["id"]
		if isSectionName(id) && !taken[id] {
			s.name = id
		}
		taken[s.name] = true
	}
	next := 0
	for i := range groups {
		s := &groups[i]
		for s.name == "" {
			if name := edit.SectionName(next); !taken[name] {
				s.name = name
				s.title = groups[i].of.attr["id"]
			}
			next++
		}
		parts := make([]geom.Polygon, len(s.patches))
		for k, n := range s.patches {
			parts[k] = p.patches[n].corners
		}
		outline, ok := geom.UnionOutline(parts)
		if !ok || len(outline) != 1 || !outline[0].IsSimple() {
			fail(s.of, fmt.Sprintf("%s is not in one piece", s.of))
			return
		}
		p.sections = append(p.sections, *s)
	}
	if why, of := t.order(p); why != "" {
		fail(of, why)
	}
}

// groups are the outermost groups that differ, with their patches.
func (t *tracer) groups(p *plan) ([]section, string) {
	var common []*element
	for i, q := range p.patches {
		switch {
		case q.of == nil:
			return nil, ""
		case i == 0:
			common = q.of.groups
		default:
			n := 0
			for n < min(len(common), len(q.of.groups)) && common[n] == q.of.groups[n] {
				n++
			}
			common = common[:n]
		}
	}
	var out []section
	bare := 0
	for i, q := range p.patches {
		if len(q.of.groups) == len(common) {
			bare++
			continue
		}
		g := q.of.groups[len(common)]
		k := slices.IndexFunc(out, func(o section) bool { return o.of == g })
		if k < 0 {
			k = len(out)
			out = append(out, section{of: g})
		}
		out[k].patches = append(out[k].patches, i)
	}
	switch {
	case len(out) == 0:
		return nil, ""
	case bare > 0:
		return nil, english.Count(bare, "patch is", "patches are") + " in no group"
	case len(out) > 500:
		return nil, fmt.Sprintf("there are %d of them", len(out))
	}
	return out, ""
}

// order numbers the patches of each section in an order that can be sewn, and finds
// joins that put the sections together.
func (t *tracer) order(p *plan) (why string, of *element) {
	b := t.model(p)
	if b == nil || b.Broken || len(b.Sections) != len(p.sections) {
		return "they do not make a block that can be sewn", nil
	}
	sewing := sew.Analyse(b)
	if len(sewing.Sections) != len(p.sections) {
		return "they do not make a block that can be sewn", nil
	}
	for i, s := range sewing.Sections {
		if !s.Sewable() {
			of := p.sections[i].of
			return fmt.Sprintf("the patches of %s cannot be sewn in any order", of), of
		}
		numbers := s.Order()
		sorted := make([]int, len(numbers))
		for k, n := range numbers {
			sorted[k] = p.sections[i].patches[n-1]
		}
		p.sections[i].patches = sorted
	}
	return t.join(p, sewing), nil
}

// join finds joins, all straight.
func (t *tracer) join(p *plan, sewing *sew.Block) (why string) {
	if len(p.sections) == 1 {
		return ""
	}
	joins, ok := sewing.StraightJoins()
	if !ok {
		return "straight joins cannot put them together"
	}
	for _, j := range joins {
		p.joins = append(p.joins, "join "+j.A.Of.Name+" to "+j.B.Of.Name)
	}
	return ""
}

// model is the plan as the language has it.
func (t *tracer) model(p *plan) *block.Block {
	f := block.NewLoader(syntax.NewReader(), nil).OpenText("/traced.block", t.text(p))
	if len(f.Blocks) != 1 {
		return nil
	}
	return f.Blocks[0]
}

// isSectionName: labels are section and number, so it does not end in a digit.
func isSectionName(s string) bool {
	last, _ := utf8.DecodeLastRuneInString(s)
	return syntax.IsName(s) && !unicode.IsDigit(last)
}
