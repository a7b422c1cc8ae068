package syntax

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/tools/txtar"

	"sewable/lang/source"
)

var update = flag.Bool("update", false, "rewrite the expectations under testdata")

// Each file under testdata/statements is a list of statements, each followed
// by what comes of it, indented: the node without its spans, or the error.
// Headings in brackets say where the statements stand.
func TestStatements(t *testing.T) {
	places := map[string]Place{"[file]": InFile, "[block]": InBlock, "[section]": InSection, "[colourway]": InColourway, "[setting]": InSetting}
	paths, _ := filepath.Glob("testdata/statements/*.txt")
	require.NotEmpty(t, paths)
	for _, path := range paths {
		t.Run(filepath.Base(path), func(t *testing.T) {
			data, err := os.ReadFile(path)
			require.NoError(t, err)
			var got strings.Builder
			place := InFile
			for line := range strings.Lines(string(data)) {
				text := strings.TrimSuffix(line, "\n")
				switch p := places[text]; {
				case p != 0:
					place = p
				case strings.HasPrefix(line, " "):
					continue // an expectation
				}
				got.WriteString(line)
				if text == "" || strings.HasPrefix(text, "//") || places[text] != 0 {
					continue
				}
				got.WriteString(outcome(place, text))
			}
			if *update {
				require.NoError(t, os.WriteFile(path, []byte(got.String()), 0o644))
			}
			assert.Equal(t, string(data), got.String())
		})
	}
}

func outcome(place Place, text string) string {
	r := readStatement(new(workbench), place, strings.ReplaceAll(text, "⏎", "\n"))
	s := ""
	if r.node != nil {
		s += "    " + Dump(r.node) + "\n"
	}
	if f := r.fault; f != nil {
		s += fmt.Sprintf("    %v: %s\n", f.kind, f.message)
		if f.detail != "" {
			s += "    " + f.detail + "\n"
		}
		s += fmt.Sprintf("    at %q\n", text[f.at.Start:f.at.End])
	}
	return s
}

// Each archive under testdata/files shows a file, how it is nested, and its
// errors. The comment of the archive says what it shows.
func TestFiles(t *testing.T) {
	paths, _ := filepath.Glob("testdata/files/*.txtar")
	require.NotEmpty(t, paths)
	for _, path := range paths {
		t.Run(filepath.Base(path), func(t *testing.T) {
			archive, err := txtar.ParseFile(path)
			require.NoError(t, err)
			require.Equal(t, "file.block", archive.Files[0].Name)
			text := string(archive.Files[0].Data)
			tree := Parse(source.New("file.block", text))
			assert.Equal(t, text, Print(tree))
			checkTree(t, tree)
			got := txtar.Format(&txtar.Archive{Comment: archive.Comment, Files: []txtar.File{
				archive.Files[0], {Name: "nesting", Data: []byte(nesting(tree))}, {Name: "errors", Data: []byte(errorList(tree))},
			}})
			want := txtar.Format(archive)
			if *update {
				require.NoError(t, os.WriteFile(path, got, 0o644))
			}
			assert.Equal(t, string(want), string(got))
		})
	}
}

// nesting draws the tree: the line of each statement, its kind when that is not
// Simple, indented by nesting, with a brace where one closes it.
func nesting(tree *Tree) string {
	var s strings.Builder
	var draw func(items []*Item, indent string)
	draw = func(items []*Item, indent string) {
		for _, item := range items {
			if item.Kind == Blank || item.Kind == Remark {
				continue
			}
			line := tree.File.Position(item.Stmt.Start).Line
			stmt, _, _ := strings.Cut(tree.File.Text[item.Stmt.Start:item.Stmt.End], "\n")
			fmt.Fprintf(&s, "%2d%s %s", line, indent, strings.TrimRight(stmt, "\r"))
			if item.Kind == Opens && item.Node == nil || item.Kind == Unreadable {
				s.WriteString("   (unreadable)")
			}
			s.WriteString("\n")
			if item.Kind == Opens {
				draw(item.Body, indent+"  ")
				if item.Close == nil {
					fmt.Fprintf(&s, "--%s no brace\n", indent)
				} else {
					fmt.Fprintf(&s, "%2d%s }\n", tree.File.Position(item.Close.Stmt.Start).Line, indent)
				}
			}
		}
	}
	draw(tree.Items, "")
	return s.String()
}

func errorList(tree *Tree) string {
	var s strings.Builder
	for _, e := range tree.Errors {
		at := tree.File.Text[e.At.Start:e.At.End]
		fmt.Fprintf(&s, "%v %v at %q: %s\n", tree.File.Position(e.At.Start), e.Kind, at, e.Message)
		if e.Detail != "" {
			s.WriteString("    " + e.Detail + "\n")
		}
	}
	return s.String()
}
