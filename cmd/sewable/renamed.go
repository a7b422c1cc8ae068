package main

import (
	"fmt"
	"slices"
	"strings"
)

// renamed are flags that had another name in the version before. The old names go with the next version.
var renamed = []struct{ command, was, is string }{
	{"cuts", "--anyway", "--force"},
	{"print", "--anyway", "--force"},
	{"import", "--chords", "--segments"},
	{"import", "--size", "--finished"},
	{"import", "--weld", "--snap"},
	{"lint", "--part", "--shard"},
	{"plan", "--close", "--snap"},
}

// newNames gives arguments in which old names of flags stand under their new ones, and says so of each.
func newNames(args []string, s streams) []string {
	args = slices.Clone(args)
	for i, arg := range args {
		if arg == "--" {
			break
		}
		name, value, given := strings.Cut(arg, "=")
		for _, r := range renamed {
			if name != r.was || args[0] != r.command {
				continue
			}
			fmt.Fprintf(s.err, "sewable: %s is now called %s; the old name will be removed in the next version\n", r.was, r.is)
			if args[i] = r.is; given {
				args[i] += "=" + value
			}
		}
	}
	return args
}
