package cache

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

const (
	packed     = ".pack"
	unfinished = ".part"

	mostPack  = 256 << 20 // bytes; a larger one is not kept
	mostBytes = 512 << 20 // of all packs
	mostDays  = 30        // that an entry or a pack is kept without being of use
)

// write puts a pack in the place of the one before, and makes room.
func (c *Cache) write(name string, data []byte) error {
	if len(data) > mostPack {
		return nil
	}
	f, err := os.CreateTemp(c.dir, "*"+unfinished)
	if err == nil {
		_, err = f.Write(data)
		if err = errors.Join(err, f.Close()); err == nil {
			err = os.Rename(f.Name(), name)
		}
		if err != nil {
			os.Remove(f.Name())
		}
	}
	if err != nil {
		if e := new(fs.PathError); errors.As(err, &e) {
			err = e.Err
		}
		return fmt.Errorf("%s: the cache cannot be written: %w", c.dir, err)
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

// trim removes packs that were of no use for long, the oldest of too many, and what runs that
// were killed left behind. Where it cannot, another run will.
func (c *Cache) trim(but string) {
	files, err := os.ReadDir(c.dir)
	if err != nil {
		return
	}
	type old struct {
		name string
		size int64
		used time.Time
	}
	var packs []old
	for _, f := range files {
		info, err := f.Info()
		if err != nil || !info.Mode().IsRegular() {
			continue
		}
		name, age := filepath.Join(c.dir, f.Name()), c.now().Sub(info.ModTime())
		switch {
		case strings.HasSuffix(name, unfinished) && age > time.Hour,
			strings.HasSuffix(name, packed) && age > mostDays*24*time.Hour && name != but:
			os.Remove(name)
		case strings.HasSuffix(name, packed):
			packs = append(packs, old{name, info.Size(), info.ModTime()})
		}
	}
	slices.SortFunc(packs, func(a, b old) int { return b.used.Compare(a.used) })
	var kept int64
	for _, p := range packs {
		if kept += p.size; kept > mostBytes && p.name != but {
			os.Remove(p.name)
		}
	}
}
