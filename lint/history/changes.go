package history

import (
	"cmp"
	"crypto/sha1"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"hash"
	"slices"
	"strings"
)

// Change is a file that differs between two trees. Before or After is empty
// when there is no such file there; both differ for a file that was renamed.
type Change struct {
	Before, After string // paths
	Same          bool   // renamed, and not changed besides
}

// Changes are the files that differ between two trees, sorted by path, of those
// that want takes. A file that went away and one of like content that came are
// one file, renamed.
//
// Line endings alone are no change: git may keep others than it checks out.
func Changes(before, after *Tree, want func(path string) bool) ([]Change, error) {
	var out []Change
	var gone, came []string
	for _, p := range before.paths {
		switch {
		case !want(p):
		case !after.Has(p):
			gone = append(gone, p)
		default:
			differ, err := differ(before, after, p)
			if err != nil {
				return nil, err
			}
			if differ {
				out = append(out, Change{Before: p, After: p})
			}
		}
	}
	for _, p := range after.paths {
		if want(p) && !before.Has(p) {
			came = append(came, p)
		}
	}
	renamed, err := renames(before, after, gone, came)
	if err != nil {
		return nil, err
	}
	out = append(out, renamed...)
	slices.SortFunc(out, func(a, b Change) int { return strings.Compare(a.path(), b.path()) })
	return out, nil
}

func (c Change) path() string {
	if c.After != "" {
		return c.After
	}
	return c.Before
}

func differ(before, after *Tree, path string) (bool, error) {
	a, b := before.entries[path], after.entries[path]
	if a.id != "" && a == b {
		return false, nil
	}
	if before.working && after.working {
		return false, nil
	}
	if a.id != "" && b.id != "" || a.link != b.link {
		return true, nil
	}
	if b.id != "" {
		before, after, a = after, before, b
	}
	// A commit and a file on disk.
	text, err := after.content(path, after.entries[path])
	switch {
	case Refused(err):
		return true, nil
	case err != nil:
		return false, err
	}
	return before.repo.name(text) != a.id && before.repo.name(unix(text)) != a.id, nil
}

// name is the name git gives to a content: the hash of a short header and the
// content (gitformat-pack, "object name").
func (r *Repo) name(content string) string {
	var h hash.Hash = sha1.New()
	if r.hash == "sha256" {
		h = sha256.New()
	}
	fmt.Fprintf(h, "blob %d\x00%s", len(content), content)
	return hex.EncodeToString(h.Sum(nil))
}

// unix is a text with line feeds alone.
func unix(text string) string { return strings.ReplaceAll(text, "\r\n", "\n") }

// The bounds of looking for renames: how alike two files have to be, and how many
// pairs are compared.
const (
	alike    = 0.5
	maxPairs = 1_000_000
)

// renames pairs files that went with files that came: those of equal content
// first, then the most alike, by their lines.
func renames(before, after *Tree, gone, came []string) ([]Change, error) {
	var out []Change
	old, err := contents(before, gone)
	if err != nil {
		return nil, err
	}
	new, err := contents(after, came)
	if err != nil {
		return nil, err
	}
	equal := map[string][]string{}
	for _, p := range gone {
		equal[old[p]] = append(equal[old[p]], p)
	}
	taken := map[string]bool{} // of gone
	came = slices.DeleteFunc(came, func(p string) bool {
		from := equal[new[p]]
		if len(from) == 0 || new[p] == "" {
			return false
		}
		i := max(0, slices.IndexFunc(from, func(q string) bool { return base(q) == base(p) }))
		out = append(out, Change{Before: from[i], After: p, Same: true})
		taken[from[i]] = true
		equal[new[p]] = slices.Delete(slices.Clone(from), i, i+1)
		return true
	})
	gone = slices.DeleteFunc(gone, func(p string) bool { return taken[p] })

	pairs := likePairs(gone, came, old, new)
	done := map[string]bool{}
	for _, p := range pairs {
		if !done["<"+p.from] && !done[">"+p.to] {
			done["<"+p.from], done[">"+p.to] = true, true
			out = append(out, Change{Before: p.from, After: p.to})
		}
	}
	for _, p := range gone {
		if !done["<"+p] {
			out = append(out, Change{Before: p})
		}
	}
	for _, p := range came {
		if !done[">"+p] {
			out = append(out, Change{After: p})
		}
	}
	return out, nil
}

type pair struct {
	from, to string
	like     float64
}

// likePairs are the pairs that are alike enough, best first.
func likePairs(gone, came []string, old, new map[string]string) []pair {
	if len(gone)*len(came) > maxPairs {
		return nil
	}
	lines := make([]map[string]int, len(came))
	total := make([]int, len(came))
	for i, p := range came {
		lines[i], total[i] = count(new[p])
	}
	var pairs []pair
	for _, from := range gone {
		a, n := count(old[from])
		for i, to := range came {
			if n == 0 || total[i] == 0 || float64(min(n, total[i])) < alike*float64(max(n, total[i])) {
				continue
			}
			common := 0
			for line, times := range a {
				common += min(times, lines[i][line]) * len(line)
			}
			if like := float64(common) / float64(max(n, total[i])); like >= alike {
				pairs = append(pairs, pair{from, to, like})
			}
		}
	}
	slices.SortStableFunc(pairs, func(a, b pair) int { return cmp.Compare(b.like, a.like) })
	return pairs
}

// count is how often each line stands in a text, and the bytes in all of them.
func count(text string) (map[string]int, int) {
	lines, total := map[string]int{}, 0
	for line := range strings.Lines(text) {
		line = strings.TrimSpace(line)
		if line != "" && line != "}" {
			lines[line]++
			total += len(line)
		}
	}
	return lines, total
}

func contents(t *Tree, paths []string) (map[string]string, error) {
	out := map[string]string{}
	for _, p := range paths {
		text, err := t.content(p, t.entries[p])
		if err != nil && !Refused(err) { // one that is refused is like no other
			return nil, err
		}
		out[p] = unix(text)
	}
	return out, nil
}

func base(path string) string { return path[strings.LastIndexByte(path, '/')+1:] }
