package format

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/tools/txtar"
	"pgregory.net/rapid"

	"sewable/lang/source"
	"sewable/lang/syntax"
)

var update = flag.Bool("update", false, "rewrite the expectations under testdata")

func parse(text string) *syntax.Tree { return syntax.Parse(source.New("x.block", text)) }

// Each archive shows a file as it was typed and as it is laid out. The comment of
// the archive says what it shows.
func TestFormat(t *testing.T) {
	paths, _ := filepath.Glob("testdata/*.txtar")
	require.NotEmpty(t, paths)
	for _, path := range paths {
		t.Run(filepath.Base(path), func(t *testing.T) {
			archive, err := txtar.ParseFile(path)
			require.NoError(t, err)
			require.GreaterOrEqual(t, len(archive.Files), 1)
			got := Format(parse(string(archive.Files[0].Data)))
			if *update {
				archive.Files = []txtar.File{archive.Files[0], {Name: "formatted.block", Data: []byte(got)}}
				require.NoError(t, os.WriteFile(path, txtar.Format(archive), 0o644))
				return
			}
			assert.Equal(t, string(archive.Files[1].Data), got)
			checkFormat(t, string(archive.Files[0].Data))
		})
	}
}

type failer interface {
	Errorf(format string, args ...any)
}

// checkFormat checks what holds for every file: formatting twice is formatting once,
// and every statement means what it meant, stands where it stood, and keeps its comments.
func checkFormat(t failer, text string) {
	tree := parse(text)
	once := Format(tree)
	again := parse(once)
	assert.Equal(t, once, Format(again), "formatting twice is formatting once")
	assert.Equal(t, meaning(tree), meaning(again), "the meaning stays")
	if len(tree.Errors) == 0 && strings.Trim(once, "\ufeff") != "" {
		assert.True(t, strings.HasSuffix(once, "\n"), "the last line ends")
	}
	for _, line := range strings.Split(once, "\n") {
		if len(tree.Errors) == 0 {
			line = strings.TrimSuffix(line, "\r")
			assert.Equal(t, strings.TrimRight(line, " \t\r"), line, "no white space ends a line")
		}
	}
}

// meaning writes everything in a tree that is not white space: statements without their spans,
// unreadable ones as typed, comments, accepts, nesting.
func meaning(tree *syntax.Tree) string {
	var s strings.Builder
	text := tree.File.Text
	depth := 0
	var write func(items []*syntax.Item)
	write = func(items []*syntax.Item) {
		for _, item := range items {
			if item.Kind == syntax.Blank {
				continue
			}
			s.WriteString(strings.Repeat("  ", depth) + item.Kind.String() + " ")
			stmt := text[item.Stmt.Start:item.Stmt.End]
			switch {
			case item.Node != nil:
				s.WriteString(syntax.Dump(item.Node))
				for _, token := range syntax.Tokens(stmt) {
					if token.Kind == syntax.KindComment || token.Kind == syntax.KindNumber {
						s.WriteString(" " + strings.Join(strings.Fields(token.Text), " ")) // spelling stays
					}
				}
			default:
				s.WriteString(strings.ReplaceAll(stmt, "\r", ""))
			}
			s.WriteString(" " + text[item.Comment.Start:item.Comment.End] + "\n")
			depth++
			write(item.Body)
			depth--
			if item.Close != nil {
				s.WriteString("} " + text[item.Close.Comment.Start:item.Close.Comment.End] + "\n")
			}
		}
	}
	write(tree.Items)
	return s.String()
}

// Accepts cover the same statements afterwards.
func TestAcceptsStay(t *testing.T) {
	text := "// accept small-patch: tiny\n\n\n\nallowance 1/4   // accept missing-allowance: a miniature\n// accept gap: yes\n\n\nblock \"T\" 6 by 6 {\n\n // accept overlap: no\n\n note \"a\"\n\n}\n"
	covered := func(text string) (words []string) {
		tree := parse(text)
		for _, a := range tree.Accepts {
			words = append(words, a.Rule+" "+strings.Join(strings.Fields(text[a.Scope.Start:a.Scope.End]), " "))
		}
		return words
	}
	before := covered(text)
	require.Len(t, before, 4)
	assert.Equal(t, before, covered(Format(parse(text))))
}

func TestLineEnds(t *testing.T) {
	assert.Equal(t, "units in\r\n\r\nallowance 1/4\r\n", Format(parse("units  in\r\n\r\nallowance 1/4")))
}

// The lines of a range come out as they do when the whole file is formatted.
func TestFormatRange(t *testing.T) {
	text := "block \"T\" 6 by 6 {\n  section A {\n  patch 1 sky   p q r\n      patch 10 canvas p q r\n  }\n   join A   to B\n}\n"
	span := source.Span{Start: strings.Index(text, "sky"), End: strings.Index(text, "sky") + 1}
	replace, got := FormatRange(parse(text), span)
	assert.Equal(t, "  patch 1 sky   p q r\n", text[replace.Start:replace.End])
	assert.Equal(t, "    patch  1 sky    p q r\n", got, "lined up with the patch below, which stays")
}

// Formatting every line range by range gives the formatted file, blank lines apart.
func TestFormatRangeIsPartOfFormat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := strings.Join(rapid.SliceOf(rapid.SampledFrom(fragments)).Draw(t, "fragments"), "")
		tree := parse(text)
		start := rapid.IntRange(0, len(text)).Draw(t, "start")
		end := rapid.IntRange(start, len(text)).Draw(t, "end")
		replace, got := FormatRange(tree, source.Span{Start: start, End: end})
		assert.True(t, Foreign(tree) || replace.Start <= start && end <= replace.End && replace.End <= len(text))
		assert.Contains(t, Format(tree), got)
		if Foreign(tree) {
			assert.Empty(t, got)
			assert.Equal(t, text, Format(tree))
			return
		}
		all, whole := FormatRange(tree, source.Span{Start: 0, End: len(text)})
		assert.Equal(t, source.Span{Start: 0, End: len(text)}, all)
		assert.Equal(t, Format(tree), whole)
	})
}

var fragments = []string{
	"block \"T\" 6 by 6 {\n", "section A {\n", "section B\n", "section  C,D=A , B turned 90 about hub with sky=plum\n", "}\n", "}", "{", "{\n",
	"patch 1 sky (0,0) ( 1, 0) (0, 1)\n", "patch 2 sky beyond (1/2, 2) head cut 2  1/4 by 3 // c\n", "patch 13 canvas (0, -1), p, (w-1, 3 - 2)\n",
	"patch 3 sky (0, 0)", "join A to B // one\n", "join A\n", "patch 4 sky beyond ridge note \"n\"\n", "patch 5 sky p mid p q r\n",
	"colourway dusk {\n", "sky = plum\n", "sky=plum,\n", "harbour = ink // two\n", "setting \"S\" {\n", "rows 2\n", "fill \"T\" dusk turned 90,\"U\"\n",
	"point p = (1, 2)\n", "point head=mid p q\n", "let h = 2½in - -3*(w+1)\n", "let width_2 = a-1\n", "outline p, q,\n  (3,4), // in\n // on\n (3\n- 4, 5)\n",
	"note \"x\"\n", "// accept gap: yes\n", " // accept overlap: it is meant\n", "fabric sky \"Sky\" #abc\n", "fabric night #123456 width 42in\n", "fabric x \"X\" directional // x\n",
	"\n", "\n", "\r\n", " ", "\t", "\"", "(", ")", ",", "=", "//", "\\", "½", "帆", "\u00a0", "\ufeff", "3", "@", "-", "units mm\n", "use \"a.block\"\n",
}

func TestRandomFiles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		checkFormat(t, strings.Join(rapid.SliceOf(rapid.SampledFrom(fragments)).Draw(t, "fragments"), ""))
	})
}

func FuzzFormat(f *testing.F) {
	for _, fragment := range fragments {
		f.Add(fragment)
	}
	f.Add("block \"T\" 6 by 6 {\n section A { patch 1 sky (0,0) (1,0) (0,1) }\n join A to B }\n")
	f.Add("block \"T 6 by 6 {\n section A\n {\n patch 1 sky around (1, 2)\n\n join A to B\n}\n}\n")
	// Found by fuzzing: a brace below a blank line; a body whose opening statement runs on
	// and cannot be read, closed by indentation.
	f.Add("block 6\n\n {")
	f.Add("block \"T\" 6 by 6 {\n(patch 1 sky (0,0) (1, 0)\n帆 {\n section A {\n}\nlet w = a-1\n")
	f.Fuzz(func(t *testing.T, text string) { checkFormat(t, text) })
}
