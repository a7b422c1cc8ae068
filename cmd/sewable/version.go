package main

import (
	"fmt"
	"runtime/debug"
)

// version is the version of the language tools.
const version = "0.1"

type versionCmd struct{}

// Run prints the version, with the revision when the build knows it.
func (versionCmd) Run(s streams) error {
	line := "sewable " + version
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, set := range info.Settings {
			if set.Key == "vcs.revision" && len(set.Value) >= 12 {
				line += " (" + set.Value[:12] + ")"
			}
		}
	}
	_, err := fmt.Fprintln(s.out, line)
	return err
}
