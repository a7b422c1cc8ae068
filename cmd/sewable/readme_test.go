package main

import (
	"bytes"
	"context"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The README's first block gives the findings that stand under it, and the fix
// mends it.
func TestReadmeTour(t *testing.T) {
	page, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	block := regexp.MustCompile("(?s)```block\n(.*?)```").FindSubmatch(page)
	said := regexp.MustCompile("(?s)```\n\\$ sewable lint sail.block\n(.*?)\n```").FindSubmatch(page)
	require.NotNil(t, block)
	require.NotNil(t, said)

	t.Chdir(t.TempDir())
	require.NoError(t, os.WriteFile("sail.block", block[1], 0o644))
	lint := func(args ...string) (string, int) {
		var out bytes.Buffer
		code := run(context.Background(), append([]string{"lint", "sail.block"}, args...), strings.NewReader(""), &out, &out)
		return out.String(), code
	}
	out, code := lint()
	assert.Equal(t, string(said[1]), strings.TrimRight(out, "\n"))
	assert.Equal(t, exitFound, code)
	_, code = lint("--fix")
	assert.Equal(t, exitClean, code)
	out, _ = lint()
	assert.Contains(t, out, "no findings")
}
