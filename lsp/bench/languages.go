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

	edit       place // where old stands, and new by turns
	old, new   string
	hovers     []place // things of one kind all over the document
	complete   place
	name, much place // a name used two or three times, and one used some 200 times
}

// hovered is how many places are hovered over by turns: who only looks does not look at
// one thing.
const hovered = 40

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

// every lists where a word stands in each of the lines that hold another.
func every(text, in, word string) []place {
	var out []place
	for i, line := range strings.Split(text, "\n") {
		if strings.Contains(line, in) {
			out = append(out, place{i, strings.Index(line, word)})
		}
	}
	return spread(out)
}

// spread takes as many of the places as are hovered over, from all over the document.
func spread(all []place) []place {
	out := make([]place, hovered)
	for i := range out {
		out[i] = all[i*len(all)/hovered]
	}
	return out
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
	for i, line := range lines {
		fields := strings.Fields(line)
		switch {
		case len(fields) > 3 && fields[0] == "patch" && fields[1] == "2":
			l.hovers = append(l.hovers, place{i, strings.Index(line, "patch")})
		case len(fields) > 3 && fields[0] == "patch" && fields[1] == "3" && i > len(lines)/2 && l.old == "":
			l.edit = place{i, strings.Index(line, fields[2])}
			l.old, l.new = fields[2], strings.Repeat("x", len(fields[2]))
			l.complete = l.edit
			l.much = place{i + 1, strings.Index(lines[i+1], strings.Fields(lines[i+1])[2])}
		case len(fields) > 3 && fields[0] == "join" && l.name == place{}:
			l.name = place{i, strings.Index(line, fields[1])}
		}
	}
	l.hovers = spread(l.hovers)
	return l
}

func golang() *language {
	var b strings.Builder
	b.WriteString("package document\n\nimport \"fmt\"\n\n// Cloth is what a patch is cut from.\ntype Cloth string\n\n")
	for i := range 200 {
		fmt.Fprintf(&b, "// Patch%d is a patch.\ntype Patch%d struct {\n\tNumber int\n\tFabric Cloth\n}\n\nfunc (p Patch%d) Label() string {\n\tname := fmt.Sprintf(\"%%s%%d\", p.Fabric, p.Number+%d)\n\treturn name\n}\n\n", i, i, i, i)
	}
	text := b.String()
	return &language{
		id: "go", file: "document.go",
		prepare: func(dir string) error {
			return write(filepath.Join(dir, "go.mod"), "module document\n\ngo 1.24\n")
		},
		document: func() string { return text },
		edit:     find(text, "p.Number+100)", "Number"), old: "Number", new: "Numbxx",
		hovers: every(text, "p.Number+", "Fabric"), complete: find(text, "p.Number+102)", "Fabric"),
		name: find(text, "p.Number+103)", "Fabric"), much: find(text, "Fabric Cloth", "Cloth"),
	}
}

func proto() *language {
	var b strings.Builder
	b.WriteString("syntax = \"proto3\";\n\npackage document;\n\n// Cloth is what a patch is cut from.\nmessage Cloth {\n  string name = 1;\n}\n\n")
	for i := range 280 {
		fmt.Fprintf(&b, "// Patch%d is a patch.\nmessage Patch%d {\n  int32 number = 1;\n  string label = 2;\n", i, i)
		if i < 200 {
			b.WriteString("  Cloth fabric = 3;\n")
		}
		b.WriteString("}\n\n")
	}
	b.WriteString("message Block {\n")
	for i := range 60 {
		fmt.Fprintf(&b, "  Patch%d patch%d = %d;\n", i, i, i+1)
	}
	b.WriteString("}\n")
	text := b.String()
	return &language{
		id: "proto", file: "document.proto",
		prepare:  func(dir string) error { return write(filepath.Join(dir, "buf.yaml"), "version: v2\n") },
		document: func() string { return text },
		edit:     find(text, "Patch7 patch7", "Patch7"), old: "Patch7", new: "Patxx7",
		hovers: every(text, "  Patch", "Patch"), complete: find(text, "Patch9 patch9", "Patch9"),
		name: find(text, "Patch9 patch9", "Patch9"), much: find(text, "Cloth fabric", "Cloth"),
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
		hovers: every(text, "\"patch", "patch"), complete: find(text, "\"patch252\"", "patch252"),
		name: find(text, "\"patch253\"", "patch253"), much: find(text, "\"sky\"", "sky"),
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
		hovers: every(text, "patch", "patch"), complete: find(text, "patch332:", "patch332"),
		name: find(text, "patch333:", "patch333"), much: find(text, "sky", "sky"),
	}
}
