package rules

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/syntax"
	"sewable/lint"
	"sewable/lint/linttest"
)

var (
	bracketed = regexp.MustCompile(`\(([^(),]+), ([^(),]+)\)`)
	blockSize = regexp.MustCompile(`(block "[^"]*" )(\S+) by (\S+) \{`)
)

// half is a length of a generated file, halved: whole numbers and eighths are, and decimals, exactly.
func half(t *testing.T, length string) string {
	sum := 0.0
	for _, word := range strings.Fields(length) {
		n, d, fraction := strings.Cut(word, "/")
		x, err := strconv.ParseFloat(n, 64)
		require.NoError(t, err, length)
		if fraction {
			y, err := strconv.ParseFloat(d, 64)
			require.NoError(t, err, length)
			x /= y
		}
		sum += x
	}
	return strconv.FormatFloat(sum/2, 'f', -1, 64)
}

// halved is the text with every finished length typed half as long.
func halved(t *testing.T, text string) string {
	text = bracketed.ReplaceAllStringFunc(text, func(pair string) string {
		m := bracketed.FindStringSubmatch(pair)
		return "(" + half(t, m[1]) + ", " + half(t, m[2]) + ")"
	})
	return blockSize.ReplaceAllStringFunc(text, func(head string) string {
		m := blockSize.FindStringSubmatch(head)
		return m[1] + half(t, m[2]) + " by " + half(t, m[3]) + " {"
	})
}

// What is found in a size is what is found in a file that is typed at that size, word for word.
func TestFindingsOfASizeAreThoseOfAFileTypedAtIt(t *testing.T) {
	read := func(string) (string, error) { return linttest.Palette, nil }
	found := func(f *block.File) (out []string) {
		findings, failures := lint.File(f, All, lint.DefaultSettings(f.Unit))
		require.Empty(t, failures)
		for _, x := range findings {
			if !strings.HasPrefix(x.Rule, "unused-") { // of names, which no size has
				out = append(out, fmt.Sprint(x.Rule, x.Section, x.Patch, x.Level, x.Message))
			}
		}
		slices.Sort(out)
		return out
	}
	all := 0
	for seed := range uint64(120) {
		text := linttest.GenerateBlock(seed, 6+int(seed%30))
		open := func(text string) *block.File {
			f := block.NewLoader(syntax.NewReader(), read).Within("/").OpenText("/yard/a.block", text)
			require.Empty(t, f.Tree.Errors, text)
			return f
		}
		sized := blockSize.ReplaceAllStringFunc(text, func(head string) string {
			m := blockSize.FindStringSubmatch(head)
			return head + "\n  size small " + half(t, m[2]) + " by " + half(t, m[3])
		})
		in := open(sized).InSizes()
		require.Len(t, in, 1, text)
		typed := open(halved(t, text))
		typed.Blocks[0].Name = in[0].Blocks[0].Name
		want := found(typed)
		all += len(want)
		assert.Equal(t, want, found(in[0]), "seed %d\n%s", seed, text)
	}
	assert.Greater(t, all, 100, "there is something to find")
}
