package cache

import (
	"os"
	"syscall"
)

// system adds what else the system knows: the time of the last change of any kind, which no program can
// set, and which file it is.
func (s *stamp) system(info os.FileInfo) {
	if x, ok := info.Sys().(*syscall.Stat_t); ok {
		s.changed = x.Ctim.Nano()
		s.device, s.inode = uint64(x.Dev), x.Ino
	}
}
