package cmd_test

import (
	"go/scanner"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// retired are phrases that nothing says any more, with what is said instead. They are looked for in the strings of the
// program and in its pages; titles, names and notes of users are theirs.
var retired = []struct{ phrase, say string }{
	{`\blet be\b|\blets be\b`, "ignored, known"},
	{`\bmend(s|ed|ing)?\b`, "fix"},
	{`\banew\b`, "again, re-"},
	{`\bsewists?\b`, "quilter"},
	{`\bfinished side\b`, "front"},
	{`\blumps\b|\ba lump\b`, "bulk, bulky intersection"},
	{`\bno use for\b`, "takes no"},
	{`\bcertain fix(es)?\b`, "safe fix"},
	{`\buntil asked for\b`, "off by default"},
	{`\bbroke down\b`, "internal error"},
	{`\bworking folder\b`, "working tree"},
	{`\bpress(ed|es)? (it )?over\b`, "flip open and press"},
	{`\bcutting lists?\b`, "cut list"},
	{`\bof cloth\b|\bthe cloth\b|\ba cloth\b`, "fabric"},
	{`\bneighbours?\b|\banticlockwise\b|\btowards\b|\boutwards\b|\bmitred\b|\bcolours?\b`, "American spelling"},
	{`\bends in nothing\b|\bcomes to nothing\b`, "stops without meeting another, has no area"},
	{`\bhas to be a number\b`, "must be"},
	{`\bread whole\b`, "read completely"},
}

// harness are the folders whose strings only developers see.
var harness = regexp.MustCompile(`^(lsp/bench|lsp/lsptest|lint/linttest|editors/vscode/node_modules)/|(^|/)testdata/|_test\.go$|_messages\.md$`)

func TestRetiredPhrases(t *testing.T) {
	list, err := exec.Command("git", "-C", "..", "ls-files", "*.go", "*.md").Output()
	if err != nil {
		t.Skip("the files of the repository are listed by git")
	}
	for _, path := range strings.Fields(string(list)) {
		if harness.MatchString(path) {
			continue
		}
		text, err := os.ReadFile(filepath.Join("..", filepath.FromSlash(path)))
		require.NoError(t, err)
		said := []string{string(text)}
		if strings.HasSuffix(path, ".go") {
			said = literals(text)
		}
		for _, s := range said {
			for _, r := range retired {
				if hit := regexp.MustCompile(r.phrase).FindString(s); hit != "" {
					assert.Fail(t, "retired", "%s says %q in %.80q: say %s", path, hit, s, r.say)
				}
			}
		}
	}
}

// literals are the strings of a source file that have a space, and so are sentences or parts of them.
func literals(src []byte) (out []string) {
	var s scanner.Scanner
	set := token.NewFileSet()
	s.Init(set.AddFile("", -1, len(src)), src, nil, 0)
	for {
		_, tok, lit := s.Scan()
		switch {
		case tok == token.EOF:
			return out
		case tok == token.STRING && strings.Contains(lit, " ") && !strings.Contains(lit, `parser:"`) && !strings.Contains(lit, `aliases:"`):
			out = append(out, lit)
		}
	}
}
