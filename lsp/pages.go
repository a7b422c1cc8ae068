package lsp

import (
	"context"
	"path"
	"strings"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"

	"sewable/lint/docs"
	"sewable/lsp/session"
)

// page is a page that the server makes: that of a rule.
func (s *Server) page(_ context.Context, _ *session.Snapshot, p *protocol.TextDocumentContentParams) (any, error) {
	name := strings.TrimSuffix(path.Base(p.URI.Path()), ".md")
	for _, r := range s.options.Rules {
		if r.Name == name && p.URI.Scheme() == pageScheme {
			return &protocol.TextDocumentContentResult{Text: docs.Rule(r)}, nil
		}
	}
	return nil, jsonrpc2.Errorf(jsonrpc2.InvalidParams, "there is no page %s", p.URI)
}
