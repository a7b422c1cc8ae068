package edit

import (
	"context"
	"slices"
	"strings"

	"sewable/lang/block"
	"sewable/lang/geom"
	"sewable/lang/sew"
	"sewable/lang/sew/plan"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

// DivideSection divides a section that cannot be sewn, or any other, into as few as can: along its
// own straight lines, with joins before all others, so that the joins of the file find the unit
// that the section was. The first keeps its name. A section whose patches can be sewn as one is
// not divided. It is false where there is no such division, the section is a copy or has
// some, or what comes of it does not read back as it is meant.
func DivideSection(ctx context.Context, f *block.File, s *sew.Section, o PlanFor) ([]Edit, bool) {
	b := s.Of.Block
	if s.IsCopy() || s.Copies > 0 || s.Flawed() || b.Broken || s.Of.Item == nil || s.Of.Item.Close == nil {
		return nil, false
	}
	if b.Allowance != nil {
		o.Near = b.Allowance.Size.Float64() / 2
	}
	p := plan.Of(ctx, s.Division(), o.Options)
	if p == nil || len(p.Sections) < 2 {
		return nil, false
	}
	w := planWriter{f: f, b: b, o: o, text: f.Source.Text, gone: map[*syntax.Item]bool{}, p: &Planned{Block: b, Plan: p}}
	rest := w.typed(s.Of.Item.Body, s.Of.Patches)
	taken := map[string]bool{}
	for _, x := range b.Sections {
		taken[x.Name] = true
	}
	for i := range p.Sections {
		name := s.Of.Name
		if i > 0 {
			name = nextSection(taken)
		}
		taken[name] = true
		w.p.Names = append(w.p.Names, name)
	}
	base := w.divided(s, rest)
	w.p.Edits = w.inPlace(s, base, nil)
	i := slices.Index(f.Blocks, b)
	after := f.With(Apply(w.text, w.p.Edits))
	if len(after.Blocks) != len(f.Blocks) || after.Blocks[i].Broken {
		return nil, false
	}
	now, before := sew.Analyse(after.Blocks[i]), s.Block
	for _, name := range w.p.Names {
		for _, x := range now.Sections {
			if x.Of.Name == name && (x.Flawed() || !x.InOrder()) {
				return nil, false
			}
		}
	}
	if len(now.JoinFlaws()) > len(before.JoinFlaws()) {
		return nil, false
	}
	if len(now.JoinFlaws()) == 0 {
		w.p.Edits = w.inPlace(s, base, missingNotches(now, o.Unmarked))
	}
	return w.p.Edits, true
}

// nextSection is the first name of a section that is not taken.
func nextSection(taken map[string]bool) string {
	for i := 0; ; i++ {
		if name := SectionName(i); !taken[name] {
			return name
		}
	}
}

// divided are the statements of the sections that one becomes. Its notches go to the
// part that has the edge.
func (w *planWriter) divided(s *sew.Section, rest []string) []string {
	var out []string
	for i, part := range w.p.Plan.Sections {
		title := ""
		if i > 0 {
			out = append(out, "")
		} else {
			title = typedTitle(s.Of)
		}
		out = append(out, sectionHead(w.p.Names[i], title))
		if i == 0 {
			for _, l := range rest {
				out = append(out, "  "+l)
			}
		}
		out = append(out, sectionBody(w.p.Patches, part.Parts)...)
		var polys []geom.Polygon
		for _, k := range part.Parts {
			polys = append(polys, w.p.Patches[k].Corners)
		}
		for _, n := range s.Of.Notches {
			if slices.ContainsFunc(polys, func(p geom.Polygon) bool { return p.Contains(n.Point) == geom.OnEdge }) {
				out = append(out, "  "+strings.TrimSpace(w.text[n.Item.Raw.Start:n.Item.Raw.End]))
			}
		}
		out = append(out, "}")
	}
	return out
}

// inPlace puts the sections where the one was, and the joins before the first of the block.
func (w *planWriter) inPlace(s *sew.Section, sections, notches []string) []Edit {
	nl := lineBreak(w.text)
	lead := indent(w.text, s.Of.Item)
	var joins []string
	for _, j := range w.p.Plan.Joins {
		joins = append(joins, "join "+w.p.Names[j.A]+" to "+w.p.Names[j.B])
	}
	text := func(lines []string) string {
		var b strings.Builder
		for _, l := range lines {
			if l != "" {
				b.WriteString(lead + strings.ReplaceAll(l, "\n", "\n"+lead))
			}
			b.WriteString(nl)
		}
		return b.String()
	}
	at := s.Of.Item.Extent()
	for _, it := range w.b.Item.Body {
		if it.Word == "join" {
			before := source.Span{Start: it.Raw.Start, End: it.Raw.Start}
			return []Edit{{at, text(sections)}, {before, text(append(joins, notches...))}}
		}
	}
	// Behind the last section: a join may name any of them.
	last := at
	for _, it := range w.b.Item.Body {
		if it.Word == "section" {
			last = it.Extent()
		}
	}
	joins = append([]string{""}, append(joins, notches...)...)
	if last == at {
		return []Edit{{at, text(append(slices.Clone(sections), joins...))}}
	}
	return []Edit{{at, text(sections)}, {source.Span{Start: last.End, End: last.End}, text(joins)}}
}
