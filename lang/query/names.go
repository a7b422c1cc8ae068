package query

import (
	"sewable/lang/block"
)

// inScope are the things that can be said at a cursor: those of its block, of
// its file, and what the file brings in. An inner name hides an outer one.
func inScope(f *File, b *block.Block) []thing {
	var out []thing
	seen := map[string]bool{}
	add := func(t thing) {
		if key := t.named.Kind.String() + " " + t.named.Name; !seen[key] {
			seen[key] = true
			out = append(out, t)
		}
	}
	for t := range things(f.File) {
		if t.in == nil || t.in == b {
			add(t)
		}
	}
	for _, u := range f.Uses {
		if u.File == nil {
			continue
		}
		for t := range things(u.File) {
			if t.in == nil && t.named.Kind != block.KindSetting {
				add(t)
			}
		}
	}
	return out
}
