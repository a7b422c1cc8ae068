package block

import (
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sewable/lang/memo"
	"sewable/lang/source"
	"sewable/lang/syntax"
)

const mole = `use "palette.block"
let h = w + 1
let w = 1
fabric plum "Plum"
block "Mole" 6 by 6 {
  fabric stone
  let k = h * 2
  point lamp = (k, 2)
  seam ridge from (0, 3) to (6, 3)
  section A "Wall" {
    note "a wall"
    patch 2 stone beyond ridge cut h by 7
    outline (0, 0) (6, 0) (6, 4) (0, 4)
    patch 1 sky around (1, w) // of sky

    notch top lamp
  }
  section B {
    patch 1 plum (0, 4) (6, 4) (6, 5) (0, 5) note "dark"
    patch 2 sky (0, 5) (6, 5) (6, h + 4) (0, 6) cut strip k
  }
  section C = A mirrored across (0, 0) lamp with stone = plum
  join A to B
}
`

// models are those of texts that follow each other: the last with what is remembered of those
// before it, and as a fresh reading gives it.
func models(dir string, texts []string) (after, alone *File) {
	reader, m := syntax.NewEditorReader(), memo.New()
	l := NewLoader(reader, nil).Within(dir)
	for _, text := range texts {
		f := source.New(filepath.ToSlash(filepath.Join(dir, "a.block")), text)
		m.Turn()
		after = l.BuildIn(m, reader.ParseIn(m, f))
		alone = l.Build(syntax.Parse(f))
	}
	after.Memo = nil
	return after, alone
}

// sameModels holds two models to each other, to the last place.
func sameModels(t require.TestingT, want, got *File, texts []string) {
	require.Equal(t, want.Problems, got.Problems)
	refs, others := want.References(), got.References()
	require.Len(t, others, len(refs))
	for i, r := range refs {
		require.Equal(t, r.At, others[i].At)
		require.Equal(t, r.To.At, others[i].To.At)
		require.Equal(t, want.Used(r.To), got.Used(others[i].To))
	}
	want.Facts, got.Facts = memo.Facts{}, memo.Facts{} // they hold names by their addresses
	if !reflect.DeepEqual(want, got) {
		require.FailNow(t, "the model is another one after\n"+strings.Join(texts, "----\n"))
	}
}

func folder(t testing.TB) string {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "palette.block"), []byte("fabric sky\nlet inch = 1\n"), 0o644))
	return dir
}

// The model after any edits is the one that Build makes, to the last place.
func TestModelAfterEdits(t *testing.T) {
	dir := folder(t)
	lines := strings.SplitAfter(mole, "\n")
	others := append([]string{"", "\n", "}\n", "// so\n", "fabric sky\n", "fabric stone\n", "let w = 2\n", "let w = w\n", "units mm\n", "  point lamp = (3, 2)\n",
		"    patch 3 nowhere (0, 0) (1, 0) (0, 1)\n", "    patch 2 nowhere beyond ridge\n", "    patch 2 sky beyond ridge cut nothing by 2\n",
		"  seam ridge from (0, 2) to (6, 2)\n", "    notch top (1, 1)\n", "  section B {\n", "  section C = A moved (1, 0)\n", "  section C = B mirrored across (0, 0) lamp\n", "  section D = C moved (1, 0)\n", "    note \"wet\"\n", "  join A to\n"}, lines...)
	rapid.Check(t, func(t *rapid.T) {
		now := lines
		texts := []string{mole}
		for range rapid.IntRange(1, 6).Draw(t, "edits") {
			i := rapid.IntRange(0, len(now)).Draw(t, "line")
			gone := min(len(now), i+rapid.IntRange(0, 1).Draw(t, "gone"))
			now = slices.Concat(now[:i], []string{rapid.SampledFrom(others).Draw(t, "come")}, now[gone:])
			texts = append(texts, strings.Join(now, ""))
			if rapid.IntRange(0, 2).Draw(t, "back") == 0 {
				now, texts = lines, append(texts, mole)
			}
		}
		after, alone := models(dir, texts)
		sameModels(t, alone, after, texts)
	})
}

// What an edit leaves alone is taken over wherever it has gone; its shapes are the same
// in memory, and the text they were first read in is not kept for them.
func TestShapesAreTakenOver(t *testing.T) {
	dir := folder(t)
	loader := NewLoader(syntax.NewEditorReader(), nil).Within(dir)
	text := mole
	m := memo.New()
	read := func() *File {
		return loader.BuildIn(m, loader.reader.ParseIn(m, source.New(filepath.Join(dir, "a.block"), text)))
	}
	f := read()
	gone := make(chan bool)
	runtime.SetFinalizer(f.Source, func(*source.File) { close(gone) })
	shapes := func() (out []*Shape) {
		for _, s := range f.Blocks[0].Sections {
			for _, p := range s.Patches {
				out = append(out, p.Shape)
			}
		}
		return out
	}
	first := shapes()
	for _, edit := range []struct{ old, new string }{
		{"\"Plum\"", "\"A plum\""}, {"    outline", "\toutline"}, {"join A to B", "join B to A"}, {" // of sky", ""}, {"let w", "\nlet w"},
	} {
		require.Contains(t, text, edit.old)
		text = strings.Replace(text, edit.old, edit.new, 1)
		f = read()
		for i, s := range shapes() {
			assert.Same(t, first[i], s, "after %q, shape %d", edit.new, i)
		}
	}
	for range 10 {
		runtime.GC()
		select {
		case <-gone:
			runtime.KeepAlive(f)
			return
		default:
			runtime.Gosched()
		}
	}
	t.Error("the first text is still held")
}
