package lint

import (
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"sewable/lang/block"
	"sewable/lang/files"
)

// Extension is how the name of a block file ends.
const Extension = block.Extension

// FindFiles lists the block files that the paths name, each once, in order
// of path. A folder stands for the block files in it and below; hidden folders and what
// the settings exclude are passed by. A file that is named itself is always taken,
// whatever it is called: commands that check files, which a hook names one by one, part
// the list with Config.SplitExcluded. A folder below that cannot be listed is taken as a file that cannot
// be read: it is told with the findings, and the others are linted all the same. The paths are what a
// person named, see files.Gate. The error is of a path that is not there, and of a folder that is refused.
func FindFiles(paths []string, config *Config) ([]string, error) {
	var found []string
	for _, path := range paths {
		folder, err := config.gate.Name(path)
		switch {
		case err != nil:
			return nil, fmt.Errorf("%s: %w", path, files.Bare(err))
		case !folder:
			found = append(found, clean(path))
			continue
		}
		if found, err = walk(found, path, config); err != nil {
			return nil, err
		}
	}
	slices.Sort(found)
	return slices.Compact(found), nil
}

func walk(found []string, root string, config *Config) ([]string, error) {
	err := Walk(root, config, func(path string, file bool) error {
		if file {
			found = append(found, path)
		}
		return nil
	})
	return found, err
}

// Walk visits a folder, the folders below and the block files in them, but for
// what is hidden or excluded by the settings. A folder below that cannot be listed is visited
// once more, as a file. An error of visit ends it.
func Walk(root string, config *Config, visit func(path string, file bool) error) error {
	return files.Walk(root, func(path string, entry fs.DirEntry, err error) error {
		switch {
		case err != nil && path == root:
			return fmt.Errorf("%s: %w", path, files.Bare(err))
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
		if entry.Type()&fs.ModeSymlink != 0 && files.IsFolder(path) {
			return nil // what is in it has another name
		}
		return visit(clean(path), true)
	})
}

func clean(path string) string { return filepath.ToSlash(filepath.Clean(path)) }
