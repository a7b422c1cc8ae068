package lint_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lang/syntax/format"
	"sewable/lint"
	"sewable/lint/rules"
)

// lintText gives the findings of a text, of rules that are off too, and their fingerprints.
func lintText(path, text string) ([]lint.Finding, []lint.Fingerprint) {
	toml := "[levels]\n"
	for _, r := range rules.All {
		if r.Level == lint.Off {
			toml += r.Name + " = \"warning\"\n"
		}
	}
	o := lint.Options{Rules: rules.All, Config: lint.WithSettings(lint.ReadSettings(source.New("sewable.toml", toml), rules.All))}
	found := lint.Text(path, text, o).Findings
	return found, lint.Fingerprints(found, "")
}

// Lines put in, other spaces, other comments and the formatter leave every
// finding of every broken file its fingerprint.
func TestFingerprintsOutliveLayout(t *testing.T) {
	paths, err := filepath.Glob("../testdata/broken/*.block")
	require.NoError(t, err)
	require.NotEmpty(t, paths)
	for _, path := range paths {
		t.Run(filepath.Base(path), func(t *testing.T) {
			raw, err := os.ReadFile(path)
			require.NoError(t, err)
			text := string(raw)
			_, want := lintText(path, text)
			require.NotEmpty(t, want)
			assert.Len(t, slices.Compact(slices.Sorted(slices.Values(want))), len(want), "each has its own")

			tree := syntax.NewReader().Parse(source.New(path, text))
			_, got := lintText(path, format.Format(tree))
			assert.ElementsMatch(t, want, got, "formatted")
			rapid.Check(t, func(t *rapid.T) {
				other := respaced(t, tree)
				_, got := lintText(path, other)
				assert.ElementsMatch(t, want, got, other)
			})
		})
	}
}

// respaced is the text of a tree with other white space, and with blank lines and comments put in.
func respaced(t *rapid.T, tree *syntax.Tree) string {
	text := tree.File.Text
	var b strings.Builder
	at := 0
	syntax.Walk(tree.Items, func(item *syntax.Item) bool {
		if item.Kind == syntax.Unreadable || item.Stmt.Len() == 0 || strings.Contains(text[item.Stmt.Start:item.Stmt.End], "\n") {
			return true
		}
		head := text[at:item.Stmt.Start]
		if line := strings.LastIndexByte(head, '\n'); line >= 0 && strings.TrimSpace(head[line:]) == "" {
			more := rapid.SampledFrom([]string{"", "", "\n", "  \n\n", "// high tide\n", "\t// low tide // twice\n\n"}).Draw(t, "put in")
			head = head[:line+1] + more + strings.Repeat(" ", rapid.IntRange(0, 5).Draw(t, "indent"))
		}
		b.WriteString(head)
		end := item.Stmt.Start
		for i, token := range syntax.Tokens(text[item.Stmt.Start:item.Stmt.End]) {
			if i > 0 && token.Start > end-item.Stmt.Start {
				b.WriteString(rapid.SampledFrom([]string{" ", " ", "  ", "\t"}).Draw(t, "gap"))
			}
			b.WriteString(token.Text)
			end = item.Stmt.Start + token.End
		}
		at = item.Stmt.End
		return true
	})
	return b.String() + text[at:]
}

const shoal = `fabric sky
fabric sea

block "Shoal" 4 by 4 {
  allowance 1/4
  section A {
    outline (0, 0) (4, 0) (4, 4) (0, 4)
    patch 1 sky around (2, 2)
    patch 2 sea beyond (0, 1/8) (4, 1/8)
    patch 3 sea beyond (0, 3 7/8) (4, 3 7/8)
  }
}
`

func compared(before, after map[string]string) lint.Change {
	all := func(files map[string]string) (out []lint.Finding) {
		for _, path := range slices.Sorted(func(yield func(string) bool) {
			for path := range files {
				if !yield(path) {
					return
				}
			}
		}) {
			found, _ := lintText(path, files[path])
			out = append(out, found...)
		}
		return out
	}
	return lint.Compare(all(before), all(after), func(file string) bool { _, ok := after[file]; return !ok })
}

func TestCompare(t *testing.T) {
	old, _ := lintText("a.block", shoal)
	require.Greater(t, len(old), 1)
	unused := "fabric gravel\n"
	for name, c := range map[string]struct {
		before, after map[string]string
		fresh, gone   []string // rule and patch
	}{
		"nothing": {
			before: map[string]string{"a.block": shoal}, after: map[string]string{"a.block": shoal},
		},
		"a renamed file": {
			before: map[string]string{"a.block": shoal + unused},
			after:  map[string]string{"b.block": "// A shoal.\n" + shoal + unused},
		},
		"a copied file brings its own": {
			before: map[string]string{"a.block": shoal + unused},
			after:  map[string]string{"a.block": shoal + unused, "b.block": shoal + unused},
			fresh:  append(named(old), "unused-fabric 0"),
		},
		"a finding in no block does not wander between files that stay": {
			before: map[string]string{"a.block": shoal + unused, "b.block": strings.ReplaceAll(shoal, "Shoal", "Bar")},
			after:  map[string]string{"a.block": shoal, "b.block": strings.ReplaceAll(shoal, "Shoal", "Bar") + unused},
			fresh:  []string{"unused-fabric 0"},
			gone:   []string{"unused-fabric 0"},
		},
		"a block in another file": {
			before: map[string]string{"a.block": shoal, "b.block": ""},
			after:  map[string]string{"a.block": "", "b.block": shoal},
			fresh:  []string{"empty-file 0"},
			gone:   []string{"empty-file 0"},
		},
		"another title": {
			before: map[string]string{"a.block": shoal},
			after:  map[string]string{"a.block": strings.ReplaceAll(shoal, "Shoal", "Sand bar")},
		},
		"the second of equals": {
			before: map[string]string{"a.block": shoal + unused},
			after:  map[string]string{"a.block": unused + shoal + unused},
			fresh:  []string{"duplicate-name 0"},
		},
	} {
		t.Run(name, func(t *testing.T) {
			got := compared(c.before, c.after)
			assert.ElementsMatch(t, c.fresh, named(got.New), "new")
			assert.ElementsMatch(t, c.gone, named(got.Gone), "gone")
		})
	}
}

func named(findings []lint.Finding) (out []string) {
	for _, f := range findings {
		out = append(out, fmt.Sprintf("%s %d", f.Rule, f.Patch))
	}
	return out
}

func TestFingerprintsNameFilesFromTheRoot(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	found, plain := lintText("blocks/a.block", shoal)
	abs := slices.Clone(found)
	for i := range abs {
		abs[i].File = filepath.ToSlash(filepath.Join(dir, abs[i].File))
	}
	assert.Equal(t, plain, lint.Fingerprints(abs, "."))
	assert.NotEqual(t, plain, lint.Fingerprints(abs, ""))
	assert.Equal(t, "../a.block", lint.FromRoot("../a.block", "."))
}

// A settings file has findings too; a comment there changes nothing.
func TestFingerprintsOfSettings(t *testing.T) {
	of := func(text string) []lint.Fingerprint {
		found, _ := lint.CheckSettings(lint.ReadSettings(source.New("sewable.toml", text), rules.All), rules.All)
		require.NotEmpty(t, found)
		return lint.Fingerprints(found, "")
	}
	want := of("paper = \"#4\" # the harbour's own\n")
	assert.Equal(t, want, of("\n\n  paper  =  \"#4\"\n"))
	assert.NotEqual(t, want, of("paper = \"#5\"\n"))
}

// What is kept of a statement gives the same fingerprint again, whatever it was.
func TestListedFindingsAreTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := lint.Finding{Place: lint.Place{File: rapid.SampledFrom([]string{"a.block", "sewable.toml"}).Draw(t, "file")}}
		words := []string{"patch", "2  1/2", "2½", `"a  b"`, `"a  , ( b )"`, `"`, "(", ")", ",", "// why", "#aabbcc", "'#'", "\t", "\n", " ", "\xff", strings.Repeat("long ", 50)}
		f.Statement = strings.Join(rapid.SliceOf(rapid.SampledFrom(words)).Draw(t, "statement"), "")
		again := lint.Finding{Place: f.Place}.Listed(f.Normal())
		assert.Equal(t, f.Normal(), again.Normal())
		assert.Equal(t, lint.Fingerprints([]lint.Finding{f}, ""), lint.Fingerprints([]lint.Finding{again}, ""))
	})
	a, b := lint.Finding{Statement: "let a = 2 1/2"}, lint.Finding{Statement: "let a  =  2  1/2 // wide"}
	assert.Equal(t, a.Normal(), b.Normal())
}
