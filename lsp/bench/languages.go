package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"sewable/lint/linttest"
)

// place is a place in the document, from 0.
type place struct{ line, column int }

// language is a document of some 2,000 lines in one language, and what is done
// with it.
type language struct {
	id, file  string
	prepare   func(dir string) error // what the server needs beside the document
	document  func() string
	workspace func(dir string, files int) error
	options   object // for initialize

	edit            place // where old stands, and new by turns
	old, new        string
	hover, complete place
	name            place // a name that is used, and defined elsewhere
}

var languages = map[string]*language{
	"sewable": sewable(), "go": golang(), "proto": proto(), "json": jsonDocument(), "yaml": yaml(),
}

func plain(dir string) error { return os.MkdirAll(dir, 0o755) }

func write(path, text string) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	return os.WriteFile(path, []byte(text), 0o644)
}

// find is the place of a word in a line that holds another.
func find(text, in, word string) place {
	for i, line := range strings.Split(text, "\n") {
		if strings.Contains(line, in) {
			return place{i, strings.Index(line, word)}
		}
	}
	return place{}
}

func sewable() *language {
	// 180 sections of about 8 patches: a large pictorial block.
	// Its warnings are accepted: a document that is being finished has few findings.
	text := strings.Join([]string{
		"// accept off-page: for a wall", "// accept near-miss: for a wall", "// accept same-fabric-seam: for a wall",
		"// accept unmarked-join: for a wall", "", linttest.GenerateSections(7, 1500, 180),
	}, "\n")
	l := &language{
		id: "sewable", file: "document.block",
		prepare: func(dir string) error {
			if err := os.MkdirAll(filepath.Join(dir, ".git"), 0o755); err != nil {
				return err
			}
			return write(filepath.Join(dir, linttest.PaletteName), linttest.Palette)
		},
		document: func() string { return text },
		workspace: func(dir string, files int) error {
			if err := os.MkdirAll(filepath.Join(dir, ".git"), 0o755); err != nil {
				return err
			}
			if err := write(filepath.Join(dir, linttest.PaletteName), linttest.Palette); err != nil {
				return err
			}
			for i := range files {
				if err := write(filepath.Join(dir, fmt.Sprintf("block%04d.block", i)), linttest.GenerateBlock(uint64(i), 12)); err != nil {
					return err
				}
			}
			return nil
		},
	}
	// In the middle of the file: the fabric of a patch, known and unknown by turns.
	lines := strings.Split(text, "\n")
	for i := len(lines) / 2; i < len(lines); i++ {
		if fields := strings.Fields(lines[i]); len(fields) > 3 && fields[0] == "patch" && fields[1] == "3" {
			l.edit = place{i, strings.Index(lines[i], fields[2])}
			l.old, l.new = fields[2], strings.Repeat("x", len(fields[2]))
			l.hover = place{i + 1, strings.Index(lines[i+1], "patch")}
			l.complete = place{i, l.edit.column}
			l.name = place{i + 1, strings.Index(lines[i+1], strings.Fields(lines[i+1])[2])}
			break
		}
	}
	return l
}

func golang() *language {
	var b strings.Builder
	b.WriteString("package document\n\nimport \"fmt\"\n\n")
	for i := range 200 {
		fmt.Fprintf(&b, "// Patch%d is a patch.\ntype Patch%d struct {\n\tNumber int\n\tFabric string\n}\n\nfunc (p Patch%d) Label() string {\n\tname := fmt.Sprintf(\"%%s%%d\", p.Fabric, p.Number+%d)\n\treturn name\n}\n\n", i, i, i, i)
	}
	text := b.String()
	return &language{
		id: "go", file: "document.go",
		prepare: func(dir string) error {
			return write(filepath.Join(dir, "go.mod"), "module document\n\ngo 1.24\n")
		},
		document: func() string { return text },
		edit:     find(text, "p.Number+100)", "Number"), old: "Number", new: "Numbxx",
		hover: find(text, "p.Number+101)", "Fabric"), complete: find(text, "p.Number+102)", "Fabric"),
		name: find(text, "p.Number+103)", "Fabric"),
	}
}

func proto() *language {
	var b strings.Builder
	b.WriteString("syntax = \"proto3\";\n\npackage document;\n\n")
	for i := range 330 {
		fmt.Fprintf(&b, "// Patch%d is a patch.\nmessage Patch%d {\n  int32 number = 1;\n  string fabric = 2;\n}\n\n", i, i)
	}
	b.WriteString("message Block {\n  Patch7 first = 1;\n  Patch8 second = 2;\n  Patch9 third = 3;\n}\n")
	text := b.String()
	return &language{
		id: "proto", file: "document.proto",
		prepare:  func(dir string) error { return write(filepath.Join(dir, "buf.yaml"), "version: v2\n") },
		document: func() string { return text },
		edit:     find(text, "Patch7 first", "Patch7"), old: "Patch7", new: "Patxx7",
		hover: find(text, "Patch8 second", "Patch8"), complete: find(text, "Patch9 third", "Patch9"),
		name: find(text, "Patch9 third", "Patch9"),
	}
}

func jsonDocument() *language {
	var b strings.Builder
	b.WriteString("{\n")
	for i := range 500 {
		fmt.Fprintf(&b, "  \"patch%d\": {\n    \"number\": %d,\n    \"fabric\": \"sky\"\n  },\n", i, i)
	}
	b.WriteString("  \"end\": true\n}\n")
	text := b.String()
	edit := find(text, "\"number\": 250,", "250,")
	return &language{
		id: "json", file: "document.json", options: object{"provideFormatter": true}, prepare: plain, document: func() string { return text },
		edit: edit, old: "250", new: "2 0",
		hover: find(text, "\"patch251\"", "patch251"), complete: find(text, "\"patch252\"", "patch252"),
		name: find(text, "\"patch253\"", "patch253"),
	}
}

func yaml() *language {
	var b strings.Builder
	for i := range 660 {
		fmt.Fprintf(&b, "patch%d:\n  number: %d\n  fabric: sky\n", i, i)
	}
	text := b.String()
	return &language{
		id: "yaml", file: "document.yaml", prepare: plain, document: func() string { return text },
		edit: find(text, "number: 330", "330"), old: "330", new: "[30",
		hover: find(text, "patch331:", "patch331"), complete: find(text, "patch332:", "patch332"),
		name: find(text, "patch333:", "patch333"),
	}
}
