package lsp

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"

	"go.lsp.dev/protocol"

	"sewable/lang/query"
	"sewable/lang/source"
	"sewable/lsp/wire"
)

// tokenTypes gives each kind of token the standard type that themes colour.
var tokenTypes = [...]protocol.SemanticTokenTypes{
	query.TokenKeyword:   protocol.SemanticTokenTypesKeyword,
	query.TokenNumber:    protocol.SemanticTokenTypesNumber,
	query.TokenString:    protocol.SemanticTokenTypesString,
	query.TokenComment:   protocol.SemanticTokenTypesComment,
	query.TokenOperator:  protocol.SemanticTokenTypesOperator,
	query.TokenColour:    protocol.SemanticTokenTypesNumber,
	query.TokenFabric:    protocol.SemanticTokenTypesEnumMember,
	query.TokenLet:       protocol.SemanticTokenTypesVariable,
	query.TokenPoint:     protocol.SemanticTokenTypesProperty,
	query.TokenSeam:      protocol.SemanticTokenTypesFunction,
	query.TokenSection:   protocol.SemanticTokenTypesClass,
	query.TokenColourway: protocol.SemanticTokenTypesEnum,
	query.TokenNotch:     protocol.SemanticTokenTypesLabel,
	query.TokenName:      protocol.SemanticTokenTypesVariable,
	query.TokenAccept:    protocol.SemanticTokenTypesDecorator,
}

// legend lists the types once each, and the one modifier.
func legend() protocol.SemanticTokensLegend {
	return protocol.SemanticTokensLegend{
		TokenTypes: typeNames, TokenModifiers: []string{string(protocol.SemanticTokenModifiersDeclaration)},
	}
}

var typeNames, typeIndex = func() (names []string, index [len(tokenTypes)]uint32) {
	for kind, t := range tokenTypes {
		i := slices.Index(names, string(t))
		if i < 0 {
			i = len(names)
			names = append(names, string(t))
		}
		index[kind] = uint32(i)
	}
	return names, index
}()

// tokenText is tokens as an answer has them: five numbers each, places relative to the token
// before, and a line to each, so that what two texts share is found as in any text. It is
// the longest thing that is answered, and so it is written once and not as numbers first.
type tokenText string

// numbers is how many numbers the text has.
func (t tokenText) numbers() int { return 5 * strings.Count(string(t), "\n") }

// list is the text as a list of numbers.
func (t tokenText) list(dst []byte) []byte {
	dst = append(dst, '[')
	dst = append(dst, strings.TrimSuffix(string(t), ",\n")...)
	return append(dst, ']')
}

// tokens is protocol.SemanticTokens.
func (t tokenText) tokens(id string) wire.Append {
	return func(dst []byte) []byte {
		dst = fmt.Appendf(dst, `{"resultId":"%s","data":`, id)
		return append(t.list(dst), '}')
	}
}

// since is protocol.SemanticTokensDelta: the one edit that makes t of another text, which
// is what lies between their common beginning and their common end, in whole tokens.
func (t tokenText) since(before tokenText, id string) wire.Append {
	head, tail := source.Common(string(before), string(t))
	head = strings.LastIndexByte(string(t[:head]), '\n') + 1
	rest := t[len(t)-tail:]
	tail = len(rest) - strings.IndexByte(string(rest), '\n') - 1
	start, old, now := t[:head].numbers(), before[head:len(before)-tail], t[head:len(t)-tail]
	return func(dst []byte) []byte {
		dst = fmt.Appendf(dst, `{"resultId":"%s","edits":[`, id)
		if old != now {
			dst = fmt.Appendf(dst, `{"start":%d,"deleteCount":%d,"data":`, start, old.numbers())
			dst = append(now.list(dst), '}')
		}
		return append(dst, "]}"...)
	}
}

// tokenMemory remembers the tokens worked out last for each document, so that the next
// ones are worked out of them, and the answer can be the difference.
type tokenMemory struct {
	mu   sync.Mutex
	last map[string]sentTokens
	id   atomic.Int64
}

type sentTokens struct {
	id string
	*encoded
}

func (m *tokenMemory) of(path string) sentTokens {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.last[path]
}

// remember notes what is sent, and gives its name.
func (m *tokenMemory) remember(path string, sent *encoded) (id string) {
	id = strconv.FormatInt(m.id.Add(1), 10)
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.last == nil {
		m.last = map[string]sentTokens{}
	}
	m.last[path] = sentTokens{id, sent}
	return id
}

func (m *tokenMemory) forget(path string) {
	m.mu.Lock()
	defer m.mu.Unlock()
	delete(m.last, path)
}

func (s *Server) tokensFull(_ context.Context, d document, _ *protocol.SemanticTokensParams) (any, error) {
	now := d.encode(s.tokens.of(d.Path).encoded)
	return now.text.tokens(s.tokens.remember(d.Path, now)), nil
}

func (s *Server) tokensDelta(_ context.Context, d document, p *protocol.SemanticTokensDeltaParams) (any, error) {
	before := s.tokens.of(d.Path)
	now := d.encode(before.encoded)
	id := s.tokens.remember(d.Path, now)
	if before.id != p.PreviousResultID || before.id == "" {
		return now.text.tokens(id), nil
	}
	return now.text.since(before.text, id), nil
}

func (s *Server) tokensRange(_ context.Context, d document, p *protocol.SemanticTokensRangeParams) (any, error) {
	at, f := d.enc.Span(d.Text(), p.Range), d.ask()
	w := tokenWriter{of: f, place: d.enc.Walk(d.Text()), names: query.Names(f)}
	w.write(d.Text().Line(at.Start)-1, d.Text().Line(at.End)) // never in the middle of a word
	return wire.Append(func(dst []byte) []byte { return append(tokenText(w.text).list(append(dst, `{"data":`...)), '}') }), nil
}
