package editors

import (
	"encoding/json"
	"fmt"
	"html"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/source"
	"sewable/lang/syntax"
	"sewable/lint/rules"
)

// class is what a grammar can know of a token without understanding it; local are the words that are words in
// their place alone.
func class(t syntax.Token, local map[source.Span]bool) string {
	if local[t.Span] {
		t.Kind = syntax.KindWord
	}
	switch t.Kind {
	case syntax.KindWord:
		switch {
		case slices.ContainsFunc(syntax.Statements(), func(s *syntax.StatementInfo) bool { return s.Word == t.Text }):
			return "statement"
		case slices.ContainsFunc(syntax.Points(), func(p *syntax.PointInfo) bool { return p.Word == t.Text }):
			return "point"
		case t.Text == "in" || t.Text == "mm" || t.Text == "cm":
			return "unit"
		}
		return "word"
	case syntax.KindPunctuation:
		if strings.Contains("=+-*/", t.Text) {
			return "operator"
		}
		return "bracket"
	}
	return t.Kind.String()
}

// blocks are all files that a grammar should know its way in: the demo, a file for each
// rule, and the examples of the reference and of the rules.
func blocks(t *testing.T) map[string]string {
	t.Helper()
	files := map[string]string{}
	for _, pattern := range []string{"../testdata/harbour/*.block", "../testdata/broken/*.block"} {
		paths, err := filepath.Glob(pattern)
		require.NoError(t, err)
		require.Greater(t, len(paths), 20)
		for _, path := range paths {
			text, err := os.ReadFile(path)
			require.NoError(t, err)
			files[path] = string(text)
		}
	}
	dir := t.TempDir()
	add := func(name, text string) {
		path := filepath.Join(dir, name+".block")
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
		files[path] = text
	}
	for _, r := range rules.All {
		if r.Settings == nil {
			add(r.Name+"-bad", r.Bad)
			add(r.Name+"-good", r.Good)
		}
	}
	reference, err := os.ReadFile("../lang/REFERENCE.md")
	require.NoError(t, err)
	var examples strings.Builder
	for i, part := range strings.Split(string(reference), "```") {
		if strings.HasPrefix(part, "block") {
			require.Equal(t, 1, i%2)
			_, text, _ := strings.Cut(part, "\n")
			examples.WriteString(text + "\n")
		}
	}
	add("reference", examples.String())
	// What the lexer's own tests find hard.
	add("hard", `let a = 2.5 + .5 - 1/4/2 * (2-1/2) - 2 ½ in + 12⅞mm - 3 cm
let b = 1 / 4 + h-1 + 2in
point été_2 = (帆, नाव_3)   // names of any script
fabric x "a // b \" c \\" #abc
fabric y #1D2b4F // accept bias-edge: the "nap" runs so
Patch patches patch1 inset_ in_ mid2
`)
	add("no-fraction", "let a = 1/2.5\n")
	return files
}

// piece is a stretch of a line that an editor colours alike, in bytes, and what it
// calls it.
type piece struct {
	Start, End int
	Name       string
}

// colours are the pieces of each line of each file.
type colours map[string][][]piece

// assertColours holds what an editor makes of each token of each file against what
// the lexer makes of it; want is a regular expression for each class.
func assertColours(t *testing.T, files map[string]string, got colours, want map[string]string) {
	t.Helper()
	for path, text := range files {
		require.Len(t, got[path], strings.Count(text, "\n")+1, path)
		local := map[source.Span]bool{}
		syntax.Walk(syntax.Parse(source.New(path, text)).Items, func(it *syntax.Item) bool {
			for _, at := range it.Contextual(text) {
				local[at] = true
			}
			return true
		})
		for _, token := range syntax.Tokens(text) {
			line := strings.Count(text[:token.Start], "\n")
			lineStart := strings.LastIndexByte(text[:token.Start], '\n') + 1
			start, end := token.Start-lineStart, token.End-lineStart
			covered := start
			for _, p := range got[path][line] {
				if p.End <= start || p.Start >= end {
					continue
				}
				assert.Regexp(t, want[class(token, local)], p.Name, "%s:%d: `%s` is %s", path, line+1, token.Text, class(token, local))
				covered = p.End
			}
			assert.GreaterOrEqual(t, covered, end, "%s:%d: `%s`", path, line+1, token.Text)
		}
	}
}

func paths(files map[string]string) string {
	return strings.Join(slices.Sorted(maps.Keys(files)), "\n") + "\n"
}

func decode(t *testing.T, text []byte) colours {
	t.Helper()
	var got colours
	require.NoError(t, json.Unmarshal(text, &got))
	return got
}

// The TextMate grammar cuts every token where the lexer does, and calls it what it
// is; the property list that Sublime Text reads is the same grammar.
func TestTextMateGrammar(t *testing.T) {
	want := map[string]string{
		"statement": ` keyword\.control\.sewable`, "point": ` support\.function\.point\.sewable`, "unit": ` keyword\.other\.unit\.sewable`,
		"word": ` keyword\.other\.sewable`, "operator": ` keyword\.operator\.sewable`, "bracket": ` punctuation\.`,
		"name": ` (variable\.other|entity\.name)\.`, "number": ` constant\.numeric\.sewable`, "string": ` string\.quoted\.double\.sewable`,
		"colour": ` constant\.other\.color\.sewable`, "comment": ` comment\.line\.double-slash\.sewable`, "bad": ` invalid\.illegal\.`,
	}
	files := blocks(t)
	path := filepath.Join(t.TempDir(), "unreadable.block")
	require.NoError(t, os.WriteFile(path, []byte(hardlyReadable), 0o644))
	files[path] = hardlyReadable
	for _, grammar := range []string{"vscode/syntaxes/sewable.tmLanguage.json", "sublime/Sewable.tmLanguage"} {
		t.Run(filepath.Base(grammar), func(t *testing.T) {
			got := decode(t, run(t, time.Minute, paths(files), node(t), "vscode/test/scopes.mjs", grammar))
			assertColours(t, files, got, want)
		})
	}
}

// hardlyReadable is text of which the lexer itself can make nothing, or little.
const hardlyReadable = "3sky 1.2.3 1e5 2inch 2 1/2x #12 #12345g @ “a” _x [;] 2in.5\nnote \"open // not a comment\nnote \"open \\\"\n"

// What a name is for is coloured where it can be seen without understanding the file.
func TestTextMateNames(t *testing.T) {
	path := filepath.Join(t.TempDir(), "names.block")
	text := `fabric sky "Evening sky" #f2c9a1
section A = B mirrored across ridge
patch 12 1/2 sky beyond ridge
seam ridge from (0, 0) to (1, 1)
notch m (1, 1) // accept bias-edge: it is meant
// accept this as it is
`
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	got := decode(t, run(t, time.Minute, path, node(t), "vscode/test/scopes.mjs", "vscode/syntaxes/sewable.tmLanguage.json"))
	innermost := func(line, column int) string {
		for _, p := range got[path][line] {
			if p.Start <= column && column < p.End {
				return p.Name[strings.LastIndexByte(p.Name, ' ')+1:]
			}
		}
		return ""
	}
	assert.Equal(t, "variable.other.constant.fabric.sewable", innermost(0, 7))
	assert.Equal(t, "entity.name.type.section.sewable", innermost(1, 8))
	assert.Equal(t, "variable.other.constant.fabric.sewable", innermost(2, 13))
	assert.Equal(t, "entity.name.function.seam.sewable", innermost(3, 5))
	assert.Equal(t, "entity.name.label.notch.sewable", innermost(4, 6))
	assert.Equal(t, "keyword.other.accept.sewable", innermost(4, 19))
	assert.Equal(t, "entity.name.tag.rule.sewable", innermost(4, 26))
	assert.Equal(t, "comment.line.double-slash.sewable", innermost(5, 4), "a sentence, not an accept")
}

// Vim and Neovim read the same syntax file.
func TestVimSyntax(t *testing.T) {
	want := map[string]string{
		"statement": "^sewableStatement$", "point": "^sewablePoint$", "unit": "^sewableUnit$", "word": "^sewableWord$",
		"operator": "^sewableOperator$", "bracket": "^sewable(Bracket|Body)$", "name": "^$", "number": "^sewableNumber$",
		"string": "^sewableString", "colour": "^sewableColour$", "comment": "^sewableComment", "bad": "",
	}
	files := blocks(t)
	for _, editor := range [][]string{{"nvim", "--headless", "--clean"}, {"vim", "-es", "-u", "NONE", "-i", "NONE", "-N"}} {
		t.Run(editor[0], func(t *testing.T) {
			dir := t.TempDir()
			in, out := filepath.Join(dir, "in"), filepath.Join(dir, "out")
			require.NoError(t, os.WriteFile(in, []byte(paths(files)), 0o644))
			t.Setenv("SEWABLE_FILES", in)
			t.Setenv("SEWABLE_OUT", out)
			run(t, time.Minute, "", program(t, editor[0]), append(editor[1:], "--cmd", "set rtp^="+here(t, "vim"), "-S", here(t, "testdata/groups.vim"))...)
			text, err := os.ReadFile(out)
			require.NoError(t, err)
			assertColours(t, files, decode(t, text), want)
		})
	}
}

// Emacs colours what a mode can know; the server's tokens do the rest.
func TestEmacsFaces(t *testing.T) {
	want := map[string]string{
		"statement": "^keyword$", "point": "^function-name$", "unit": "^type$", "word": "^builtin$",
		"operator": "^$", "bracket": "^$", "name": "^(variable-name)?$", "number": "^constant$",
		"string": "^string$", "colour": "^constant$", "comment": "^(comment|comment-delimiter|warning)$", "bad": "",
	}
	files := blocks(t)
	maps.DeleteFunc(files, func(path, _ string) bool {
		return filepath.Base(path) == "no-fraction.block" // its expressions cannot look ahead to the point
	})
	got := run(t, time.Minute, paths(files), program(t, "emacs"), "-Q", "--batch", "-L", here(t, "emacs"), "-l", here(t, "testdata/faces.el"))
	assertColours(t, files, decode(t, got), want)
}

// Kate's own highlighter reads the syntax file; a theme that gives each style a colour of
// its own makes them visible.
func TestKateSyntax(t *testing.T) {
	highlighter := program(t, "kate-syntax-highlighter")
	styles := []string{"Normal", "ControlFlow", "Function", "DataType", "Keyword", "DecVal", "Constant", "Operator", "String",
		"SpecialChar", "Comment", "Annotation", "Variable", "BuiltIn", "Extension", "Preprocessor", "Attribute", "Char", "SpecialString",
		"VerbatimString", "Import", "BaseN", "Float", "Documentation", "CommentVar", "RegionMarker", "Information", "Warning", "Alert",
		"Error", "Others"}
	want := map[string]string{
		"statement": "^ControlFlow$", "point": "^Function$", "unit": "^DataType$", "word": "^Keyword$", "operator": "^Operator$",
		"bracket": "^Normal$", "name": "^Normal$", "number": "^DecVal$", "string": "^(String|SpecialChar)$", "colour": "^Constant$",
		"comment": "^(Comment|Annotation|Alert|Information|Warning)$", "bad": "",
	}
	theme, nameOf := map[string]map[string]string{}, map[string]string{"": "Normal"}
	for i, style := range styles {
		colour := fmt.Sprintf("#0000%02x", i+1)
		theme[style], nameOf[colour] = map[string]string{"text-color": colour, "selected-text-color": colour}, style
	}
	data := t.TempDir()
	put := func(path string, text []byte) {
		path = filepath.Join(data, "org.kde.syntax-highlighting", path)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, text, 0o644))
	}
	text, err := json.Marshal(map[string]any{
		"metadata": map[string]any{"name": "Apart", "revision": 1}, "text-styles": theme,
		"editor-colors": map[string]string{"BackgroundColor": "#ffffff"},
	})
	require.NoError(t, err)
	put("themes/apart.theme", text)
	text, err = os.ReadFile("kate/sewable.xml")
	require.NoError(t, err)
	put("syntax/sewable.xml", text)
	t.Setenv("XDG_DATA_HOME", data)
	t.Setenv("QT_QPA_PLATFORM", "offscreen")

	files, got := blocks(t), colours{}
	for path := range files {
		page := string(run(t, time.Minute, "", highlighter, "--theme", "Apart", path))
		_, page, ok := strings.Cut(page, "<pre>\n")
		require.True(t, ok, "%s", page)
		page, _, _ = strings.Cut(page, "</pre>")
		for line := range strings.SplitSeq(page, "\n") {
			got[path] = append(got[path], kateLine(line, nameOf))
		}
		for len(got[path]) <= strings.Count(files[path], "\n") {
			got[path] = append(got[path], nil)
		}
		got[path] = got[path][:strings.Count(files[path], "\n")+1]
	}
	assertColours(t, files, got, want)
}

var span = regexp.MustCompile(`^<span style="color:(#[0-9a-f]{6});[^"]*">(.*?)</span>`)

// kateLine reads a line of the highlighter's page.
func kateLine(line string, nameOf map[string]string) (pieces []piece) {
	at := 0
	add := func(text, colour string) {
		n := len(html.UnescapeString(text))
		pieces = append(pieces, piece{at, at + n, nameOf[colour]})
		at += n
	}
	for line != "" {
		if m := span.FindStringSubmatch(line); m != nil {
			add(m[2], m[1])
			line = line[len(m[0]):]
			continue
		}
		next := strings.Index(line[1:], "<span") + 1
		if next == 0 {
			next = len(line)
		}
		add(line[:next], "")
		line = line[next:]
	}
	return pieces
}
