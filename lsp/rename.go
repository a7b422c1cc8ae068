package lsp

import (
	"context"
	"path/filepath"
	"strings"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"sewable/lang/edit"
	"sewable/lang/query"
	"sewable/lang/source"
	"sewable/lsp/convert"
	"sewable/lsp/session"
)

func (s *Server) prepareRename(_ context.Context, d document, p *protocol.PrepareRenameParams) (any, error) {
	r, err := query.PrepareRename(d.ask(), d.offset(p.Position))
	if err != nil {
		return nil, refused(err)
	}
	return &protocol.PrepareRenamePlaceholder{Range: d.enc.Range(d.Text(), r.At), Placeholder: r.Name}, nil
}

// refused is an error that the editor shows as it is.
func refused(err error) error {
	return jsonrpc2.NewError(jsonrpc2.Code(protocol.LSPErrorCodesRequestFailed), err.Error())
}

// rename renames in every file that draws from the one with the declaration. It
// refuses a name that one of them has already.
func (s *Server) rename(ctx context.Context, d document, p *protocol.RenameParams) (any, error) {
	r, err := query.PrepareRename(d.ask(), d.offset(p.Position))
	if err != nil {
		return nil, refused(err)
	}
	w := s.newEdit(d.at)
	if r.Notch != nil {
		if err := query.CheckName(0, p.NewName); err != nil {
			return nil, refused(err)
		}
		w.addEdits(d.Path, d.Text(), query.Rename(d.Model(), r, p.NewName))
		return w.done(), nil
	}
	if err := query.CheckName(r.Named.Kind, p.NewName); err != nil {
		return nil, refused(err)
	}
	if query.IsShared(r.Named) {
		s.workspace.settled(ctx)
	}
	for _, path := range s.filesWith(ctx, d, r.Named) {
		if ctx.Err() != nil {
			return nil, context.Cause(ctx)
		}
		f, err := d.at.File(path)
		if err != nil {
			continue
		}
		other := document{File: f, at: d.at, enc: d.enc}
		if err := query.CheckClash(other.ask(), r, p.NewName); err != nil {
			return nil, refused(err)
		}
		edits := query.Rename(f.Model(), r, p.NewName)
		if len(edits) > 0 {
			w.addEdits(path, f.Text(), edits)
		}
	}
	return w.done(), nil
}

// moves are the files and folders that an editor moves.
type moves map[string]string

func movesOf(p *protocol.RenameFilesParams) moves {
	m := moves{}
	for _, f := range p.Files {
		m[convert.Path(uri.URI(f.OldURI), "")] = convert.Path(uri.URI(f.NewURI), "")
	}
	return m
}

// of is where a file will be, itself or with a folder above it.
func (m moves) of(path string) string {
	for at := path; ; at = filepath.Dir(at) {
		if to, ok := m[at]; ok {
			return filepath.Join(to, path[len(at):])
		}
		if at == filepath.Dir(at) {
			return path
		}
	}
}

// willRenameFiles keeps `use` statements true when block files move, alone or with their folder.
func (s *Server) willRenameFiles(ctx context.Context, at *session.Snapshot, p *protocol.RenameFilesParams) (any, error) {
	s.workspace.settled(ctx)
	w := s.newEdit(at)
	moved := movesOf(p)
	files := map[string]bool{}
	for from := range moved {
		for _, path := range s.workspace.around(ctx, at, from) {
			files[path] = true
		}
	}
	for path := range s.workspace.remembered() {
		files[path] = true
	}
	for _, doc := range at.Documents() {
		files[doc.Path] = true
	}
	for path := range files {
		if ctx.Err() != nil {
			return nil, context.Cause(ctx)
		}
		s.moveUses(w, path, moved)
	}
	if len(w.files) == 0 {
		return nil, nil
	}
	return w.done(), nil
}

// moveUses rewrites the `use` statements of one file for where files go.
func (s *Server) moveUses(w *workspaceEdit, path string, moved moves) {
	f, err := w.at.File(path)
	if err != nil {
		return
	}
	var edits []edit.Edit
	to := moved.of(path)
	for _, u := range f.Model().Uses {
		if u.File == nil {
			continue
		}
		from := absolute(u.File.Source.Path)
		target := moved.of(from)
		if to == path && target == from {
			continue
		}
		rel, err := filepath.Rel(filepath.Dir(to), target)
		if err != nil || filepath.ToSlash(rel) == u.Path || filepath.Clean(filepath.FromSlash(u.Path)) == rel {
			continue
		}
		inner := source.Span{Start: u.At.Start + 1, End: u.At.End - 1}
		edits = append(edits, edit.Edit{At: inner, New: strings.ReplaceAll(filepath.ToSlash(rel), `"`, `\"`)})
	}
	if len(edits) > 0 {
		w.addEdits(path, f.Text(), edits)
	}
}
