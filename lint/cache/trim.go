package cache

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"sewable/lang/files"
)

const (
	packed = ".pack"

	maxPack  = 256 << 20 // bytes, what files.Pack may have; a larger one is not kept
	maxBytes = 512 << 20 // of all packs
	maxDays  = 30        // that an entry or a pack is kept without being of use
)

// write puts a pack in the place of the one before, and makes room.
func (c *Cache) write(name string, data []byte) error {
	if len(data) > maxPack {
		return nil
	}
	err := files.Write(name, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
	if err != nil {
		return fmt.Errorf("the cache: %w", err)
	}
	c.trim(name)
	return nil
}

// touch marks a pack as of use, once a day.
func (c *Cache) touch(r *run) error {
	if info, err := os.Stat(r.name); err == nil && r.now.Sub(info.ModTime()) > 24*time.Hour {
		return os.Chtimes(r.name, r.now, r.now)
	}
	return nil
}

// trim removes packs that were of no use for long, and the oldest of too many. Where it cannot, another run will.
func (c *Cache) trim(but string) {
	entries, err := os.ReadDir(c.dir)
	if err != nil {
		return
	}
	type old struct {
		name string
		size int64
		used time.Time
	}
	var packs []old
	for _, f := range entries {
		info, err := f.Info()
		if err != nil || !info.Mode().IsRegular() {
			continue
		}
		name, age := filepath.Join(c.dir, f.Name()), c.now().Sub(info.ModTime())
		switch {
		case strings.HasSuffix(name, packed) && age > maxDays*24*time.Hour && name != but:
			os.Remove(name)
		case strings.HasSuffix(name, packed):
			packs = append(packs, old{name, info.Size(), info.ModTime()})
		}
	}
	slices.SortFunc(packs, func(a, b old) int { return b.used.Compare(a.used) })
	var kept int64
	for _, p := range packs {
		if kept += p.size; kept > maxBytes && p.name != but {
			os.Remove(p.name)
		}
	}
}
