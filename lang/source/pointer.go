package source

import (
	"strings"
)

// IsPointer reports whether a text is a Git LFS pointer, which stands in for a file that was not fetched: below 1,024 bytes, and the
// first line is its version (git-lfs, docs/spec.md, "The Pointer").
func IsPointer(text string) bool {
	return len(text) < 1024 && (strings.HasPrefix(text, "version https://git-lfs.github.com/spec/") || strings.HasPrefix(text, "version https://hawser.github.com/spec/"))
}
