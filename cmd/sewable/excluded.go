package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"sewable/lint"
	"sewable/lint/output"
)

// maxExcluded is how many excluded files are named one by one.
const maxExcluded = 10

// included are the files that the settings do not exclude, also of those that were named one by one, as
// hooks do. Which files and folders are not checked it says on standard error; excluded reports
// whether there are any.
func (s streams) included(files, given []string, config *lint.Config) (kept []string, excluded bool) {
	kept, left := config.SplitExcluded(files)
	for _, path := range given { // a folder, in which nothing was found
		path = filepath.ToSlash(filepath.Clean(path))
		below := func(file string) bool { return file == path || strings.HasPrefix(file, path+"/") }
		if config.Excluded(path) && !slices.ContainsFunc(kept, below) && !slices.ContainsFunc(left, below) {
			left = append(left, path)
		}
	}
	for i, path := range left {
		if i == maxExcluded {
			fmt.Fprintf(s.err, "and %d more are excluded; not checked\n", len(left)-i)
			break
		}
		fmt.Fprintf(s.err, "%s is excluded by %s; not checked\n", output.Plain(path), output.Plain(config.For(path).SetBy("exclude")))
	}
	return kept, len(left) > 0
}
