//go:build unix

package files

import (
	"syscall"
)

// nonblock has a pipe opened without waiting for its other end.
const nonblock = syscall.O_NONBLOCK
