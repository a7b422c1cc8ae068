package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"golang.org/x/tools/txtar"

	"sewable/lint"
)

// examples are the folders whose findings show every message: a file for every rule, and scenarios.
var examples = struct{ broken, scenarios string }{"testdata/broken", "testdata/rules"}

// messages is the page of all messages: of each rule every variant of what it says, with one example of each,
// so that a person can read them all in ten minutes.
func messages(rules []*lint.Rule) (string, error) {
	found, err := exampleFindings(rules)
	if err != nil {
		return "", err
	}
	var b strings.Builder
	b.WriteString("# All messages\n\nEvery variant of every message, with one example, as found in the examples and the test files.\n")
	for _, r := range rules {
		fmt.Fprintf(&b, "\n## [%s](%s.md)\n\n%s\n\n", r.Name, r.Name, r.Title)
		said, lines := map[string]bool{}, []string{}
		for _, f := range found[r.Name] {
			line := fmt.Sprintf("- %s: %s", f.Level, f.Message)
			for _, other := range f.Related {
				line += "\n  - " + other.Message
			}
			for _, fix := range f.Fixes {
				line += "\n  - fix: " + fix.Title
			}
			if kind := variant(line); !said[kind] {
				said[kind] = true
				lines = append(lines, line+"\n")
			}
		}
		slices.Sort(lines)
		b.WriteString(strings.Join(lines, ""))
	}
	return b.String(), nil
}

// varying is what makes two examples of one variant differ: names, numbers and how many there are.
var varying = []struct {
	of *regexp.Regexp
	is string
}{
	{regexp.MustCompile("\"[^\"]*\"|`[^`]*`"), "…"},
	{regexp.MustCompile(`\b(called|number|point|seam|fabric|colorway|notch|Notch|section|Section|Sections|Notches|of|to|are both|use) [a-zA-Z]\w*\b`), "$1 x"},
	{regexp.MustCompile(`\b[A-Z]{1,2}\d*\b`), "A"},
	{regexp.MustCompile(`\d+( \d+)?(/\d+)?([.,]\d+)*°?`), "1"},
	{regexp.MustCompile(`\b1( 1)+\b`), "1"},
	{regexp.MustCompile(`\b(sq in|in|mm|cm|sq cm)\b`), "in"},
	{regexp.MustCompile(`(A|x|1)((, | and |, and | to |…| )+(A|x|1))+`), "$1"},
	{regexp.MustCompile(`(\n  - [^\n]*)(\n  - [^\n]*)+`), "$1"},
	{regexp.MustCompile(` \(and [^)]*\)`), ""},
}

// variant is a message without what varies.
func variant(message string) string {
	for _, v := range varying {
		message = v.of.ReplaceAllString(message, v.is)
	}
	return message
}

// exampleFindings are the findings of all examples, by rule.
func exampleFindings(rules []*lint.Rule) (map[string][]lint.Finding, error) {
	dir, err := os.MkdirTemp("", "sewable-messages-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	scenarios, err := filepath.Glob(filepath.Join(examples.scenarios, "*.txtar"))
	if err != nil {
		return nil, err
	}
	for _, path := range scenarios {
		archive, err := txtar.ParseFile(path)
		if err != nil {
			return nil, err
		}
		root := filepath.Join(dir, strings.TrimSuffix(filepath.Base(path), ".txtar"))
		if err := os.MkdirAll(filepath.Join(root, ".git"), 0o755); err != nil { // a repository of its own
			return nil, err
		}
		files := map[string]string{}
		for _, f := range archive.Files {
			files[f.Name] = string(f.Data)
		}
		if err := writeFiles(root, files); err != nil {
			return nil, err
		}
	}
	out := map[string][]lint.Finding{}
	add := func(paths []string) error {
		result, err := lint.Run(context.Background(), paths, lint.Options{Rules: rules})
		if err != nil {
			return err
		}
		for _, f := range result.Findings {
			out[f.Rule] = append(out[f.Rule], f)
		}
		return nil
	}
	for _, folder := range []string{examples.broken, dir} {
		paths, err := lint.FindFiles([]string{folder}, lint.NewConfig(rules))
		if err != nil {
			return nil, err
		}
		for _, path := range paths { // one by one, so that the order is that of the names
			if err := add([]string{path}); err != nil {
				return nil, err
			}
		}
	}
	return out, nil
}
