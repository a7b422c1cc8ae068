package syntax

import (
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// sentence draws a sentence of the grammar.
func sentence(t *rapid.T, g *term, depth int) (words []string) {
	switch g.op {
	case opWord:
		return []string{g.word}
	case opToken:
		return []string{map[Kind]string{KindName: "p", KindNumber: "3", KindString: `"x"`, KindColour: "#abc"}[g.kind]}
	case opSlot, opNode:
		if g.op == opSlot && g.slot.Is == "seam" {
			return []string{"ridge"}
		}
		if depth > 4 {
			switch g.node {
			case reflect.TypeFor[Point]():
				return []string{"(", "1", ",", "2", ")"}
			case reflect.TypeFor[Expr](), reflect.TypeFor[sum](), reflect.TypeFor[factor]():
				return []string{"4"}
			}
		}
		return sentence(t, g.parts[0], depth+1)
	case opSequence:
		last := 0 // words of the part before
		for _, part := range g.parts {
			if last == 1 && part.op == opOption && part.parts[0].word == "," {
				continue // no comma may follow the first of two points that is a name alone
			}
			before := len(words)
			words = append(words, sentence(t, part, depth)...)
			last = len(words) - before
		}
		return words
	case opChoice:
		return sentence(t, rapid.SampledFrom(g.parts).Draw(t, "part"), depth)
	}
	if g.op == opRepeat && g.parts[0].op == opChoice {
		for _, part := range rapid.SliceOfNDistinct(rapid.SampledFrom(g.parts[0].parts), 0, len(g.parts[0].parts), rapid.ID).Draw(t, "options") {
			words = append(words, sentence(t, part, depth)...)
		}
		return words
	}
	most := 1
	if g.op == opRepeat {
		most = 2
	}
	for range rapid.IntRange(0, most).Draw(t, "times") {
		words = append(words, sentence(t, g.parts[0], depth)...)
	}
	return words
}

// seams puts two points for a seam that a point follows: its name would be one of two points.
func seams(words []string) (out []string) {
	for i, word := range words {
		if word == "ridge" && i+1 < len(words) && (words[i+1] == "(" || words[i+1] == "p" || words[i+1] == "ridge" || vocabulary[words[i+1]] != nil && vocabulary[words[i+1]].isPoint) {
			out = append(out, "p")
			word = "q"
		}
		out = append(out, word)
	}
	return out
}

// library reads a statement by the tags of its type, whether it also reads itself or not.
func library[T any]() func(w *workbench) (Statement, error) {
	parser := participle.MustBuild[T](grammarOptions...)
	return func(w *workbench) (Statement, error) {
		node, err := parser.ParseFromLexer(w.tokens.lex)
		if loose, ok := any(node).(*loosePatch); ok {
			return (*Patch)(loose), err
		}
		return any(node).(Statement), err
	}
}

// Every sentence of the grammar is read; where a statement reads itself, the library reads the same by
// the tags; and at each word, what is expected holds the next.
func TestEverySentenceIsRead(t *testing.T) {
	byLibrary := map[reflect.Type]func(*workbench) (Statement, error){
		reflect.TypeFor[Let](): library[Let](), reflect.TypeFor[PointDef](): library[PointDef](), reflect.TypeFor[Outline](): library[Outline](),
		reflect.TypeFor[Patch](): library[Patch](), reflect.TypeFor[loosePatch](): library[loosePatch](),
	}
	for _, form := range statements {
		t.Run(form.Shape, func(t *testing.T) {
			place := form.Where & -form.Where
			rapid.Check(t, func(t *rapid.T) {
				grammar := grammarOf(form.by.node)
				words := sentence(t, grammar, 0)
				if form.Word == "colourway" || form.Word == "colorway" {
					words[0] = form.Word
				}
				text := strings.Join(seams(words), " ")
				words = strings.Split(text, " ")
				w := new(workbench)
				count, _, _, bad := w.tokens.load(text)
				if bad != nil || count != len(words) {
					t.Skip("the words of two tokens are one: 3 1/4")
				}
				_, ends := read(grammar, w.tokens.room[:count])
				require.True(t, ends, "the grammar reads its own sentence %q", text)
				for i := range count {
					follows, _ := read(grammar, w.tokens.room[:i])
					next := &w.tokens.room[i]
					found := false
					for _, f := range follows {
						found = found || f.term.is(next)
					}
					require.True(t, found, "%q is expected after %q", next.Value, words[:i])
				}
				r := readStatement(new(workbench), place, text)
				if r.fault != nil && unlike(r.fault) {
					t.Skip(r.fault.message)
				}
				require.Nil(t, r.fault, "%q is read: %+v", text, r.fault)
				if byTags := byLibrary[form.by.node]; byTags != nil {
					w.tokens.load(text)
					node, err := byTags(w)
					require.NoError(t, err, text)
					assert.Equal(t, Dump(r.node), Dump(node), text)
				}
			})
		})
	}
}

// unlike reports a fault that no grammar says: of as many sections on both sides, of the sections that are joined,
// of a comma after a name alone.
func unlike(f *fault) bool {
	for _, says := range []string{"each new section copies one", "two sections it names", "two points have no comma", "lines are those of one section", "minus needs a space"} {
		if strings.Contains(f.message, says) {
			return true
		}
	}
	return false
}

// Every statement that is cut short or has a strange word in it says where, what was expected or what is too much
// there, and what it needs.
func TestWhatIsExpected(t *testing.T) {
	for _, form := range statements {
		words := Tokens(form.sentence())
		for i := range words {
			for _, strange := range []string{"", "@", "strange_name", "12345", `"strange"`, "#abcdef", "=", "meets", "batting"} {
				text := strings.TrimSpace(form.sentence()[:words[i].Start] + strange)
				r := readStatement(new(workbench), form.Where&-form.Where, text)
				if r.fault == nil || i == 0 {
					continue
				}
				t.Run(fmt.Sprint(text), func(t *testing.T) {
					f := r.fault
					assert.NotEmpty(t, f.message)
					assert.NotContains(t, f.message, "``")
					assert.NotContains(t, f.message, "expected  ")
					assert.LessOrEqual(t, f.at.End, len(text))
					assert.Less(t, f.at.Start, f.at.End)
					if f.kind == Malformed {
						assert.NotEmpty(t, f.detail)
					}
				})
			}
		}
	}
}

// Parse reads a cut, for the library.
func (c *Cut) Parse(lex *lexer.PeekingLexer) error {
	cut, err := part(lex, lex.Peek().Value == "cut", (*parser).cut)
	if err == nil {
		*c = *cut
	}
	return err
}

// What is read is in the grammar, too.
func TestWhatIsReadIsInTheGrammar(t *testing.T) {
	paths, _ := filepath.Glob("testdata/statements/*.txt")
	count := 0
	for _, path := range paths {
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		for text := range strings.Lines(string(data)) {
			text = strings.ReplaceAll(strings.TrimSuffix(text, "\n"), "⏎", "\n")
			for place := InFile; place <= InSetting; place <<= 1 {
				r := readStatement(new(workbench), place, text)
				if r.node == nil || r.fault != nil {
					continue
				}
				var b tokens
				n, _, _, _ := b.load(text)
				_, ends := read(grammarOf(r.form.by.node), b.room[:n])
				assert.True(t, ends, text)
				count++
			}
		}
	}
	assert.Greater(t, count, 80)
}
