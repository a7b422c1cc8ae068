// Package linttest runs rules over files that say themselves what is to be
// found in them (see Want), and over the examples in the rules' documentation.
package linttest

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/tools/txtar"

	"sewable/lang/source"
	"sewable/lint"
)

// A rule that breaks down in a test breaks the test.
func init() { lint.PanicThrough = true }

// Rules holds the rules to their form, and their examples to what they say:
// Bad gives one finding, of its rule, Good none of any rule. Every fix that is
// offered for Bad takes the finding away and brings no other.
func Rules(t *testing.T, rules []*lint.Rule) {
	require.NoError(t, lint.Validate(rules))
	for _, r := range rules {
		t.Run(r.Name, func(t *testing.T) {
			t.Parallel()
			bad := example(t, r, rules, r.Bad)
			if assert.Len(t, bad, 1, "Bad gives one finding:\n%s", list(bad)) {
				assert.Equal(t, r.Name, bad[0].Rule, "Bad gives the finding of its rule:\n%s", list(bad))
				for _, fix := range bad[0].Fixes {
					mended := lint.Apply(trim(r.Bad), fix.Edits)
					assert.Empty(t, list(example(t, r, rules, mended)), "after the fix %q:\n%s", fix.Title, mended)
				}
			}
			assert.Empty(t, list(example(t, r, rules, r.Good)), "Good gives no finding")
		})
	}
}

// example lints the text of an example, with its rule switched on.
func example(t *testing.T, r *lint.Rule, rules []*lint.Rule, text string) []lint.Finding {
	text = trim(text)
	if r.Settings != nil {
		findings, _ := lint.CheckSettings(lint.ReadSettings(source.New(lint.SettingsName, text), rules), rules)
		return valid(t, findings)
	}
	return valid(t, lint.Text("example.block", text, lint.Options{Rules: rules, Config: on(r, rules)}).Findings)
}

// on are the default settings, but with one rule that is off switched on.
func on(r *lint.Rule, rules []*lint.Rule) *lint.Config {
	text := ""
	if r != nil && r.Level == lint.Off {
		text = "[levels]\n" + r.Name + " = \"warning\"\n"
	}
	return lint.WithSettings(lint.ReadSettings(source.New(lint.SettingsName, text), rules))
}

// trim takes the line break off that follows the opening quote.
func trim(text string) string { return strings.TrimPrefix(text, "\n") }

// Broken runs the files of a folder, one for each rule: NAME.block, or
// NAME.toml for a rule about settings, gives one finding, of the rule NAME,
// where and as the file says. A rule without a file fails.
func Broken(t *testing.T, folder string, rules []*lint.Rule) {
	left := map[string]bool{}
	for _, entry := range entries(t, folder) {
		if strings.HasPrefix(entry, "_") { // used by others
			continue
		}
		left[entry] = true
	}
	for _, r := range rules {
		name := r.Name + lint.Extension
		if r.Settings != nil {
			name = r.Name + ".toml"
		}
		delete(left, name)
		t.Run(r.Name, func(t *testing.T) {
			t.Parallel()
			path := filepath.Join(folder, name)
			text, err := os.ReadFile(path)
			require.NoError(t, err, "every rule has a broken file")
			var findings []lint.Finding
			if r.Settings != nil {
				findings, _ = lint.CheckSettings(lint.ReadSettings(source.New(path, string(text)), rules), rules)
			} else {
				findings = lint.Text(path, string(text), lint.Options{Rules: rules, Config: on(r, rules)}).Findings
			}
			wants := Wants(string(text))
			if assert.Len(t, wants, 1, "a broken file wants one finding") {
				assert.Equal(t, r.Name, wants[0].Rule)
			}
			compare(t, valid(t, findings), wants)
		})
	}
	for name := range left {
		t.Errorf("%s belongs to no rule", filepath.Join(folder, name))
	}
}

// Scenarios runs txtar files: what comes before the first file says in a
// sentence what is shown; every block file whose name does not begin with _
// is linted, with the sewable.toml beside it when there is one. A rule without a
// scenario of its name fails.
func Scenarios(t *testing.T, folder string, rules []*lint.Rule) {
	there := map[string]bool{}
	for _, name := range entries(t, folder) {
		if filepath.Ext(name) != ".txtar" {
			continue
		}
		there[strings.TrimSuffix(name, ".txtar")] = true
		t.Run(strings.TrimSuffix(name, ".txtar"), func(t *testing.T) {
			t.Parallel()
			scenario(t, filepath.Join(folder, name), rules)
		})
	}
	for _, r := range rules {
		assert.True(t, there[r.Name], "%s has no scenario in %s", r.Name, folder)
	}
}

func scenario(t *testing.T, path string, rules []*lint.Rule) {
	archive, err := txtar.ParseFile(path)
	require.NoError(t, err)
	assert.NotEmpty(t, strings.TrimSpace(string(archive.Comment)), "a scenario begins with a sentence of intent")
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, ".git"), 0o755)) // a repository of its own
	wants, paths := map[string][]Want{}, []string{}
	for _, f := range archive.Files {
		at := filepath.Join(dir, filepath.FromSlash(f.Name))
		require.NoError(t, os.MkdirAll(filepath.Dir(at), 0o755))
		require.NoError(t, os.WriteFile(at, f.Data, 0o644))
		switch base := filepath.Base(at); {
		case base == lint.SettingsName:
			wants[at] = Wants(string(f.Data))
		case filepath.Ext(base) == lint.Extension && !strings.HasPrefix(base, "_"):
			wants[at] = Wants(string(f.Data))
			paths = append(paths, at)
		}
	}
	require.NotEmpty(t, paths, "a scenario has a block file")
	result, err := lint.Run(t.Context(), paths, lint.Options{Rules: rules})
	require.NoError(t, err)
	found := map[string][]lint.Finding{}
	for _, f := range valid(t, result.Findings) {
		found[filepath.FromSlash(f.File)] = append(found[filepath.FromSlash(f.File)], f)
	}
	for at, want := range wants {
		compare(t, found[at], want)
		delete(found, at)
	}
	for _, rest := range found {
		assert.Empty(t, list(rest), "findings in files that are only used")
	}
}

// Clean holds every block file of a folder to having no finding at all.
func Clean(t *testing.T, folder string, rules []*lint.Rule) {
	config := lint.NewConfig(rules)
	paths, err := lint.FindFiles([]string{folder}, config)
	require.NoError(t, err)
	require.NotEmpty(t, paths)
	result, err := lint.Run(t.Context(), paths, lint.Options{Rules: rules, Config: config})
	require.NoError(t, err)
	assert.Empty(t, list(valid(t, result.Findings)))
}

func compare(t *testing.T, findings []lint.Finding, wants []Want) {
	t.Helper()
	missing, unexpected := Match(findings, wants)
	for _, w := range missing {
		t.Errorf("missing: %s", w)
	}
	if len(unexpected) > 0 {
		t.Errorf("unexpected:\n%s", list(unexpected))
	}
}

// valid holds findings to their form.
func valid(t *testing.T, findings []lint.Finding) []lint.Finding {
	t.Helper()
	for _, f := range findings {
		assert.NoError(t, lint.ValidateFinding(f))
	}
	return findings
}

// list is findings as a test shows them.
func list(findings []lint.Finding) string {
	var b strings.Builder
	for _, f := range findings {
		b.WriteString(f.Place.String() + ": " + f.Level.String() + ": " + f.Message + " [" + f.Rule + "]\n")
	}
	return b.String()
}

func entries(t *testing.T, folder string) []string {
	list, err := os.ReadDir(folder)
	require.NoError(t, err)
	var names []string
	for _, e := range list {
		if !e.IsDir() {
			names = append(names, e.Name())
		}
	}
	return names
}
