package lsp

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"go.lsp.dev/protocol"

	"sewable/lang/memo"
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

// sentTokens is the file whose tokens were sent last: the next ones are worked out of them, and the
// answer can be the difference.
type sentTokens string

// sendTokens gives the tokens of a document under a new name, and those that were sent before; nil
// where nothing is remembered.
func (s *Server) sendTokens(d document) (before, now *encoded) {
	memo.In[sentTokens, *encoded](d.Memory()).Replace(sentTokens(d.Path), func(last *encoded) *encoded {
		before, now = last, d.encode(last)
		now.id = strconv.FormatInt(s.tokensSent.Add(1), 10)
		return now
	})
	return before, now
}

func (s *Server) tokensFull(_ context.Context, d document, _ *protocol.SemanticTokensParams) (any, error) {
	_, now := s.sendTokens(d)
	return now.text.tokens(now.id), nil
}

func (s *Server) tokensDelta(_ context.Context, d document, p *protocol.SemanticTokensDeltaParams) (any, error) {
	before, now := s.sendTokens(d)
	if before == nil || before.id != p.PreviousResultID {
		return now.text.tokens(now.id), nil
	}
	return now.text.since(before.text, now.id), nil
}

func (s *Server) tokensRange(_ context.Context, d document, p *protocol.SemanticTokensRangeParams) (any, error) {
	at, f := d.enc.Span(d.Text(), p.Range), d.ask()
	w := tokenWriter{of: f, place: d.enc.Walk(d.Text()), names: query.Names(f)}
	w.write(d.Text().Line(at.Start)-1, d.Text().Line(at.End)) // never in the middle of a word
	return wire.Append(func(dst []byte) []byte { return append(tokenText(w.text).list(append(dst, `{"data":`...)), '}') }), nil
}
