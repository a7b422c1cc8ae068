//go:build darwin || dragonfly || freebsd || linux || netbsd || openbsd

package files

import (
	"os"
	"syscall"
)

// lock takes a file for this process until it is closed; false when another has it.
func lock(f *os.File) bool { return syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB) == nil }
