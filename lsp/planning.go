package lsp

import (
	"context"
	"fmt"

	"go.lsp.dev/protocol"

	"sewable/lang/block"
	"sewable/lang/edit"
	"sewable/lang/english"
	"sewable/lang/geom"
	"sewable/lang/query"
	"sewable/lang/sew"
)

// planFor is how the settings of a document plan, not for long.
func (d document) planFor() edit.PlanFor {
	f := d.Model()
	o := d.LintOptions().Config.For(f.Source.Path).For(f.Unit).PlanFor()
	o.Effort = edit.QuickEffort
	o.Add.Effort = edit.QuickWays
	return o
}

// offered is how many ways to add seams are offered as actions.
const offered = 3

// A seamed drawing is one with seams added, divided into sections, or with a corner moved so that fewer do.
type seamed struct {
	title string
	edits []edit.Edit
}

// added are ways to add the seams that a drawing lacks.
func (d document) added(b *block.Block) (out []seamed) {
	if len(b.Loose) > edit.QuickPatches || len(b.Seams) > edit.QuickPatches {
		return nil
	}
	p, err := edit.Plan(context.Background(), d.Model(), b, d.planFor())
	if err != nil || p.Added == nil {
		return nil
	}
	for i, one := range p.Added.Answers[:min(offered, len(p.Added.Answers))] {
		a := p.Added.Result.Answers[i]
		number := ""
		if len(p.Added.Answers) > 1 {
			number = fmt.Sprintf(" (answer %d)", i+1)
		}
		out = append(out, seamed{fmt.Sprintf("Add %s and divide this drawing%s: %s in %s", english.Count(len(a.Seams), "seam", "seams"), number,
			english.Count(a.Score.Patches, "patch", "patches"), english.Count(a.Score.Sections, "section", "sections")), one.Edits})
	}
	unit := d.Model().Unit
	for _, n := range p.Added.Nudges {
		out = append(out, seamed{fmt.Sprintf("Move the corner at %s by %s: %s become %s", geom.FormatPlace(n.From, unit), geom.Format(n.From.Dist(n.To), unit),
			english.Count(n.Before, "seam", "seams"), english.Count(n.After, "seam", "seams")), edit.MoveCorner(b, n)})
	}
	return out
}

// planActions divide a drawing into sections, or a section that cannot be sewn into
// several; plan a block anew with fewer sections; and add the notches that joins want.
func (s *Server) planActions(d document, f *query.File, c query.Cursor) []action {
	b := c.Block
	if b == nil || b.Broken || d.Model().Partial {
		return nil
	}
	rewrite := func(title string, edits []edit.Edit) []action {
		if len(edits) == 0 {
			return nil
		}
		return []action{s.simple(d, title, protocol.CodeActionKindRefactorRewrite, edits...)}
	}
	onBlock, onLoose := c.Item == b.Item, c.Patch != nil && c.Patch.Section == nil
	switch {
	case len(b.Sections) == 0 && (onBlock || onLoose || c.Item != nil && c.Item.Word == "seam"):
		if edits := d.planned(b, false); len(edits) > 0 {
			return rewrite("Divide this drawing into sections", edits)
		}
		var out []action
		for _, x := range d.added(b) {
			out = append(out, rewrite(x.title, x.edits)...)
		}
		return out
	case c.Section != nil && c.Item == c.Section.Item:
		sec := f.Sewing(b).Section(c.Section)
		if sec == nil || sec.Flawed() || sec.Sewable() || len(sec.Of.Patches) > edit.QuickPatches {
			return nil
		}
		edits, _ := edit.DivideSection(context.Background(), d.Model(), sec, d.planFor())
		return rewrite("Divide section "+c.Section.Name, edits)
	case onBlock:
		return append(rewrite("Replan this block with fewer sections", d.planned(b, true)),
			rewrite("Add missing notches to the joins", d.notches(f.Sewing(b)))...)
	case c.Item != nil && c.Item.Word == "join":
		return rewrite("Add missing notches to the joins", d.notches(f.Sewing(b)))
	}
	return nil
}

// planned are the edits of a plan; none when there is none, or, for a block that has
// sections, when it has no fewer.
func (d document) planned(b *block.Block, again bool) []edit.Edit {
	patches := len(b.Loose)
	for _, s := range b.Sections {
		patches += len(s.Patches)
	}
	if patches > edit.QuickPatches || len(b.Seams) > edit.QuickPatches {
		return nil
	}
	o := d.planFor()
	o.Again, o.Add = again, nil
	p, err := edit.Plan(context.Background(), d.Model(), b, o)
	if err != nil || p.Plan == nil || again && len(p.Plan.Sections) >= len(b.Sections) {
		return nil
	}
	return p.Edits
}

// notches are the edits that add the notches which the joins of a block want.
func (d document) notches(b *sew.Block) []edit.Edit {
	if len(b.JoinFlaws()) > 0 {
		return nil
	}
	return edit.AddNotches(b, d.planFor().Unmarked)
}
