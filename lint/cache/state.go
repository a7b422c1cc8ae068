package cache

import (
	"crypto/sha256"
	"errors"
	"os"
	"time"

	"sewable/lang/files"
)

// stamp is what the file system says of a file: when it is the same, and old enough, so is the
// content. The zero stamp is never the same as another.
type stamp struct {
	size, modified, changed int64 // bytes; nanoseconds
	device, inode           uint64
}

// settled is how old a change has to be before its stamp can be trusted: a file might be changed
// again within one tick of the file system's clock. The coarsest, of FAT, ticks every 2 s.
const settled = 2 * time.Second

// stampOf is the stamp of a file; zero while it is too young to be trusted.
func stampOf(info os.FileInfo, now time.Time) stamp {
	s := stamp{size: info.Size(), modified: info.ModTime().UnixNano()}
	s.system(info)
	if max(s.modified, s.changed) > now.Add(-settled).UnixNano() {
		return stamp{}
	}
	return s
}

// sum is a content, as far as it matters which one it is.
type sum [16]byte

func sumOf(text string) sum {
	full := sha256.Sum256([]byte(text))
	return sum(full[:16])
}

// kind says whether a file could be read.
type kind uint8

const (
	missing  kind = iota // or may not be read
	notAFile             // a folder or a device
	readable
	outside // a link that leads out
)

// state is what a file was, or is.
type state struct {
	kind  kind
	stamp stamp
	sum   sum
}

// same reports whether a model made of one file is the same with the other.
func (s state) same(t state) bool { return s.kind == t.kind && s.sum == t.sum }

// readState reads a file and tells its state. The stamp is taken first: if the file changes meanwhile, it is
// no longer the file's. A link has none: what it leads to may change, and whether that may be read.
func (r *run) readState(path string) (string, state, error) {
	info, err := os.Lstat(path)
	if err != nil {
		return "", state{}, err
	}
	text, err := r.options.Config.Gate().Block(path)
	switch {
	case err == nil && info.Mode().IsRegular():
		return text, state{readable, stampOf(info, r.now), sumOf(text)}, nil
	case err == nil:
		return text, state{kind: readable, sum: sumOf(text)}, nil
	case errors.Is(err, files.ErrNotAFile):
		return "", state{kind: notAFile}, err
	case errors.Is(err, files.ErrOutside):
		return "", state{kind: outside}, err
	}
	return "", state{}, err
}

// stateNow tells the state of a file, which is not read when it bears the stamp of a known one.
func (r *run) stateNow(path string, known ...state) state {
	info, err := os.Lstat(path)
	if err != nil {
		return state{}
	}
	if s := stampOf(info, r.now); s != (stamp{}) && info.Mode().IsRegular() {
		for _, k := range known {
			if k.kind == readable && k.stamp == s {
				return k
			}
		}
	}
	_, s, _ := r.readState(path)
	return s
}
