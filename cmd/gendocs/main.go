// Command gendocs writes the files that come from the source: a page for each
// rule, their index, the settings page and its schema, all messages; the forms and words on the page of
// the language; and the grammars by which editors color blocks.
//
//	gendocs write    writes them
//	gendocs check    fails when one is not what would be written
//
// It is run at the root of the repository.
package main

import (
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"sewable/lint"
	"sewable/lint/docs"
	"sewable/lint/rules"
)

func main() {
	if len(os.Args) != 2 {
		fail(fmt.Errorf("usage: gendocs write|check"))
	}
	grammars, err := editors(".")
	fail(err)
	pages, err := pages(rules.All)
	fail(err)
	switch os.Args[1] {
	case "write":
		fail(write(folder, pages))
		fail(writeFiles(".", grammars))
	case "check":
		fail(check(folder, pages))
		fail(checkFiles(".", grammars))
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

// folder is where the pages are, from the root of the repository; it holds nothing else.
const folder = "lint/rules/docs"

// pages are the pages by file name.
func pages(rules []*lint.Rule) (map[string]string, error) {
	said, err := messages(rules)
	if err != nil {
		return nil, err
	}
	out := map[string]string{
		"README.md":           docs.Index(rules),
		"messages.md":         said,
		"settings.md":         docs.Settings(),
		"sewable.schema.json": docs.Schema(rules),
	}
	for _, r := range rules {
		out[r.Name+".md"] = docs.Rule(r)
	}
	return out, nil
}

// write makes the folder hold the pages and nothing else.
func write(folder string, pages map[string]string) error {
	there, err := names(folder)
	if err != nil {
		return err
	}
	for _, name := range there {
		if _, ok := pages[name]; !ok {
			if err := os.Remove(filepath.Join(folder, name)); err != nil {
				return err
			}
		}
	}
	return writeFiles(folder, pages)
}

// check reports the first page that is not what would be written, or should not be there.
func check(folder string, pages map[string]string) error {
	there, err := names(folder)
	if err != nil {
		return err
	}
	for _, name := range there {
		if _, ok := pages[name]; !ok {
			return outOfStep(filepath.Join(folder, name))
		}
	}
	return checkFiles(folder, pages)
}

// writeFiles writes files, which are named from a folder.
func writeFiles(folder string, files map[string]string) error {
	for name, text := range files {
		path := filepath.Join(folder, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			return err
		}
	}
	return nil
}

// checkFiles reports the first file that is not what would be written.
func checkFiles(folder string, files map[string]string) error {
	for _, name := range slices.Sorted(maps.Keys(files)) {
		path := filepath.Join(folder, filepath.FromSlash(name))
		if text, err := os.ReadFile(path); err != nil || string(text) != files[name] {
			return outOfStep(path)
		}
	}
	return nil
}

func outOfStep(path string) error {
	return fmt.Errorf("%s is out of step with its source; run `go run ./cmd/gendocs write`", path)
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
