package main

import (
	"cmp"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"

	"sewable/lint"
)

// shard is one of several parts of the files, "2/8"; empty for all of them.
type shard string

// UnmarshalText reads the part, for the command line.
func (p *shard) UnmarshalText(text []byte) error {
	*p = shard(text)
	if _, _, ok := p.numbers(); !ok {
		return fmt.Errorf("%q is not K/N, such as 2/8", text)
	}
	return nil
}

func (p shard) numbers() (k, n int, ok bool) {
	first, second, _ := strings.Cut(string(p), "/")
	k, err1 := strconv.Atoi(first)
	n, err2 := strconv.Atoi(second)
	return k, n, err1 == nil && err2 == nil && 1 <= k && k <= n && strconv.Itoa(k) == first && strconv.Itoa(n) == second
}

// first reports whether it is the part that speaks of what belongs to no block file, so
// that this is said once.
func (p shard) first() bool { return p == "" || strings.HasPrefix(string(p), "1/") }

// of is the files of the part: the largest file goes first, always to the part that has the
// least so far. Every machine comes to the same parts as long as it has the same files. The
// settings of all files are looked up, since the first part reports on them.
func (p shard) of(paths []string, config *lint.Config) ([]string, error) {
	if p == "" {
		return paths, nil
	}
	k, n, _ := p.numbers()
	type file struct {
		path string
		size int64
	}
	files := make([]file, len(paths))
	for i, path := range paths {
		config.For(path)
		files[i] = file{path, 1} // one that cannot be read is a line in the report
		if info, err := os.Stat(path); err == nil {
			files[i].size += info.Size()
		}
	}
	slices.SortFunc(files, func(a, b file) int { return cmp.Or(cmp.Compare(b.size, a.size), cmp.Compare(a.path, b.path)) })
	sizes := make([]int64, min(n, len(files)))
	out := []string{}
	for _, f := range files {
		least := 0
		for i, size := range sizes {
			if size < sizes[least] {
				least = i
			}
		}
		sizes[least] += f.size
		if least == k-1 {
			out = append(out, f.path)
		}
	}
	slices.Sort(out)
	return out, nil
}
