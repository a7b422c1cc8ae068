package convert_test

import (
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"
	"pgregory.net/rapid"

	"sewable/lang/source"
	"sewable/lsp/convert"
)

// A place that is converted and back is itself, in either encoding; counting on gives
// what counting from the start gives; no place is outside.
func TestThereAndBack(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		text := rapid.StringOf(rapid.SampledFrom([]rune("a2½é漢🌊\n\r "))).Draw(r, "text")
		f := source.New("a.block", text)
		for _, e := range []convert.Encoding{convert.UTF8, convert.UTF16} {
			walk := e.Walk(f)
			for at := range text {
				p := e.Position(f, at)
				if got := walk(at); got != p {
					r.Fatalf("offset %d: walked to %v, not %v", at, got, p)
				}
				// A line break belongs to no line: a place in it is the end of its line.
				if back := e.Offset(f, p); back != at && text[at] != '\n' && text[at] != '\r' {
					r.Fatalf("offset %d went to %v and came back as %d", at, p, back)
				}
			}
			p := protocol.Position{Line: rapid.Uint32().Draw(r, "line"), Character: rapid.Uint32().Draw(r, "character")}
			if at := e.Offset(f, p); at < 0 || at > len(text) || at < len(text) && !utf8.RuneStart(text[at]) {
				r.Fatalf("%v went to %d", p, at)
			}
		}
	})
}

func TestPaths(t *testing.T) {
	for _, path := range []string{"/a/b.block", "/mit Leer/ü 🌊.block", "/100%/a#b?.block"} {
		assert.Equal(t, path, convert.Path(convert.URI(path), ""))
	}
	assert.Equal(t, "/a:b.block", convert.Path(uri.URI("file:///a%3Ab.block"), ""))
	assert.Equal(t, "/quilts/untitled:Untitled-1", convert.Path(uri.URI("untitled:Untitled-1"), "/quilts"))
}
