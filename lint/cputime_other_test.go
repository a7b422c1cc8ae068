//go:build !unix

package lint_test

import "time"

var began = time.Now()

// cpuTime stands in for processor time where there is no way to ask for it.
func cpuTime() time.Duration { return time.Since(began) }
