package files

import (
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func saying(text string) func(io.Writer) error {
	return func(w io.Writer) error { _, err := io.WriteString(w, text); return err }
}

func content(t *testing.T, path string) string {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(text)
}

func TestRewrite(t *testing.T) {
	tree(t, map[string]string{".git": "/", "a.block": "old", "link.block": "-> a.block", "folder.block": "/"})
	require.NoError(t, os.Chmod("a.block", 0o640))
	g := new(Gate)

	require.NoError(t, g.Rewrite("link.block", "old", "new", Block))
	assert.Equal(t, "new", content(t, "a.block"))
	info, _ := os.Lstat("a.block")
	assert.Equal(t, os.FileMode(0o640), info.Mode().Perm(), "the mode is kept")
	info, _ = os.Lstat("link.block")
	assert.NotZero(t, info.Mode()&os.ModeSymlink, "a link stays a link")

	assert.EqualError(t, g.Rewrite("a.block", "old", "newer", Block), "a.block: changed while it was being read; nothing was written")
	assert.ErrorIs(t, g.Rewrite("none.block", "", "new", Block), os.ErrNotExist)
	assert.EqualError(t, g.Rewrite("folder.block", "", "new", Block), "folder.block: it is not a file")
	require.NoError(t, os.Chmod("a.block", 0o440))
	assert.EqualError(t, g.Rewrite("a.block", "new", "newer", Block), "a.block: it may not be written to")

	long := strings.Repeat("a", 248) + ".block" // a name to which nothing can be added
	require.NoError(t, os.WriteFile(long, []byte("old"), 0o644))
	require.NoError(t, g.Rewrite(long, "old", "new", Block))
	assert.Equal(t, "new", content(t, long))
	left, _ := filepath.Glob(".sewable*")
	assert.Empty(t, left, "nothing is left lying about")
}

const leads = "it is a link that leads out of the repository. To write there, name the file it leads to"

func TestNothingIsWrittenThroughALinkThatLeadsOut(t *testing.T) {
	for _, path := range []string{"r/out.block", "r/outabs.block", "r/outchain.block"} {
		repository(t)
		for _, typed := range []bool{false, true} {
			g := new(Gate)
			if typed {
				_, err := g.Name(path)
				require.NoError(t, err)
			}
			assert.EqualError(t, g.Rewrite(path, "hunter2", "x", Block), path+": "+leads)
		}
		assert.EqualError(t, Write(path, saying("x")), path+" cannot be written: "+leads)
		_, err := Log(path)
		assert.EqualError(t, err, path+" cannot be written: "+leads)
		assert.Equal(t, "hunter2", content(t, "secret"))
	}
	for _, path := range []string{"r/config.block", "r/other/config.block", "r/gits/hooks/new"} {
		assert.EqualError(t, Write(path, saying("x")), path+" cannot be written: "+leads)
		assert.Error(t, new(Gate).Rewrite(path, "token", "x", Block))
		assert.Equal(t, "token", content(t, "r/.git/config"))
	}
	assert.EqualError(t, Folder("r/gits/cache"), "r/gits/cache: "+leads)
	assert.EqualError(t, Write("r/goneout.block", saying("x")), "r/goneout.block cannot be written: "+leads)
	assert.EqualError(t, Write("r/folder/new.block", saying("x")), "r/folder/new.block cannot be written: "+leads)
	assert.EqualError(t, Folder("r/folder/cache"), "r/folder/cache: "+leads)
	assert.NoFileExists(t, "nowhere.block")
	assert.NoFileExists(t, "elsewhere/new.block")
	assert.NoDirExists(t, "elsewhere/cache")
}

func TestWrite(t *testing.T) {
	repository(t)
	require.NoError(t, Write("r/up.block", saying("new")))
	assert.Equal(t, "new", content(t, "r/sub/b.block"), "a link inside is followed")
	require.NoError(t, Write("hers/hers.block", saying("new")))
	assert.Equal(t, "new", content(t, "secret"), "and so is her own")
	require.NoError(t, Write("r/fresh.block", saying("new")))
	assert.Equal(t, "new", content(t, "r/fresh.block"))
	require.NoError(t, Write("r/gone.block", saying("new")))
	assert.Equal(t, "new", content(t, "r/nowhere.block"))
	require.NoError(t, Write(os.DevNull, saying("new")))
	assert.EqualError(t, Write("r", saying("")), "r cannot be written: it is a folder")
	assert.EqualError(t, Write("none/x", saying("")), "none/x cannot be written: no such file or directory")

	full := errors.New("no space left on device")
	err := Write("r/a.block", func(w io.Writer) error { _, _ = io.WriteString(w, "half"); return full })
	assert.EqualError(t, err, "r/a.block cannot be written: no space left on device")
	assert.Equal(t, "a", content(t, "r/a.block"), "the file is whole")
	left, _ := filepath.Glob("r/.sewable*")
	assert.Empty(t, left)
}

// What is being written, and what a killed writer leaves, is nothing to git and nothing to a walk.
func TestGitSeesNothingOfAWriter(t *testing.T) {
	if _, err := exec.LookPath("git"); err != nil {
		t.Skip("git is not installed")
	}
	tree(t, map[string]string{"a.block": "a"})
	git := func(args ...string) string {
		out, err := exec.Command("git", args...).CombinedOutput()
		require.NoError(t, err, string(out))
		return string(out)
	}
	git("init", "-q")
	require.NoError(t, Write("b.block", func(w io.Writer) error {
		names, _ := filepath.Glob(".sewable-*/n*")
		assert.Len(t, names, 1)
		f, err := os.Open(names[0])
		require.NoError(t, err)
		defer f.Close()
		assert.False(t, lock(f), "the writer holds it")
		assert.Equal(t, "?? a.block\n", git("status", "--porcelain", "--untracked-files=all"))
		git("add", ".")
		return nil
	}))
	assert.Equal(t, "A  a.block\n?? b.block\n", git("status", "--porcelain", "--untracked-files=all"))
}

func TestLeftovers(t *testing.T) {
	dir := tree(t, map[string]string{
		".sewable-1/new": "half", ".sewable-1/.gitignore": "*\n", // its writer is gone
		".sewable-2/new": "half", ".sewable-2/.gitignore": "*\n", // is at work, and slow
		".sewable-3/new":        "half", // has just begun
		".sewable-4/.gitignore": "*\n",  // was killed at once
		".sewable-5/notes":      "",     // is none of ours
		".sewable-6/new":        "-> ../keep",
		"keep":                  "",
	})
	for _, name := range []string{"1", "2", "4", "5", "6"} {
		then := time.Now().Add(-time.Minute)
		require.NoError(t, os.Chtimes(".sewable-"+name, then, then))
	}
	slow, err := os.Open(".sewable-2/new")
	require.NoError(t, err)
	defer slow.Close()
	if !lock(slow) {
		t.Skip("there are no locks here")
	}
	require.NoError(t, Write(filepath.Join(dir, "x"), saying("x")))
	left, _ := filepath.Glob(".sewable-*")
	assert.Equal(t, []string{".sewable-2", ".sewable-3", ".sewable-5"}, left)
	assert.FileExists(t, "keep")
}
