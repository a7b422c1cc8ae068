package lsp

import (
	"context"
	"slices"
	"strconv"
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

// encode writes the tokens of a span as the protocol does: five numbers each, places relative
// to the token before.
func (d document) encode(in source.Span) []uint32 {
	data := make([]uint32, 0, in.Len()) // a token takes five letters, more or less
	var last protocol.Position
	place := d.enc.Walk(d.Text())
	for t := range query.Tokens(d.ask(), in) {
		at, end := place(t.At.Start), place(t.At.End)
		delta := at.Character
		if at.Line == last.Line {
			delta -= last.Character
		}
		modifiers := uint32(0)
		if t.Declares {
			modifiers = 1
		}
		data = append(data, at.Line-last.Line, delta, end.Character-at.Character, typeIndex[t.Kind], modifiers)
		last = at
	}
	return data
}

// tokenMemory remembers the tokens sent last for each document, so that the next
// answer can be the difference.
type tokenMemory struct {
	mu   sync.Mutex
	last map[string]sentTokens
	id   atomic.Int64
}

type sentTokens struct {
	id   string
	data []uint32
}

// remember notes what is sent, and gives what was sent before.
func (m *tokenMemory) remember(path string, data []uint32) (before sentTokens, id string) {
	id = strconv.FormatInt(m.id.Add(1), 10)
	m.mu.Lock()
	defer m.mu.Unlock()
	before = m.last[path]
	if m.last == nil {
		m.last = map[string]sentTokens{}
	}
	m.last[path] = sentTokens{id, data}
	return before, id
}

func (m *tokenMemory) forget(path string) {
	m.mu.Lock()
	defer m.mu.Unlock()
	delete(m.last, path)
}

func (d document) whole() source.Span { return source.Span{Start: 0, End: len(d.Text().Text)} }

func (s *Server) tokensFull(_ context.Context, d document, _ *protocol.SemanticTokensParams) (any, error) {
	data := d.encode(d.whole())
	_, id := s.tokens.remember(d.Path, data)
	return writeTokens(id, data), nil
}

// writeTokens writes protocol.SemanticTokens. They are the longest answer there is, nearly
// all of it numbers of one digit.
func writeTokens(id string, data []uint32) wire.Written {
	out := make([]byte, 0, 3*len(data)+len(id)+32)
	out = append(out, `{"resultId":"`...)
	out = append(out, id...)
	out = append(out, `","data":[`...)
	for i, n := range data {
		if i > 0 {
			out = append(out, ',')
		}
		if n < 10 {
			out = append(out, '0'+byte(n))
		} else {
			out = strconv.AppendUint(out, uint64(n), 10)
		}
	}
	return append(out, "]}"...)
}

func (s *Server) tokensRange(_ context.Context, d document, p *protocol.SemanticTokensRangeParams) (any, error) {
	at := d.enc.Span(d.Text(), p.Range)
	at.Start = d.Text().EditorLine(int(p.Range.Start.Line)).Start // never in the middle of a word
	at.End = max(at.End, d.Text().EditorLine(int(p.Range.End.Line)).End)
	return &protocol.SemanticTokens{Data: d.encode(at)}, nil
}

func (s *Server) tokensDelta(_ context.Context, d document, p *protocol.SemanticTokensDeltaParams) (any, error) {
	data := d.encode(d.whole())
	before, id := s.tokens.remember(d.Path, data)
	if before.id != p.PreviousResultID || before.id == "" {
		return writeTokens(id, data), nil
	}
	return &protocol.SemanticTokensDelta{ResultID: &id, Edits: difference(before.data, data)}, nil
}

// difference is the one edit that makes b of a: what lies between their common
// beginning and their common end, in whole tokens.
func difference(a, b []uint32) []protocol.SemanticTokensEdit {
	start := 0
	for start < len(a) && start < len(b) && a[start] == b[start] {
		start++
	}
	start -= start % 5
	end := 0
	for end < len(a)-start && end < len(b)-start && a[len(a)-1-end] == b[len(b)-1-end] {
		end++
	}
	end -= end % 5
	if start == len(a) && start == len(b) {
		return []protocol.SemanticTokensEdit{}
	}
	return []protocol.SemanticTokensEdit{{
		Start: uint32(start), DeleteCount: uint32(len(a) - end - start), Data: b[start : len(b)-end],
	}}
}
