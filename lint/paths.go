package lint

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/natefinch/atomic"
)

// Extension is how the name of a block file ends.
const Extension = ".block"

// FindFiles lists the block files that the paths name, each once, in order
// of path. A folder stands for the block files in it and below; hidden folders and what
// the settings exclude are passed by. A file that is named itself is always taken,
// whatever it is called: commands that check files, which a hook names one by one, part
// the list with Config.SplitExcluded. A folder below that cannot be listed is taken as a file that cannot
// be read: it is told with the findings, and the others are linted all the same. The error is
// of a path that is not there.
func FindFiles(paths []string, config *Config) ([]string, error) {
	var files []string
	for _, path := range paths {
		info, err := os.Stat(path)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path, bare(err))
		}
		if !info.IsDir() {
			files = append(files, clean(path))
			continue
		}
		if files, err = walk(files, path, config); err != nil {
			return nil, err
		}
	}
	slices.Sort(files)
	return slices.Compact(files), nil
}

func walk(files []string, root string, config *Config) ([]string, error) {
	err := Walk(root, config, func(path string, file bool) error {
		if file {
			files = append(files, path)
		}
		return nil
	})
	return files, err
}

// Walk visits a folder, the folders below and the block files in them, but for
// what is hidden or excluded by the settings. A folder below that cannot be listed is visited
// once more, as a file. An error of visit ends it.
func Walk(root string, config *Config, visit func(path string, file bool) error) error {
	return filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
		switch {
		case err != nil && path == root:
			return fmt.Errorf("%s: %w", path, bare(err))
		case err != nil:
			return visit(clean(path), true)
		}
		hidden := strings.HasPrefix(entry.Name(), ".") && path != root
		switch {
		case entry.IsDir() && path != root && (hidden || config.Excluded(path)):
			return fs.SkipDir
		case entry.IsDir():
			return visit(clean(path), false)
		case hidden || filepath.Ext(path) != Extension || config.Excluded(path):
			return nil
		}
		if entry.Type()&fs.ModeSymlink != 0 {
			if info, err := os.Stat(path); err == nil && info.IsDir() { // a link to a folder
				return nil
			}
		}
		return visit(clean(path), true)
	})
}

func clean(path string) string { return filepath.ToSlash(filepath.Clean(path)) }

// WriteFile puts a new text in the place of a file, all of it or none: it is
// written beside the file first and then takes its name. The file keeps its
// mode, and a link stays a link. It refuses when the file no longer holds
// the old text, since somebody else has written it meanwhile, and when it is
// marked as not to be written to.
func WriteFile(path, old, text string) error {
	real, err := filepath.EvalSymlinks(filepath.FromSlash(path))
	if err != nil {
		return err
	}
	if info, err := os.Stat(real); err == nil && info.Mode()&0o200 == 0 {
		return fmt.Errorf("%s: it may not be written to", path)
	}
	now, err := os.ReadFile(real)
	if err != nil {
		return err
	}
	if string(now) != old {
		return fmt.Errorf("%s: changed while it was being read; nothing was written", path)
	}
	if err := atomic.WriteFile(real, strings.NewReader(text)); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	return nil
}
