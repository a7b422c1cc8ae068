//go:build unix

package lsp

import (
	"errors"
	"syscall"
)

// alive reports whether a process is there. Signal 0 asks and sends nothing (POSIX, kill).
func alive(pid int) bool {
	err := syscall.Kill(pid, 0)
	return err == nil || errors.Is(err, syscall.EPERM)
}
