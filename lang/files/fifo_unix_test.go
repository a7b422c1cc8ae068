//go:build unix

package files

import (
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

func fifo(t *testing.T, path string) { require.NoError(t, syscall.Mkfifo(path, 0o644)) }
