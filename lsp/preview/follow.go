package preview

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/fsnotify/fsnotify"

	"sewable/lang/block"
	"sewable/lang/files"
	"sewable/lang/query"
	"sewable/lang/syntax"
	"sewable/lint"
)

// How long the folder has to be quiet after a change before a file is read: an editor
// writes in several steps. Whoever never rests is read all the same.
const (
	settle    = 8 * time.Millisecond
	maxSettle = 60 * time.Millisecond
	lookAgain = 2 * time.Second // where the system tells nothing, as on some shared drives
)

// Following is what is needed to follow a file.
type Following struct {
	Rules  []*lint.Rule
	Config func() (*lint.Config, error) // the settings, read anew
	Begun  func()                       // called when the file is shown and watched; may be nil
}

// Follow shows the page its file as it is on disk, now and whenever it, a file it
// uses or its settings are saved, until the context ends. The error says why the file
// cannot be read at the start, or not be watched.
func (p *Page) Follow(ctx context.Context, how Following) error {
	f := &follower{page: p, Following: how, reader: syntax.NewEditorReader()}
	watcher, err := fsnotify.NewWatcher()
	if err != nil {
		return err
	}
	defer watcher.Close()
	f.watcher = watcher
	if err := f.read(ctx); err != nil {
		return err
	}
	if how.Begun != nil {
		how.Begun()
	}
	tick := time.NewTicker(lookAgain)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return nil
		case e, ok := <-watcher.Events:
			if !ok {
				return errors.New("the folder is not watched any more")
			}
			if _, wanted := f.files[filepath.Clean(e.Name)]; !wanted || e.Op == fsnotify.Chmod {
				continue
			}
			f.settle(ctx)
		case <-watcher.Errors: // too many events at once, of which ours may be one
			f.settle(ctx)
		case <-tick.C:
			if !f.changed() {
				continue
			}
		}
		_ = f.read(ctx) // the page says so
	}
}

// follower reads a file again and again.
type follower struct {
	Following
	page    *Page
	reader  *syntax.Reader
	watcher *fsnotify.Watcher
	files   map[string]stamp // by absolute path, also those that are not there
	inside  *files.Gate
}

// stamp tells one writing of a file from another.
type stamp struct {
	time time.Time
	size int64
}

func stampOf(path string) stamp {
	info, err := os.Stat(path)
	if err != nil {
		return stamp{}
	}
	return stamp{info.ModTime(), info.Size()}
}

func (f *follower) changed() bool {
	for path, s := range f.files {
		if stampOf(path) != s {
			return true
		}
	}
	return false
}

// settle waits until nothing more happens.
func (f *follower) settle(ctx context.Context) {
	quiet, enough := time.After(settle), time.After(maxSettle)
	for {
		select {
		case <-f.watcher.Events:
			quiet = time.After(settle)
		case <-quiet:
			return
		case <-enough:
			return
		case <-ctx.Done():
			return
		}
	}
}

// read reads the file and shows it.
func (f *follower) read(ctx context.Context) error {
	config, err := f.Config()
	if err != nil {
		f.page.Show(Moment{Why: err.Error()})
		return err
	}
	_, _ = config.Gate().Name(f.page.Path) // that it is gone is said when it is read
	f.inside = config.Gate()
	f.files = map[string]stamp{} // noted before they are read, so that nothing is missed
	f.watch(f.page.Path)
	model, err := block.NewLoader(f.reader, config.Gate().Block).Open(f.page.Path)
	if err != nil {
		why := err.Error()
		if errors.Is(err, fs.ErrNotExist) {
			why = "This file no longer exists. It is shown again as soon as it is back."
		}
		f.page.Show(Moment{Why: why})
		return err
	}
	f.watchUses(model)
	settings := config.For(model.Source.Path).For(model.Unit)
	findings, _, err := lint.FileWith(ctx, model, f.Rules, settings, 1)
	if err != nil {
		return err
	}
	f.page.Show(Moment{File: Ask(model, settings), Findings: findings})
	return nil
}

// Ask is a file as package query sees it, with the settings that hold for it.
func Ask(f *block.File, s *lint.Settings) *query.File {
	width, height := s.Printable()
	return &query.File{
		File:  f,
		Cloth: s.Cutting(),
		Paper: query.Paper{Name: s.Paper.Name, Width: width, Height: height},
	}
}

// watch watches the folders of the file, of what it is a link to, and those where its
// settings may lie. Folders and not files, since many editors save by giving a new
// file the old name.
func (f *follower) watch(path string) {
	path = files.Absolute(filepath.FromSlash(path))
	f.note(path)
	for dir := filepath.Dir(path); ; dir = filepath.Dir(dir) {
		f.note(filepath.Join(dir, lint.SettingsName))
		if files.Exists(filepath.Join(dir, ".git")) || dir == filepath.Dir(dir) {
			return
		}
	}
}

// watchUses watches the folders of the files that a file uses, near and far, or
// would use if they were there.
func (f *follower) watchUses(m *block.File) {
	seen := map[*block.File]bool{nil: true}
	var visit func(*block.File)
	visit = func(m *block.File) {
		if seen[m] {
			return
		}
		seen[m] = true
		from := filepath.Dir(files.Absolute(filepath.FromSlash(m.Source.Path)))
		for _, u := range m.Uses {
			if !files.Rooted(u.Path) && files.Portable(u.Path) && len(f.files) < maxFiles {
				if path := filepath.Join(from, filepath.FromSlash(u.Path)); f.inside.Stays(path) {
					f.note(path)
				}
			}
			visit(u.File)
		}
	}
	visit(m)
}

// maxFiles is how many files are watched; a file that uses more is an odd one.
const maxFiles = 200

// note has a file watched. A folder that is not there, or cannot be watched, is
// looked at from time to time instead.
func (f *follower) note(path string) {
	if _, known := f.files[path]; known {
		return
	}
	f.files[path] = stampOf(path)
	_ = f.watcher.Add(filepath.Dir(path))
	if real, err := filepath.EvalSymlinks(path); err == nil && real != path {
		f.files[real] = stampOf(real)
		_ = f.watcher.Add(filepath.Dir(real))
	}
}
