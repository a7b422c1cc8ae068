package rules

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lint"
)

// Whatever a file holds, there is one clear finding: what cannot stand in a txtar
// scenario is here.
func TestUnfitFiles(t *testing.T) {
	sound := "fabric sea\nblock \"Sea\" 4 by 4 {\n  allowance 1/4\n  section A {\n    patch 1 sea (0, 0) (4, 0) (4, 4) (0, 4)\n  }\n}\n"
	for name, test := range map[string]struct{ text, rule, message string }{
		"sound":                            {sound, "", ""},
		"with a byte order mark":           {"\ufeff" + sound, "", ""},
		"with line ends of two characters": {strings.ReplaceAll(sound, "\n", "\r\n"), "", ""},
		"without a last line end":          {strings.TrimSpace(sound), "", ""},
		"empty":                            {"", "empty-file", "This file has no blocks"},
		"blank":                            {" \t\r\n\n", "empty-file", "This file has no blocks"},
		"not UTF-8":                        {sound + "// \xc9tang\n", "unreadable-line", "Line 8 holds a byte that is no character of UTF-8"},
		"a zero byte":                      {sound + "// \x00\n", "unreadable-line", "Line 8 holds a zero byte"},
		"a picture":                        {"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "unreadable-line", "not a text file in UTF-8"},
		"UTF-16":                           {"\xff\xfef\x00a\x00b\x00", "unreadable-line", "not a text file in UTF-8"},
		"too large":                        {sound + "// " + strings.Repeat("x", 8<<20), "over-limit", "A file is at most 8 MiB"},
		"too many braces on a line":        {strings.Repeat("{", 8<<20), "over-limit", "A file has at most 250,000 lines. This one would have more if each brace ended its line"},
		"too many lines":                   {sound + strings.Repeat("\n", 250_000), "over-limit", "A file has at most 250,000 lines"},
		"a statement too long":             {sound + "note \"" + strings.Repeat("x", 256<<10) + "\"\n", "over-limit", "256 KiB"},
		"braces too deep":                  {sound + strings.Repeat("section A {\n", 21) + strings.Repeat("}\n", 21), "unreadable-line", ""},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			findings := lint.Text("sea.block", test.text, lint.Options{Rules: All}).Findings
			if test.rule == "" {
				assert.Empty(t, findings)
				return
			}
			require.NotEmpty(t, findings)
			if test.message != "" {
				require.Len(t, findings, 1, listed(findings))
			}
			assert.Equal(t, test.rule, findings[0].Rule)
			assert.Contains(t, findings[0].Message, test.message)
			assert.NoError(t, lint.ValidateFinding(findings[0]))
		})
	}
}

// A path that cannot be read is a finding of that file; the others are linted.
func TestUnreadableFiles(t *testing.T) {
	dir := t.TempDir()
	folder, gone, sea := filepath.Join(dir, "folder.block"), filepath.Join(dir, "gone.block"), filepath.Join(dir, "sea.block")
	require.NoError(t, os.Mkdir(folder, 0o755))
	require.NoError(t, os.WriteFile(sea, []byte("fabric sea\n"), 0o644))
	result, err := lint.Run(t.Context(), []string{folder, gone, sea}, lint.Options{Rules: All})
	require.NoError(t, err)
	require.Len(t, result.Findings, 2, listed(result.Findings))
	for i, want := range []string{"folder.block", "gone.block"} {
		f := result.Findings[i]
		assert.Equal(t, want, filepath.Base(f.File))
		assert.Equal(t, "unreadable-line", f.Rule)
		assert.Contains(t, f.Message, "This file cannot be read")
		assert.NoError(t, lint.ValidateFinding(f))
	}
}
