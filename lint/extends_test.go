package lint_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/geom"
	"sewable/lint"
	"sewable/lint/rules"
)

// in lays out files in a repository and gives its folder.
func in(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, ".git"), 0o777))
	for name, text := range files {
		path := filepath.Join(dir, filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o777))
		require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
	}
	return dir
}

// What is set nearest counts: an override of the file, then the file, then what it extends, with its overrides.
func TestExtendsAndOverrides(t *testing.T) {
	t.Parallel()
	dir := in(t, map[string]string{
		"sewable.toml": `exclude = ["drafts/**"]
[limits]
seam = "3/4 in"
patch = "3/8 in"
[levels]
short-seam = "hint"
[[overrides]]
files = ["minis/**"]
limits = { seam = "1/4 in", patch = "1/8 in" }
[[overrides]]
files = ["minis/tiny*", "*.draft.block"]
[overrides.levels]
short-seam = "off"
[paper]
size = "a4"
`,
		"minis/sewable.toml": "extends = \"../sewable.toml\"\n[limits]\npatch = \"3/16 in\"\n",
		"alone/sewable.toml": "[limits]\nstep = \"1/8 in\"\n",
	})
	c := lint.NewConfig(rules.All)
	hold := func(path string) *lint.Settings { return c.For(filepath.Join(dir, path)).For(geom.Inches) }
	in := func(s string) geom.Num { n, _ := lint.ParseLength(s); return n }
	for _, want := range []struct{ path, seam, patch, level, paper string }{
		{"a.block", "3/4 in", "3/8 in", "hint", "a4"},
		{"a.draft.block", "3/4 in", "3/8 in", "off", "a4"},
		{"minis/a.block", "1/4 in", "3/16 in", "hint", "a4"}, // the nearer file after the farther one's override
		{"minis/tiny1.block", "1/4 in", "3/16 in", "off", "a4"},
		{"alone/a.block", "1/2 in", "1/4 in", "", "letter"},
	} {
		s := hold(want.path)
		assert.Equal(t, in(want.seam), s.LeastSeam, want.path)
		assert.Equal(t, in(want.patch), s.LeastPatch, want.path)
		level := ""
		if l, ok := s.Levels["short-seam"]; ok {
			level = l.String()
		}
		assert.Equal(t, want.level, level, want.path)
		assert.Equal(t, want.paper, s.Paper.Name, want.path)
	}
	assert.True(t, c.Excluded(filepath.Join(dir, "drafts/x.block")), "patterns are relative to the file that has them")
	assert.False(t, c.Excluded(filepath.Join(dir, "minis/drafts/x.block")))
	for _, f := range c.Files() {
		assert.Empty(t, f.Problems, f.Source.Path)
	}
	assert.Len(t, c.Files(), 3, "each is read once")
}

// What cannot hold is said at its line.
func TestExtendsAndOverridesThatCannotHold(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ text, want string }{
		"outside":    {`extends = "../../sewable.toml"`, "../../sewable.toml is outside this repository"},
		"itself":     {`extends = "sewable.toml"`, "extends goes round in a circle: sewable.toml extends this file"},
		"round":      {`extends = "round/sewable.toml"`, "extends goes round in a circle: ../sewable.toml extends this file"},
		"missing":    {`extends = "no/sewable.toml"`, "there is no file no/sewable.toml"},
		"a secret":   {`extends = ".env"`, `extends is the path of another sewable.toml from this one, such as "../sewable.toml"`},
		"absolute":   {`extends = "/sewable.toml"`, `extends is the path of another sewable.toml from this one, such as "../sewable.toml"`},
		"no files":   {"[[overrides]]\nlimits = { seam = \"1/4 in\" }", `each [[overrides]] needs files, a list of patterns, such as files = ["minis/**"]`},
		"exclude":    {"[[overrides]]\nfiles = [\"a\"]\nexclude = [\"b\"]", "exclude holds for the whole file; write it above the overrides"},
		"mandatory":  {"[[overrides]]\nfiles = [\"**\"]\nlevels = { gap = \"off\" }", ""},
		"bad key":    {"[[overrides]]\nfiles = [\"a\"]\nlimits = { sem = \"1/4 in\" }", ""},
		"bad globs":  {"[[overrides]]\nfiles = \"a\"", `overrides.files is a list of patterns, such as ["drafts/**"]`},
		"other list": {"[[limits]]\nseam = \"1/4 in\"", "write its name once, in single brackets: [limits]"},
	} {
		dir := in(t, map[string]string{"sewable.toml": c.text + "\n", "round/sewable.toml": "extends = \"../sewable.toml\"\n"})
		config := lint.NewConfig(rules.All)
		f := config.For(filepath.Join(dir, "a.block"))
		said := ""
		n := 0
		for _, f := range config.Files() {
			for _, p := range f.Problems {
				said += p.Want
				n++
			}
		}
		assert.Equal(t, 1, n, name)
		if c.want != "" {
			assert.Equal(t, c.want, said, name)
		}
		assert.NotContains(t, f.For(geom.Inches).Levels, "gap", name)
	}
}
