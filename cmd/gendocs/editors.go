package main

import (
	"bytes"
	"embed"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"slices"
	"strings"
	"text/template"

	"sewable/lang/syntax"
)

// grammars are the files by which editors colour blocks, as templates: all that they
// know of the language's words is filled in here.
//
//go:embed grammars
var grammars embed.FS

// editorFiles says what is written from which template, from the root of the repository.
var editorFiles = map[string]string{
	"editors/vscode/syntaxes/sewable.tmLanguage.json": "textmate.json",
	"editors/vim/syntax/sewable.vim":                  "vim.vim",
	"editors/emacs/sewable-words.el":                  "emacs.el",
	"editors/kakoune/sewable.kak":                     "kakoune.kak",
	"editors/kate/sewable.xml":                        "kate.xml",
}

// sublime is the TextMate grammar once more, as a property list.
const sublime = "editors/sublime/Sewable.tmLanguage"

// words sorts the words of the language as grammars colour them. A word is in
// one of the lists alone.
type words struct {
	Statements []string // begin a statement
	Points     []string // begin a form of a point
	Units      []string
	Others     []string // the rest
	First      []string // that are words only where they begin a statement, and can be names
	Contextual []string // that are words only before a number, and can be names
	Vulgar     string   // the fractions that are one character
}

// vocabulary asks the language for its words.
func vocabulary() words {
	w := words{Vulgar: syntax.VulgarFractions()}
	for _, u := range []syntax.Unit{syntax.Inches, syntax.Centimetres, syntax.Millimetres} {
		w.Units = append(w.Units, u.String())
	}
	for _, k := range syntax.Keywords() {
		switch {
		case slices.ContainsFunc(syntax.Statements(), func(s *syntax.StatementInfo) bool { return s.Word == k.Word }):
			w.Statements = append(w.Statements, k.Word)
		case slices.ContainsFunc(syntax.Points(), func(p *syntax.PointInfo) bool { return p.Word == k.Word }):
			w.Points = append(w.Points, k.Word)
		case slices.Contains(w.Units, k.Word):
		default:
			w.Others = append(w.Others, k.Word)
		}
	}
	for _, k := range syntax.ContextualWords() {
		if slices.ContainsFunc(syntax.Statements(), func(s *syntax.StatementInfo) bool { return s.Word == k.Word }) {
			w.First = append(w.First, k.Word)
			continue
		}
		w.Contextual = append(w.Contextual, k.Word)
	}
	return w
}

// All are all reserved words.
func (w words) All() []string { return slices.Concat(w.Statements, w.Points, w.Units, w.Others) }

// editors are the files by path, the page of the language among them.
func editors(root string) (map[string]string, error) {
	t, err := template.New("").Funcs(template.FuncMap{"join": strings.Join}).ParseFS(grammars, "grammars/*")
	if err != nil {
		return nil, err
	}
	page, err := referencePage(root)
	if err != nil {
		return nil, err
	}
	out := map[string]string{reference: page}
	for path, name := range editorFiles {
		var b bytes.Buffer
		if err := t.ExecuteTemplate(&b, name, vocabulary()); err != nil {
			return nil, err
		}
		out[path] = b.String()
		if name == "textmate.json" {
			if out[path], err = indented(b.Bytes()); err != nil {
				return nil, err
			}
			if out[sublime], err = propertyList(b.Bytes()); err != nil {
				return nil, err
			}
		}
	}
	return out, nil
}

func indented(text []byte) (string, error) {
	var b bytes.Buffer
	if err := json.Indent(&b, bytes.TrimSpace(text), "", "  "); err != nil {
		return "", err
	}
	return b.String() + "\n", nil
}

// propertyList writes JSON of objects, arrays and strings as Apple's XML property
// list, the form that TextMate's grammars had first.
func propertyList(text []byte) (string, error) {
	var value any
	if err := json.Unmarshal(text, &value); err != nil {
		return "", err
	}
	var b bytes.Buffer
	b.WriteString(xml.Header + `<!DOCTYPE plist PUBLIC "-//Apple//DTD PLIST 1.0//EN" "http://www.apple.com/DTDs/PropertyList-1.0.dtd">` + "\n")
	b.WriteString(`<plist version="1.0">` + "\n")
	if err := writeProperty(&b, value, ""); err != nil {
		return "", err
	}
	b.WriteString("</plist>\n")
	return b.String(), nil
}

func writeProperty(b *bytes.Buffer, value any, indent string) error {
	text := func(element, s string) {
		fmt.Fprintf(b, "%s<%s>", indent, element)
		_ = xml.EscapeText(b, []byte(s)) // a buffer takes everything
		fmt.Fprintf(b, "</%s>\n", element)
	}
	switch v := value.(type) {
	case string:
		text("string", v)
	case []any:
		fmt.Fprintf(b, "%s<array>\n", indent)
		for _, item := range v {
			if err := writeProperty(b, item, indent+"  "); err != nil {
				return err
			}
		}
		fmt.Fprintf(b, "%s</array>\n", indent)
	case map[string]any:
		keys := make([]string, 0, len(v))
		for k := range v {
			keys = append(keys, k)
		}
		slices.Sort(keys)
		fmt.Fprintf(b, "%s<dict>\n", indent)
		indent += "  "
		for _, k := range keys {
			text("key", k)
			if err := writeProperty(b, v[k], indent); err != nil {
				return err
			}
		}
		fmt.Fprintf(b, "%s</dict>\n", strings.TrimSuffix(indent, "  "))
	default:
		return fmt.Errorf("a grammar holds text alone, not %T", value)
	}
	return nil
}
