package baseline

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sewable/lint"
)

func finding(file, rule, statement string) lint.Finding {
	return lint.Finding{Place: lint.Place{File: file}, Rule: rule, Level: lint.Warning, Statement: statement, Message: "It is so."}
}

// Whatever is found, the list of it reads back as it was written, one line an entry, and lets all of it be.
func TestListReadsBack(t *testing.T) {
	word := rapid.StringOf(rapid.SampledFrom([]rune("aB \"\\\n\x00\u202e½夜#/")))
	rapid.Check(t, func(t *rapid.T) {
		var found []lint.Finding
		for range rapid.IntRange(0, 6).Draw(t, "findings") {
			f := finding(rapid.SampledFrom([]string{"a.block", "deep/b.block", "sewable.toml"}).Draw(t, "file"),
				rapid.SampledFrom([]string{"gap", "sharp-corner"}).Draw(t, "rule"), word.Draw(t, "statement"))
			f.Block, f.Section, f.Patch = word.Draw(t, "block"), word.Draw(t, "section"), rapid.IntRange(0, 2).Draw(t, "patch")
			found = append(found, f)
		}
		l := Of("old.txt", found)
		text := l.String()
		assert.Equal(t, len(l.Entries)+1, strings.Count(text, "\n"))
		got, err := Parse("old.txt", text)
		require.NoError(t, err)
		assert.Equal(t, text, got.String())
		held := got.Hold(found, []string{"a.block", "deep/b.block", "sewable.toml"})
		assert.Empty(t, held.New)
		assert.Empty(t, held.Stale)
		assert.Equal(t, text, got.Next(held, false).String())
	})
}

// Two equal findings are two: when one goes, one is stale; a third is new.
func TestCounts(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.block")
	require.NoError(t, os.WriteFile(path, nil, 0o644))
	f := finding(path, "gap", "patch 1 sky")
	l := Of(filepath.Join(dir, "old.txt"), []lint.Finding{f, f})
	require.Len(t, l.Entries, 1)
	assert.Equal(t, `"a.block" gap "" "" 0 "patch 1 sky" 2`, l.Entries[0].String())

	held := l.Hold([]lint.Finding{f}, []string{path})
	require.Len(t, held.Stale, 1)
	assert.Equal(t, 1, held.Stale[0].Count)
	assert.Equal(t, 1, l.Next(held, false).Entries[0].Count)
	assert.Len(t, l.Hold([]lint.Finding{f, f, f}, []string{path}).New, 1)
	assert.Empty(t, l.Hold(nil, nil).Stale, "not looked at")
	require.NoError(t, os.Remove(path))
	assert.Len(t, l.Hold(nil, nil).Stale, 1, "the file is gone")
}

func TestCorrupt(t *testing.T) {
	good := header + "\n" + `"a.block" gap "" "" 0 "patch 1 sky"` + "\n"
	_, err := Parse("old.txt", strings.ReplaceAll(good, "\n", "\r\n"))
	require.NoError(t, err)
	for text, want := range map[string]string{
		"":                                  `old.txt:1: a baseline begins with "sewable baseline 1"`,
		"sewable baseline 2\n":              `old.txt:1: a baseline begins with "sewable baseline 1"`,
		good + "<<<<<<< ours\n":             `old.txt:3: a file in quotes should stand here: <<<<<<< ours`,
		good + `"a.block`:                   `old.txt:3: a file in quotes should stand here: "a.block`,
		good + "`a` gap":                    "old.txt:3: a file in quotes should stand here: `a` gap",
		good + `"a" "gap"`:                  `old.txt:3: the name of a rule should stand here: "gap"`,
		good + `"a" gap`:                    `old.txt:3: a space should stand here: the end of the line`,
		good + `"a" gap "" "" x ""`:         `old.txt:3: the number of a patch should stand here: x ""`,
		good + `"a" gap "" "" -1 ""`:        `old.txt:3: the number of a patch should stand here: -1 ""`,
		good + `"a" gap "" "" 0 "" 1`:       `old.txt:3: how many there are should stand here: 1`,
		good + `"a" gap "" "" 0 "" 2 3`:     `old.txt:3: the line should end before this: ` + " 3",
		good + `"a" gap "" "" 0 "" 9999999`: `old.txt:3: these are more than 1000000 findings`,
		good + "\x00\x01":                   "old.txt:3: a file in quotes should stand here: <U+0000><U+0001>",
	} {
		_, err := Parse("old.txt", text)
		assert.EqualError(t, err, want, text)
	}
	_, err = Read(t.TempDir())
	assert.ErrorContains(t, err, "it is a folder")
}

func FuzzParse(f *testing.F) {
	f.Add(header + "\n" + `"a.block" gap "Sloop" "A" 4 "patch 1 sky" 2` + "\n# why\n")
	f.Fuzz(func(t *testing.T, text string) {
		l, err := Parse("old.txt", text)
		if err != nil {
			assert.NotContains(t, err.Error(), "\n")
			return
		}
		again, err := Parse("old.txt", l.String())
		require.NoError(t, err)
		assert.Equal(t, l.String(), again.String())
	})
}
