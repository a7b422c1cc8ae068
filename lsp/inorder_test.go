package lsp

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"go.lsp.dev/protocol"
)

// Where something is put in and something taken out at one place, the first comes first; what is put
// in at one place stays in its order.
func TestInOrder(t *testing.T) {
	at := func(line, from, to uint32, text string) protocol.TextEdit {
		return protocol.TextEdit{NewText: text, Range: protocol.Range{
			Start: protocol.Position{Line: line, Character: from}, End: protocol.Position{Line: line, Character: to},
		}}
	}
	edits := []protocol.TextEdit{at(2, 0, 0, "last"), at(1, 4, 9, "gone"), at(1, 4, 4, "first"), at(1, 4, 4, "second"), at(0, 8, 8, "top")}
	inOrder(edits)
	var texts []string
	for _, e := range edits {
		texts = append(texts, e.NewText)
	}
	assert.Equal(t, []string{"top", "first", "second", "gone", "last"}, texts)
}
