package lint

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"github.com/bmatcuk/doublestar/v4"

	"sewable/lang/files"
	"sewable/lang/source"
)

// SettingsName is the name of a settings file.
const SettingsName = "sewable.toml"

// Config finds the settings of files: the nearest sewable.toml in the file's
// folder or above it. It looks no further up than the folder that holds
// a .git: what lies above a repository is not the repository's. Every settings file is
// read once. All methods may be called from several goroutines.
type Config struct {
	rules []*Rule
	fixed *SettingsFile // when one file was named for all
	top   string        // when the files lie in no folder of the disk: where to stop
	from  func(path string) (string, error)
	gate  *files.Gate

	mu     sync.Mutex
	byName map[string]*SettingsFile // by folder, as it was named
	byDir  map[string]*SettingsFile // by folder, absolute
	byFile map[string]*SettingsFile // by path, absolute; nil where there is none
	files  []*SettingsFile          // those read, in the order of finding

	extending map[string]bool // the files whose bases are being read
}

// NewConfig returns a Config that knows the names of the rules.
func NewConfig(rules []*Rule) *Config {
	return &Config{rules: rules, gate: new(files.Gate), byName: map[string]*SettingsFile{}, byDir: map[string]*SettingsFile{}, byFile: map[string]*SettingsFile{}}
}

// WithSettings returns a Config that gives every file the same settings.
func WithSettings(f *SettingsFile) *Config {
	return &Config{fixed: f, gate: new(files.Gate), byFile: map[string]*SettingsFile{}, files: []*SettingsFile{f}}
}

// Within has the settings files read by another function and looked for no
// further up than root, and gives c: for the files of an older commit.
func (c *Config) Within(root string, read func(path string) (string, error)) *Config {
	c.top, c.from = root, read
	return c
}

// Through has the settings files read through a gate, and gives c.
func (c *Config) Through(gate *files.Gate) *Config {
	c.gate = gate
	return c
}

// Gate is what the settings files are read through.
func (c *Config) Gate() *files.Gate { return c.gate }

// FixedConfig returns a Config that takes one settings file for every file, read through a gate.
func FixedConfig(path string, rules []*Rule, gate *files.Gate) (*Config, error) {
	text, err := gate.Read(path, files.Settings)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, files.Bare(err))
	}
	f := ReadSettings(source.New(filepath.ToSlash(path), text), rules)
	c := WithSettings(f).Through(gate)
	c.rules = rules
	if v, ok := f.values[ExtendsKey]; ok {
		c.extend(f, files.Absolute(path), v.word)
	}
	return c, nil
}

// For gives the settings file that holds for a block file. Where there is
// none, it is one that sets nothing, without a Source.
func (c *Config) For(path string) *SettingsFile {
	return c.in(filepath.Dir(filepath.FromSlash(path))).under(path)
}

// in gives the settings file that holds in a folder.
func (c *Config) in(dir string) *SettingsFile {
	if c.fixed != nil {
		return c.fixed
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if f, ok := c.byName[dir]; ok { // to make a path absolute costs two calls of the system
		return f
	}
	f := new(SettingsFile)
	if abs, err := filepath.Abs(dir); err == nil { // else the working tree is gone
		f = c.find(abs)
	}
	c.byName[dir] = f
	return f
}

// find goes upwards from a folder, and remembers what it found for every
// folder on the way.
func (c *Config) find(abs string) *SettingsFile {
	if f, ok := c.byDir[abs]; ok {
		return f
	}
	f := c.at(filepath.Join(abs, SettingsName))
	if f == nil {
		parent := filepath.Dir(abs)
		if c.isTop(abs) || parent == abs {
			f = new(SettingsFile)
		} else {
			f = c.find(parent)
		}
	}
	c.byDir[abs] = f
	return f
}

// isTop reports whether nothing above a folder counts.
func (c *Config) isTop(abs string) bool {
	if c.from != nil {
		return abs == c.top
	}
	return files.Exists(filepath.Join(abs, ".git"))
}

// read reads a settings file; nil when there is none. One that is there but
// cannot be read sets nothing and says so.
func (c *Config) read(path string) *SettingsFile {
	text, err := c.text(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	f := ReadSettings(source.New(shown(path), text), c.rules)
	if err != nil {
		f.Problems = append(f.Problems, SettingProblem{Kind: Unread, Want: files.Bare(err).Error()})
	}
	c.files = append(c.files, f)
	if v, ok := f.values[ExtendsKey]; ok {
		c.extend(f, path, v.word)
	}
	return f
}

// maxExtended is how many settings files may extend one another.
const maxExtended = 10

// extend gives a settings file at a path its base. It is read as what a file names is: from inside the repository.
func (c *Config) extend(f *SettingsFile, path, word string) {
	to := filepath.Join(filepath.Dir(path), filepath.FromSlash(word))
	refuse := func(why string) {
		f.Problems = append(f.Problems, SettingProblem{At: f.places[ExtendsKey].at, Kind: BadValue, Name: ExtendsKey, Want: why})
	}
	if c.extending == nil {
		c.extending = map[string]bool{}
	}
	c.extending[path] = true
	defer delete(c.extending, path)
	switch {
	case c.extending[to]:
		refuse("extends goes round in a circle: " + word + " extends this file")
		return
	case len(c.extending) > maxExtended:
		refuse(fmt.Sprintf("more than %d settings files extend one another", maxExtended))
		return
	case c.from == nil && !files.Inside(to, files.Root(filepath.Dir(path))):
		refuse(word + " is outside this repository")
		return
	}
	base := c.at(to)
	switch {
	case base == nil:
		refuse("there is no file " + word)
	default:
		f.base = base
	}
}

// at is the settings file at a path, read once; nil when there is none.
func (c *Config) at(path string) *SettingsFile {
	if f, ok := c.byFile[path]; ok {
		return f
	}
	f := c.read(path)
	c.byFile[path] = f
	return f
}

func (c *Config) text(path string) (string, error) {
	if c.from != nil {
		return c.from(path)
	}
	return c.gate.Read(path, files.Settings)
}

// Files are the settings files that were read, by path.
func (c *Config) Files() []*SettingsFile {
	c.mu.Lock()
	defer c.mu.Unlock()
	read := slices.Clone(c.files)
	slices.SortFunc(read, func(a, b *SettingsFile) int { return strings.Compare(a.Source.Path, b.Source.Path) })
	return read
}

// Excluded reports whether a file or folder is excluded by the settings that
// hold where it lies.
func (c *Config) Excluded(path string) bool {
	f := c.For(path)
	globs := f.For(0).Exclude
	abs, err := filepath.Abs(filepath.FromSlash(path))
	if len(globs) == 0 || err != nil {
		return false
	}
	rel := relativeTo(f.places["exclude"].file, abs)
	return rel != "" && matchesAny(globs, rel)
}

// relativeTo names a file from the folder of a settings file, slashes forward; empty when it cannot be.
func relativeTo(settings *source.File, abs string) string {
	if settings == nil {
		return ""
	}
	base, err := filepath.Abs(filepath.Dir(filepath.FromSlash(settings.Path)))
	if err != nil {
		return ""
	}
	rel, err := filepath.Rel(base, abs)
	if err != nil {
		return ""
	}
	return filepath.ToSlash(rel)
}

// matchesAny reports whether one of the patterns names a file, or a folder that it is in.
func matchesAny(globs []string, rel string) bool {
	for _, glob := range globs {
		glob = strings.TrimSuffix(strings.TrimPrefix(glob, "./"), "/")
		if doublestar.MatchUnvalidated(glob, rel) || doublestar.MatchUnvalidated(glob+"/**", rel) {
			return true
		}
	}
	return false
}

// SplitExcluded parts files that were named one by one into those that the settings keep
// and those that they exclude.
func (c *Config) SplitExcluded(paths []string) (kept, excluded []string) {
	for _, path := range paths {
		if c.Excluded(path) {
			excluded = append(excluded, path)
		} else {
			kept = append(kept, path)
		}
	}
	return kept, excluded
}

func validGlob(glob string) bool { return glob != "" && doublestar.ValidatePattern(glob) }

// shown is the path a person reads: from the working tree when it lies in it.
func shown(abs string) string {
	if wd, err := os.Getwd(); err == nil {
		if rel, err := filepath.Rel(wd, abs); err == nil && !strings.HasPrefix(rel, "..") {
			return filepath.ToSlash(rel)
		}
	}
	return filepath.ToSlash(abs)
}
