package lsp

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io/fs"
	"path/filepath"
	"strings"
	"sync"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"sewable/lang/memo"
	"sewable/lint"
	"sewable/lsp/convert"
	"sewable/lsp/session"
	"sewable/lsp/wire"
)

// document is a file as one request sees it.
type document struct {
	*session.File
	at  *session.Snapshot
	uri uri.URI // as the editor names it
	enc convert.Encoding
}

// named is the document that an editor names, as it was at a moment.
func (s *Server) named(at *session.Snapshot, u uri.URI) (document, error) {
	f, err := at.File(s.path(u))
	return document{File: f, at: at, uri: u, enc: s.encoding}, err
}

// life is how long a request lives, and what ends it early.
type life struct {
	ctx context.Context
	end context.CancelCauseFunc
}

// handler prepares a request in its turn.
type handler func(s *Server, l life, params []byte) wire.Work

// decode reads parameters. JSON that cannot be read is told from JSON that
// does not say what the method needs.
func decode[P any](params []byte) (*P, error) {
	p := new(P)
	if len(bytes.TrimSpace(params)) == 0 {
		params = []byte("{}")
	}
	if err := protocol.Unmarshal(params, p); err != nil {
		if !json.Valid(params) {
			return nil, jsonrpc2.NewError(jsonrpc2.ParseError, "the parameters are no JSON")
		}
		return nil, jsonrpc2.NewError(jsonrpc2.InvalidParams, err.Error())
	}
	return p, nil
}

// general is a request that is about no one document.
func general[P any](do func(s *Server, ctx context.Context, at *session.Snapshot, p *P) (any, error)) handler {
	return func(s *Server, _ life, params []byte) wire.Work {
		at := s.session.Snapshot()
		p, err := decode[P](params)
		return func(ctx context.Context) (any, error) {
			if err != nil {
				return nil, err
			}
			return do(s, ctx, at, p)
		}
	}
}

// about is a request about a document. With strict, an answer for a text that has
// changed meanwhile is of no use: the edit ends the request with "content modified".
func about[P any](strict bool, of func(*P) uri.URI, do func(s *Server, ctx context.Context, d document, p *P) (any, error)) handler {
	return func(s *Server, l life, params []byte) wire.Work {
		at := s.session.Snapshot()
		p, err := decode[P](params)
		var path string
		if err == nil && of(p) == "" {
			err = jsonrpc2.NewError(jsonrpc2.InvalidParams, "the parameters name no document")
		}
		if err == nil {
			path = s.path(of(p))
			if strict {
				s.fresh.watch(l, path)
			}
		}
		return func(ctx context.Context) (any, error) {
			if err != nil {
				return nil, err
			}
			if !isBlock(at, path) {
				if nothing, ok := nothingFor(p); ok {
					return nothing, nil
				}
			}
			f, err := at.File(path)
			if errors.Is(err, fs.ErrNotExist) {
				return nil, jsonrpc2.NewError(jsonrpc2.InvalidParams, "there is no file "+path)
			}
			if err != nil {
				return nil, err
			}
			if ctx.Err() != nil {
				return nil, context.Cause(ctx)
			}
			answer, err := do(s, ctx, document{File: f, at: at, uri: of(p), enc: s.encoding}, p)
			if err == nil && ctx.Err() != nil {
				err = context.Cause(ctx)
			}
			return answer, err
		}
	}
}

// isBlock reports whether a path is a block file's: by its name, or because the editor says so of
// a document. Of what else an editor asks about, such as settings, nothing can be said but
// what is wrong with it.
func isBlock(at *session.Snapshot, path string) bool {
	return filepath.Ext(path) == lint.Extension || at.Document(path) != nil
}

// nothingFor is the answer to a request about a file that is no block file.
func nothingFor(params any) (answer any, ok bool) {
	switch params.(type) {
	case *protocol.DocumentDiagnosticParams:
		return nil, false
	case *protocol.DocumentColorParams:
		return []protocol.ColorInformation{}, true
	case *protocol.ColorPresentationParams:
		return []protocol.ColorPresentation{}, true
	}
	return nil, true
}

// kept is for a request whose answer is a matter of the document alone: it is worked
// out and written once for each text.
func kept[P any](do func(s *Server, ctx context.Context, d document, p *P) (any, error)) func(*Server, context.Context, document, *P) (any, error) {
	type key struct {
		params any // by their type, the request
		uri    string
	}
	return func(s *Server, ctx context.Context, d document, p *P) (any, error) {
		return memo.Try(&d.Facts, key{(*P)(nil), strings.Clone(string(d.uri))}, func() (any, error) {
			answer, err := do(s, ctx, d, p)
			if err != nil {
				return nil, err
			}
			return wire.Write(answer)
		})
	}
}

// freshness ends requests whose document changes. For each document there is a
// context that ends with its next change.
type freshness struct {
	mu    sync.Mutex
	until map[string]generation
}

type generation struct {
	ctx context.Context
	end context.CancelCauseFunc
}

// watch ends a request when the document changes.
func (f *freshness) watch(l life, path string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	g, ok := f.until[path]
	if !ok {
		g.ctx, g.end = context.WithCancelCause(context.Background())
		if f.until == nil {
			f.until = map[string]generation{}
		}
		f.until[path] = g
	}
	forget := context.AfterFunc(g.ctx, func() { l.end(context.Cause(g.ctx)) })
	context.AfterFunc(l.ctx, func() { forget() })
}

// changed ends what is at work on a document.
func (f *freshness) changed(path string) {
	f.mu.Lock()
	g, ok := f.until[path]
	delete(f.until, path)
	f.mu.Unlock()
	if ok {
		g.end(wire.ErrContentModified)
	}
}

// path is the path by which the session knows a document.
func (s *Server) path(u uri.URI) string { return convert.Path(u, s.workspace.first()) }

// notification is a notification with parameters.
func notification[P any](do func(s *Server, p *P)) func(s *Server, params []byte) error {
	return func(s *Server, params []byte) error {
		p, err := decode[P](params)
		if err == nil {
			do(s, p)
		}
		return err
	}
}
