// Command gendocs writes the pages that come from the source: a page for each
// rule, their index, the settings page and its schema.
//
//	gendocs write    writes them
//	gendocs check    fails when a page is not what would be written
package main

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"sewable/lint"
	"sewable/lint/docs"
	"sewable/lint/rules"
)

// folder is where the pages are, from the root of the repository.
const folder = "lint/rules/docs"

func main() {
	if len(os.Args) != 2 {
		fail(fmt.Errorf("usage: gendocs write|check"))
	}
	switch os.Args[1] {
	case "write":
		fail(write(folder, pages(rules.All)))
	case "check":
		fail(check(folder, pages(rules.All)))
	default:
		fail(fmt.Errorf("usage: gendocs write|check"))
	}
}

func fail(err error) {
	if err != nil {
		fmt.Fprintln(os.Stderr, "gendocs:", err)
		os.Exit(1)
	}
}

// pages are the pages by file name.
func pages(rules []*lint.Rule) map[string]string {
	out := map[string]string{
		"README.md":           docs.Index(rules),
		"settings.md":         docs.Settings(),
		"sewable.schema.json": docs.Schema(rules),
	}
	for _, r := range rules {
		out[r.Name+".md"] = docs.Rule(r)
	}
	return out
}

// write makes the folder hold the pages and nothing else.
func write(folder string, pages map[string]string) error {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	stale, err := names(folder)
	if err != nil {
		return err
	}
	for name, text := range pages {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644); err != nil {
			return err
		}
	}
	for _, name := range stale {
		if _, ok := pages[name]; !ok {
			if err := os.Remove(filepath.Join(folder, name)); err != nil {
				return err
			}
		}
	}
	return nil
}

// check reports the first page that is not what would be written.
func check(folder string, pages map[string]string) error {
	there, err := names(folder)
	if err != nil {
		return err
	}
	for name := range pages {
		if !slices.Contains(there, name) {
			there = append(there, name)
		}
	}
	slices.Sort(there)
	for _, name := range there {
		text, err := os.ReadFile(filepath.Join(folder, name))
		want, ok := pages[name]
		if err != nil || !ok || string(text) != want {
			return fmt.Errorf("%s is out of step with its source; run `go run ./cmd/gendocs write`", filepath.Join(folder, name))
		}
	}
	return nil
}

func names(folder string) ([]string, error) {
	entries, err := os.ReadDir(folder)
	if os.IsNotExist(err) {
		return nil, nil
	}
	var out []string
	for _, e := range entries {
		if e.Type()&fs.ModeDir == 0 {
			out = append(out, e.Name())
		}
	}
	return out, err
}
