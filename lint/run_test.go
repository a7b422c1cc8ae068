package lint_test

import (
	"context"
	"fmt"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"sewable/lint"
)

func TestRunKeepsTheOrderOfFiles(t *testing.T) {
	files := map[string]string{"sewable.toml": "x = 1\n"}
	var paths []string
	for i := range 60 {
		name := fmt.Sprintf("%02d.block", i)
		files[name] = file(lower, upper)
		paths = append(paths, name)
	}
	tree(t, files)
	o := lint.Options{Rules: []*lint.Rule{plum, setting}, Workers: 8}
	first, err := lint.Run(t.Context(), paths, o)
	require.NoError(t, err)
	assert.Equal(t, 60, first.Files)
	assert.Equal(t, 60, first.Blocks)
	assert.Equal(t, 120, first.Count(lint.Warning))
	require.Len(t, first.Findings, 121)
	assert.Equal(t, "sewable.toml:1:1", first.Findings[0].Place.String(), "settings files come first, each once")
	for i, f := range first.Findings[1:] {
		assert.Equal(t, paths[i/2], f.File)
	}
	for _, workers := range []int{1, 3} {
		o.Workers = workers
		again, err := lint.Run(t.Context(), paths, o)
		require.NoError(t, err)
		assert.Equal(t, first, again, "%d workers", workers)
	}
}

func TestRunTellsHowFarItIs(t *testing.T) {
	tree(t, map[string]string{"a.block": file(lower), "b.block": file(upper)})
	reached := make(chan int, 2)
	_, err := lint.Run(t.Context(), []string{"a.block", "b.block"}, lint.Options{Progress: func(n int) { reached <- n }})
	require.NoError(t, err)
	assert.Equal(t, 3, <-reached+<-reached)
}

func TestRunStops(t *testing.T) {
	tree(t, map[string]string{"a.block": file(lower)})
	ctx, stop := context.WithCancel(t.Context())
	stop()
	_, err := lint.Run(ctx, []string{"a.block"}, lint.Options{Rules: []*lint.Rule{plum}})
	assert.ErrorIs(t, err, context.Canceled)
}

// A file that cannot be read is a file with one error, so that the rule
// about unreadable text reports it in its place.
func TestAFileThatCannotBeRead(t *testing.T) {
	tree(t, map[string]string{"b.block": file(lower)})
	require.NoError(t, os.Mkdir("a.block", 0o755))
	errors := &lint.Rule{Name: "read-error", Level: lint.Error, Run: func(p *lint.Pass) {
		for _, e := range p.File.Tree.Errors {
			p.Report(p.At(e.At), "%s: %s.", e.Message, e.Detail)
		}
	}}
	r, err := lint.Run(t.Context(), []string{"a.block", "b.block", "none.block"}, lint.Options{Rules: []*lint.Rule{errors}})
	require.NoError(t, err)
	assert.Equal(t, []string{
		"a.block:1:1 error read-error: This file cannot be read: it is not a file.",
		"none.block:1:1 error read-error: This file cannot be read: no such file or directory.",
	}, lines(r.Findings))
}

// The command and an editor come to the same findings for the same text.
func TestTextAndRunAgree(t *testing.T) {
	tree(t, map[string]string{"a.block": file(lower, upper), "sewable.toml": "[levels]\nplum-patch = \"error\""})
	o := lint.Options{Rules: []*lint.Rule{plum}}
	run, err := lint.Run(t.Context(), []string{"a.block"}, o)
	require.NoError(t, err)
	assert.Equal(t, run, lint.Text("a.block", file(lower, upper), o))
}
