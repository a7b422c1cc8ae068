package main

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A path with a line break in it makes no line of a diff.
func TestDiffNamesAFileOnOneLine(t *testing.T) {
	var out bytes.Buffer
	s := streams{out: &out}
	require.NoError(t, s.diff("a\n+b\x1b.block", " (planned)", "x\n", "y\n"))
	assert.Equal(t, "--- a<U+000A>+b<U+001B>.block\n+++ a<U+000A>+b<U+001B>.block (planned)\n@@ -1 +1 @@\n-x\n+y\n", out.String())
}
