package lsp

import (
	"context"
	"encoding/json"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"sewable/lang/query"
	"sewable/lang/syntax"
	"sewable/lsp/session"
)

var choiceKinds = map[query.ChoiceKind]protocol.CompletionItemKind{
	query.ChoiceStatement: protocol.CompletionItemKindKeyword,
	query.ChoiceWord:      protocol.CompletionItemKindKeyword,
	query.ChoiceFabric:    protocol.CompletionItemKindColor,
	query.ChoicePoint:     protocol.CompletionItemKindConstant,
	query.ChoiceSeam:      protocol.CompletionItemKindInterface,
	query.ChoiceSection:   protocol.CompletionItemKindStruct,
	query.ChoiceLet:       protocol.CompletionItemKindVariable,
	query.ChoiceNumber:    protocol.CompletionItemKindValue,
	query.ChoiceBlock:     protocol.CompletionItemKindClass,
	query.ChoiceColourway: protocol.CompletionItemKindEnum,
	query.ChoiceSize:      protocol.CompletionItemKindEnum,
	query.ChoicePath:      protocol.CompletionItemKindFile,
	query.ChoiceRule:      protocol.CompletionItemKindValue,
	query.ChoiceForm:      protocol.CompletionItemKindFunction,
	query.ChoicePlace:     protocol.CompletionItemKindConstant,
}

// chosen is what a completion item carries to be resolved.
type chosen struct {
	URI   string `json:"uri"`
	Kind  uint8  `json:"kind"`
	Label string `json:"label"`
	In    string `json:"in,omitempty"` // the file that would be used for it, as `use` has it
}

func (s *Server) completion(_ context.Context, d document, p *protocol.CompletionParams) (any, error) {
	choices := query.Complete(d.ask(), d.offset(p.Position), query.Around{
		Snippets: s.client.snippets, Rules: s.ruleNames(), Imports: s.imports(d), Paths: s.paths(d),
	})
	out := &protocol.CompletionList{Items: make([]protocol.CompletionItem, 0, len(choices))}
	for i, c := range choices {
		out.Items = append(out.Items, s.item(d, c, i))
	}
	return out, nil
}

func (s *Server) item(d document, c query.Choice, place int) protocol.CompletionItem {
	item := protocol.CompletionItem{
		Label: c.Label, Kind: choiceKinds[c.Kind],
		SortText: protocol.NewOptional(fmt.Sprintf("%05d", c.Rank*10+min(place, 9))),
		TextEdit: &protocol.TextEdit{Range: d.enc.Range(d.Text(), c.Replace), NewText: c.Insert},
		Data:     anyOf(chosen{string(d.uri), uint8(c.Kind), c.Label, c.Import}),
	}
	if c.Detail != "" {
		item.Detail = protocol.NewOptional(c.Detail)
	}
	if c.Snippet {
		item.InsertTextFormat = protocol.InsertTextFormatSnippet
	}
	if c.Likely {
		item.Preselect = protocol.NewOptional(true)
	}
	if c.Colour != "" {
		item.Documentation = protocol.String(c.Colour) // editors make a swatch of it
	}
	if c.Import != "" {
		item.Detail = protocol.NewOptional(strings.TrimSpace(c.Detail + " from " + c.Import))
		item.AdditionalTextEdits = []protocol.TextEdit{d.addUse(c.Import)}
	}
	return item
}

// addUse is the edit that brings a file in: behind the last `use`, or on top, below
// the comments there.
func (d document) addUse(path string) protocol.TextEdit {
	tree := d.Model().Tree
	at, text := 0, fmt.Sprintf("use %q\n", path)
	for _, it := range tree.Items {
		if it.Word == "use" {
			at = it.Raw.End
		}
	}
	if at == 0 {
		for _, it := range tree.Items {
			if it.Kind != syntax.Remark {
				break
			}
			at = it.Raw.End
		}
		text += "\n"
	}
	if at > 0 && d.Text().Text[at-1] != '\n' {
		text = "\n" + text
	}
	if strings.Contains(d.Text().Text, "\r\n") {
		text = strings.ReplaceAll(text, "\n", "\r\n")
	}
	pos := d.enc.Position(d.Text(), at)
	return protocol.TextEdit{Range: protocol.Range{Start: pos, End: pos}, NewText: text}
}

// ruleNames are the rules that an accept may name.
func (s *Server) ruleNames() []query.Offered {
	var out []query.Offered
	for _, r := range s.options.Rules {
		if r.AlwaysMandatory() || r.Run == nil {
			continue
		}
		out = append(out, query.Offered{Name: r.Name, Detail: r.Title})
	}
	return out
}

// imports are the fabrics of files that the document does not use yet: those
// that stand at the top of files of the workspace.
func (s *Server) imports(d document) []query.Offered {
	used := map[string]bool{d.Path: true}
	for _, p := range session.Uses(d.Model()) {
		used[p] = true
	}
	var out []query.Offered
	for path, r := range s.workspace.remembered() {
		if used[path] {
			continue
		}
		for _, x := range r.symbols {
			if x.Kind == symbolKinds[query.SymbolFabric] && x.ContainerName == nil {
				if rel, err := filepath.Rel(filepath.Dir(d.Path), path); err == nil {
					out = append(out, query.Offered{Name: x.Name, In: filepath.ToSlash(rel)})
				}
			}
		}
	}
	slices.SortFunc(out, func(a, b query.Offered) int { return strings.Compare(a.Name+a.In, b.Name+b.In) })
	return out[:min(len(out), 200)]
}

// paths are the files of the workspace, as a `use` of the document names them,
// nearest first.
func (s *Server) paths(d document) []string {
	var out []string
	for path := range s.workspace.remembered() {
		if rel, err := filepath.Rel(filepath.Dir(d.Path), path); err == nil && path != d.Path {
			out = append(out, filepath.ToSlash(rel))
		}
	}
	slices.SortFunc(out, func(a, b string) int {
		if n := strings.Count(a, "/") - strings.Count(b, "/"); n != 0 {
			return n
		}
		return strings.Compare(a, b)
	})
	return out[:min(len(out), 200)]
}

// resolveCompletion adds what there is to say of a choice: the hover of the name.
func (s *Server) resolveCompletion(_ context.Context, at *session.Snapshot, item *protocol.CompletionItem) (any, error) {
	var c chosen
	if json.Unmarshal(item.Data, &c) != nil || c.URI == "" {
		return item, nil
	}
	d, err := s.named(at, uri.URI(c.URI))
	if err == nil && c.In != "" {
		d.File, err = at.File(filepath.Join(filepath.Dir(d.Path), filepath.FromSlash(c.In)))
	}
	if err != nil {
		return item, nil
	}
	h := query.About(d.ask(), query.ChoiceKind(c.Kind), c.Label)
	switch {
	case h == nil:
	case s.client.markdownDocs:
		item.Documentation = &protocol.MarkupContent{Kind: protocol.MarkupKindMarkdown, Value: s.markdown(h, s.picture(d, h.Picture))}
	default:
		item.Documentation = protocol.String(plain(h))
	}
	return item, nil
}

func (s *Server) signatureHelp(_ context.Context, d document, p *protocol.SignatureHelpParams) (any, error) {
	sig := query.SignatureAt(d.ask(), d.offset(p.Position))
	if sig == nil {
		return nil, nil
	}
	info := protocol.SignatureInformation{Label: sig.Shape, Documentation: protocol.String(sig.Meaning)}
	zero := uint32(0)
	help := &protocol.SignatureHelp{ActiveSignature: &zero}
	if sig.Active >= 0 { // without, an editor would light the first
		for _, param := range sig.Params {
			var label protocol.ParameterInformationLabel = protocol.String(sig.Shape[param.Start:param.End])
			if s.client.labelOffsets { // up to the last part a shape is ASCII, in which every encoding counts alike
				label = protocol.ParameterInformationLabelTuple{uint32(param.Start), uint32(param.End)}
			}
			info.Parameters = append(info.Parameters, protocol.ParameterInformation{Label: label})
		}
		help.ActiveParameter = protocol.NewNullable(uint32(sig.Active))
	}
	help.Signatures = []protocol.SignatureInformation{info}
	return help, nil
}
