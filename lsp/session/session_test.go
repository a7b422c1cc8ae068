package session_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"strings"
	"testing"
	"weak"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sewable/lang/memo"
	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lint/linttest"
	"sewable/lint/rules"
	"sewable/lsp/session"
)

// two opens two documents that use one palette.
func two(t *testing.T) (s *session.Session, a, b string) {
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, ".git"), 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(dir, linttest.PaletteName), []byte(linttest.Palette), 0o644))
	s = session.New(rules.All)
	for i, path := range []string{filepath.Join(dir, "a.block"), filepath.Join(dir, "b.block")} {
		s.Open(&session.Document{Path: path, Text: source.New(path, linttest.GenerateBlock(uint64(i), 20))})
	}
	return s, filepath.Join(dir, "a.block"), filepath.Join(dir, "b.block")
}

func edit(s *session.Session, path string, n int) {
	s.Change(path, int32(n), func(f *source.File) string { return f.Text + fmt.Sprintf("// %d\n", n%10) })
}

// A snapshot never changes: what was taken before an edit gives what it gave.
func TestSnapshotsDoNotChange(t *testing.T) {
	s, a, _ := two(t)
	before := s.Snapshot()
	text := before.Document(a).Text.Text
	edit(s, a, 1)
	assert.Equal(t, text, before.Document(a).Text.Text)
	assert.Equal(t, text, before.Open(a).Model().Source.Text)
	assert.NotEqual(t, text, s.Snapshot().Document(a).Text.Text)
}

// An edit of one document leaves the File of another as it is; an edit of what it
// uses does not.
func TestFilesStay(t *testing.T) {
	s, a, b := two(t)
	was := s.Snapshot().Open(b)
	was.Model()
	edit(s, a, 1)
	assert.Same(t, was, s.Snapshot().Open(b))
	palette := filepath.Join(filepath.Dir(a), linttest.PaletteName)
	s.Open(&session.Document{Path: palette, Text: source.New(palette, linttest.Palette+"fabric new\n")})
	assert.NotSame(t, was, s.Snapshot().Open(b))
	was = s.Snapshot().Open(b)
	was.Model()
	s.Close(palette)
	assert.NotSame(t, was, s.Snapshot().Open(b))

	dyes := filepath.Join(filepath.Dir(a), "dyes.block") // further off
	require.NoError(t, os.WriteFile(dyes, []byte("fabric woad\n"), 0o644))
	s.Open(&session.Document{Path: palette, Text: source.New(palette, "use \"dyes.block\"\n"+linttest.Palette)})
	was = s.Snapshot().Open(b)
	was.Model()
	assert.Same(t, was, s.Disk([]string{filepath.Join(filepath.Dir(a), "other.block")}).Open(b))
	assert.NotSame(t, was, s.Disk([]string{dyes}).Open(b))
}

// The tokens of lines are those of the text, whatever was there before.
func TestLexAfterEdits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lines := rapid.SliceOfN(rapid.SampledFrom([]string{"", "\n", "fabric sky\n", "  patch 1 sky (0, 0)\n", "// so\n", "\r\n", "x"}), 0, 5)
		s, path := session.New(nil), filepath.Join(os.TempDir(), "a.block")
		s.Open(&session.Document{Path: path, Text: source.New(path, "")})
		var texts []string
		for version := range rapid.IntRange(2, 12).Draw(t, "edits") {
			text := strings.Join(lines.Draw(t, "lines"), "")
			if len(texts) > 0 { // much of it is as it was
				was := rapid.SampledFrom(texts).Draw(t, "was")
				from := rapid.IntRange(0, len(was)).Draw(t, "from")
				to := rapid.IntRange(from, len(was)).Draw(t, "to")
				text = was[:from] + text + was[to:]
			}
			texts = append(texts, text)
			at, _ := s.Change(path, int32(version+2), func(*source.File) string { return text })
			if want, got := syntax.Lines(text), at.Open(path).Lex(); !reflect.DeepEqual(want, got) {
				t.Fatalf("%q after %q: %v, not %v", text, texts, got, want)
			}
		}
	})
}

// What an edit leaves behind is forgotten: of many texts, by turns in two documents,
// no early one is held.
func TestNothingIsHeld(t *testing.T) {
	s, a, b := two(t)
	var early []weak.Pointer[session.File]
	for i := range 40 {
		path := []string{a, b}[i%2]
		edit(s, path, i)
		f := s.Snapshot().Open(path)
		_, _, err := f.Findings(context.Background())
		require.NoError(t, err)
		f.Lex()
		if i < 20 {
			early = append(early, weak.Make(f))
		}
	}
	runtime.GC()
	runtime.GC()
	for i, p := range early {
		assert.Nil(t, p.Value(), "the file after edit %d is still held", i)
	}
}

// What is remembered does not grow with the edits, each of another text, once the
// memory of statements is full: 300 bytes held for each edit would be found.
func TestMemoryDoesNotGrow(t *testing.T) {
	s, a, _ := two(t)
	text := linttest.GenerateSections(3, 12, 3)
	s.Open(&session.Document{Path: a, Text: source.New(a, text)})
	at := strings.Index(text, "patch 2 ")
	end := strings.Index(text[at:], "\n") + at
	n := 0
	inUse := func(edits int) int {
		for range edits {
			n++
			s.Change(a, int32(n), func(*source.File) string { return text[:end] + fmt.Sprintf(" note \"%d\"", n) + text[end:] })
			f := s.Snapshot().Open(a)
			_, _, err := f.Findings(context.Background())
			require.NoError(t, err)
			f.Lex()
			memo.Of(&f.Facts, n, func() []byte { return make([]byte, 1000) })
		}
		runtime.GC()
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		runtime.KeepAlive(s)
		return int(m.HeapAlloc)
	}
	before := inUse(5000)
	after := inUse(5000)
	t.Logf("%d kB in use after 5,000 edits, %d kB after 10,000", before>>10, after>>10)
	assert.Less(t, after-before, 5000*300, "bytes more after 5,000 edits more")
}

// One edit reads one statement anew, and builds and divides one section: the others
// are the ones from before.
func TestOneSection(t *testing.T) {
	s, a, _ := two(t)
	text := linttest.GenerateSections(2, 60, 5)
	s.Open(&session.Document{Path: a, Text: source.New(a, text)})
	before := s.Snapshot().Open(a)
	_, _, err := before.Findings(context.Background())
	require.NoError(t, err)
	old := before.Sewing(before.Model().Blocks[0])

	at := strings.Index(text, "patch 2 ") // in the first section
	edited := strings.Index(text[at:], "\n") + at
	s.Change(a, 2, func(f *source.File) string { return f.Text[:edited] + " note \"x\"" + f.Text[edited:] })
	after := s.Snapshot().Open(a)
	now := after.Sewing(after.Model().Blocks[0])
	require.Greater(t, len(now.Sections), 2)
	read := 0
	for i, sec := range now.Sections {
		assert.Same(t, old.Sections[i].Division(), sec.Division(), "the shapes of %s are the same", sec.Of.Name)
		for k, it := range sec.Of.Item.Body {
			if it.Node != old.Sections[i].Of.Item.Body[k].Node {
				read++
			}
		}
	}
	assert.Equal(t, 1, read, "statements read anew")

	// A corner moves: the division of that section alone is another.
	corner := strings.Index(text[at:], "(") + at + 1
	s.Change(a, 3, func(f *source.File) string { return f.Text[:corner] + "1/64 + " + f.Text[corner:] })
	moved := s.Snapshot().Open(a)
	last := moved.Sewing(moved.Model().Blocks[0])
	for i, sec := range last.Sections {
		if i == 0 {
			assert.NotSame(t, now.Sections[i].Division(), sec.Division())
		} else {
			assert.Same(t, now.Sections[i].Division(), sec.Division(), sec.Of.Name)
		}
	}
}
