package lsp

import (
	"context"
	"encoding/json"
	"path/filepath"
	"slices"
	"strings"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"sewable/lang/source"
	"sewable/lint"
	"sewable/lsp/session"
)

var actionKinds = []protocol.CodeActionKind{
	protocol.CodeActionKindQuickFix, protocol.CodeActionKindRefactorRewrite, protocol.CodeActionKindRefactorExtract,
	protocol.CodeActionKindRefactorInline, protocol.CodeActionKindSourceFixAll,
}

// action is something that can be done to a file. Its edit is worked out when
// the editor wants it.
type action struct {
	title     string
	kind      protocol.CodeActionKind
	preferred bool
	finding   *lint.Finding // that it mends
	renumbers bool          // into an order that works, which a fix of the linter may do too
	edit      func() *workspaceEdit
}

// codeAction offers what mends the findings that the range touches, and what can be
// done to what stands there. What the editor remembers of diagnostics is not heeded:
// it may be old.
func (s *Server) codeAction(ctx context.Context, d document, p *protocol.CodeActionParams) (any, error) {
	all, err := s.actions(ctx, d, d.enc.Span(d.Text(), p.Range), p.Context.Only)
	if err != nil {
		return nil, err
	}
	out := []protocol.CommandOrCodeAction{}
	c := converter{s: s, at: d.at, own: d.Text()}
	for _, a := range all {
		kind := a.kind
		x := &protocol.CodeAction{Title: a.title, Kind: &kind}
		if a.preferred {
			x.IsPreferred = &a.preferred
		}
		if a.finding != nil {
			x.Diagnostics = c.diagnostics([]lint.Finding{*a.finding})
		}
		if s.client.lazyActions {
			x.Data = anyOf(asked{string(d.uri), d.version(), p.Range, a.title, string(a.kind)})
		} else {
			x.Edit = a.edit().done()
		}
		out = append(out, x)
	}
	return out, nil
}

// asked is what an action carries to be resolved.
type asked struct {
	URI     string         `json:"uri"`
	Version int32          `json:"version"`
	Range   protocol.Range `json:"range"`
	Title   string         `json:"title"`
	Kind    string         `json:"kind"`
}

func (d document) version() int32 {
	if d.Doc == nil {
		return 0
	}
	return d.Doc.Version
}

// resolveAction works out the edit of an action. It is found again by its title,
// in the text as it is now; one made for an older text is refused.
func (s *Server) resolveAction(ctx context.Context, at *session.Snapshot, x *protocol.CodeAction) (any, error) {
	var a asked
	if json.Unmarshal(x.Data, &a) != nil || a.URI == "" {
		return x, nil
	}
	d, err := s.named(at, uri.URI(a.URI))
	if err != nil {
		return nil, err
	}
	if d.version() != a.Version {
		return nil, protocol.ErrContentModified
	}
	all, err := s.actions(ctx, d, d.enc.Span(d.Text(), a.Range), []protocol.CodeActionKind{protocol.CodeActionKind(a.Kind)})
	if err != nil {
		return nil, err
	}
	for _, found := range all {
		if found.title == a.Title {
			x.Edit = found.edit().done()
			return x, nil
		}
	}
	return nil, protocol.ErrContentModified
}

// actions lists what can be done, of the kinds that are wanted.
func (s *Server) actions(ctx context.Context, d document, at source.Span, only []protocol.CodeActionKind) ([]action, error) {
	wanted := func(k protocol.CodeActionKind) bool {
		return len(only) == 0 && k != protocol.CodeActionKindSourceFixAll || slices.ContainsFunc(only, func(o protocol.CodeActionKind) bool {
			return k == o || o == "" || strings.HasPrefix(string(k), string(o)+".")
		})
	}
	var out, accepts []action
	if wanted(protocol.CodeActionKindQuickFix) {
		var err error
		if out, accepts, err = s.fixes(ctx, d, at); err != nil {
			return nil, err
		}
	}
	if wanted(protocol.CodeActionKindSourceFixAll) {
		out = append(out, s.fixAll(d)...)
	}
	for _, a := range s.refactorings(d, at) {
		again := slices.ContainsFunc(out, func(b action) bool {
			return b.finding != nil && (a.renumbers && b.finding.Rule == "unsewable-order" || b.title == titleOf(lint.Fix{Title: a.title}))
		})
		if wanted(a.kind) && !again {
			out = append(out, a)
		}
	}
	return append(out, accepts...), nil
}

// fixes are the fixes of the findings that a span touches, and for each finding
// that it can be accepted: that is offered last.
func (s *Server) fixes(ctx context.Context, d document, at source.Span) (out, accepts []action, err error) {
	findings, _, err := d.Findings(ctx)
	if err != nil {
		return nil, nil, err
	}
	for _, f := range findings {
		if f.Span.Start > at.End || f.Span.End < at.Start {
			continue
		}
		out = append(out, s.slips(d, f)...)
		for _, x := range f.Fixes {
			out = append(out, action{
				title: titleOf(x), kind: protocol.CodeActionKindQuickFix, preferred: x.Certain && len(f.Fixes) == 1, finding: &f,
				edit: func() *workspaceEdit { return s.fixEdit(d, f, x) },
			})
		}
		if a, ok := s.acceptAction(d, f); ok {
			accepts = append(accepts, a)
		}
	}
	return out, accepts, nil
}

// titleOf is a fix as it is offered: it says when it is a guess.
func titleOf(x lint.Fix) string {
	if x.Certain {
		return x.Title
	}
	return x.Title + " (unsafe fix)"
}

// fixEdit is a fix of the linter as an edit. A fix that somebody has to choose is
// annotated.
func (s *Server) fixEdit(d document, f lint.Finding, x lint.Fix) *workspaceEdit {
	w := s.newEdit(d.at)
	c := converter{s: s, at: d.at, own: d.Text()}
	for _, e := range x.Edits {
		if text := c.textOf(e.File); text != nil {
			w.add(absolute(e.File), protocol.TextEdit{Range: s.encoding.Range(text, e.Span), NewText: e.New})
		}
	}
	if !x.Certain {
		w.guess(x.Title, f.Message)
	}
	return w
}

// fixAll does what the command's --fix does.
func (s *Server) fixAll(d document) []action {
	mended := lint.Mend(d.Text().Path, d.Text().Text, d.LintOptions(), lint.Mending{})
	if len(mended.Fixes) == 0 {
		return nil
	}
	return []action{{
		title: "Apply all safe fixes", kind: protocol.CodeActionKindSourceFixAll,
		edit: func() *workspaceEdit {
			w := s.newEdit(d.at)
			w.add(d.Path, d.lineEdits(source.Span{}, d.Text().Text, mended.Text)...)
			return w
		},
	}}
}

// paletteName is the name for a file of fabrics that is not there yet.
func paletteName(d document) string {
	for _, name := range []string{"palette.block", "fabrics.block", "colours.block"} {
		if _, err := d.at.Text(filepath.Join(filepath.Dir(d.Path), name)); err != nil {
			return name
		}
	}
	return ""
}
