package session_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sewable/lang/source"
	"sewable/lint"
	"sewable/lint/linttest"
	"sewable/lint/rules"
	"sewable/lsp/session"
)

var number = regexp.MustCompile(`\d+ \d+/\d+|\d+/\d+|\d+`)

// sound are edits as a designer makes them: most leave a block that can be read.
var sound = map[string]func(*rapid.T, []string) []string{
	"another fabric": func(t *rapid.T, lines []string) []string {
		i := anyLine(t, lines, "patch ")
		words := strings.Split(lines[i], " ")
		for k, w := range words {
			if w == "patch" && k+2 < len(words) {
				words[k+2] = rapid.SampledFrom([]string{"slate", "dusk", "gull", "canvas", "nowhere"}).Draw(t, "fabric")
			}
		}
		lines[i] = strings.Join(words, " ")
		return lines
	},
	"another number": func(t *rapid.T, lines []string) []string {
		i := anyLine(t, lines, "(")
		all := number.FindAllStringIndex(lines[i], -1)
		at := rapid.SampledFrom(all).Draw(t, "which")
		other := rapid.SampledFrom([]string{"0", "1", "2 1/64", "3 1/2", "1/8", "2", "4"}).Draw(t, "number")
		lines[i] = lines[i][:at[0]] + other + lines[i][at[1]:]
		return lines
	},
	"a line goes": func(t *rapid.T, lines []string) []string {
		i := rapid.IntRange(0, len(lines)-1).Draw(t, "line")
		return append(lines[:i:i], lines[i+1:]...)
	},
	"an empty line": func(t *rapid.T, lines []string) []string {
		i := rapid.IntRange(0, len(lines)-1).Draw(t, "line")
		return append(append(lines[:i:i], ""), lines[i:]...)
	},
	"two lines change places": func(t *rapid.T, lines []string) []string {
		i := rapid.IntRange(0, len(lines)-2).Draw(t, "line")
		lines[i], lines[i+1] = lines[i+1], lines[i]
		return lines
	},
	"a notch": func(t *rapid.T, lines []string) []string {
		i := anyLine(t, lines, "section ", "join ")
		at := fmt.Sprintf("    notch m (%d, %d)", rapid.IntRange(0, 6).Draw(t, "x"), rapid.IntRange(0, 6).Draw(t, "y"))
		return append(append(lines[:i+1:i+1], at), lines[i+1:]...)
	},
	"another name": func(t *rapid.T, lines []string) []string {
		text := strings.Join(lines, "\n")
		return strings.Split(strings.ReplaceAll(text, "section A ", "section AA "), "\n")
	},
}

// anyLine is the number of a line that holds one of some words; any, when none does.
func anyLine(t *rapid.T, lines []string, words ...string) int {
	var of []int
	for i, l := range lines {
		for _, w := range words {
			if strings.Contains(l, w) && number.MatchString(l) || w != "(" && strings.Contains(l, w) {
				of = append(of, i)
			}
		}
	}
	if len(of) == 0 {
		return 0
	}
	return rapid.SampledFrom(of).Draw(t, "line")
}

// After any edits a file has the findings that a fresh reading of its text has, whatever
// was taken over from the texts before.
func TestEditsFindWhatAFreshReadingFinds(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, linttest.PaletteName), []byte(linttest.Palette), 0o644))
	path := filepath.Join(dir, "a.block")
	findings := func(s *session.Session) []lint.Finding {
		found, failures, err := s.Snapshot().Open(path).Findings(context.Background())
		require.NoError(t, err)
		require.Empty(t, failures)
		return found
	}
	rapid.Check(t, func(t *rapid.T) {
		text := linttest.GenerateSections(rapid.Uint64Range(0, 50).Draw(t, "seed"), rapid.IntRange(6, 40).Draw(t, "patches"), rapid.IntRange(1, 7).Draw(t, "sections"))
		s := session.New(rules.All)
		s.Open(&session.Document{Path: path, Version: 1, Text: source.New(path, text)})
		findings(s)
		texts := []string{text}
		for version := range rapid.IntRange(1, 8).Draw(t, "edits") {
			what := rapid.SampledFrom([]string{"another fabric", "another fabric", "another number", "another number", "a line goes",
				"an empty line", "two lines change places", "a notch", "another name"}).Draw(t, "edit")
			next := strings.Join(sound[what](t, strings.Split(texts[len(texts)-1], "\n")), "\n")
			if len(texts) > 1 && rapid.IntRange(0, 3).Draw(t, "undo") == 0 {
				next = texts[len(texts)-2]
			}
			texts = append(texts, next)
			s.Change(path, int32(version+2), func(*source.File) string { return next })
			switch rapid.IntRange(0, 3).Draw(t, "ask") {
			case 0: // a text that nobody asked about
			case 1:
				s.Snapshot().Open(path).Model()
			default:
				fresh := session.New(rules.All)
				fresh.Open(&session.Document{Path: path, Version: 1, Text: source.New(path, next)})
				if want, got := findings(fresh), findings(s); !reflect.DeepEqual(want, got) {
					t.Fatalf("want\n%v\nnot\n%v\nof\n%s", want, got, next)
				}
			}
		}
	})
}
