package files

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// tree makes files in a new folder, in which the test stands; a text "-> x" makes a link, "/" a folder.
func tree(t *testing.T, files map[string]string) string {
	t.Helper()
	dir, err := filepath.EvalSymlinks(t.TempDir())
	require.NoError(t, err)
	for name, text := range files {
		path := filepath.Join(dir, filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		if to, is := strings.CutPrefix(text, "-> "); is {
			require.NoError(t, os.Symlink(strings.ReplaceAll(to, "DIR", dir), path))
		} else if text == "/" {
			require.NoError(t, os.MkdirAll(path, 0o755))
		} else {
			require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
		}
	}
	t.Chdir(dir)
	return dir
}

// repository is a repository beside which there are a secret and another repository.
func repository(t *testing.T) string {
	return tree(t, map[string]string{
		"secret":               "hunter2",
		"elsewhere/.git":       "/",
		"elsewhere/own.block":  "theirs",
		"r/.git":               "/",
		"r/a.block":            "a",
		"r/sub/b.block":        "b",
		"r/up.block":           "-> sub/b.block",
		"r/sub/down.block":     "-> ../a.block",
		"r/absolute.block":     "-> DIR/r/sub/b.block",
		"r/chain1.block":       "-> chain2.block",
		"r/chain2.block":       "-> sub/down.block",
		"r/out.block":          "-> ../secret",
		"r/outabs.block":       "-> DIR/secret",
		"r/outchain.block":     "-> out.block",
		"r/env.block":          "-> /proc/self/environ",
		"r/zero.block":         "-> /dev/zero",
		"r/gone.block":         "-> nowhere.block",
		"r/goneout.block":      "-> ../nowhere.block",
		"r/loop.block":         "-> loop.block",
		"r/folder":             "-> ../elsewhere",
		"r/inner":              "-> sub",
		"r/dir.block":          "-> sub",
		"linked":               "-> r",
		"linkedsub":            "-> r/sub",
		"hers/hers.block":      "-> ../secret",
		"r/module/.git":        "gitdir: ../.git/modules/module", // as in a worktree or a submodule
		"r/module/m.block":     "m",
		"r/module/outer.block": "-> ../a.block",
		"r/.git/config":        "token", // in which checkouts keep credentials
		"r/config.block":       "-> .git/config",
		"r/other/config.block": "-> ../inside",
		"r/inside":             "-> DIR/r/.git/config",
		"r/gits":               "-> .git",
		"r/module/own.block":   "-> .git",
		"m/sewable.toml":       "", // a root without git
		"m/in.block":           "-> sub/x.block",
		"m/sub/x.block":        "x",
		"m/sub/out.block":      "-> ../../secret",
	})
}

const outside = "it is a link that leads out of the repository. To read it, name the file it leads to"

func TestWhatIsRead(t *testing.T) {
	for path, want := range map[string]string{ // a text, or ! and the reason
		"r/a.block":             "a",
		"r/up.block":            "b",
		"r/sub/down.block":      "a",
		"r/absolute.block":      "b",
		"r/chain1.block":        "a",
		"r/inner/b.block":       "b",
		"r/module/m.block":      "m",
		"linked/a.block":        "a", // a repository that is reached through a link
		"linked/absolute.block": "b",
		"linkedsub/b.block":     "b",
		"linkedsub/down.block":  "a", // still inside the repository in which it really is
		"r/out.block":           "!" + outside,
		"r/outabs.block":        "!" + outside,
		"r/outchain.block":      "!" + outside,
		"r/env.block":           "!" + outside,
		"r/zero.block":          "!" + outside,
		"r/goneout.block":       "!" + outside,
		"r/folder/own.block":    "!" + outside,
		"linked/out.block":      "!" + outside,
		"r/module/outer.block":  "!" + outside, // a submodule is a repository of its own
		"r/config.block":        "!" + outside,
		"r/other/config.block":  "!" + outside,
		"r/gits/config":         "!" + outside,
		"r/module/own.block":    "!" + outside,
		"m/in.block":            "x",
		"m/sub/out.block":       "!" + outside,
		"r/gone.block":          "!no such file or directory",
		"r/loop.block":          "!too many links",
		"r/dir.block":           "!it is not a file",
		"r/sub":                 "!it is not a file",
	} {
		for who, gate := range map[string]func() *Gate{
			"a walk":   func() *Gate { return new(Gate) },
			"a person": func() *Gate { g := new(Gate); g.typed = map[string]bool{Absolute(path): true}; return g },
		} {
			t.Run(path+" named by "+who, func(t *testing.T) {
				repository(t)
				g := gate()
				if who == "a person" {
					g.typed = map[string]bool{Absolute(path): true}
				}
				text, err := g.Block(path)
				reason, refused := strings.CutPrefix(want, "!")
				switch {
				case !refused:
					require.NoError(t, err)
					assert.Equal(t, want, text)
				case who == "a person" && (path == "r/sub" || path == "r/dir.block"):
					assert.EqualError(t, err, path+": it is a folder")
				case who == "a person" && path == "r/goneout.block":
					assert.Error(t, err)
				default:
					assert.EqualError(t, err, path+": "+reason)
				}
				assert.Equal(t, refused, text == "")
			})
		}
	}
}

// What git keeps is not in the repository for what a file names, in whatever case it is written; a person may name it.
func TestGitsOwnFiles(t *testing.T) {
	repository(t)
	for _, path := range []string{"r/.git/config", "r/.GIT/config", "r/Git~1/config", "r/sub/.git"} {
		_, err := new(Gate).Block(path)
		assert.Error(t, err, path)
		assert.False(t, new(Gate).Stays(path), path)
		assert.False(t, Holds(Absolute("r"), Absolute(path)), path)
	}
	text, err := Read("r/.git/config", Settings)
	require.NoError(t, err)
	assert.Equal(t, "token", text)
	assert.True(t, new(Gate).Stays("r/.gitattributes"))
}

func TestAPersonsOwnLinksAreFollowed(t *testing.T) {
	dir := repository(t)
	text, err := Read("hers/hers.block", Settings)
	require.NoError(t, err)
	assert.Equal(t, "hunter2", text)
	_, err = new(Gate).Read("hers/hers.block", Settings)
	assert.ErrorIs(t, err, ErrOutside, "but not when a walk or a file names it")

	// Her link to a link of a repository does not make that one hers.
	require.NoError(t, os.Symlink("r/out.block", "to-out.block"))
	_, err = Read("to-out.block", Settings)
	assert.ErrorIs(t, err, ErrOutside)

	// In a repository that she came to by a link of her own, which is in a repository too.
	require.NoError(t, os.Mkdir(".git", 0o755))
	_, err = Read("linked/a.block", Block)
	require.NoError(t, err, "inside the outer one")
	require.NoError(t, os.Symlink(dir+"/../"+filepath.Base(dir)+"/elsewhere", "r/way"))
	t.Chdir(filepath.Join(dir, "r", "way")) // the working folder is then known by this name
	_, err = Read("own.block", Block)
	assert.NoError(t, err, "she stands in it")
	_, err = new(Gate).Block("own.block")
	assert.NoError(t, err, "and what is beside it is inside")
}

func TestTheFolderThatAPersonNamed(t *testing.T) {
	tree(t, map[string]string{"f/a.block": "a", "f/sub/up.block": "-> ../a.block", "f/sub/out.block": "-> ../../b.block", "b.block": "b"})
	_, err := new(Gate).Block("f/sub/up.block")
	assert.ErrorIs(t, err, ErrOutside, "no repository, and no folder was named")
	g := new(Gate)
	folder, err := g.Name("f")
	require.NoError(t, err)
	assert.True(t, folder)
	text, err := g.Block("f/sub/up.block")
	require.NoError(t, err)
	assert.Equal(t, "a", text)
	_, err = g.Block("f/sub/out.block")
	assert.ErrorIs(t, err, ErrOutside)
}

func TestAFolderOutOfTheRepositoryIsNotNamed(t *testing.T) {
	repository(t)
	for path, want := range map[string]error{"r/folder": ErrOutside, "r/folder/own.block": ErrOutside, "r/inner": nil, "linked": nil} {
		_, err := new(Gate).Name(path)
		assert.ErrorIs(t, err, want, path)
	}
}

// A pipe would hold a run up for ever.
func TestAPipeInAFolder(t *testing.T) {
	tree(t, map[string]string{".git": "/"})
	fifo(t, "p.block")
	done := make(chan error, 1)
	go func() { _, err := new(Gate).Block("p.block"); done <- err }()
	select {
	case err := <-done:
		assert.ErrorIs(t, err, ErrNotAFile)
	case <-time.After(20 * time.Second):
		t.Fatal("it waits")
	}
}

func TestAPipeThatAPersonNamesIsReadOnce(t *testing.T) {
	tree(t, nil)
	fifo(t, "p")
	go func() { _ = os.WriteFile("p", []byte("said once"), 0) }()
	g := new(Gate)
	_, err := g.Name("p")
	require.NoError(t, err)
	for range 2 {
		text, err := g.Block("p")
		require.NoError(t, err)
		assert.Equal(t, "said once", text)
	}
}

func TestBounds(t *testing.T) {
	tree(t, map[string]string{"sewable.toml": "", "x.block": ""})
	require.NoError(t, os.Truncate("sewable.toml", Settings.Max+1))
	_, err := new(Gate).Read("sewable.toml", Settings)
	assert.EqualError(t, err, "sewable.toml: it is larger than 1 MB, the most that a settings file may have")
	_, err = Read("sewable.toml", Settings)
	assert.ErrorContains(t, err, "larger than 1 MB")
	require.NoError(t, os.Truncate("sewable.toml", Settings.Max))
	_, err = new(Gate).Read("sewable.toml", Settings)
	assert.NoError(t, err)

	require.NoError(t, os.Truncate("x.block", 1<<40))
	text, err := new(Gate).Block("x.block")
	require.NoError(t, err)
	assert.Len(t, text, int(Block.Max)+1, "the reader says that it is too long")

	_, err = ReadAll(endless{}, Settings)
	assert.ErrorContains(t, err, "larger than 1 MB", "what does not say how long it is")
	text, err = ReadAll(endless{}, Block)
	require.NoError(t, err)
	assert.Len(t, text, int(Block.Max)+1)
}

type endless struct{}

func (endless) Read(p []byte) (int, error) { return len(p), nil }

func TestPointer(t *testing.T) {
	const pointer = "version https://git-lfs.github.com/spec/v1\noid sha256:4d7a214614ab2935c943f9e0ff69d22eadbb8f32b1258daaa5e2ca24d17e2393\nsize 12345\n"
	tree(t, map[string]string{"sewable.toml": pointer, "x.block": pointer})
	_, err := new(Gate).Read("sewable.toml", Settings)
	assert.EqualError(t, err, "sewable.toml: it is a Git LFS pointer, not the file itself. Run `git lfs pull`")
	_, err = new(Gate).Block("x.block")
	assert.NoError(t, err, "the reader of the language says so, in an editor too")
}

// A folder may have two names: letter case that does not count, a mount, a short name of Windows. Here a link stands in for
// these: the system says that both are one folder.
func TestTwoNamesOfOneFolder(t *testing.T) {
	dir := repository(t)
	for path, want := range map[string]string{
		dir + "/linked/a.block":      dir + "/r/a.block",
		dir + "/linked/sub/x/y":      dir + "/r/sub/x/y",
		dir + "/r/a.block":           dir + "/r/a.block",
		dir + "/elsewhere/a.block":   "",
		dir + "/r2/a.block":          "",
		dir + "/linkedsub/../secret": "",
	} {
		got, ok := under(filepath.FromSlash(path), filepath.FromSlash(dir+"/r"))
		assert.Equal(t, want != "", ok, path)
		assert.Equal(t, filepath.FromSlash(want), got)
	}
}

func TestRoot(t *testing.T) {
	dir := tree(t, map[string]string{
		"a/sewable.toml": "", "a/b/sewable.toml": "", "a/b/c/x": "", "g/.git": "gitdir: elsewhere", "g/h/sewable.toml": "", "n/m/x": "",
	})
	for of, want := range map[string]string{"a/b/c": "a", "a": "a", "g/h": "g", "g": "g", "n/m": "n/m"} {
		assert.Equal(t, filepath.Join(dir, want), Root(filepath.Join(dir, of)))
	}
}

func TestWalkGoesThroughALinkedRoot(t *testing.T) {
	repository(t)
	var seen []string
	require.NoError(t, Walk("linkedsub", func(path string, _ os.DirEntry, err error) error {
		seen = append(seen, path)
		return err
	}))
	assert.Equal(t, []string{"linkedsub", "linkedsub/b.block", "linkedsub/down.block"}, seen)
}

// What says that it is too large is refused before a byte of it is read.
func TestTheSizeIsAskedFirst(t *testing.T) {
	_, err := take(unread{t}, Settings.Max+1, Settings)
	assert.ErrorContains(t, err, "larger than 1 MB")
}

type unread struct{ t *testing.T }

func (u unread) Read([]byte) (int, error) {
	u.t.Error("it is read")
	return 0, os.ErrClosed
}
