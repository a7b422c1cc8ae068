package cache

import (
	"bytes"
	"context"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/files"
	"sewable/lint"
	"sewable/lint/linttest"
	"sewable/lint/rules"
)

// repository is a folder of blocks of all kinds: finished, broken, generated. Its files look old.
func repository(t *testing.T) {
	t.Helper()
	top, err := filepath.Abs("../../testdata")
	require.NoError(t, err)
	dir := t.TempDir()
	t.Chdir(dir)
	require.NoError(t, os.Mkdir(".git", 0o755))
	for _, name := range []string{"harbour", "broken"} {
		require.NoError(t, os.CopyFS(name, os.DirFS(filepath.Join(top, name))))
	}
	write(t, "drift/"+linttest.PaletteName, linttest.Palette)
	for seed := range uint64(12) {
		write(t, fmt.Sprintf("drift/%d.block", seed), linttest.GenerateBlock(seed, 20))
	}
	require.NoError(t, filepath.WalkDir(".", func(path string, _ fs.DirEntry, err error) error {
		return age(path)
	}))
}

// age makes a file look as if it had been written an hour ago.
func age(path string) error {
	then := time.Now().Add(-time.Hour)
	return os.Chtimes(path, then, then)
}

func write(t *testing.T, path, text string) {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
}

func options() lint.Options { return lint.Options{Rules: rules.All, Config: lint.NewConfig(rules.All)} }

func allFiles(t *testing.T, o lint.Options) []string {
	t.Helper()
	paths, err := lint.FindFiles([]string{"."}, o.Config)
	require.NoError(t, err)
	return paths
}

// plain is what a run without a cache finds.
func plain(t *testing.T) *lint.Result {
	t.Helper()
	o := options()
	r, err := lint.Run(t.Context(), allFiles(t, o), o)
	require.NoError(t, err)
	for i := range r.Findings {
		r.Findings[i].Spots = nil
		if len(r.Findings[i].Related) == 0 {
			r.Findings[i].Related = nil
		}
	}
	return r
}

// later is a cache for which some time has gone by, so that every stamp can be trusted.
func later(t *testing.T, dir string) *Cache {
	t.Helper()
	c, err := Open(dir)
	require.NoError(t, err)
	c.now = func() time.Time { return time.Now().Add(time.Minute) }
	return c
}

// check holds a run with the cache against one without and gives the files that were looked at anew.
func check(t *testing.T, c *Cache) (anew []string) {
	t.Helper()
	want := plain(t)
	o := options()
	paths := allFiles(t, o)
	r, err := c.start(paths, o)
	require.NoError(t, err)
	require.NoError(t, lint.Each(t.Context(), len(paths), r.options, r.look))
	got := lint.Gather(r.answers, o)
	for i := range got.Findings {
		got.Findings[i].Spots = nil
	}
	require.NoError(t, c.keep(r))
	require.Equal(t, want, got)
	for i, path := range paths {
		if old := r.pack.entries[path]; r.made[i].entry == nil || r.made[i].entry.body == "" && len(r.answers[i].Findings) > 0 || old == nil {
			anew = append(anew, path)
		}
	}
	return anew
}

func TestSameWithAndWithout(t *testing.T) {
	repository(t)
	c := later(t, t.TempDir())
	all := allFiles(t, options())
	assert.Len(t, check(t, c), len(all), "the first time")
	assert.Empty(t, check(t, c), "the second time")
	result, err := c.Run(t.Context(), all, options())
	require.NoError(t, err)
	certain := 0
	for _, f := range result.Findings {
		for _, x := range f.Fixes {
			if x.Certain {
				certain++
			}
		}
	}
	assert.Positive(t, certain, "fixes are kept")
}

// Everything that a finding follows from is noticed when it changes.
func TestWhatChangedIsLookedAt(t *testing.T) {
	const block = "drift/1.block"
	for name, c := range map[string]struct {
		change func(t *testing.T)
		anew   string // a file that has to be among them; empty for none at all
		unread string // a file that is refused
	}{
		"a text": {func(t *testing.T) { write(t, block, "bloc\n") }, block, ""},
		"a text of the same length, with its time set back": {func(t *testing.T) {
			text, err := os.ReadFile(block)
			require.NoError(t, err)
			write(t, block, strings.Replace(string(text), "block", "blokk", 1))
			require.NoError(t, age(block))
		}, block, ""},
		"another time alone":       {func(t *testing.T) { require.NoError(t, os.Chtimes(block, time.Unix(1, 0), time.Unix(1, 0))) }, "", ""},
		"a used file":              {func(t *testing.T) { write(t, "drift/palette.block", "fabric sand\n") }, block, ""},
		"a used file that is gone": {func(t *testing.T) { require.NoError(t, os.Remove("drift/palette.block")) }, block, ""},
		"a used file is a folder now": {func(t *testing.T) {
			require.NoError(t, os.Remove("drift/palette.block"))
			require.NoError(t, os.Mkdir("drift/palette.block", 0o755))
		}, block, ""},
		"a used file is a link out of the repository now": {func(t *testing.T) {
			out := filepath.Join(t.TempDir(), "palette.block")
			require.NoError(t, os.Rename("drift/palette.block", out))
			require.NoError(t, os.Symlink(out, "drift/palette.block"))
		}, block, "drift/palette.block"},
		"settings come":           {func(t *testing.T) { write(t, "drift/sewable.toml", "[levels]\nsmall-patch = \"error\"\n") }, block, ""},
		"settings for all":        {func(t *testing.T) { write(t, "sewable.toml", "[limits]\nseam = \"2 in\"\n") }, "harbour/boats.block", ""},
		"a repository of its own": {func(t *testing.T) { require.NoError(t, os.Mkdir("drift/.git", 0o755)) }, "", ""},
	} {
		t.Run(name, func(t *testing.T) {
			repository(t)
			kept := later(t, t.TempDir())
			check(t, kept)
			require.Empty(t, check(t, kept))
			c.change(t)
			anew := check(t, kept)
			if c.anew == "" {
				assert.Empty(t, anew)
			} else if c.anew == block {
				assert.Contains(t, anew, block)
				assert.NotContains(t, anew, "broken/gap.block", "and nothing else")
			} else {
				assert.NotEmpty(t, anew)
			}
			if c.unread == "" {
				assert.Empty(t, check(t, kept), "and then known")
			} else {
				assert.Equal(t, []string{c.unread}, check(t, kept), "nothing is kept of what is not read")
			}
		})
	}
}

// A use that led nowhere leads somewhere once there is a file; uses in a circle are followed all round.
func TestUsesThatWereNotFollowed(t *testing.T) {
	t.Chdir(t.TempDir())
	write(t, ".git/HEAD", "")
	write(t, "a.block", "use \"b.block\"\nuse \"none.block\"\nuse \"../out.block\"\nfabric sky\n")
	write(t, "b.block", "use \"c.block\"\n")
	write(t, "c.block", "use \"a.block\"\n")
	c := later(t, t.TempDir())
	check(t, c)
	assert.Empty(t, check(t, c))
	write(t, "none.block", "fabric sea\n")
	assert.Contains(t, check(t, c), "a.block")
	write(t, "c.block", "fabric foam\n")
	assert.Contains(t, check(t, c), "a.block", "the circle is broken")
	assert.Empty(t, check(t, c))
}

// Random edits, with the clock standing: a run with the cache never finds anything else than one without.
func TestRandomEdits(t *testing.T) {
	repository(t)
	dir := t.TempDir()
	c, err := Open(dir)
	require.NoError(t, err)
	random := rand.New(rand.NewPCG(1, 2))
	paths := allFiles(t, options())
	texts := map[string]string{}
	for _, path := range paths {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		texts[path] = string(text)
	}
	for range 25 {
		check(t, c)
		for range 3 {
			path := paths[random.IntN(len(paths))]
			switch random.IntN(5) {
			case 0:
				os.Remove(path)
			case 1:
				write(t, path, texts[path])
			case 2:
				write(t, path, texts[paths[random.IntN(len(paths))]])
			case 3:
				write(t, path, strings.Replace(texts[path], "1", "2", 1+random.IntN(3)))
			case 4:
				write(t, "drift/sewable.toml", []string{"", "exclude = [\"3.block\"]\n", "[levels]\nsmall-patch = \"off\"\n"}[random.IntN(3)])
			}
		}
	}
}

// A pack that is cut short or changed anywhere is none, and is made anew.
func TestRubbishIsRebuilt(t *testing.T) {
	repository(t)
	dir := t.TempDir()
	c := later(t, dir)
	all := check(t, c)
	packs, err := filepath.Glob(filepath.Join(dir, "*"+packed))
	require.NoError(t, err)
	require.Len(t, packs, 1)
	good, err := os.ReadFile(packs[0])
	require.NoError(t, err)
	flipped := func(at int) []byte {
		b := bytes.Clone(good)
		b[at] ^= 0x10
		return b
	}
	for name, data := range map[string][]byte{
		"empty": {}, "cut short": good[:len(good)/2], "without its end": good[:len(good)-1], "rubbish": bytes.Repeat([]byte("gull "), 1000),
		"a bit at the front": flipped(3), "a bit in the middle": flipped(len(good) / 2), "a bit at the end": flipped(len(good) - 1), "the magic alone": []byte(magic),
		"something behind": append(bytes.Clone(good), 0),
	} {
		t.Run(name, func(t *testing.T) {
			require.NoError(t, os.WriteFile(packs[0], data, 0o644))
			assert.Len(t, check(t, c), len(all))
			now, err := os.ReadFile(packs[0])
			require.NoError(t, err)
			_, ok := decode(now)
			assert.True(t, ok, "it is whole again")
		})
	}
}

// Whatever bytes a pack holds, even under a right check sum, reading them ends well.
func FuzzDecode(f *testing.F) {
	w := newEncoder()
	w.add(&entry{path: "a.block", day: 3, blocks: 1}, []link{{}}, []lint.Finding{{
		Line: "patch 1", Statement: "patch 1", Rule: "gap", Message: "It gapes.", Related: []lint.Related{{Message: "here"}},
		Fixes: []lint.Fix{{Title: "Add it", Edits: []lint.Edit{{New: "x"}}}},
	}})
	data := w.encode(sum{}, stamp{})
	f.Add(data[len(magic) : len(data)-32])
	f.Fuzz(func(t *testing.T, body []byte) {
		p, ok := decode(seal(body))
		if !ok {
			return
		}
		for _, e := range p.entries {
			e.answer()
		}
	})
}

// Two runs at once on one folder: both find what there is, what is left is whole, and it knows
// what either has found.
func TestTwoRunsAtOnce(t *testing.T) {
	repository(t)
	dir := t.TempDir()
	want := plain(t)
	all := allFiles(t, options())
	var runs sync.WaitGroup
	for i := range 8 {
		runs.Go(func() {
			c := later(t, dir)
			paths := all
			if i%2 == 1 {
				paths = slices.DeleteFunc(slices.Clone(all), func(p string) bool { return !strings.HasPrefix(p, "drift") })
			}
			for range 4 {
				got, err := c.Run(context.Background(), paths, options())
				if assert.NoError(t, err) && i%2 == 0 {
					assert.Equal(t, len(want.Findings), len(got.Findings))
				}
			}
		})
	}
	runs.Wait()
	assert.Empty(t, check(t, later(t, dir)))
	left, err := filepath.Glob(filepath.Join(dir, files.Temporary+"*"))
	require.NoError(t, err)
	assert.Empty(t, left)
}

// Runs over different files keep what the others found, until it is of no use for long.
func TestEntriesAreKeptAWhile(t *testing.T) {
	repository(t)
	dir := t.TempDir()
	c := later(t, dir)
	check(t, c)
	run := func() {
		write(t, "drift/1.block", time.Now().String())
		_, err := c.Run(t.Context(), []string{"drift/1.block"}, options())
		require.NoError(t, err)
	}
	run()
	assert.Empty(t, check(t, c))
	c.now = func() time.Time { return time.Now().Add((maxDays + 2) * 24 * time.Hour) }
	run()
	assert.Greater(t, len(check(t, c)), 10)
}

func TestTrim(t *testing.T) {
	dir := t.TempDir()
	c, err := Open(dir)
	require.NoError(t, err)
	for name, days := range map[string]int{"new.pack": 0, "old.pack": maxDays + 1, "notes.txt": 1000} {
		path := filepath.Join(dir, name)
		write(t, path, "x")
		then := time.Now().AddDate(0, 0, -days)
		require.NoError(t, os.Chtimes(path, then, then))
	}
	c.trim(filepath.Join(dir, "mine.pack"))
	left, err := filepath.Glob(filepath.Join(dir, "*"))
	require.NoError(t, err)
	for i := range left {
		left[i] = filepath.Base(left[i])
	}
	assert.Equal(t, []string{"new.pack", "notes.txt"}, left)
}

func TestFolderThatCannotBeWritten(t *testing.T) {
	dir := t.TempDir()
	write(t, filepath.Join(dir, "file"), "")
	_, err := Open(filepath.Join(dir, "file"))
	assert.EqualError(t, err, "the cache cannot be written: "+filepath.Join(dir, "file")+": it is not a folder")
	if os.Geteuid() == 0 {
		// Root may write anywhere but where the system says no.
		if exec.Command("mount").Run() == nil {
			_, err = Open("/proc/self/cache")
			assert.ErrorContains(t, err, "the cache cannot be written: /proc/self/cache: ")
		}
		return
	}
	require.NoError(t, os.Chmod(dir, 0o555))
	_, err = Open(dir)
	assert.EqualError(t, err, "the cache cannot be written: "+dir+": permission denied")
}
