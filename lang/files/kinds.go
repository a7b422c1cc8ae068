package files

import (
	"fmt"
)

// A Kind is what a file is read as.
type Kind struct {
	Name string // with its article, for people
	Max  int64  // bytes

	past       bool // whoever reads the text says that it is too long: it is given one byte past Max
	ownPointer bool // whoever reads the text says that it is a Git LFS pointer
}

// The kinds of file, and how large each may be.
var (
	Block    = Kind{Name: "a block file", Max: 8 << 20, past: true, ownPointer: true} // the language's own limit
	Settings = Kind{Name: "a settings file", Max: 1 << 20}
	Baseline = Kind{Name: "a baseline", Max: 64 << 20}
	Drawing  = Kind{Name: "a drawing", Max: 32 << 20, past: true}
	Pack     = Kind{Name: "a pack of the cache", Max: 256 << 20}
	Program  = Kind{Name: "the program", Max: 1 << 30} // this one, which the cache knows by its content
)

func (k Kind) tooLarge() error {
	return fmt.Errorf("it is larger than %d MB, the most that %s may have", k.Max>>20, k.Name)
}
