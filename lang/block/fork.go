package block

import (
	"maps"

	"sewable/lang/files"
)

// Fork gives a Loader for the time after some files have changed: it reads by
// another function, and keeps the models that neither are of a changed file nor
// draw, near or far, from one. l itself stays as it is, and may still be in use.
func (l *Loader) Fork(read func(path string) (string, error), changed func(abs string) bool) *Loader {
	if read == nil {
		read = new(files.Gate).Block
	}
	l.mu.Lock()
	loads, roots, links := maps.Clone(l.files), maps.Clone(l.roots), maps.Clone(l.links)
	l.mu.Unlock()
	kept := map[string]bool{}
	var keep func(abs string) bool
	keep = func(abs string) bool {
		if k, known := kept[abs]; known {
			return k
		}
		kept[abs] = false // a file that comes back to itself is read anew
		e := loads[abs]
		if e == nil || e.file.Load() == nil || changed(abs) {
			return false
		}
		for _, u := range e.file.Load().Uses {
			if u.File == nil || !keep(files.Absolute(u.File.Source.Path)) {
				return false
			}
		}
		kept[abs] = true
		return true
	}
	fork := NewLoader(l.reader, read).Within(l.within)
	fork.roots, fork.links = roots, links
	for abs, e := range loads {
		if keep(abs) {
			fork.files[abs] = e
		}
	}
	maps.DeleteFunc(fork.links, func(_ linkKey, link Link) bool { return fork.files[link.To] == nil })
	return fork
}
