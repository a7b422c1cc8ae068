package syntax

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// An accept and the first and last line of what it covers.
func TestAccepts(t *testing.T) {
	for name, c := range map[string]struct{ text, rule, reason, first, last string }{
		"at the end of a line": {
			"let a = 1\nlet b = 2 // accept sharp-corner: the beam tapers on purpose\nlet c = 3\n",
			"sharp-corner", "the beam tapers on purpose", "let b", "let b"},
		"alone, for the next statement": {
			"let a = 1\n// accept gap: it is meant\nlet b = 2\nlet c = 3\n", "gap", "it is meant", "let b", "let b"},
		"alone, with other comments and blank lines before the statement": {
			"let a = 1\n// accept gap: it is meant\n// more\n\nlet b = 2\n", "gap", "it is meant", "let b", "let b"},
		"before a block, for all of it": {
			"// accept gap: it is meant\nblock \"T\" 6 by 6 {\n  section A {\n  }\n}\nlet c = 3\n", "gap", "it is meant", "block", "}"},
		"on the line that opens a block, for that line": {
			"block \"T\" 6 by 6 { // accept gap: it is meant\n  section A {\n  }\n}\n", "gap", "it is meant", "block", "block"},
		"inside a section": {
			"block \"T\" 6 by 6 {\n  section A {\n    // accept gap: it is meant\n    note \"a\"\n  }\n}\n", "gap", "it is meant", "    note", "    note"},
		"at the top, parted by a blank line: for the file": {
			"// A small boat.\n// accept small-patch: a miniature\n\nlet a = 1\nlet b = 2\n", "small-patch", "a miniature", "// A", "let b"},
		"in a statement of several lines, for all of them": {
			"block \"T\" 6 by 6 {\noutline (0, 0), // accept gap: it is meant\n  (1, 0),\n  (1, 1)\n}\n", "gap", "it is meant", "outline", "  (1, 1)"},
		"at the end of a body, for nothing": {
			"block \"T\" 6 by 6 {\n  let a = 1\n  // accept gap: it is meant\n}\n", "gap", "it is meant", "  // accept", "  // accept"},
		"without a reason": {"let a = 1 // accept bent-join\n", "bent-join", "", "let a", "let a"},
		"without a colon":  {"let a = 1 // accept bent-join it is meant\n", "bent-join", "", "let a", "let a"},
		"close together":   {"let a = 1 //accept  gap :  it is: meant  \n", "gap", "it is: meant", "let a", "let a"},
	} {
		tree := parse(c.text)
		if !assert.Len(t, tree.Accepts, 1, name) {
			continue
		}
		a := tree.Accepts[0]
		assert.Equal(t, c.rule, a.Rule, name)
		assert.Equal(t, c.reason, a.Reason, name)
		scope := strings.Split(strings.TrimSuffix(c.text[a.Scope.Start:a.Scope.End], "\n"), "\n")
		assert.True(t, strings.HasPrefix(scope[0], c.first), "%s: begins at %q", name, scope[0])
		assert.True(t, strings.HasPrefix(scope[len(scope)-1], c.last), "%s: ends at %q", name, scope[len(scope)-1])
		checkTree(t, tree)
	}
}

// Sentences that begin like an accept.
func TestNoAccepts(t *testing.T) {
	for _, text := range []string{
		"// accept that this is odd\n", "// accepted: yes\n", "// Accept gap: yes\n", "note \"// accept gap: yes\"\n", "// accept\n", "// accept: gap\n",
	} {
		assert.Empty(t, parse(text).Accepts, text)
	}
}
