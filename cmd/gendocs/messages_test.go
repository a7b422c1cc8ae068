package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lint/rules"
)

// notSaid are sentences of the rules that no test file can bring about.
var notSaid = map[string]string{
	"tries: divide the sections along one line, remove joins that are too many, or write `inset` for a set-in seam": "a block of dozens of sections: the tests of the order",
	"the settings cannot be read:":                                           "a settings file that is no file: the scripts of links that lead out",
	"where it is more than 1 in (25 mm) and wider than a patch or the block": "on the rule's own page",
	"Add the lines of":                "a fix that is tried out first: the tests of sections given by lines",
	"Sew the others in another order": "a patch that cannot be sewn has other patches before it where it can",
}

// Every sentence that a rule can say is on the page of all messages, and so has an example.
func TestEverySentenceHasAnExample(t *testing.T) {
	t.Chdir("../..")
	page, err := messages(rules.All)
	require.NoError(t, err)
	page = strings.ToLower(page)
	verb := regexp.MustCompile(`%(\[\d\])?[a-z]`)
	set := token.NewFileSet()
	paths, err := filepath.Glob("lint/rules/*.go")
	require.NoError(t, err)
	for _, path := range paths {
		if strings.HasSuffix(path, "_test.go") || path == "lint/rules/repairs.go" { // titles of fixes, held by TestTypingSlips
			continue
		}
		file, err := parser.ParseFile(set, path, nil, 0)
		require.NoError(t, err)
		ast.Inspect(file, func(n ast.Node) bool {
			lit, ok := n.(*ast.BasicLit)
			if !ok || lit.Kind != token.STRING || lit.Value[0] != '"' {
				return true
			}
			text, err := strconv.Unquote(lit.Value)
			require.NoError(t, err)
			longest := ""
			for _, part := range verb.Split(text, -1) {
				if len(part) > len(longest) {
					longest = part
				}
			}
			longest = strings.TrimSpace(longest)
			if strings.Count(longest, " ") < 2 || notSaid[longest] != "" {
				return true
			}
			assert.Contains(t, page, strings.ToLower(longest), "no example shows what %s says", set.Position(lit.Pos()))
			return true
		})
	}
}
