package svgimport

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
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

// divide makes sections of the groups that the shapes are in, if they divide the block: every patch is in one, some
// have more than one, each is of one piece and can be sewn, and straight joins put them together. If not, the
// patches stay loose, and it notes why; it notes nothing when there are no groups. Asked for sections, it makes
// them whether they can be sewn or not.
func (t *tracer) divide(p *plan) error {
	groups, why, of := t.groups(p)
	switch {
	case t.o.Sections && len(groups) == 0:
		return t.failed("there are no groups to make sections of. Group the shapes of each section, or leave out --sections")
	case t.o.Sections && why != "":
		return t.fail(of, "%s. Put every shape into one of at most %d groups, or leave out --sections", why, maxSections)
	case t.o.Sections:
	case !slices.ContainsFunc(groups, func(s section) bool { return len(s.patches) > 1 }):
		return nil // a drawing program's own groups, one around each shape
	case why != "":
		t.note(of, "the groups are not used as sections: %s %s", of, why)
		return nil
	}
	taken := make(map[string]bool)
	for i := range groups {
		s := &groups[i]
		if name := label(s.of); isSectionName(name) && !taken[name] {
			s.name = name
		}
		taken[s.name] = true
	}
	next := 0
	for i := range groups {
		s := &groups[i]
		for s.name == "" {
			if name := edit.SectionName(next); !taken[name] {
				s.name = name
				s.title = label(s.of)
			}
			next++
		}
	}
	p.sections = groups
	if why, of := t.sewn(p); why != "" {
		p.joins = nil
		if t.o.Sections {
			t.note(of, "the sections cannot be sewn as they are drawn: %s", why)
			return nil
		}
		p.sections = nil
		t.note(of, "the groups are not used as sections: %s", why)
	}
	return nil
}

// sewn orders and joins the sections, or says why they cannot be sewn.
func (t *tracer) sewn(p *plan) (why string, of *element) {
	for _, s := range p.sections {
		parts := make([]geom.Polygon, len(s.patches))
		for k, n := range s.patches {
			parts[k] = p.patches[n].corners
		}
		outline, ok := geom.UnionOutline(parts)
		if !ok || len(outline) != 1 || !outline[0].IsSimple() {
			return fmt.Sprintf("%s is not in one piece", s.of), s.of
		}
	}
	return t.order(p)
}

// label is what a drawing calls an element: its title, its label, or its id, unless that is one that programs give.
func label(e *element) string {
	for _, c := range e.children {
		if c.name == "title" {
			if s := strings.Join(strings.Fields(c.text), " "); s != "" {
				return s
			}
		}
	}
	for _, name := range [...]string{"aria-label", "label"} {
		if s := strings.Join(strings.Fields(e.attr[name]), " "); s != "" {
			return s
		}
	}
	if id := e.attr["id"]; !numbered.MatchString(id) {
		return id
	}
	return ""
}

const maxSections = 500

// numbered are the ids that programs number elements with.
var numbered = regexp.MustCompile(`(?i)^(svg|g|group|layer|path|rect|page|surface|figure|axes|patch|root|canvas)[-_ ]?[0-9]*$`)

// groups are the outermost groups that differ, with their patches.
func (t *tracer) groups(p *plan) (out []section, why string, of *element) {
	var common []*element
	for i, q := range p.patches {
		switch {
		case q.of == nil:
			return nil, "", nil
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
	bare := 0
	for i, q := range p.patches {
		if len(q.of.groups) == len(common) {
			if bare++; bare == 1 {
				of = q.of.of
			}
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
	also := ""
	if bare > 1 {
		also = fmt.Sprintf(", nor %s", english.Count(bare-1, "other patch", "other patches"))
	}
	switch {
	case len(out) == 0:
		return nil, "", nil
	case bare > 0:
		return out, "is in no group" + also, of
	case len(out) > maxSections:
		return out, fmt.Sprintf("is one of %d groups", len(out)), out[maxSections].of
	}
	return out, "", nil
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
