package lsp

import (
	"cmp"
	"path/filepath"
	"slices"
	"strings"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"sewable/lang/edit"
	"sewable/lang/files"
	"sewable/lang/source"
	"sewable/lsp/session"
)

// workspaceEdit gathers edits to several files: versioned, so that an editor
// refuses those made for another text, and annotated where it is only a guess.
type workspaceEdit struct {
	s         *Server
	at        *session.Snapshot
	files     []*fileEdit
	created   []protocol.DocumentChange
	annotated *protocol.ChangeAnnotation
	cursor    bool // the line of the one edit ends where the editor is to put its cursor
}

type fileEdit struct {
	uri     uri.URI
	version *int32
	edits   []protocol.TextEdit
}

func (s *Server) newEdit(at *session.Snapshot) *workspaceEdit { return &workspaceEdit{s: s, at: at} }

// guess annotates the edit as a guess. It needs no confirmation: its title said so
// when it was chosen, and it can be undone.
func (w *workspaceEdit) guess(label, why string) {
	w.annotated = &protocol.ChangeAnnotation{Label: label, Description: &why}
}

// add adds edits to the file at a path.
func (w *workspaceEdit) add(path string, edits ...protocol.TextEdit) {
	u := uriOf(w.at, path)
	for _, f := range w.files {
		if f.uri == u {
			f.edits = append(f.edits, edits...)
			return
		}
	}
	f := &fileEdit{uri: u, edits: edits}
	if d := w.at.Document(path); d != nil {
		f.version = &d.Version
	}
	w.files = append(w.files, f)
}

// addEdits adds edits of package edit.
func (w *workspaceEdit) addEdits(path string, text *source.File, edits []edit.Edit) {
	for _, e := range edits {
		w.add(path, protocol.TextEdit{Range: w.s.encoding.Range(text, e.At), NewText: e.New})
	}
}

// create makes a new file with a text.
func (w *workspaceEdit) create(path, text string) {
	u := uri.File(path)
	w.created = append(w.created, &protocol.CreateFile{
		ResourceOperation: protocol.ResourceOperation{Kind: "create"}, Kind: "create", URI: u,
	}, &protocol.TextDocumentEdit{
		TextDocument: protocol.OptionalVersionedTextDocumentIdentifier{TextDocumentIdentifier: protocol.TextDocumentIdentifier{URI: u}},
		Edits:        []protocol.TextDocumentEditElement{&protocol.TextEdit{NewText: text}},
	})
}

const annotation protocol.ChangeAnnotationIdentifier = "guess"

// inOrder puts edits in the order that the protocol asks for where several begin at
// one place: what is put in comes before what is taken out.
func inOrder(edits []protocol.TextEdit) {
	compare := func(a, b protocol.Position) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Character, b.Character))
	}
	slices.SortStableFunc(edits, func(a, b protocol.TextEdit) int {
		return cmp.Or(compare(a.Range.Start, b.Range.Start), compare(a.Range.End, b.Range.End))
	})
}

// done is the edit as the editor can read it.
func (w *workspaceEdit) done() *protocol.WorkspaceEdit {
	for _, f := range w.files {
		inOrder(f.edits)
	}
	if !w.s.client.documentChanges {
		changes := map[uri.URI][]protocol.TextEdit{}
		for _, f := range w.files {
			changes[f.uri] = f.edits
		}
		return &protocol.WorkspaceEdit{Changes: changes}
	}
	out := &protocol.WorkspaceEdit{DocumentChanges: w.created}
	marked := w.annotated != nil && w.s.client.annotations
	if marked {
		out.ChangeAnnotations = map[protocol.ChangeAnnotationIdentifier]protocol.ChangeAnnotation{annotation: *w.annotated}
	}
	for _, f := range w.files {
		change := &protocol.TextDocumentEdit{TextDocument: protocol.OptionalVersionedTextDocumentIdentifier{
			TextDocumentIdentifier: protocol.TextDocumentIdentifier{URI: f.uri}, Version: f.version,
		}}
		for _, e := range f.edits {
			if w.cursor && w.s.client.snippetEdits {
				text := strings.TrimRight(e.NewText, "\r\n")
				snippet := snippetText.Replace(text) + " $0" + e.NewText[len(text):]
				change.Edits = append(change.Edits, &protocol.SnippetTextEdit{
					Range: e.Range, Snippet: protocol.StringValue{Kind: "snippet", Value: snippet},
				})
			} else if marked {
				change.Edits = append(change.Edits, &protocol.AnnotatedTextEdit{TextEdit: e, AnnotationID: annotation})
			} else {
				change.Edits = append(change.Edits, &protocol.TextEdit{Range: e.Range, NewText: e.NewText})
			}
		}
		out.DocumentChanges = append(out.DocumentChanges, change)
	}
	return out
}

// snippetText keeps text from being read as a snippet's places.
var snippetText = strings.NewReplacer(`\`, `\\`, "$", `\$`, "}", `\}`)

// absolute is the path by which the session knows a file that is named for people.
func absolute(path string) string { return files.Absolute(filepath.FromSlash(path)) }
