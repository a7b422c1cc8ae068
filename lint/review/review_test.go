package review_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lint/history"
	"sewable/lint/linttest"
	"sewable/lint/review"
	"sewable/lint/rules"
)

func TestMain(m *testing.M) {
	for name, value := range map[string]string{"GIT_CONFIG_GLOBAL": os.DevNull, "GIT_CONFIG_NOSYSTEM": "1", "GIT_AUTHOR_NAME": "Ada",
		"GIT_AUTHOR_EMAIL": "ada@harbour.example", "GIT_COMMITTER_NAME": "Ada", "GIT_COMMITTER_EMAIL": "ada@harbour.example"} {
		os.Setenv(name, value)
	}
	os.Exit(m.Run())
}

// repo is a real repository in a folder of its own.
type repo struct {
	testing.TB
	dir string
}

func newRepo(t testing.TB) repo {
	t.Helper()
	if _, err := exec.LookPath("git"); err != nil {
		t.Skip("git is not installed")
	}
	r := repo{t, t.TempDir()}
	r.git("init", "-q", "-b", "main")
	return r
}

func (r repo) git(args ...string) {
	r.Helper()
	cmd := exec.Command("git", args...)
	cmd.Dir = r.dir
	out, err := cmd.CombinedOutput()
	require.NoError(r, err, "git %s: %s", strings.Join(args, " "), out)
}

func (r repo) write(path, text string) {
	r.Helper()
	full := filepath.Join(r.dir, path)
	require.NoError(r, os.MkdirAll(filepath.Dir(full), 0o777))
	require.NoError(r, os.WriteFile(full, []byte(text), 0o666))
}

func (r repo) commit() {
	r.Helper()
	r.git("add", "-A")
	r.git("commit", "-q", "--allow-empty", "-m", "work")
}

// edit replaces texts in a file, old and new by turns.
func (r repo) edit(path string, edits ...string) {
	r.Helper()
	text, err := os.ReadFile(filepath.Join(r.dir, path))
	require.NoError(r, err)
	s := string(text)
	for i := 0; i+1 < len(edits); i += 2 {
		require.Contains(r, s, edits[i])
		s = strings.Replace(s, edits[i], edits[i+1], 1)
	}
	r.write(path, s)
}

// harbour is a repository with the harbour's blocks.
func harbour(t testing.TB) repo {
	r := newRepo(t)
	require.NoError(t, os.CopyFS(r.dir, os.DirFS("../../testdata/harbour")))
	r.commit()
	return r
}

// review compares a revision with the working tree.
func (r repo) review(base string) *review.Report {
	r.Helper()
	h, err := history.Open(r.Context(), r.dir)
	require.NoError(r, err)
	commit, err := h.Resolve(r.Context(), base)
	require.NoError(r, err)
	before, err := h.Tree(r.Context(), commit)
	require.NoError(r, err)
	r.Cleanup(before.Close)
	after, err := h.WorkingTree(r.Context())
	require.NoError(r, err)
	r.Cleanup(after.Close)
	out, err := review.Run(r.Context(), before, after, rules.All, nil)
	require.NoError(r, err)
	require.Empty(r, out.Failures)
	out.Base, out.Head = base, "the working tree"
	return out
}

func text(t testing.TB, r *review.Report) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, review.Text(&b, r, termenv.Ascii))
	return b.String()
}

func page(t testing.TB, r *review.Report) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, review.HTML(&b, r))
	return b.String()
}

func TestNothingChanges(t *testing.T) {
	t.Parallel()
	r := harbour(t)
	got := r.review("HEAD")
	assert.Equal(t, "Review: HEAD → the working tree\n\nNo change to the sewn blocks.\n", text(t, got))
	assert.Zero(t, got.Checked)
}

// Line endings, comments and blank lines say nothing about the sewn block.
func TestRespellingIsSaidToChangeNothing(t *testing.T) {
	t.Parallel()
	r := harbour(t)
	r.edit("sloop.block", "  section A", "\n  // forward of the mast\n  section A", "outline (0, deck) heel (3 1/2, 8) (0, 8)", "outline heel (3 1/2, 8) (0, 8) (0, deck)")
	all, err := os.ReadFile(filepath.Join(r.dir, "gull.block"))
	require.NoError(t, err)
	r.write("gull.block", strings.ReplaceAll(string(all), "\n", "\r\n"))
	got := r.review("HEAD")
	assert.Empty(t, got.Blocks)
	assert.Equal(t, "No change to the sewn blocks; only the source text changed.", got.Headline())
	assert.Equal(t, []string{"“Homeward Sloop” in sloop.block"}, got.Respelt)
}

// Blocks that changed through a used file or settings alone are there too.
func TestChangesThroughOtherFiles(t *testing.T) {
	t.Parallel()
	r := harbour(t)
	r.edit("palette.block", "fabric rope   \"Hemp rope\"      #c79a5b width 42", "fabric rope \"Hemp rope\" #c79a5b width 42 directional")
	got := r.review("HEAD")
	require.NotEmpty(t, got.Blocks)
	for _, b := range got.Blocks {
		assert.Equal(t, []string{"palette.block"}, b.Through)
		assert.False(t, b.Spelling)
		require.NotEmpty(t, b.Fabrics, b.Name())
		assert.True(t, b.Fabrics[0].Directional)
	}
	assert.Contains(t, text(t, got), "rope is now directional: its pieces are kept upright")

	r = harbour(t)
	r.write("sewable.toml", "[limits]\nstep = \"1/2 in\"\n")
	got = r.review("HEAD")
	assert.Greater(t, len(got.Blocks), 10)
	for _, b := range got.Blocks {
		assert.Equal(t, []string{"sewable.toml"}, b.Through)
	}
}

// A file may be read on one side alone.
func TestAFileThatCannotBeReadOnOneSide(t *testing.T) {
	t.Parallel()
	r := harbour(t)
	r.edit("sloop.block", "patch 2 sky  stem (3 1/2, 6 3/4)", "patch 2 sky  stem (3 1/2, 6 3/4")
	got := r.review("HEAD")
	require.Len(t, got.Blocks, 1)
	b := got.Blocks[0]
	assert.True(t, b.Unread.After)
	assert.Equal(t, 2, got.NewErrors()) // the line, and the quilt with the block
	said := text(t, got)
	assert.Contains(t, said, "A could not be read completely after the change")
	assert.Contains(t, said, "what else to recut is not known until it can be read")
	assert.NotContains(t, said, "gone: leave it out", "what cannot be read is not taken for gone")
	r.commit()
	r.edit("sloop.block", "(3 1/2, 6 3/4 (", "(3 1/2, 6 3/4) (")
	got = r.review("HEAD")
	require.Len(t, got.Blocks, 1)
	assert.Len(t, got.Blocks[0].Gone, 1)
	assert.Zero(t, got.NewErrors())
}

// A finding stays the same finding when its patch is given another number, its section another
// letter, and its line another place and spelling.
func TestFindingsGoWithTheirPatches(t *testing.T) {
	t.Parallel()
	r := newRepo(t)
	beacon := `fabric sky #c3dcea
fabric lamp #f0b32f
allowance 1/4
block "Beacon" 6 by 6 {
  section A {
    patch 1 sky (0, 0) (6, 0) (6, 6) (1/2, 6) (0, 5 1/2)
    patch 2 lamp (0, 5 1/2) (1/2, 6) (0, 6)
  }
}
`
	r.write("beacon.block", beacon)
	r.commit()
	was := r.review("HEAD")
	assert.Empty(t, was.Blocks)
	r.edit("beacon.block", "block \"Beacon\"", "\n\nblock \"Beacon\"", "section A", "section L", "patch 1 sky", "patch 2 sky",
		"    patch 2 lamp (0, 5 1/2) (1/2, 6) (0, 6)", "    patch 1 lamp (0, 6) (0, 5 1/2) (1/2, 6)")
	got := r.review("HEAD")
	require.Len(t, got.Blocks, 1)
	assert.Empty(t, got.Blocks[0].New, text(t, got))
	assert.Empty(t, got.Blocks[0].Gone)
	assert.NotEmpty(t, got.Blocks[0].Still)
}

func TestBlocksMoveBetweenFiles(t *testing.T) {
	t.Parallel()
	r := harbour(t)
	r.git("mv", "gull.block", "seabird.block")
	r.edit("wall.block", "gull.block", "seabird.block")
	got := r.review("HEAD")
	assert.Empty(t, got.Blocks, text(t, got))
	assert.Contains(t, text(t, got), "Renamed: gull.block → seabird.block\n")
	r.commit()
	r.git("mv", "seabird.block", "two gulls.block")
	r.edit("wall.block", "seabird.block", "two gulls.block")
	assert.Contains(t, text(t, r.review("HEAD")), "Renamed: seabird.block → “two gulls.block”\n")

	// One file's block goes to the end of another.
	two := newRepo(t)
	block := func(title, fabric string) string {
		return fmt.Sprintf("block %q 6 by 6 {\n  section A {\n    patch 1 %s (0, 0) (6, 0) (6, 6) (0, 6)\n  }\n}\n", title, fabric)
	}
	head := "fabric sky #c3dcea\nallowance 1/4\n"
	two.write("a.block", head+block("One", "sky")+block("Two", "sky"))
	two.write("b.block", head+block("Three", "sky"))
	two.commit()
	two.write("a.block", head+block("One", "sky"))
	two.write("b.block", head+block("Three", "sky")+block("Two", "sky"))
	got = two.review("HEAD")
	assert.Empty(t, got.Blocks, text(t, got))
	// And changes on the way.
	two.write("b.block", head+"fabric sea #2f7098\n"+block("Three", "sky")+block("Two", "sea"))
	got = two.review("HEAD")
	require.Len(t, got.Blocks, 1)
	assert.Equal(t, "b.block, moved from a.block", got.Blocks[0].Where())
	assert.Equal(t, "cut A1 from sea; reprint foundation A, first page, guide, labels and cut list.", got.Blocks[0].Todo())
}

const nasty = "<script>alert(1)</script> | `x` **b** [l](http://e.example) @all #1 <!-- \x1b[31m"

// Whatever a block is called, it is text: on the page, in a comment, on a terminal.
func TestNamesAreEscaped(t *testing.T) {
	t.Parallel()
	r := newRepo(t)
	r.write("a.block", fmt.Sprintf("fabric sky \"%s\" #c3dcea\nfabric sea #2f7098\nallowance 1/4\nblock \"%[1]s\" 6 by 6 {\n  note \"%[1]s\"\n  section A \"%[1]s\" {\n    patch 1 sky (0, 0) (6, 0) (6, 6) (0, 6)\n  }\n}\n", nasty))
	r.commit()
	r.edit("a.block", "patch 1 sky", "patch 1 sea", "note \"", "note \"more ")
	got := r.review("HEAD")
	require.Len(t, got.Blocks, 1)

	html := page(t, got)
	assert.NotContains(t, html, "<script>alert")
	assert.NotContains(t, html, "<!--")
	assert.Equal(t, 1, strings.Count(html, "<script"))
	assert.Contains(t, html, "&lt;script&gt;alert(1)")
	assert.NotContains(t, html, "\x1b")

	var md bytes.Buffer
	require.NoError(t, review.Markdown(&md, got))
	assert.NotContains(t, md.String(), "<script")
	assert.NotContains(t, md.String(), "<!--")
	assert.NotRegexp(t, `[^\\]\]\(`, md.String())
	assert.NotRegexp(t, `(@|&#64;)all`, md.String())
	assert.NotRegexp(t, `(#|&#35;)1`, md.String())
	assert.NotRegexp(t, regexp.MustCompile("[^\\\\]`x"), md.String())
	assert.NotContains(t, md.String(), "\x1b")

	assert.NotContains(t, text(t, got), "\x1b")
}

// The page is well formed, needs nothing from elsewhere, and its policy names just its own
// style and script.
func TestPage(t *testing.T) {
	t.Parallel()
	r := harbour(t)
	r.edit("sloop.block", "point stem  = (3/4, deck)", "point stem  = (1/2, deck)")
	html := page(t, r.review("HEAD"))
	assert.Contains(t, html, `Content-Security-Policy" content="default-src 'none'`)
	assert.NotRegexp(t, `(src|href)="(https?:)?//`, strings.ReplaceAll(html, `xmlns="http://www.w3.org/2000/svg"`, ""))
	assert.NotContains(t, html, "style=")
	assert.NotContains(t, html, " onclick")
	assert.Contains(t, html, "Before")
	assert.Contains(t, html, "What moved")
	assert.Contains(t, html, `type="range"`)
	// As XML, but for the document type and the elements that HTML leaves open.
	body := html[strings.Index(html, "<main>"):strings.Index(html, "<script>")]
	body = regexp.MustCompile(`<input([^>]*)>`).ReplaceAllString(body, "<input$1/>")
	d := xml.NewDecoder(strings.NewReader(strings.ReplaceAll(body, " hidden>", ` hidden="">`)))
	for {
		_, err := d.Token()
		if err != nil {
			assert.Equal(t, "EOF", err.Error())
			break
		}
	}
}

// A comment stays within what hosts take, however much changed, and says what it leaves out.
func TestMarkdownIsBounded(t *testing.T) {
	t.Parallel()
	r := newRepo(t)
	for i := range 60 {
		r.write(fmt.Sprintf("b%02d.block", i), linttest.GenerateBlock(uint64(i), 12))
	}
	r.write(linttest.PaletteName, linttest.Palette)
	r.commit()
	r.write("sewable.toml", "[limits]\nstep = \"1/2 in\"\n")
	var md bytes.Buffer
	require.NoError(t, review.Markdown(&md, r.review("HEAD")))
	assert.Less(t, md.Len(), 60_000)
	assert.Contains(t, md.String(), "not shown because of the length limit")
	assert.Equal(t, strings.Count(md.String(), "<details>"), strings.Count(md.String(), "</details>"))
}

func TestJSON(t *testing.T) {
	t.Parallel()
	r := harbour(t)
	r.edit("sloop.block", "patch 2 lamp", "patch 2 coral")
	var b bytes.Buffer
	require.NoError(t, review.JSON(&b, r.review("HEAD")))
	var got struct {
		Version int
		Blocks  []struct {
			Title   string
			Patches []struct {
				Before, After *struct {
					Label, Fabric string
					Cut           struct{ Along, Across float64 }
				}
				Fabric bool
				Recut  string
			}
			Cloth []struct {
				Fabric        string
				Before, After struct{ Pieces int }
			}
		}
	}
	require.NoError(t, json.Unmarshal(b.Bytes(), &got))
	assert.Equal(t, review.JSONVersion, got.Version)
	require.Len(t, got.Blocks, 1)
	require.Len(t, got.Blocks[0].Patches, 1)
	p := got.Blocks[0].Patches[0]
	assert.Equal(t, "C2", p.After.Label)
	assert.Equal(t, "lamp", p.Before.Fabric)
	assert.Equal(t, "coral", p.After.Fabric)
	assert.True(t, p.Fabric)
	assert.Equal(t, "anew", p.Recut)
	assert.InDelta(t, 7.5*25.4, p.After.Cut.Along, 1e-3)
	assert.Len(t, got.Blocks[0].Cloth, 2)
}

// The comparison says the same whichever side is on disk.
func TestWorkingFolderAndCommitAgree(t *testing.T) {
	t.Parallel()
	r := harbour(t)
	r.edit("sloop.block", "patch 2 lamp", "patch 2 coral")
	r.edit("runner.block", "columns 6", "columns 4")
	working := text(t, r.review("HEAD"))
	r.commit()
	committed := text(t, r.review("HEAD~1"))
	assert.Equal(t, strings.Replace(committed, "HEAD~1", "HEAD", 1), working)
}

func (r repo) merge(t *testing.T, ours, theirs string) *review.MergeReport {
	t.Helper()
	h, err := history.Open(t.Context(), r.dir)
	require.NoError(t, err)
	var sides [2]*history.Tree
	for i, rev := range []string{ours, theirs} {
		commit, err := h.Resolve(t.Context(), rev)
		require.NoError(t, err)
		sides[i], err = h.Tree(t.Context(), commit)
		require.NoError(t, err)
		defer sides[i].Close()
	}
	m, err := h.Merge(t.Context(), sides[0].Commit, sides[1].Commit)
	require.NoError(t, err)
	defer m.Close()
	out, err := review.Merge(t.Context(), sides[0], sides[1], m, rules.All)
	require.NoError(t, err)
	out.Ours, out.Theirs = ours, theirs
	return out
}

// One branch takes a fabric out of the palette that nothing uses; the other begins to use it.
// Both lint clean, and the merge does not.
func TestMergeOfTwoSoundBranches(t *testing.T) {
	t.Parallel()
	r := harbour(t)
	r.git("checkout", "-q", "-b", "tidy")
	r.edit("palette.block", "fabric rose  \"Afterglow\"   #e3a19b width 42\n", "")
	text, err := os.ReadFile(filepath.Join(r.dir, "lighthouse.block"))
	require.NoError(t, err)
	r.write("lighthouse.block", regexp.MustCompile(`\brose\b`).ReplaceAllString(string(text), "peach"))
	for _, name := range []string{"starfish.block", "mackerel-sky.block", "scallop.block", "swell.block", "terns.block", "urchin.block", "whelk.block", "compass.block", "anchor.block"} {
		text, err := os.ReadFile(filepath.Join(r.dir, name))
		require.NoError(t, err)
		r.write(name, regexp.MustCompile(`\brose\b`).ReplaceAllString(string(text), "peach"))
	}
	r.commit()
	r.git("checkout", "-q", "-b", "rosy", "main")
	r.edit("sloop.block", "patch 2 lamp ", "patch 2 rose ")
	r.commit()
	got := r.merge(t, "tidy", "rosy")
	assert.Empty(t, got.Conflicts)
	require.Len(t, got.New, 2, "%v", got.New)
	assert.Equal(t, "unknown-name", got.New[0].Rule)
	assert.Equal(t, "sloop.block", got.New[0].File)
	assert.Equal(t, "unsewable-block", got.New[1].Rule, "the quilt of that block")
	assert.Equal(t, "wall.block", got.New[1].File)
	assert.False(t, got.Sound())
	assert.Equal(t, got.New, r.merge(t, "rosy", "tidy").New, "either way")
	assert.True(t, r.merge(t, "main", "rosy").Sound())
}

func TestMergeWithAConflict(t *testing.T) {
	t.Parallel()
	r := harbour(t)
	r.git("checkout", "-q", "-b", "a")
	r.edit("palette.block", "#c3dcea", "#c3dceb")
	r.commit()
	r.git("checkout", "-q", "-b", "b", "main")
	r.edit("palette.block", "#c3dcea", "#c3dcec")
	r.commit()
	got := r.merge(t, "a", "b")
	assert.Equal(t, []string{"palette.block"}, got.Conflicts)
	assert.Empty(t, got.New, "what uses a conflicting file is not checked")
	assert.False(t, got.Sound())
	assert.Equal(t, "Merging b into a: 1 conflict.", got.Headline())
}

// The page is drawn by a browser, in which nothing is wider than a narrow window and which obeys
// the page's own policy. A script of the test, let in beside the page's, measures.
func TestPageInABrowser(t *testing.T) {
	t.Parallel()
	browser, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium is not installed")
	}
	r := harbour(t)
	r.edit("sloop.block", "point stem  = (3/4, deck)", "point stem  = (1/2, deck)", "patch 2 lamp", "patch 2 coral")
	const measure = `const e=document.documentElement;e.dataset.sideways=e.scrollWidth-e.clientWidth;e.dataset.width=innerWidth`
	sum := sha256.Sum256([]byte(measure))
	html := page(t, r.review("HEAD"))
	html = strings.Replace(html, "script-src ", "script-src 'sha256-"+base64.StdEncoding.EncodeToString(sum[:])+"' ", 1)
	html = strings.Replace(html, "</body>", "<script>"+measure+"</script></body>", 1)
	path := filepath.Join(t.TempDir(), "review.html")
	require.NoError(t, os.WriteFile(path, []byte(html), 0o666))
	out, err := exec.Command(browser, "--headless", "--no-sandbox", "--disable-gpu", "--user-data-dir="+t.TempDir(),
		"--window-size=500,900", "--enable-logging=stderr", "--dump-dom", "file://"+path).CombinedOutput()
	require.NoError(t, err, "%s", out)
	assert.NotContains(t, string(out), "Content Security Policy directive")
	assert.Contains(t, string(out), `<label class="slide">`, "the script has shown the slider")
	assert.Contains(t, string(out), `data-sideways="0" data-width="500"`)
}

// BenchmarkReview reviews 200 changed blocks of 2,000.
func BenchmarkReview(b *testing.B) {
	r := newRepo(b)
	text := func(i int) string { return linttest.GenerateBlock(uint64(i), 10+i%20) }
	for i := range 2000 {
		r.write(fmt.Sprintf("%02d/b%04d.block", i%40, i), strings.Replace(text(i), `use "`, `use "../`, 1))
	}
	r.write(linttest.PaletteName, linttest.Palette)
	r.commit()
	changed := regexp.MustCompile(`patch 2 \w+`)
	for i := 0; i < 2000; i += 10 {
		r.write(fmt.Sprintf("%02d/b%04d.block", i%40, i), changed.ReplaceAllString(strings.Replace(text(i), `use "`, `use "../`, 1), "patch 2 cedar"))
	}
	r.commit()
	h, err := history.Open(b.Context(), r.dir)
	require.NoError(b, err)
	run := func(b *testing.B) *review.Report {
		var trees [2]*history.Tree
		for i, rev := range []string{"HEAD~1", "HEAD"} {
			commit, err := h.Resolve(b.Context(), rev)
			require.NoError(b, err)
			trees[i], err = h.Tree(b.Context(), commit)
			require.NoError(b, err)
			defer trees[i].Close()
		}
		out, err := review.Run(b.Context(), trees[0], trees[1], rules.All, nil)
		require.NoError(b, err)
		return out
	}
	b.Run("report", func(b *testing.B) {
		for b.Loop() {
			require.Greater(b, len(run(b).Blocks), 150)
		}
	})
	report := run(b)
	b.Run("page", func(b *testing.B) {
		for b.Loop() {
			require.NoError(b, review.HTML(new(bytes.Buffer), report))
		}
	})
}
