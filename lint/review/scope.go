package review

import (
	"path"
	"slices"
	"strings"

	"sewable/lint"
	"sewable/lint/history"
)

// scope is the files that a change concerns: those that changed, those that use one of
// them, near or far, and those whose settings changed.
type scope struct {
	pairs   []pairOf
	renamed []history.Change
}

// pairOf is a file on both sides; a path is empty when there is none.
type pairOf struct {
	before, after string
	own           bool     // its own text changed
	excluded      string   // the settings file that keeps it from being looked at now; before, it was
	through       []string // what else of it changed
}

// scopeOf finds them, under the paths alone if there are some.
func scopeOf(x, y *side, paths []string) (*scope, error) {
	files := map[string]bool{} // block files of either side
	for _, p := range x.tree.BlockFiles(".", x.config) {
		files[p] = true
	}
	kept := map[string]bool{}
	for _, p := range y.tree.BlockFiles(".", y.config) {
		files[p], kept[p] = true, true
	}
	uses, used := usesOf(y)
	s := &scope{}
	excluded := map[string]bool{}
	for p := range files {
		if !kept[p] && y.tree.Has(p) {
			excluded[p] = true
			by := y.config.For(y.tree.Abs(p)).SetBy("exclude")
			s.pairs = append(s.pairs, pairOf{after: p, excluded: lint.FromRoot(by, y.tree.Root())})
		}
	}
	changes, err := history.Changes(x.tree, y.tree, func(p string) bool {
		return path.Ext(p) == lint.Extension || path.Base(p) == lint.SettingsName || used[p]
	})
	if err != nil {
		return nil, err
	}
	at := map[string]int{} // of the path after, or, of a file that is gone, before
	add := func(p pairOf) *pairOf {
		name := p.after
		if name == "" {
			name = p.before
		}
		i, ok := at[name]
		if !ok {
			i = len(s.pairs)
			at[name] = i
			s.pairs = append(s.pairs, p)
		}
		return &s.pairs[i]
	}
	came := map[string]string{} // path after → path before
	for _, c := range changes {
		if c.Before != "" && c.After != "" && c.Before != c.After && path.Ext(c.After) == lint.Extension {
			s.renamed = append(s.renamed, c)
			came[c.After] = c.Before
		}
		if excluded[c.After] {
			continue // said so
		}
		p := pairOf{before: c.Before, after: c.After, own: !c.Same}
		if !files[p.before] {
			p.before = ""
		}
		if !kept[p.after] {
			p.after = ""
		}
		if p.before != "" || p.after != "" {
			add(p)
		}
	}
	touch := func(file, through string) {
		if !files[file] {
			return
		}
		p := pairOf{after: file, before: file}
		if old, ok := came[file]; ok {
			p.before = old
		}
		if !kept[file] {
			return // gone, and said so
		}
		if !x.tree.Has(p.before) {
			p.before = ""
		}
		is := add(p)
		if !slices.Contains(is.through, through) {
			is.through = append(is.through, through)
		}
	}
	for _, c := range changes {
		for _, name := range []string{c.Before, c.After} {
			if name == "" {
				continue
			}
			if path.Base(name) == lint.SettingsName {
				for file := range files {
					if history.Under(file, path.Dir(name)) {
						touch(file, name)
					}
				}
				continue
			}
			for user := range users(uses, name) {
				touch(user, name)
			}
		}
	}
	s.pairs = slices.DeleteFunc(s.pairs, func(p pairOf) bool { return !concerned(paths, p.before, p.after) })
	s.renamed = slices.DeleteFunc(s.renamed, func(c history.Change) bool { return !concerned(paths, c.Before, c.After) })
	slices.SortFunc(s.pairs, func(a, b pairOf) int { return strings.Compare(a.after+a.before, b.after+b.before) })
	for i := range s.pairs {
		slices.Sort(s.pairs[i].through)
	}
	return s, nil
}

// concerned reports whether one of the files is under one of the paths, or there are none.
func concerned(paths []string, files ...string) bool {
	return len(paths) == 0 || slices.ContainsFunc(paths, func(p string) bool {
		return slices.ContainsFunc(files, func(file string) bool { return file != "" && history.Under(file, p) })
	})
}

// usesOf gives, for every file that is used, the files that use it. Those of a file that
// changed are said where it is now: it is reviewed for its own sake.
func usesOf(y *side) (users map[string][]string, used map[string]bool) {
	users, used = map[string][]string{}, map[string]bool{}
	files := slices.DeleteFunc(slices.Clone(y.tree.Paths()), func(p string) bool { return path.Ext(p) != lint.Extension })
	seen := map[string]bool{}
	y.tree.ReadAll(files, func(p, text string) {
		if seen[p] {
			return
		}
		seen[p] = true
		for _, to := range usedPaths(text) {
			to = path.Join(path.Dir(p), to)
			if n := len(users[to]); n == 0 || users[to][n-1] != p {
				users[to] = append(users[to], p)
				used[to] = true
			}
		}
	})
	return users, used
}

// usedPaths are the paths of the `use` statements of a text, found without
// reading the rest.
func usedPaths(text string) []string {
	var out []string
	for line := range strings.Lines(text) {
		rest, ok := strings.CutPrefix(strings.TrimLeft(line, " \t\ufeff"), "use")
		if !ok {
			continue
		}
		rest = strings.TrimLeft(rest, " \t")
		if !strings.HasPrefix(rest, `"`) {
			continue
		}
		var path strings.Builder
		for i := 1; i < len(rest) && rest[i] != '"'; i++ {
			if rest[i] == '\\' && i+1 < len(rest) {
				i++
			}
			path.WriteByte(rest[i])
		}
		out = append(out, path.String())
	}
	return out
}

// users are the files that use a file, near or far.
func users(uses map[string][]string, name string) map[string]bool {
	out := map[string]bool{}
	for next := []string{name}; len(next) > 0; {
		at := next[len(next)-1]
		next = next[:len(next)-1]
		for _, user := range uses[at] {
			if !out[user] {
				out[user] = true
				next = append(next, user)
			}
		}
	}
	return out
}
