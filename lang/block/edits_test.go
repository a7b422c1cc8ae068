package block

import (
	"os"
	"path/filepath"
	"reflect"
	"regexp"
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
		"  seam ridge from (0, 2) to (6, 2)\n", "    notch top (1, 1)\n", "  section B {\n", "  section C = A moved (1, 0)\n", "  section C = B mirrored across (0, 0) lamp\n", "  section E beyond ridge {\n", "  section E beyond ridge, (w, 0) (w, 6) {\n", "  section E {\n", "    patch 1 sky around (1, 5)\n", "  section C beyond ridge = A mirrored across ridge\n", "  section E = A of \"Other\" moved (w, 0) with sky = plum\n", "block \"Other\" 6 by 6 {\n", "  section E = Wall of \"Mole\" moved (0, 0)\n", "  section C \"Other\" = B scaled h about lamp moved (w, 0)\n", "  section C = A turned 90 about lamp scaled 1/2 about (w, 0)\n", "  section D = C moved (1, 0)\n", "    note \"wet\"\n", "  join A to\n"}, lines...)
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

// The same over all forms of statement, wherever they may be typed, with names that change what they mean, copies that
// move, and a used file that changes or goes.
func TestModelAfterAnyEdits(t *testing.T) {
	lines := strings.SplitAfter(strings.Replace(mole, "}\n", "}\ncolourway dusk \"Dusk\" {\n  plum = sky\n}\n", 1)+"setting \"Field\" {\n  grid 1 by 2\n  fill \"Mole\"\n}\n", "\n")
	var forms []string
	for _, form := range syntax.Statements() {
		text := strings.NewReplacer("…", "S").Replace(form.Shape) + "\n"
		if form.Body != 0 {
			text += "}\n"
		}
		forms = append(forms, text)
	}
	names := []string{"h", "w", "k", "lamp", "ridge", "sky", "stone", "plum", "A", "B", "C", "inch", "Mole", "dusk", "nowhere"}
	numbers := []string{"0", "1", "2", "3", "1/2", "1 / 0", "90", "w"}
	palettes := []string{"fabric sky\nlet inch = 1\n", "fabric sky \"Sky\" #aabbcc\nlet inch = 2\n", "fabric skye\n", "fabric sky\nuse \"dyes.block\"\n", "fabric sky\nlet \n", ""}
	dyes := []string{"fabric nowhere\n", "let k = 3\nfabric stone\n", "use \"palette.block\"\n"}
	word, number := regexp.MustCompile(`\b[A-Za-z]+\b`), regexp.MustCompile(`\b\d+\b`)
	rapid.Check(t, func(t *rapid.T) {
		now := slices.Clone(lines)
		files := map[string]string{"/palette.block": palettes[0], "/dyes.block": dyes[0]}
		reader, m := syntax.NewEditorReader(), memo.New()
		read := func(path string) (string, error) {
			if text := files[path]; text != "" {
				return text, nil
			}
			return "", os.ErrNotExist
		}
		l := NewLoader(reader, read).Within("/")
		var texts []string
		var undo [][]string
		replace := func(at *regexp.Regexp, by []string) {
			i := rapid.IntRange(0, len(now)-1).Draw(t, "line")
			if found := at.FindAllStringIndex(now[i], -1); len(found) > 0 {
				w := rapid.SampledFrom(found).Draw(t, "where")
				now[i] = now[i][:w[0]] + rapid.SampledFrom(by).Draw(t, "by") + now[i][w[1]:]
			}
		}
		for range rapid.IntRange(2, 12).Draw(t, "edits") {
			undo = append(undo, slices.Clone(now))
			switch rapid.IntRange(0, 7).Draw(t, "edit") {
			case 0, 1:
				replace(word, names)
			case 2:
				replace(number, numbers)
			case 3:
				i := rapid.IntRange(0, len(now)).Draw(t, "line")
				now = slices.Insert(now, i, rapid.SampledFrom(slices.Concat(forms, lines)).Draw(t, "form"))
			case 4:
				i := rapid.IntRange(0, len(now)-1).Draw(t, "line")
				now = slices.Delete(now, i, i+1)
			case 5, 6:
				now = rapid.SampledFrom(undo).Draw(t, "undo")
				now = slices.Clone(now)
			default:
				path, all := "/palette.block", palettes
				if rapid.Bool().Draw(t, "further off") {
					path, all = "/dyes.block", dyes
				}
				files[path] = rapid.SampledFrom(all).Draw(t, "text")
				l = l.Fork(read, func(p string) bool { return p == path })
			}
			if len(now) == 0 {
				now = slices.Clone(lines)
			}
			f := source.New("/a.block", strings.Join(now, ""))
			texts = append(texts, f.Text+"used: "+files["/palette.block"]+files["/dyes.block"])
			m.Turn()
			after := l.BuildIn(m, reader.ParseIn(m, f))
			after.Memo, after.loader = nil, nil
			fresh := NewLoader(syntax.NewReader(), read).Within("/").Build(syntax.Parse(f))
			fresh.loader = nil
			for _, u := range slices.Concat(after.Uses, fresh.Uses) {
				if u.File != nil {
					forget(u.File)
				}
			}
			sameModels(t, fresh, after, texts)
			l = l.Fork(read, func(p string) bool { return p == "/a.block" })
		}
	})
}

// forget takes from a model what has to do with its making.
func forget(f *File) {
	f.loader, f.Facts = nil, memo.Facts{}
	for _, u := range f.Uses {
		if u.File != nil {
			forget(u.File)
		}
	}
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
