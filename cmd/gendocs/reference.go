package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"sewable/lang/syntax"
)

// reference is the page of the language; what is behind the heading is written here.
const (
	reference = "lang/REFERENCE.md"
	forms     = "## Every form\n\n"
)

// referencePage is the page with every form and every word, as the grammar has them.
func referencePage(root string) (string, error) {
	page, err := os.ReadFile(filepath.Join(root, filepath.FromSlash(reference)))
	if err != nil {
		return "", err
	}
	before, _, ok := strings.Cut(string(page), forms)
	if !ok {
		return "", fmt.Errorf("%s has no heading %q", reference, strings.TrimSpace(forms))
	}
	var b strings.Builder
	b.WriteString(before + forms + "`<…>` is filled in, `[ … ]` may be omitted, `{ … }` may be repeated (of several options, each once), and `|` is or.\n\n```text\n")
	for _, s := range syntax.Statements() {
		fmt.Fprintln(&b, s.Grammar())
	}
	b.WriteString("```\n\nA point is its name or one of these:\n\n```text\n")
	for _, p := range syntax.Points() {
		fmt.Fprintln(&b, p.Grammar())
	}
	b.WriteString("```\n\n## Reserved words\n\n| word | meaning |\n| --- | --- |\n")
	for _, k := range syntax.Keywords() {
		fmt.Fprintf(&b, "| `%s` | %s |\n", k.Word, strings.ReplaceAll(k.Meaning, "|", "\\|"))
	}
	b.WriteString("\nThese are words only in their place, and names anywhere else:\n\n| word | meaning |\n| --- | --- |\n")
	for _, k := range syntax.ContextualWords() {
		fmt.Fprintf(&b, "| `%s` | %s |\n", k.Word, strings.ReplaceAll(k.Meaning, "|", "\\|"))
	}
	return b.String(), nil
}
