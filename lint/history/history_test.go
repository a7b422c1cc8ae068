package history_test

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/files"
	"sewable/lang/syntax"
	"sewable/lint"
	"sewable/lint/history"
	"sewable/lint/rules"
)

// repo is a real repository in a folder of its own.
type repo struct {
	*testing.T
	dir string
}

func newRepo(t *testing.T, args ...string) repo {
	t.Helper()
	if _, err := exec.LookPath("git"); err != nil {
		t.Skip("git is not installed")
	}
	for _, v := range []string{"GIT_CONFIG_GLOBAL=" + os.DevNull, "GIT_CONFIG_NOSYSTEM=1", "GIT_AUTHOR_NAME=Ada", "GIT_AUTHOR_EMAIL=ada@harbour.example",
		"GIT_COMMITTER_NAME=Ada", "GIT_COMMITTER_EMAIL=ada@harbour.example", "GIT_DIR=", "GIT_INDEX_FILE="} {
		name, value, _ := strings.Cut(v, "=")
		t.Setenv(name, value)
		if value == "" {
			os.Unsetenv(name)
		}
	}
	r := repo{t, filepath.Join(t.TempDir(), "harbour")}
	require.NoError(t, os.Mkdir(r.dir, 0o777))
	r.git(append([]string{"init", "-q", "-b", "main"}, args...)...)
	return r
}

func (r repo) git(args ...string) string {
	r.Helper()
	cmd := exec.Command("git", args...)
	cmd.Dir = r.dir
	out, err := cmd.CombinedOutput()
	require.NoError(r, err, "git %s: %s", strings.Join(args, " "), out)
	return strings.TrimSpace(string(out))
}

func (r repo) write(path, text string) {
	r.Helper()
	full := filepath.Join(r.dir, path)
	require.NoError(r, os.MkdirAll(filepath.Dir(full), 0o777))
	require.NoError(r, os.WriteFile(full, []byte(text), 0o666))
}

// commit commits everything there is and gives its name.
func (r repo) commit() string {
	r.Helper()
	r.git("add", "-A")
	r.git("commit", "-q", "--allow-empty", "-m", "work")
	return r.git("rev-parse", "HEAD")
}

func (r repo) open(sub string) *history.Repo {
	r.Helper()
	h, err := history.Open(r.Context(), filepath.Join(r.dir, sub))
	require.NoError(r, err)
	return h
}

func (r repo) tree(h *history.Repo, rev string) *history.Tree {
	r.Helper()
	commit, err := h.Resolve(r.Context(), rev)
	require.NoError(r, err)
	t, err := h.Tree(r.Context(), commit)
	require.NoError(r, err)
	r.Cleanup(t.Close)
	return t
}

func (r repo) working(h *history.Repo) *history.Tree {
	r.Helper()
	t, err := h.WorkingTree(r.Context())
	require.NoError(r, err)
	r.Cleanup(t.Close)
	return t
}

func (r repo) changes(a, b *history.Tree) []history.Change {
	r.Helper()
	c, err := history.Changes(a, b, func(string) bool { return true })
	require.NoError(r, err)
	return c
}

const (
	palette = "fabric sky #f2c9a1\nfabric water #2f5d73\n"
	buoy    = `use "palette.block"
allowance 1/4
block "Buoy" 6 by 6 {
  section A {
    patch 1 sky (0, 0) (6, 0) (6, 3) (0, 3)
    patch 2 water (0, 3) (6, 3) (6, 6) (0, 6)
  }
}
`
)

func TestRenamesDeletesAndOddNames(t *testing.T) {
	r := newRepo(t)
	odd := "quay \"north\"\tété\nend.block"
	r.write("buoy.block", buoy)
	r.write("gone.block", "allowance 1/4\n")
	r.write("kept.block", palette)
	r.write("moved.block", palette+"// one\n// two\n")
	r.write(odd, "// odd\n")
	r.commit()
	r.git("mv", "buoy.block", "marks.block")
	r.git("rm", "-q", "gone.block")
	require.NoError(t, os.MkdirAll(filepath.Join(r.dir, "sub"), 0o777))
	r.git("mv", "moved.block", "sub/moved.block")
	r.write("sub/moved.block", palette+"// one\n// three\n")
	r.write(odd, "// odd and changed\n")
	r.commit()
	h := r.open("")
	want := []history.Change{
		{Before: "gone.block"},
		{Before: "buoy.block", After: "marks.block", Same: true},
		{Before: odd, After: odd},
		{Before: "moved.block", After: "sub/moved.block"},
	}
	assert.Equal(t, want, r.changes(r.tree(h, "HEAD~1"), r.tree(h, "HEAD")))
	assert.Equal(t, want, r.changes(r.tree(h, "HEAD~1"), r.working(h)), "the working tree holds the same")
	assert.Empty(t, r.changes(r.tree(h, "HEAD"), r.working(h)))

	// git itself, as the reference for what was renamed.
	raw := r.git("diff-tree", "-r", "-z", "-M", "--name-status", "HEAD~1", "HEAD")
	assert.Contains(t, raw, "R100\x00buoy.block\x00marks.block")
	assert.Regexp(t, `R0\d\d\x00moved.block\x00sub/moved.block`, raw)
}

func TestWorkingFolderHasNewFilesAndNotIgnoredOnes(t *testing.T) {
	r := newRepo(t)
	r.write(".gitignore", "draft.block\n")
	r.write("buoy.block", buoy)
	r.write("a/gone.block", palette)
	r.commit()
	r.write("draft.block", palette)
	r.write("new.block", "// new\n")
	require.NoError(t, os.Remove(filepath.Join(r.dir, "a/gone.block")))
	h := r.open("")
	w := r.working(h)
	assert.Equal(t, []string{".gitignore", "buoy.block", "new.block"}, w.Paths())
	assert.Equal(t, []history.Change{{Before: "a/gone.block"}, {After: "new.block"}}, r.changes(r.tree(h, "HEAD"), w))
	text, err := w.Read("new.block")
	require.NoError(t, err)
	assert.Equal(t, "// new\n", text)
}

func TestLineEndingsAreNoChange(t *testing.T) {
	r := newRepo(t)
	r.write("buoy.block", buoy)
	r.commit()
	h := r.open("")
	r.write("buoy.block", strings.ReplaceAll(buoy, "\n", "\r\n"))
	assert.Empty(t, r.changes(r.tree(h, "HEAD"), r.working(h)))
}

func TestSparseCheckoutHasWhatIsNotThere(t *testing.T) {
	r := newRepo(t)
	r.write("in/buoy.block", buoy)
	r.write("out/palette.block", palette)
	r.commit()
	r.git("sparse-checkout", "set", "in")
	h := r.open("")
	require.NoFileExists(t, filepath.Join(r.dir, "out/palette.block"))
	w := r.working(h)
	assert.Empty(t, r.changes(r.tree(h, "HEAD"), w))
	text, err := w.Read("out/palette.block")
	require.NoError(t, err)
	assert.Equal(t, palette, text)
}

func TestSubmodulesArePassedBy(t *testing.T) {
	inner := newRepo(t)
	inner.write("inner.block", buoy)
	inner.commit()
	r := newRepo(t)
	r.write("buoy.block", buoy)
	r.git("-c", "protocol.file.allow=always", "submodule", "--quiet", "add", inner.dir, "lib")
	r.commit()
	h := r.open("")
	for _, tree := range []*history.Tree{r.tree(h, "HEAD"), r.working(h)} {
		assert.Equal(t, []string{"lib"}, tree.Submodules)
		assert.Equal(t, []string{".gitmodules", "buoy.block"}, tree.Paths())
	}
}

func TestShallowCloneSaysSo(t *testing.T) {
	full := newRepo(t)
	for _, text := range []string{"1", "2", "3"} {
		full.write("buoy.block", "// "+text+"\n")
		full.commit()
	}
	full.git("checkout", "-q", "-b", "other", "HEAD~1")
	full.write("other.block", "// other\n")
	full.commit()
	full.git("checkout", "-q", "main")
	first := full.git("rev-parse", "main~2")
	r := repo{t, filepath.Join(t.TempDir(), "shallow")}
	full.git("clone", "-q", "--depth", "1", "--no-single-branch", "file://"+full.dir, r.dir)
	h := r.open("")
	for _, rev := range []string{"HEAD~1", first} {
		_, err := h.Resolve(t.Context(), rev)
		assert.ErrorContains(t, err, "this clone, which is shallow: git fetch --unshallow")
	}
	a, err := h.Resolve(t.Context(), "main")
	require.NoError(t, err)
	b, err := h.Resolve(t.Context(), "origin/other")
	require.NoError(t, err)
	_, err = h.MergeBase(t.Context(), a, b)
	assert.ErrorContains(t, err, "is not in this clone, which is shallow")
}

func TestMergeBase(t *testing.T) {
	r := newRepo(t)
	r.write("a.block", "// a\n")
	base := r.commit()
	r.git("checkout", "-q", "-b", "side")
	r.write("b.block", "// b\n")
	side := r.commit()
	r.git("checkout", "-q", "main")
	r.write("a.block", "// c\n")
	main := r.commit()
	r.git("checkout", "-q", "--orphan", "alone")
	alone := r.commit()
	h := r.open("")
	got, err := h.MergeBase(t.Context(), main, side)
	require.NoError(t, err)
	assert.Equal(t, base, got)
	_, err = h.MergeBase(t.Context(), main, alone)
	assert.ErrorContains(t, err, "have no commit in common")
}

func TestBareRepository(t *testing.T) {
	from := newRepo(t)
	from.write("blocks/palette.block", palette)
	from.write("blocks/buoy.block", buoy)
	from.write("sewable.toml", "exclude = [\"old\"]\n")
	from.write("old/a.block", palette)
	from.commit()
	r := repo{t, filepath.Join(t.TempDir(), "harbour.git")}
	from.git("clone", "-q", "--bare", from.dir, r.dir)
	h := r.open("")
	assert.True(t, h.Bare)
	_, err := h.WorkingTree(t.Context())
	assert.ErrorContains(t, err, "has no working tree; name the second revision too")
	tree := r.tree(h, "main")
	assert.Equal(t, []string{"blocks/buoy.block", "blocks/palette.block"}, tree.BlockFiles(".", tree.Config(rules.All)))
	f, err := tree.Loader(syntax.NewReader()).Open(tree.Abs("blocks/buoy.block"))
	require.NoError(t, err)
	require.NotNil(t, f.Uses[0].File)
	assert.Empty(t, f.Problems)
}

// A `use` and a sewable.toml are those of the revision, whatever lies on disk.
func TestUseAndSettingsAreOfTheirTime(t *testing.T) {
	r := newRepo(t)
	r.write("sub/buoy.block", strings.Replace(buoy, "palette", "../palette", 1))
	r.write("palette.block", palette)
	r.write("sewable.toml", "[limits]\nstep = \"1/8 in\"\n")
	r.commit()
	r.write("palette.block", "fabric sky #000000\n")
	r.write("sewable.toml", "")
	r.commit()
	require.NoError(t, os.Remove(filepath.Join(r.dir, "palette.block")))
	h := r.open("sub")
	colour := func(tree *history.Tree) string {
		f, err := tree.Loader(syntax.NewReader()).Open(tree.Abs("sub/buoy.block"))
		require.NoError(t, err)
		if f.Uses[0].File == nil {
			return "missing"
		}
		return f.Uses[0].File.Fabrics[0].Colour
	}
	old, now, working := r.tree(h, "HEAD~1"), r.tree(h, "HEAD"), r.working(h)
	assert.Equal(t, "#f2c9a1", colour(old))
	assert.Equal(t, "#000000", colour(now))
	assert.Equal(t, "missing", colour(working))
	step := func(tree *history.Tree) float64 {
		return tree.Config(rules.All).For(tree.Abs("sub/buoy.block")).For(0).Step.Float64()
	}
	assert.NotEqual(t, step(old), step(now))
	assert.Equal(t, step(now), step(working))
}

func TestUseLeavesNoCommit(t *testing.T) {
	r := newRepo(t)
	outside := filepath.Join(filepath.Dir(r.dir), "palette.block")
	require.NoError(t, os.WriteFile(outside, []byte(palette), 0o666))
	require.NoError(t, os.Symlink(outside, filepath.Join(r.dir, "linked.block")))
	require.NoError(t, os.Symlink("palette.block", filepath.Join(r.dir, "inner.block")))
	r.write("palette.block", palette)
	for name, path := range map[string]string{"up.block": "../palette.block", "link.block": "linked.block", "in.block": "inner.block"} {
		r.write(name, "use \""+path+"\"\n")
	}
	r.commit()
	tree := r.tree(r.open(""), "HEAD")
	followed := func(name string) bool {
		f, err := tree.Loader(syntax.NewReader()).Open(tree.Abs(name))
		require.NoError(t, err)
		return f.Uses[0].File != nil
	}
	assert.False(t, followed("up.block"))
	assert.False(t, followed("link.block"))
	assert.True(t, followed("in.block"))
}

// A link that leads out of a commit is told as one, however it is spelled.
func TestLinksOutOfACommit(t *testing.T) {
	r := newRepo(t)
	links := map[string]string{"absolute.block": "/etc/passwd", "up.block": "../palette.block", "parent.block": "..", "sub/far.block": "../../x.block", "chain.block": "up.block"}
	require.NoError(t, os.Mkdir(filepath.Join(r.dir, "sub"), 0o755))
	for name, to := range links {
		require.NoError(t, os.Symlink(to, filepath.Join(r.dir, filepath.FromSlash(name))))
	}
	require.NoError(t, os.Symlink("..dots.block", filepath.Join(r.dir, "in.block")))
	r.write("..dots.block", palette)
	r.commit()
	tree := r.tree(r.open(""), "HEAD")
	for name := range links {
		_, err := tree.Read(name)
		assert.ErrorIs(t, err, files.ErrOutside, name)
	}
	text, err := tree.Read("in.block")
	require.NoError(t, err)
	assert.Equal(t, palette, text)
}

// A file that became a link that leads out after the tree was listed is like no other, and does not end the comparison.
func TestChangesOfWhatIsRefused(t *testing.T) {
	r := newRepo(t)
	for _, name := range []string{"gone.block", "grown.block"} {
		r.write(name, palette)
	}
	r.commit()
	require.NoError(t, os.Remove(filepath.Join(r.dir, "gone.block")))
	for _, name := range []string{"came.block", "grown.block"} {
		r.write(name, palette+"fabric net\n")
	}
	h := r.open("")
	before, after := r.tree(h, "HEAD"), r.working(h)
	for _, name := range []string{"came.block", "grown.block"} {
		require.NoError(t, os.Remove(filepath.Join(r.dir, name)))
		require.NoError(t, os.Symlink("/etc/passwd", filepath.Join(r.dir, name)))
	}
	assert.ElementsMatch(t, []history.Change{{Before: "gone.block"}, {After: "came.block"}, {Before: "grown.block", After: "grown.block"}},
		r.changes(before, after))
}

func TestErrorsAreOneClearLine(t *testing.T) {
	r := newRepo(t)
	_, err := history.Open(t.Context(), filepath.Dir(r.dir))
	assert.ErrorContains(t, err, "is not in a git repository")
	h := r.open("")
	for _, rev := range []string{"HEAD", "nowhere", "--all", "", "main:buoy.block", "a\nb"} {
		_, err := h.Resolve(t.Context(), rev)
		assert.ErrorContains(t, err, "there is no revision", rev)
	}
	t.Run("somebody else's", func(t *testing.T) {
		t.Setenv("GIT_TEST_ASSUME_DIFFERENT_OWNER", "1") // of git's own tests
		_, err := history.Open(t.Context(), r.dir)
		assert.ErrorContains(t, err, "git config --global --add safe.directory "+r.dir)
	})
	t.Run("no git", func(t *testing.T) {
		t.Setenv("PATH", t.TempDir())
		_, err := history.Open(t.Context(), r.dir)
		assert.ErrorContains(t, err, "git is not installed")
	})
}

// A hook is run with variables that speak of its repository. In another
// folder they mean nothing.
func TestInAHook(t *testing.T) {
	r := newRepo(t)
	r.write("sub/buoy.block", buoy)
	r.commit()
	other := newRepo(t)
	t.Chdir(r.dir)
	t.Setenv("GIT_DIR", ".git")
	t.Setenv("GIT_INDEX_FILE", ".git/index")
	t.Setenv("GIT_PREFIX", "sub/")
	h, err := history.Open(t.Context(), "sub")
	require.NoError(t, err)
	assert.Equal(t, r.dir, h.Root)
	w, err := h.WorkingTree(t.Context())
	require.NoError(t, err)
	defer w.Close()
	assert.Equal(t, []string{"sub/buoy.block"}, w.Paths())
	h, err = history.Open(t.Context(), other.dir)
	require.NoError(t, err)
	assert.Equal(t, other.dir, h.Root)
}

// What a hook of a push may see is not yet among the repository's objects.
func TestInAHookThatReceives(t *testing.T) {
	r := newRepo(t, "--bare")
	work := newRepo(t)
	work.write("buoy.block", buoy)
	work.commit()
	test, err := os.Executable()
	require.NoError(t, err)
	seen := filepath.Join(t.TempDir(), "seen")
	hook := "#!/bin/sh\nread old new ref\nSEEN='" + seen + "' REVISION=$new exec '" + test + "' -test.run '^TestReceiving$'\n"
	require.NoError(t, os.WriteFile(filepath.Join(r.dir, "hooks/pre-receive"), []byte(hook), 0o777))
	work.git("push", "-q", r.dir, "main")
	text, err := os.ReadFile(seen)
	require.NoError(t, err)
	assert.Equal(t, "buoy.block", string(text))
}

func TestReceiving(t *testing.T) {
	revision := os.Getenv("REVISION")
	if revision == "" {
		t.Skip("only in the hook of TestInAHookThatReceives")
	}
	h, err := history.Open(t.Context(), ".")
	require.NoError(t, err)
	commit, err := h.Resolve(t.Context(), revision)
	require.NoError(t, err)
	tree, err := h.Tree(t.Context(), commit)
	require.NoError(t, err)
	defer tree.Close()
	_, err = tree.Read("buoy.block")
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(os.Getenv("SEEN"), []byte(strings.Join(tree.Paths(), " ")), 0o666))
}

// No command that a configuration names is run.
func TestRunsNothing(t *testing.T) {
	r := newRepo(t)
	r.write(".gitattributes", "*.block filter=touch diff=touch merge=touch\npalette.block merge=a=b\n")
	r.write("buoy.block", buoy)
	r.write("palette.block", palette)
	r.commit()
	r.git("checkout", "-q", "-b", "side")
	r.write("buoy.block", strings.Replace(buoy, "(0, 6)", "(0, 5)", 1))
	r.write("palette.block", "// Of the pier.\n\n\n\n"+palette)
	r.commit()
	r.git("checkout", "-q", "main")
	r.write("buoy.block", strings.Replace(buoy, "Buoy", "Bell buoy", 1))
	r.write("palette.block", palette+"\n\n\n\n// All of them.\n")
	r.commit()
	mark := filepath.Join(t.TempDir(), "ran")
	touch := "touch '" + mark + "'; cat"
	for _, key := range []string{"filter.touch.clean", "filter.touch.smudge", "filter.touch.process", "diff.touch.textconv", "diff.touch.command",
		"diff.external", "core.fsmonitor", "merge.touch.driver", "merge.a=b.driver", "core.pager", "core.sshCommand"} {
		r.git("config", key, touch)
	}
	r.git("config", "filter.touch.required", "true")
	hooks := t.TempDir()
	for _, name := range []string{"post-index-change", "reference-transaction", "fsmonitor-watchman"} {
		require.NoError(t, os.WriteFile(filepath.Join(hooks, name), []byte("#!/bin/sh\n"+touch+"\n"), 0o777))
	}
	r.git("config", "core.hooksPath", hooks)
	os.Remove(mark)

	r.write("buoy.block", strings.Replace(buoy, "Buoy", "Whistle buoy", 1))
	h := r.open("")
	assert.Len(t, r.changes(r.tree(h, "HEAD"), r.working(h)), 1)
	m, err := h.Merge(t.Context(), "main", "side")
	require.NoError(t, err)
	defer m.Close()
	text, err := m.Read("buoy.block")
	require.NoError(t, err)
	assert.Contains(t, text, "Bell buoy")
	assert.Contains(t, text, "(0, 5)")
	assert.NoFileExists(t, mark)
}

// A content that a clone does not have is not fetched, however its configuration asks for it.
func TestFetchesNothing(t *testing.T) {
	r := newRepo(t)
	r.write("buoy.block", buoy)
	r.commit()
	id := r.git("rev-parse", "HEAD:buoy.block")
	mark := filepath.Join(t.TempDir(), "ran")
	for key, value := range map[string]string{"core.repositoryFormatVersion": "1", "extensions.partialClone": "origin", "remote.origin.promisor": "true",
		"protocol.ext.allow": "always", "remote.origin.url": "ext::touch " + mark} {
		r.git("config", key, value)
	}
	require.NoError(t, os.Remove(filepath.Join(r.dir, ".git/objects", id[:2], id[2:])))
	_, err := r.tree(r.open(""), "HEAD").Read("buoy.block")
	assert.Error(t, err)
	assert.NoFileExists(t, mark)

	cmd := exec.Command("git", "cat-file", "-p", id)
	cmd.Dir = r.dir
	assert.Error(t, cmd.Run())
	assert.FileExists(t, mark, "else it would")
}

func TestMergeWritesNothing(t *testing.T) {
	r := newRepo(t)
	r.write("buoy.block", buoy)
	r.write("both.block", "// base\n")
	r.commit()
	r.git("checkout", "-q", "-b", "side")
	r.write("buoy.block", strings.Replace(buoy, "(0, 6)", "(0, 5)", 1))
	r.write("both.block", "// side\n")
	r.commit()
	r.git("checkout", "-q", "main")
	r.write("buoy.block", strings.Replace(buoy, "Buoy", "Bell buoy", 1))
	r.write("both.block", "// main\n")
	r.commit()
	before := r.git("count-objects", "-v")
	h := r.open("")
	m, err := h.Merge(t.Context(), "main", "side")
	require.NoError(t, err)
	assert.Equal(t, []string{"both.block"}, m.Conflicts)
	assert.Equal(t, []string{"both.block", "buoy.block"}, m.Paths())
	text, err := m.Read("both.block")
	require.NoError(t, err)
	assert.Contains(t, text, "<<<<<<<")
	m.Close()
	assert.Equal(t, before, r.git("count-objects", "-v"))
	assert.Empty(t, r.git("status", "--porcelain"))
}

func TestSHA256(t *testing.T) {
	r := newRepo(t, "--object-format=sha256")
	r.write("buoy.block", buoy)
	r.commit()
	h := r.open("")
	assert.Empty(t, r.changes(r.tree(h, "HEAD"), r.working(h)))
}

func TestEndsWhenStopped(t *testing.T) {
	r := newRepo(t)
	h := r.open("")
	ctx, stop := context.WithCancel(t.Context())
	stop()
	_, err := h.WorkingTree(ctx)
	assert.ErrorIs(t, err, context.Canceled)
}

// The settings of one run may come from a commit: their findings name the file.
func TestSettingsOfACommitAreChecked(t *testing.T) {
	r := newRepo(t)
	r.write("sewable.toml", "nonsense = 1\n")
	r.write("buoy.block", strings.Replace(buoy, "use \"palette.block\"", palette, 1))
	r.commit()
	r.write("sewable.toml", "")
	tree := r.tree(r.open(""), "HEAD")
	o := lint.Options{Rules: rules.All, Config: tree.Config(rules.All), Loader: tree.Loader(syntax.NewReader())}
	found, err := lint.Run(t.Context(), []string{tree.Abs("buoy.block")}, o)
	require.NoError(t, err)
	require.NotEmpty(t, found.Findings)
	assert.Equal(t, "sewable.toml", filepath.Base(files.Absolute(found.Findings[0].File)))
}
