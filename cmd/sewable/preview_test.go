package main

import (
	"bufio"
	"context"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A preview prints its address and serves it until Ctrl-C, which is how it ends.
func TestPreviewCommand(t *testing.T) {
	path := filepath.Join(t.TempDir(), "one.block")
	require.NoError(t, os.WriteFile(path, []byte("block \"One\" 4 by 4 {\n}\n"), 0o644))
	ctx, stop := context.WithCancel(t.Context())
	read, write := io.Pipe()
	code := make(chan int, 1)
	var problems strings.Builder
	go func() { code <- run(ctx, []string{"preview", path}, strings.NewReader(""), write, &problems) }()
	lines := bufio.NewScanner(read)
	require.True(t, lines.Scan())
	address := lines.Text()
	assert.Regexp(t, `^http://127\.0\.0\.1:\d+/[A-Z2-7]{26}/$`, address)
	require.True(t, lines.Scan())

	page, err := http.Get(address)
	require.NoError(t, err)
	page.Body.Close()
	assert.Equal(t, http.StatusOK, page.StatusCode)

	// A click is printed.
	r, err := http.NewRequest(http.MethodPost, address+"goto", strings.NewReader(`{"line": 1, "column": 1}`))
	require.NoError(t, err)
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Origin", strings.Join(strings.SplitN(address, "/", 4)[:3], "/"))
	go func() {
		if answer, err := http.DefaultClient.Do(r); err == nil {
			answer.Body.Close()
		}
	}()
	require.True(t, lines.Scan())
	assert.Equal(t, filepath.ToSlash(path)+":1:1", lines.Text())

	stop()
	assert.Equal(t, exitClean, <-code)
	assert.Empty(t, problems.String())
	_, err = http.Get(address)
	assert.Error(t, err, "nobody listens any more")
}
