package lint_test

import (
	"os"
	"path/filepath"
	"testing"

	"sewable/lang/source"
	"sewable/lint"
	"sewable/lint/rules"
)

// FuzzLint lints whatever text with all rules, those that are off included.
// Every finding has to be in good form and stand in the text, and so every edit of
// a fix; the certain fixes come to an end and may not make things worse.
func FuzzLint(f *testing.F) {
	for _, glob := range []string{"../testdata/broken/*.block", "../testdata/harbour/*.block"} {
		paths, err := filepath.Glob(glob)
		if err != nil || len(paths) == 0 {
			f.Fatal(glob, "gives no seeds", err)
		}
		for _, path := range paths {
			text, err := os.ReadFile(path)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(string(text))
		}
	}
	toml := "[levels]\n"
	for _, r := range rules.All {
		f.Add(r.Bad)
		f.Add(r.Good)
		if r.Level == lint.Off {
			toml += r.Name + " = \"warning\"\n"
		}
	}
	config := lint.WithSettings(lint.ReadSettings(source.New(lint.SettingsName, toml), rules.All))
	o := lint.Options{Rules: rules.All, Config: config}
	f.Fuzz(func(t *testing.T, text string) {
		const path = "fuzz.block"
		result := lint.Text(path, text, o)
		within := func(p lint.Place) {
			if p.File == path && (p.Span.Start < 0 || p.Span.End > len(text) || p.Span.Start > p.Span.End) {
				t.Errorf("%v lies outside %d bytes", p.Span, len(text))
			}
		}
		for _, x := range result.Findings {
			if err := lint.ValidateFinding(x); err != nil {
				t.Error(err)
			}
			within(x.Place)
			for _, r := range x.Related {
				within(r.Place)
			}
			for _, fix := range x.Fixes {
				for _, e := range fix.Edits {
					within(e.Place)
				}
			}
		}
		if mended := lint.Mend(path, text, o, lint.Mending{}); len(mended.Fixes) == 0 && mended.Text != text {
			t.Error("changed without a fix")
		}
	})
}
