// Package rules holds the rules, one file each. A rule is its file, a line
// in the list below, and a file under testdata/broken that shows it.
package rules

import "sewable/lint"

// All are the rules, by name.
var All = []*lint.Rule{
	badSetting,
	bareAccept,
	emptyFile,
	unknownRule,
	unusedAccept,
}
