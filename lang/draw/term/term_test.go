package term_test

import (
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lang/block"
	"sewable/lang/draw"
	"sewable/lang/draw/ink"
	"sewable/lang/draw/term"
	"sewable/lang/sew"
	"sewable/lang/syntax"
)

func sloop(t *testing.T) *ink.Drawing {
	f, err := block.NewLoader(syntax.NewReader(), nil).Open("../../../testdata/harbour/sloop.block")
	require.NoError(t, err)
	return draw.Block(sew.Analyse(f.Blocks[0]), draw.Options{})
}

var escape = regexp.MustCompile("\x1b\\[([0-9;]*)m")

// At 40 columns every patch of the sloop can be found.
func TestFortyColumns(t *testing.T) {
	for _, profile := range []termenv.Profile{termenv.Ascii, termenv.ANSI, termenv.ANSI256, termenv.TrueColor} {
		text := term.Render(sloop(t), term.Options{Columns: 40, Profile: profile})
		plain := escape.ReplaceAllString(text, "")
		for _, l := range strings.Split(plain, "\n") {
			assert.LessOrEqual(t, utf8.RuneCountInString(l), 40)
		}
		for _, label := range []string{"A1", "A2", "B1", "B2", "B3", "B4", "C1", "C2", "C3", "C4", "C5", "C6"} {
			assert.Equal(t, 1, strings.Count(plain, label), "%s in profile %d", label, profile)
		}
	}
}

func TestColours(t *testing.T) {
	d := sloop(t)
	assert.NotContains(t, term.Render(d, term.Options{Profile: termenv.Ascii}), "\x1b")
	assert.Contains(t, term.Render(d, term.Options{Profile: termenv.TrueColor}), "48;2;195;220;234", "the sky as it is")
	low := term.Render(d, term.Options{Profile: termenv.ANSI256})
	assert.Contains(t, low, "48;5;")
	assert.NotContains(t, low, "48;2;")
	for _, l := range strings.Split(strings.TrimSuffix(low, "\n"), "\n") {
		assert.True(t, strings.HasSuffix(l, "\x1b[0m"), "no line leaves its colour behind")
	}
}

// Two squares side by side, in Braille: a frame and a line between them. The one that is
// lit is solid.
func TestBraille(t *testing.T) {
	f := block.NewLoader(syntax.NewReader(), nil).OpenText("t.block", `
fabric a #ffffff
block "Two" 4 by 2 {
  allowance 1/4
  section A {
    patch 1 a (0, 0) (2, 0) (2, 2) (0, 2)
    patch 2 a (2, 0) (4, 0) (4, 2) (2, 2)
  }
}
`)
	d := draw.Block(sew.Analyse(f.Blocks[0]), draw.Options{Labels: draw.NoLabels})
	assert.Equal(t, "⡏⠉⠉⠉⡏⠉⠉⢹\n⣇⣀⣀⣀⣇⣀⣀⣸\n", term.Render(d, term.Options{Columns: 8, Profile: termenv.Ascii}))

	d = draw.Block(sew.Analyse(f.Blocks[0]), draw.Options{Labels: draw.NoLabels, Highlight: f.Blocks[0].Sections[0].Patches[1]})
	assert.Equal(t, "⡏⠉⠉⠉⣿⣿⣿⣿\n⣇⣀⣀⣀⣿⣿⣿⣿\n", term.Render(d, term.Options{Columns: 8, Profile: termenv.Ascii}))
}

func TestNothingToDraw(t *testing.T) {
	assert.Empty(t, term.Render(&ink.Drawing{}, term.Options{}))
}
