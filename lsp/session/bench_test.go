package session_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sewable/lang/source"
	"sewable/lint/linttest"
	"sewable/lint/rules"
	"sewable/lsp/session"
)

// large is a block of 2,000 lines that is open; edit changes the fabric of a patch in its
// middle, and back by turns. With longer, the other name has more letters, and what
// follows it moves.
func large(b *testing.B, longer string) (path string, edit func() *session.Snapshot) {
	dir := b.TempDir()
	require.NoError(b, os.Mkdir(filepath.Join(dir, ".git"), 0o755))
	require.NoError(b, os.WriteFile(filepath.Join(dir, linttest.PaletteName), []byte(linttest.Palette), 0o644))
	text := "// accept off-page: large\n// accept near-miss: large\n// accept same-fabric-seam: large\n// accept unmarked-join: large\n\n" +
		linttest.GenerateSections(7, 1500, 180)
	path = filepath.Join(dir, "large.block")
	s := session.New(rules.All)
	s.Open(&session.Document{Path: path, Text: source.New(path, text)})
	at := len(text)/2 + strings.Index(text[len(text)/2:], "patch 3 ") + len("patch 3 ")
	fabric, _, _ := strings.Cut(text[at:], " ")
	version := int32(0)
	return path, func() *session.Snapshot {
		version++
		name := fabric
		if version%2 == 1 {
			name = strings.Repeat("x", len(fabric)) + longer
		}
		next, _ := s.Change(path, version, func(f *source.File) string {
			_, rest, _ := strings.Cut(f.Text[at:], " ")
			return f.Text[:at] + name + " " + rest
		})
		return next
	}
}

// One edit of one line, as far as its text, its model, and its findings; and the model when
// half the lines move.
func BenchmarkEdit(b *testing.B) {
	for _, stage := range []struct {
		name string
		more string
		do   func(*session.File)
	}{
		{"text", "", func(*session.File) {}},
		{"model", "", func(f *session.File) { f.Model() }},
		{"sewing", "", func(f *session.File) { f.Sewing(f.Model().Blocks[0]) }},
		{"moved", "x", func(f *session.File) { f.Model() }},
		{"findings", "", func(f *session.File) { _, _, _ = f.Findings(b.Context()) }},
	} {
		b.Run(stage.name, func(b *testing.B) {
			path, edit := large(b, stage.more)
			_, _, _ = edit().Open(path).Findings(b.Context())
			b.ReportAllocs()
			for b.Loop() {
				stage.do(edit().Open(path))
			}
		})
	}
}

// A document that is opened, and nothing known of it before: as far as its findings.
func BenchmarkOpen(b *testing.B) {
	path, edit := large(b, "")
	text := edit().Document(path).Text.Text
	b.ReportAllocs()
	for b.Loop() {
		s := session.New(rules.All)
		at := s.Open(&session.Document{Path: path, Text: source.New(path, text)})
		_, _, _ = at.Open(path).Findings(b.Context())
	}
}
