package block

import (
	"path/filepath"

	"sewable/lang/files"
	"sewable/lang/syntax"
)

// Link is where a `use` in a folder leads: to the file To, which may not be there, or, with a
// Cause, nowhere.
type Link struct {
	Dir, Path string // of the folder, absolute; as the `use` has it
	To        string // absolute
	Cause     Cause  // why it may not be followed; 0 when it may
}

// Links lists every `use` that the model of a file depends on: its own, and those of the
// files they lead to, whether they were followed or not. With the texts of these
// files they say all that the model is made of.
func (l *Loader) Links(f *File) []Link {
	var out []Link
	seen := map[string]bool{}
	var follow func(from string, tree *syntax.Tree)
	follow = func(from string, tree *syntax.Tree) {
		for _, item := range tree.Items {
			use, ok := item.Node.(*syntax.Use)
			if !ok {
				continue
			}
			link := l.Follow(filepath.Dir(from), use.Path.Value)
			out = append(out, link)
			if link.Cause != 0 || seen[link.To] {
				continue
			}
			seen[link.To] = true
			if tree := l.entry(link.To).tree; tree != nil {
				follow(link.To, tree)
			}
		}
	}
	follow(files.Absolute(f.Source.Path), f.Tree)
	return out
}

// Follow says where a `use` in a folder leads, as the disk is now.
func (l *Loader) Follow(dir, path string) Link {
	to, cause := l.resolve(filepath.Join(dir, "x"), path)
	return Link{dir, path, to, cause}
}
