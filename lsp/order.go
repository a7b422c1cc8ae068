package lsp

import (
	"context"

	"go.lsp.dev/protocol"

	"sewable/lang/query"
)

// The order of sewing is a call hierarchy: a patch "calls" the patches it waits
// for, and is "called" by those that wait for it.

func (s *Server) prepareOrder(_ context.Context, d document, p *protocol.CallHierarchyPrepareParams) (any, error) {
	step, ok := query.StepAt(d.ask(), d.offset(p.Position))
	if !ok {
		return nil, nil
	}
	return []protocol.CallHierarchyItem{d.step(step)}, nil
}

func (d document) step(x query.Step) protocol.CallHierarchyItem {
	return protocol.CallHierarchyItem{
		Name: x.Label, Detail: &x.Detail, Kind: protocol.SymbolKindField, URI: d.uri,
		Range: d.enc.Range(d.Text(), x.At), SelectionRange: d.enc.Range(d.Text(), x.Name),
	}
}

func (s *Server) waitsFor(_ context.Context, d document, p *protocol.CallHierarchyOutgoingCallsParams) (any, error) {
	out := []protocol.CallHierarchyOutgoingCall{}
	for _, x := range query.WaitsFor(d.ask(), d.offset(p.Item.SelectionRange.Start)) {
		out = append(out, protocol.CallHierarchyOutgoingCall{To: d.step(x), FromRanges: []protocol.Range{p.Item.SelectionRange}})
	}
	return out, nil
}

func (s *Server) waitFor(_ context.Context, d document, p *protocol.CallHierarchyIncomingCallsParams) (any, error) {
	out := []protocol.CallHierarchyIncomingCall{}
	for _, x := range query.WaitFor(d.ask(), d.offset(p.Item.SelectionRange.Start)) {
		item := d.step(x)
		out = append(out, protocol.CallHierarchyIncomingCall{From: item, FromRanges: []protocol.Range{item.SelectionRange}})
	}
	return out, nil
}
