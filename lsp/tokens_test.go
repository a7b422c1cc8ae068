package lsp

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"go.lsp.dev/protocol"
	"pgregory.net/rapid"

	"sewable/lang/source"
	"sewable/lsp/convert"
	"sewable/lsp/session"
)

// The edit that is sent makes the new tokens of the old ones, done as the protocol says it is
// done (specification, "Semantic Tokens"): numbers deleted and put in the list of numbers.
func TestTokensSince(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		lines := rapid.SliceOf(rapid.SampledFrom([]string{"0,1,2,3,0,\n", "1,0,2,3,0,\n", "11,0,2,3,1,\n", "1,10,2,3,0,\n"}))
		old := tokenText(strings.Join(lines.Draw(r, "old"), ""))
		now := tokenText(strings.Join(lines.Draw(r, "now"), ""))
		var before, after protocol.SemanticTokens
		var change protocol.SemanticTokensDelta
		assert.NoError(r, json.Unmarshal(old.tokens("1")(nil), &before))
		assert.NoError(r, json.Unmarshal(now.tokens("2")(nil), &after))
		assert.NoError(r, json.Unmarshal(now.since(old, "2")(nil), &change))
		got := before.Data
		for _, e := range change.Edits {
			assert.Zero(r, e.Start%5, "whole tokens")
			got = slices.Concat(got[:e.Start], e.Data, got[e.Start+e.DeleteCount:])
		}
		assert.True(r, slices.Equal(after.Data, got), "%v, not %v", got, after.Data)
		if old == now {
			assert.Empty(r, change.Edits)
		}
	})
}

// Tokens that are worked out of those of the text before are those of a fresh text: lines come
// and go, a name that other lines use is declared or not, and a carriage return alone parts lines.
func TestTokensAfterAnEdit(t *testing.T) {
	lines := rapid.SampledFrom([]string{
		"fabric sky", "fabric sea #0af", "", "", "}", "}", "// accept near-miss: a gull 🐟 flew by", "block \"Spray\" 4 by 4 {", "allowance 1/4",
		"section A {", "patch 1 sky (0, 0) (4, 0) (4, 4) (0, 4)", "  patch 2 sea beyond (0, 0) (4, 4)", "}", "point p = (1, 1)", "\"é\" sky\rsea",
	})
	rapid.Check(t, func(r *rapid.T) {
		path := filepath.Join(os.TempDir(), "a.block")
		s := session.New(nil)
		text := rapid.SliceOf(lines).Draw(r, "text")
		at := s.Open(&session.Document{Path: path, Text: source.New(path, strings.Join(text, "\n"))})
		var before *encoded
		for i := range 20 {
			d := document{File: at.Open(path), at: at, enc: convert.UTF16}
			now := d.encode(before)
			fresh := d.encode(nil)
			assert.Equal(r, fresh.text, now.text)
			assert.Equal(r, fresh.lines, now.lines)
			if rapid.Bool().Draw(r, "asked") {
				before = now
			}
			from := rapid.IntRange(0, len(text)).Draw(r, "from")
			to := min(len(text), from+rapid.IntRange(0, 2).Draw(r, "lines"))
			text = slices.Concat(text[:from], rapid.SliceOfN(lines, 0, 2).Draw(r, "new"), text[to:])
			at, _ = s.Change(path, int32(i), func(*source.File) string { return strings.Join(text, "\n") })
		}
	})
}
