package lsptest

import (
	"cmp"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/tools/txtar"

	"sewable/lang/source"
	"sewable/lsp"
)

// A scenario is a txtar file. What comes before its first file says in a sentence
// what is shown. Its files are a workspace; every .block file is opened as it
// stands there, but for those whose name begins with _, which are only on disk.
// «name» marks a place, and is no part of the text. The file `script` says what is
// asked and answered, a line each:
//
//	hover M "text" …         the hover at M has every text; `hover M none`
//	definition M = N …       leads to exactly these places; `none` for nowhere
//	type M = N …             the same for the type definition
//	references M = N …       with the declaration
//	highlight M = N …
//	complete M has A …       among others; `lacks A …`; `first A`
//	choose M A               types completion A: then want/FILE is the text
//	signature M "label" "parameter"
//	rename M new             want/FILE is the text of every file that changes
//	refuse M new "why"       the rename is refused
//	action M "title"         want/FILE, as for rename
//	actions M = "title" …    exactly these are offered; `first "title"`, `last "title"`
//	format FILE              want/FILE
//	waits M = A1 …           what the patch waits for; `waited M = A1 …` what waits for it
//	symbols FILE = A …       the outline, in order, a > before what stands in it
//	search "text" = A …      in this order
//	hint FILE "text" …       exactly these inlay hints, in order
//	lens FILE "text" …
//	fold FILE = 1-3 …        lines from 1
//	select M = "text" …      the selections from the inside out
//	link FILE = FILE …
//	linked M = N …
//	colour FILE = #aabbcc …
//	found FILE = rule@line …  the diagnostics
//	type-in M "text"          edits the document there
//
// An M names a marker wherever a place is asked for; where places are answered, the
// answer's start is compared.

var markers = regexp.MustCompile(`«([^«»]*)»`)

// marked is a place in a file.
type marked struct {
	file   string
	offset int
}

type scenario struct {
	t       *testing.T
	c       *Client
	dir     string
	texts   map[string]*source.File // by name
	version map[string]int
	marks   map[string]marked
	want    map[string]string // the rest of what is wanted, by file
}

// Scenarios runs the txtar files of a folder.
func Scenarios(t *testing.T, folder string) {
	files, err := filepath.Glob(filepath.Join(folder, "*.txtar"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txtar"), func(t *testing.T) {
			t.Parallel()
			archive, err := txtar.ParseFile(file)
			require.NoError(t, err)
			assert.NotEmpty(t, strings.TrimSpace(string(archive.Comment)), "a scenario begins with a sentence of intent")
			for _, encoding := range []string{"utf-16", "utf-8"} {
				t.Run(encoding, func(t *testing.T) { run(t, archive, encoding) })
			}
		})
	}
}

func run(t *testing.T, archive *txtar.Archive, encoding string) {
	s := &scenario{
		t: t, dir: t.TempDir(), texts: map[string]*source.File{}, version: map[string]int{},
		marks: map[string]marked{}, want: map[string]string{},
	}
	require.NoError(t, os.Mkdir(filepath.Join(s.dir, ".git"), 0o755)) // a repository of its own
	var script string
	var open []string
	for _, f := range archive.Files {
		switch {
		case f.Name == "script":
			script = string(f.Data)
			continue
		case strings.HasPrefix(f.Name, "want/"):
			s.want[strings.TrimPrefix(f.Name, "want/")] = string(f.Data)
			continue
		}
		text := s.unmark(f.Name, string(f.Data))
		s.texts[f.Name] = source.New(s.path(f.Name), text)
		require.NoError(t, os.MkdirAll(filepath.Dir(s.path(f.Name)), 0o755))
		require.NoError(t, os.WriteFile(s.path(f.Name), []byte(text), 0o644))
		if strings.HasSuffix(f.Name, ".block") && !strings.HasPrefix(filepath.Base(f.Name), "_") {
			open = append(open, f.Name)
		}
	}
	s.c = InMemory(t, lsp.Options{})
	s.c.Initialize(s.dir, With(Capabilities(), []string{encoding}, "general", "positionEncodings"))
	require.Equal(t, encoding, s.c.Encoding)
	for _, name := range open {
		s.version[name] = 1
		s.c.Open(s.path(name), s.texts[name].Text, 1)
	}
	s.c.Must("workspace/diagnostic", Object{"previousResultIds": []Object{}}, nil) // the workspace has been searched
	for i, line := range strings.Split(script, "\n") {
		if line = strings.TrimSpace(line); line != "" && !strings.HasPrefix(line, "#") {
			s.line(i+1, line)
		}
	}
	for name := range s.want {
		t.Errorf("want/%s was not asked for", name)
	}
	assert.Zero(t, s.c.Shutdown())
}

func (s *scenario) path(name string) string { return filepath.Join(s.dir, filepath.FromSlash(name)) }

func (s *scenario) unmark(name, text string) string {
	for {
		at := markers.FindStringSubmatchIndex(text)
		if at == nil {
			return text
		}
		mark := text[at[2]:at[3]]
		if _, twice := s.marks[mark]; twice {
			s.t.Fatalf("the marker %s is there twice", mark)
		}
		s.marks[mark] = marked{name, at[0]}
		text = text[:at[0]] + text[at[1]:]
	}
}

var words = regexp.MustCompile(`"(?:[^"\\]|\\.)*"|\S+`)

func (s *scenario) line(n int, line string) {
	s.t.Helper()
	args := words.FindAllString(line, -1)
	for i, a := range args {
		if strings.HasPrefix(a, `"`) {
			args[i], _ = strconv.Unquote(a)
		}
	}
	do, ok := commands[args[0]]
	if !ok {
		s.t.Fatalf("script:%d: no command %s", n, args[0])
	}
	before := s.t.Failed()
	do(s, args[1:])
	if s.t.Failed() && !before {
		s.t.Logf("script:%d: %s", n, line)
	}
}

// list is what stands behind `=`; none is an empty list.
func list(args []string) []string {
	if len(args) == 0 || args[0] != "=" || len(args) == 2 && args[1] == "none" {
		return []string{}
	}
	return args[1:]
}

func (s *scenario) mark(name string) marked {
	m, ok := s.marks[name]
	if !ok {
		s.t.Fatalf("there is no marker %s", name)
	}
	return m
}

func (s *scenario) position(m marked) Position {
	line, column := s.texts[m.file].UTF16(m.offset)
	if s.c.Encoding == "utf-8" {
		line, column = s.texts[m.file].UTF8(m.offset)
	}
	return Position{line, column}
}

func (s *scenario) offset(file string, p Position) int {
	if s.c.Encoding == "utf-8" {
		return s.texts[file].FromUTF8(p.Line, p.Character)
	}
	return s.texts[file].FromUTF16(p.Line, p.Character)
}

func (s *scenario) at(mark string) Object {
	m := s.mark(mark)
	return At(s.path(m.file), s.position(m))
}

// place names the start of an answer: its marker, else file:line:column.
func (s *scenario) place(u string, p Position) string {
	for name := range s.texts {
		if URI(s.path(name)) != u {
			continue
		}
		at := s.offset(name, p)
		for mark, m := range s.marks {
			if m.file == name && m.offset == at {
				return mark
			}
		}
		return fmt.Sprintf("%s:%s", name, s.texts[name].Position(at))
	}
	return u
}

type location struct {
	URI                  string `json:"uri"`
	Range                Range  `json:"range"`
	TargetURI            string `json:"targetUri"`
	TargetSelectionRange Range  `json:"targetSelectionRange"`
}

func (s *scenario) places(list []location) []string {
	out := []string{}
	for _, l := range list {
		if l.TargetURI != "" {
			l.URI, l.Range = l.TargetURI, l.TargetSelectionRange
		}
		out = append(out, s.place(l.URI, l.Range.Start))
	}
	return out
}

type textEdit struct {
	Range   Range  `json:"range"`
	NewText string `json:"newText"`
}

// apply does edits to a text.
func (s *scenario) apply(file string, edits []textEdit) string {
	text := ""
	if f := s.texts[file]; f != nil {
		text = f.Text
	} else {
		s.texts[file] = source.New(s.path(file), "")
	}
	slices.SortStableFunc(edits, func(a, b textEdit) int { // inserts before what takes text away
		return cmp.Or(s.offset(file, a.Range.Start)-s.offset(file, b.Range.Start), s.offset(file, a.Range.End)-s.offset(file, b.Range.End))
	})
	for _, e := range slices.Backward(edits) {
		a, b := s.offset(file, e.Range.Start), s.offset(file, e.Range.End)
		text = text[:a] + e.NewText + text[b:]
	}
	return text
}

type workspaceEdit struct {
	DocumentChanges []struct {
		Kind         string `json:"kind"`
		URI          string `json:"uri"`
		TextDocument struct {
			URI     string `json:"uri"`
			Version *int   `json:"version"`
		} `json:"textDocument"`
		Edits []textEdit `json:"edits"`
	} `json:"documentChanges"`
}

// wanted holds an edit against the files of want/.
func (s *scenario) wanted(e *workspaceEdit) {
	s.t.Helper()
	if e == nil {
		s.t.Errorf("there is no edit")
		return
	}
	for _, change := range e.DocumentChanges {
		if change.Kind != "" {
			continue
		}
		file := s.name(change.TextDocument.URI)
		if v := s.version[file]; v > 0 && assert.NotNil(s.t, change.TextDocument.Version, "the edit has a version") {
			assert.Equal(s.t, v, *change.TextDocument.Version)
		}
		s.compare(file, s.apply(file, change.Edits))
	}
}

func (s *scenario) name(u string) string {
	for name := range s.texts {
		if URI(s.path(name)) == u {
			return name
		}
	}
	return filepath.Base(u)
}

func (s *scenario) compare(file, text string) {
	s.t.Helper()
	want, ok := s.want[file]
	if !ok {
		s.t.Errorf("nobody wanted %s to change:\n%s", file, text)
		return
	}
	delete(s.want, file)
	assert.Equal(s.t, want, text, "want/%s", file)
}

func unmarshal(raw json.RawMessage, into any) { _ = json.Unmarshal(raw, into) }
