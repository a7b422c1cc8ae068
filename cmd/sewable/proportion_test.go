package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What blocks without a plan cost grows with the file, not with its square: measured by what is allocated.
func TestPlansThatAreNoneCostInProportion(t *testing.T) {
	path := filepath.Join(t.TempDir(), "unclosed.block")
	allocated := func(blocks int) float64 {
		var text strings.Builder
		for i := range blocks {
			fmt.Fprintf(&text, "block \"B%d\" 4 by 4 {\n", i)
		}
		require.NoError(t, os.WriteFile(path, []byte(text.String()), 0o644))
		var before, after runtime.MemStats
		var stdout, stderr bytes.Buffer
		runtime.ReadMemStats(&before)
		code := run(t.Context(), []string{"plan", path}, strings.NewReader(""), &stdout, &stderr)
		runtime.ReadMemStats(&after)
		require.Equal(t, 1, code, stderr.String())
		require.Equal(t, blocks, strings.Count(stdout.String(), "no plan: "))
		return float64(after.TotalAlloc - before.TotalAlloc)
	}
	allocated(10)
	assert.Less(t, allocated(2_000)/allocated(500), 8.0, "four times as many blocks")
}
