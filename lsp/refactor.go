package lsp

import (
	"fmt"
	"path/filepath"

	"go.lsp.dev/protocol"

	"sewable/lang/block"
	"sewable/lang/edit"
	"sewable/lang/memo"
	"sewable/lang/query"
	"sewable/lang/sew"
	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lint"
)

// simple is an action whose edits stay in the document and are known.
func (s *Server) simple(d document, title string, kind protocol.CodeActionKind, edits ...edit.Edit) action {
	return action{title: title, kind: kind, edit: func() *workspaceEdit {
		w := s.newEdit(d.at)
		w.addEdits(d.Path, d.Text(), edits)
		return w
	}}
}

// refactorings are what can be done to what stands in a span, findings or not.
func (s *Server) refactorings(d document, at source.Span) []action {
	f := d.ask()
	c := query.At(f, at.Start)
	var out []action
	for _, r := range d.patchRewritings(f, c) {
		a := s.simple(d, r.title, protocol.CodeActionKindRefactorRewrite, r.edits...)
		a.renumbers = r.renumbers
		out = append(out, a)
	}
	out = append(out, s.pointActions(d, f, c)...)
	out = append(out, s.notchActions(d, f, c)...)
	out = append(out, s.planActions(d, f, c)...)
	if sec := c.Section; sec != nil && c.Item == sec.Item && !sec.Broken {
		out = append(out,
			s.simple(d, "Mirror this section left to right", protocol.CodeActionKindRefactorRewrite, edit.MirrorSection(d.Model(), sec, true)...),
			s.simple(d, "Mirror this section top to bottom", protocol.CodeActionKindRefactorRewrite, edit.MirrorSection(d.Model(), sec, false)...))
	}
	out = append(out, s.outlineActions(d, c)...)
	return append(out, s.extractAction(d, c)...)
}

// outlineActions give the sections of a block by lines or by outlines, on the line that opens the block or a section.
func (s *Server) outlineActions(d document, c query.Cursor) (out []action) {
	if c.Block == nil || c.Item == nil || c.Item != c.Block.Item && (c.Section == nil || c.Item != c.Section.Item) {
		return nil
	}
	type lines struct{ of *block.Block }
	type outlines struct{ of *block.Block }
	f := d.Model()
	if edits := memo.Of(&d.Facts, lines{c.Block}, func() []edit.Edit { return edit.ByLines(f, c.Block, d.Read) }); len(edits) > 0 {
		out = append(out, s.simple(d, "Give the sections of this block by lines", protocol.CodeActionKindRefactorRewrite, edits...))
	}
	if edits := memo.Of(&d.Facts, outlines{c.Block}, func() []edit.Edit {
		if edits := edit.ByOutlines(f, c.Block); d.keeps(edits) {
			return edits
		}
		return nil
	}); len(edits) > 0 {
		out = append(out, s.simple(d, "Give the sections of this block by outlines", protocol.CodeActionKindRefactorRewrite, edits...))
	}
	return out
}

// keeps reports whether edits keep the picture.
func (d document) keeps(edits []edit.Edit) bool { return edit.Keeps(d.Model(), edits, d.Read) }

// rewriting says the same in other words.
type rewriting struct {
	title     string
	edits     []edit.Edit
	renumbers bool // into an order that works
}

// patchRewritings are those of the patch or section that the cursor is in. Editors ask for
// them wherever the cursor goes: within a patch they stay the same.
func (d document) patchRewritings(f *query.File, c query.Cursor) []rewriting {
	if c.Section == nil || c.Section.Broken {
		return nil
	}
	sec := f.Sewing(c.Block).Section(c.Section)
	if sec == nil {
		return nil
	}
	type key struct {
		section *block.Section
		patch   *block.Patch
	}
	return memo.Of(&d.Facts, key{c.Section, c.Patch}, func() []rewriting {
		return append(d.orders(sec, c.Patch), d.shapes(sec, c.Patch)...)
	})
}

// orders renumber a section: into an order that works, and so that a patch comes first.
func (d document) orders(sec *sew.Section, p *block.Patch) (out []rewriting) {
	if sec.Flawed() {
		return nil
	}
	add := func(title string, order []int, works bool) {
		edits := edit.Renumber(sec.Of, order)
		if order != nil && len(edits) > 0 && d.keeps(edits) {
			out = append(out, rewriting{title, edits, works})
		}
	}
	if !sec.InOrder() {
		add("Renumber into an order that can be sewn", sec.Order(), true)
	}
	if p != nil && p.Number != 1 {
		add("Renumber from this patch", sec.OrderFrom(p), false)
	}
	return out
}

// shapes give a patch by its corners, or by its seam.
func (d document) shapes(sec *sew.Section, p *block.Patch) []rewriting {
	switch {
	case p == nil:
		return nil
	case p.Given != block.ByCorners:
		if e := edit.ByCorners(p); d.keeps([]edit.Edit{e}) {
			return []rewriting{{title: "Rewrite this patch by its corners", edits: []edit.Edit{e}}}
		}
		return nil
	}
	if e, ok := edit.BySeam(sec, p); ok && d.keeps([]edit.Edit{e}) {
		title := "Rewrite this patch by its seam"
		if p.Number == 1 {
			title = "Rewrite this patch by a point inside it"
		}
		return []rewriting{{title: title, edits: []edit.Edit{e}}}
	}
	return nil
}

// pointActions name a point that is typed as coordinates, and the other way round.
func (s *Server) pointActions(d document, f *query.File, c query.Cursor) []action {
	if c.Named != nil && c.Named.Kind == block.KindPoint && c.Block != nil {
		for _, p := range c.Block.Points {
			if &p.Named != c.Named {
				continue
			}
			if edits, ok := edit.InlinePoint(d.Model(), p); ok && d.keeps(edits) {
				return []action{s.simple(d, "Inline the point "+p.Name, protocol.CodeActionKindRefactorInline, edits...)}
			}
		}
		return nil
	}
	pair, ok := query.PointAt(c).(*syntax.Pair)
	if !ok || c.Block == nil || c.Item.Word == "point" {
		return nil
	}
	name := edit.FreeName("p", edit.PointNames(c.Block))
	if edits := edit.NamePoint(d.Model(), c.Block, c.Item, pair, name); len(edits) > 0 && d.keeps(edits) {
		return []action{s.simple(d, "Name this point "+name, protocol.CodeActionKindRefactorExtract, edits...)}
	}
	return nil
}

// notchActions give a lonely notch its partner.
func (s *Server) notchActions(d document, f *query.File, c query.Cursor) []action {
	if c.Notch == nil || c.Block == nil || c.Block.Broken {
		return nil
	}
	b := f.Sewing(c.Block)
	for _, n := range b.Notches() {
		if n.Notch != c.Notch {
			continue
		}
		if e, ok := edit.AddNotch(d.Model(), b, n); ok {
			a := s.simple(d, "Add the missing notch "+n.Notch.Name, protocol.CodeActionKindQuickFix, e)
			return []action{a}
		}
	}
	return nil
}

// extractAction moves the fabrics of the file to a palette.
func (s *Server) extractAction(d document, c query.Cursor) []action {
	if c.Item == nil || c.Item.Word != "fabric" || c.Block != nil || !s.client.createFiles || !s.client.documentChanges || d.Doc == nil {
		return nil
	}
	name := paletteName(d)
	edits, palette := edit.ExtractFabrics(d.Model(), name)
	if name == "" || palette == "" {
		return nil
	}
	return []action{{
		title: "Move the fabrics to " + name, kind: protocol.CodeActionKindRefactorExtract,
		edit: func() *workspaceEdit {
			w := s.newEdit(d.at)
			w.create(filepath.Join(filepath.Dir(d.Path), name), palette)
			w.addEdits(d.Path, d.Text(), edits)
			return w
		},
	}}
}

// acceptAction accepts a finding. The reason is for the designer to write: the cursor is put
// there where the editor can, and until there is one a rule asks for it. What is mandatory and
// rules about accepts themselves cannot be accepted.
func (s *Server) acceptAction(d document, f lint.Finding) (action, bool) {
	for _, r := range s.options.Rules {
		if r.Name == f.Rule && r.Run == nil {
			return action{}, false
		}
	}
	if f.Mandatory {
		return action{}, false
	}
	e := edit.Accept(d.Model(), f.Span.Start, f.Rule)
	a := s.simple(d, fmt.Sprintf("Accept %s here, with a reason", f.Rule), protocol.CodeActionKindQuickFix, e)
	a.finding = &f
	write := a.edit
	a.edit = func() *workspaceEdit {
		w := write()
		w.cursor = true
		return w
	}
	return a, true
}
