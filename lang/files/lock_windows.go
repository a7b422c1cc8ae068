package files

import (
	"os"
)

// lock has nothing to do: Windows removes no file that somebody has open.
func lock(*os.File) bool { return true }
