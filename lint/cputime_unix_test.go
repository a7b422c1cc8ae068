//go:build unix

package lint_test

import (
	"syscall"
	"time"
)

// cpuTime is the processor time that the program has used, on all cores: it
// does not grow while others have them.
func cpuTime() time.Duration {
	var use syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &use); err != nil {
		return 0
	}
	return time.Duration(use.Utime.Nano() + use.Stime.Nano())
}
