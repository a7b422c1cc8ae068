package files

import (
	"os"
	"path/filepath"
	"sync"
	"time"
)

// swept are the folders that this process has looked through.
var swept sync.Map

// young is how old a leftover has to be: the file in it is locked a moment after it is made.
const young = 10 * time.Second

// sweep removes what writers left in a folder that were killed, once in a process. The writer holds a lock on the file that it
// writes, and the system ends that with the writer; on Windows a file cannot be removed while it is open.
func sweep(dir string) {
	if _, done := swept.LoadOrStore(dir, true); done {
		return
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	for _, e := range entries {
		if info, err := e.Info(); err == nil && info.IsDir() && isTemporary(e.Name()) && time.Since(info.ModTime()) > young {
			removeLeftover(filepath.Join(dir, e.Name()))
		}
	}
}

// removeLeftover removes the folder of a writer, unless it is still at work.
func removeLeftover(in string) {
	entries, err := os.ReadDir(in)
	if err != nil {
		return
	}
	for _, e := range entries {
		if e.Name() != fresh && e.Name() != ignore {
			return // not one of ours
		}
	}
	r, err := os.OpenRoot(in) // a link in it leads nowhere
	if err != nil {
		return
	}
	defer r.Close()
	f, err := r.OpenFile(fresh, os.O_RDWR|nonblock, 0)
	if err == nil {
		free := lock(f)
		f.Close()
		if !free {
			return
		}
	}
	for _, name := range []string{fresh, ignore} {
		if err := r.Remove(name); err != nil && !os.IsNotExist(err) {
			return
		}
	}
	_ = os.Remove(in)
}
