package lsp

import (
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"go.lsp.dev/protocol"

	"sewable/lang/source"
	"sewable/lsp/convert"
	"sewable/lsp/session"
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

// The edits of lines make the one text of the other, done from the last to the first, and touch no line that both have.
func TestLineEdits(t *testing.T) {
	for _, x := range []struct {
		old, new string
		edits    int
	}{
		{"A\nB\nb\n", "A\nb\n", 1}, {"A\nb\n", "A\nB\nb\n", 1}, {"A\nB\nb\n", "a\nB\nc\n", 2}, {"A\nB\nb\n", "A\nB\nb\n", 0},
		{"A\nB\nb\n", "B\nA\nb\n", 2}, {"A\nB\nb", "A\nB\nb\n", 1}, {"", "A\n", 1}, {"A\nB\nb\n", "", 1},
	} {
		path := filepath.Join(t.TempDir(), "a.block")
		s := session.New(nil)
		at := s.Open(&session.Document{Path: path, Text: source.New(path, x.old)})
		d := document{File: at.Open(path), at: at, enc: convert.UTF16}
		edits := d.lineEdits(source.Span{Start: 0, End: len(x.old)}, x.old, x.new)
		assert.Len(t, edits, x.edits, "%q to %q: %v", x.old, x.new, edits)
		now := x.old
		for _, e := range slices.Backward(edits) {
			span := d.enc.Span(d.Text(), e.Range)
			now = now[:span.Start] + e.NewText + now[span.End:]
		}
		assert.Equal(t, x.new, now)
	}
}
